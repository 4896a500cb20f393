import { describe, expect, it } from "vitest";
import { guessFrom } from "./guess";

describe("first guesses", () => {
  it("take inches, Letter and dollars for the United States", () => {
    expect(guessFrom("en-US", "America/Chicago")).toEqual({
      timeZone: "America/Chicago",
      currency: "USD",
      lengthUnit: "inch",
      paper: "Letter",
    });
  });
  it("take mm but Letter paper for Canada", () => {
    expect(guessFrom("fr-CA", "America/Toronto")).toMatchObject({
      currency: "CAD",
      lengthUnit: "mm",
      paper: "Letter",
    });
  });
  it("fall back to mm, A4 and euros where the language says no region, or is none", () => {
    for (const language of ["en", "de", "", "not a tag!"])
      expect(guessFrom(language, "Europe/Dublin")).toMatchObject({
        currency: "EUR",
        lengthUnit: "mm",
        paper: "A4",
      });
  });
});
