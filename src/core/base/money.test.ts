import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { amountOf, amountText, minorDigits, minorUnits } from "./money";

/**
 * Minor units: ISO 4217:2015, list one (current currency codes) as published 2024-06-25 by its maintenance agency,
 * column "minor unit".
 */
const published: Readonly<Record<string, number>> = {
  BHD: 3,
  CHF: 2,
  CLF: 4,
  CLP: 0,
  CZK: 2,
  EUR: 2,
  GBP: 2,
  HUF: 2,
  IDR: 2,
  IQD: 3,
  ISK: 0,
  JPY: 0,
  KRW: 0,
  KWD: 3,
  MGA: 2,
  OMR: 3,
  PLN: 2,
  TND: 3,
  USD: 2,
  UYW: 4,
  VND: 0,
  XOF: 0,
};

describe("the decimals of a currency", () => {
  it("are those of ISO 4217", () => {
    expect(Object.keys(published).map((code) => [code, minorDigits(code)])).toEqual(
      Object.entries(published),
    );
  });
  it("are two where the list does not know the code", () => {
    expect(minorDigits("ABC")).toBe(2);
  });
});

describe("amounts", () => {
  it("are whole minor units and back", () => {
    expect([minorUnits(12.5, "EUR"), minorUnits(1200, "JPY"), minorUnits(1.234, "KWD")]).toEqual([
      1250, 1200, 1234,
    ]);
    expect([amountOf(1250, "EUR"), amountOf(1200, "JPY"), amountOf(1234, "KWD")]).toEqual([
      12.5, 1200, 1.234,
    ]);
  });
  it("are rounded by their decimals, not by how a computer holds them", () => {
    // 1.005 × 100 is 100.49999999999999 in binary floating point (IEEE 754).
    expect([
      minorUnits(1.005, "EUR"),
      minorUnits(8.345, "EUR"),
      minorUnits(0.0005, "KWD"),
      minorUnits(1e-7, "EUR"),
    ]).toEqual([101, 835, 1, 0]);
  });
  it("are written with all their decimals", () => {
    expect([amountText(1250, "EUR"), amountText(1200, "JPY"), amountText(-5, "KWD")]).toEqual([
      "12.50",
      "1200",
      "-0.005",
    ]);
  });
  it("come back from their text in every currency", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: -1_000_000_000, max: 1_000_000_000 }),
        fc.constantFrom(...Object.keys(published)),
        (minor, currency) => minorUnits(Number(amountText(minor, currency)), currency) === minor,
      ),
    );
  });
});
