import { describe, expect, it } from "vitest";
import { orderedTexts, sewnTexts, unsewnTexts } from "./ordered-texts";

const line = (heightMm: number, text?: number) => ({ heightMm, text });

describe("an order's personal text", () => {
  it("holds a text a line, or texts with a slash between blanks", () => {
    expect(orderedTexts("Ada\nHarbour Swimmers")).toEqual(["Ada", "Harbour Swimmers"]);
    expect(orderedTexts("Ada / 2019")).toEqual(["Ada", "2019"]);
    expect(orderedTexts(" Ada \r\n 2019 \n")).toEqual(["Ada", "2019"]);
    expect(orderedTexts("\n2019")).toEqual(["", "2019"]);
    expect(orderedTexts("24/7 AC/DC")).toEqual(["24/7 AC/DC"]);
    expect(orderedTexts("  ")).toEqual([]);
  });
  it("is sewn whole where a placement says nothing of texts", () => {
    const lettering = line(12);
    expect(sewnTexts(lettering, "Ada / 2019")).toEqual([{ line: lettering, text: "Ada / 2019" }]);
    expect(sewnTexts(lettering, " ")).toEqual([]);
    expect(sewnTexts(lettering, "\n2019")).toEqual([{ line: lettering, text: "2019" }]);
    expect(unsewnTexts([lettering], "Ada / 2019")).toEqual([]);
  });
  it("goes text by text to the lines of a recipe; a line without a text is left out", () => {
    const year = line(8);
    const lettering = { ...line(12), further: [year] };
    expect(sewnTexts(lettering, "Ada / 2019").map(({ text }) => text)).toEqual(["Ada", "2019"]);
    expect(sewnTexts(lettering, "\n2019")).toEqual([{ line: year, text: "2019" }]);
    expect(sewnTexts(lettering, "Ada")).toEqual([{ line: lettering, text: "Ada" }]);
    expect(sewnTexts(line(12, 2), "Ada / 2019").map(({ text }) => text)).toEqual(["2019"]);
  });
  it("tells the texts no placement sews", () => {
    expect(unsewnTexts([{ text: 1 }, { text: 2 }], "Ada / 2019 / Quay")).toEqual(["Quay"]);
    expect(unsewnTexts([{ further: [{}] }], "Ada / 2019")).toEqual([]);
    expect(unsewnTexts([{ text: 2 }], "Ada / 2019")).toEqual(["Ada"]);
  });
});
