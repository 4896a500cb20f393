/**
 * Money is kept in whole minor units of the studio's currency. How many decimals that is stands in ISO 4217, list one,
 * and not in the engine's own data: those follow what is in use (no decimals for HUF or IDR), differ between versions
 * and between the program and a browser, and a price that is read otherwise than it was written is another price.
 */

/** Currencies of ISO 4217 (list one, as published 2024-06-25, "minor unit") that have not two decimals. */
const otherDigits: readonly (readonly [digits: number, codes: string])[] = [
  [0, "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"],
  [3, "BHD IQD JOD KWD LYD OMR TND"],
  [4, "CLF UYW"],
];
const digitsOf = new Map(
  otherDigits.flatMap(([digits, codes]) => codes.split(" ").map((code) => [code, digits] as const)),
);

/** Decimals of a currency's amounts: 2 for EUR, 0 for JPY, 3 for KWD; 2 for a code the list does not have. */
export const minorDigits = (currency: string): number => digitsOf.get(currency) ?? 2;

/** Whole minor units of an amount, to the nearest: 12.5 EUR are 1250, 1200 JPY are 1200. */
export function minorUnits(amount: number, currency: string): number {
  const digits = minorDigits(currency);
  const text = String(amount);
  // Moving the point of the decimal text is exact where multiplying is not (1.005 × 100 is less than 100.5).
  return Math.round(text.includes("e") ? amount * 10 ** digits : Number(`${text}e${digits}`));
}

/** The amount of whole minor units: 1250 in EUR are 12.5. */
export const amountOf = (minor: number, currency: string): number => minor / 10 ** minorDigits(currency);

/** The amount with all its decimals and a decimal point, for files: "12.50" in EUR, "1200" in JPY, "-0.005" in KWD. */
export const amountText = (minor: number, currency: string): string =>
  amountOf(minor, currency).toFixed(minorDigits(currency));
