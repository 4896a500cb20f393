import { describe, expect, it } from "vitest";
import { needleSizesNm, needleSizeWords, needleWords } from ".";

describe("needle sizes", () => {
  it("are written as the pair on the packet (common practice, no source)", () => {
    expect(needleSizesNm.map(needleSizeWords)).toEqual([
      "60/8",
      "65/9",
      "70/10",
      "75/11",
      "80/12",
      "90/14",
      "100/16",
    ]);
  });

  it("stand with their point", () => {
    expect(needleWords(75, "sharp")).toBe("75/11 sharp");
    expect(needleWords(80, "ball")).toBe("80/12 ball point");
  });

  it("without an old number in use keep the metric one, named", () => {
    expect(needleSizeWords(85)).toBe("Nm 85");
  });
});
