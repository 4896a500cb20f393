import { describe, expect, it } from "vitest";
import { moneyWords } from "./quantity";

/** Minor units: ISO 4217, list one as published 2024-06-25. Of the words only digits are looked at: signs differ by language. */
const digitsOf = (minor: number, currency: string) => moneyWords(minor, currency).replace(/[^\d]/g, "");

describe("money in words", () => {
  it("has the decimals its currency has", () => {
    expect([digitsOf(1250, "EUR"), digitsOf(1250, "JPY"), digitsOf(1250, "KWD")]).toEqual([
      "1250",
      "1250",
      "1250",
    ]);
    expect(moneyWords(1250, "EUR")).toMatch(/12[.,]50/);
    expect(moneyWords(1250, "JPY")).toMatch(/1[.,\s ]?250(?![.,]\d)/);
    expect(moneyWords(1250, "KWD")).toMatch(/1[.,]250/);
  });
  it("has those of the standard where the engine's own data leave them out", () => {
    expect(moneyWords(1250, "HUF")).toMatch(/12[.,]50/);
    expect(moneyWords(1250, "IDR")).toMatch(/12[.,]50/);
  });
});
