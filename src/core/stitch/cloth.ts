/** What is sewn on: it decides compensation, underlay and the smallest column. */
export type Cloth = "woven" | "knit" | "pile";

export interface ClothPreset {
  /** Added to each side of a column and each end of a row, in mm: stitches pull the cloth in. */
  readonly pullMm: number;
  readonly smallestColumnMm: number;
  readonly smallestLetterMm: number;
  /** The lowest capitals of the flowing alphabet, by eye: at 8 mm all limits hold, but the eyes of e and a close. */
  readonly smallestFlowingMm: number;
  /** Satin stitches longer than this are split. */
  readonly splitSatinMm: number;
  readonly underlayLayers: number;
  readonly advice: string;
}

/** STITCHING.md and TRADE.md; common practice, no source. */
export const CLOTHS: Readonly<Record<Cloth, ClothPreset>> = {
  woven: {
    pullMm: 0.2,
    smallestColumnMm: 1.0,
    smallestLetterMm: 5,
    smallestFlowingMm: 9,
    splitSatinMm: 7,
    underlayLayers: 1,
    advice: "Tear-away backing.",
  },
  knit: {
    pullMm: 0.4,
    smallestColumnMm: 1.2,
    smallestLetterMm: 6,
    smallestFlowingMm: 10,
    splitSatinMm: 7,
    underlayLayers: 1,
    advice: "Cut-away backing.",
  },
  pile: { pullMm: 0.4, smallestColumnMm: 1.4, smallestLetterMm: 8, smallestFlowingMm: 10, splitSatinMm: 5, underlayLayers: 2, advice: "Soluble film on top, cut-away backing." }, // prettier-ignore
};

/** The measures all making shares, in mm (TRADE.md; common practice, no source). */
export const SEWING = {
  satinPitchMm: 0.4,
  // 0.40 is usual; at 0.37 rounding to tenths leaves no streaks.
  rowSpacingMm: 0.37,
  fillStitchMm: 4,
  runStitchMm: 2.2,
  tieMm: 0.7,
  /** A gap up to this is jumped; a longer one is cut. */
  trimGapMm: 3,
  shortestMm: 0.5,
  splitSatinMm: 7,
} as const;
