import type { NeedlePoint } from "./nouns";

/**
 * Sizes of needles in use: blade thickness in hundredths of a millimetre (Nm) with the old number of the same blade,
 * as packets and people write the pair (common practice, no source).
 */
const oldNumbers: Readonly<Record<number, number>> = {
  60: 8,
  65: 9,
  70: 10,
  75: 11,
  80: 12,
  90: 14,
  100: 16,
};

/** The common sizes, Nm, thin to thick. */
export const needleSizesNm: readonly number[] = Object.keys(oldNumbers).map(Number);

/** "75/11"; a size without an old number in use is "Nm 85". */
export const needleSizeWords = (sizeNm: number): string =>
  oldNumbers[sizeNm] === undefined ? `Nm ${sizeNm}` : `${sizeNm}/${oldNumbers[sizeNm]}`;

/** "75/11 sharp", "80/12 ball point". */
export const needleWords = (sizeNm: number, point: NeedlePoint): string =>
  `${needleSizeWords(sizeNm)} ${point === "ball" ? "ball point" : "sharp"}`;
