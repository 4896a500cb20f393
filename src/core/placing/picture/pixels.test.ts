import { describe, expect, it } from "vitest";
import { byteOfLinear, codedOfLinear, greyOf, LINEAR_OF_BYTE, linearOfCoded, shrunk } from "./pixels";

describe("light and coded values", () => {
  // IEC 61966-2-1:1999, the transfer function; 0.21404114 for 0.5 also stands in our list of checks (t01_srgb_decode_0_5),
  // the others computed with numpy from the printed formula.
  it.each([
    [0, 0],
    [0.02, 0.0015479876],
    [0.04045, 0.0031308],
    [0.2, 0.0331047666],
    [0.5, 0.21404114],
    [0.8, 0.6038273389],
    [1, 1],
  ])("coded %d is %d of full light", (coded, linear) => {
    expect(linearOfCoded(coded)).toBeCloseTo(linear, 7);
    expect(codedOfLinear(linear)).toBeCloseTo(coded, 5);
  });

  it("every byte comes back from its light", () => {
    expect([...LINEAR_OF_BYTE].map((light) => byteOfLinear(light))).toEqual([...Array(256).keys()]);
    expect(byteOfLinear(-1)).toBe(0);
    expect(byteOfLinear(7)).toBe(255);
  });

  it("grey weighs the colours by BT.709", () => {
    const data = Uint8Array.of(255, 0, 0, 255, 0, 255, 0, 255, 0, 0, 255, 255, 90, 90, 90, 255);
    expect([...greyOf({ widthPx: 4, heightPx: 1, data }).data]).toEqual([54, 182, 18, 90]);
  });

  it("a shrunk picture holds the means of whole squares", () => {
    const data = Uint8Array.of(10, 20, 100, 100, 7, 30, 40, 100, 104, 7, 9, 9, 9, 9, 9);
    expect(shrunk({ widthPx: 5, heightPx: 3, data }, 2)).toEqual({
      widthPx: 2,
      heightPx: 1,
      data: Uint8Array.of(25, 101),
    });
  });
});
