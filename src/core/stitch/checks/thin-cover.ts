import type { Finding } from "#core/base";
import { countOf, type DesignCheck, MOST_PLACES, placeOf, placesOf } from "./check";
import { medianOf } from "./sewn-columns";
import { cellAt, type SewnGround } from "./sewn-ground";

/** TRADE.md: a spacing over 0.50 mm shows the cloth (common practice, no source). */
const WIDEST_SPACING_MM = 0.5;
/** Sewn rows this far apart and further are drawn open on purpose. */
const OPEN_SPACING_MM = 1.3;
const LEAST_AREA_MM2 = 6;
const LEAST_COLUMN_MM = 3;

/** Places where cloth shows between the threads: satin by its pitch, filled areas by thread on the square mm. */
export const thinCover: DesignCheck = (input) => [...thinColumns(input), ...thinAreas(input)];

const thinColumns: DesignCheck = ({ design, columns, ground }) => {
  const thin = columns().filter(({ from, to, pitchesMm, lengthMm }) => {
    if (lengthMm < LEAST_COLUMN_MM || medianOf(pitchesMm) <= WIDEST_SPACING_MM + 0.05) return false;
    const middle = (from + to) >> 1;
    const squares = ground();
    const x = (design.x[middle]! + design.x[middle - 1]!) / 2;
    const y = (design.y[middle]! + design.y[middle - 1]!) / 2;
    // What is sewn over later is underlay.
    const cell = cellAt(squares, x, y);
    return cell < 0 || squares.last[cell]! <= to;
  });
  if (thin.length === 0) return [];
  thin.sort((a, b) => medianOf(b.pitchesMm) - medianOf(a.pitchesMm) || a.from - b.from);
  const worst = thin[0]!;
  const finding: Finding = {
    code: "cover-too-thin",
    level: "warning",
    message: `${countOf(thin.length, "column")} of satin ${thin.length === 1 ? "has" : "have"} stitches more than ${WIDEST_SPACING_MM} mm apart (${medianOf(worst.pitchesMm).toFixed(2)} mm); cloth shows through.`,
    advice: "Have it made again at this size: 0.40 mm covers.",
    at: placeOf(design, (worst.from + worst.to) >> 1),
    ...placesOf(
      design,
      thin.map(({ from, to }) => (from + to) >> 1),
    ),
  };
  return [finding];
};

const thinAreas: DesignCheck = ({ counts, ground }) => {
  if (counts.stitches < 50) return [];
  const squares = ground();
  const thin = thinSquares(squares);
  const patches = patchesOf(squares, thin).filter(({ areaMm2 }) => areaMm2 >= LEAST_AREA_MM2);
  const largest = patches[0];
  if (!largest) return [];
  const placeOfSquare = (square: number) => ({
    xTenths: Math.round(squares.leftTenths + ((square % squares.columns) + 0.5) * squares.cellMm * 10),
    yTenths: Math.round(squares.lowTenths + (Math.floor(square / squares.columns) + 0.5) * squares.cellMm * 10), // prettier-ignore
  });
  return [
    {
      code: "cover-too-thin",
      level: "warning",
      message: `On ${largest.areaMm2.toFixed(0)} mm² the rows stand about ${largest.spacingMm.toFixed(2)} mm apart; over ${WIDEST_SPACING_MM.toFixed(2)} mm cloth shows through.`,
      advice: "Have it made again at this size, or leave it where it is meant to be open.",
      at: placeOfSquare(largest.most),
      ...(patches.length > 1 ? { places: patches.slice(0, MOST_PLACES).map(({ most }) => placeOfSquare(most)) } : {}), // prettier-ignore
    },
  ];
};

/** Half a window's side, in squares. */
const REACH = 3;

/**
 * For each square the spacing of rows in the window round it, 0 where it is not thin. All four quarters of the window
 * must be thin alike: at an edge some are full and some are bare.
 */
function thinSquares({ columns, rows, cellMm, lengthMm }: SewnGround): Float32Array {
  const wide = columns + 1;
  const sums = new Float64Array(wide * (rows + 1));
  for (let j = 0; j < rows; j++) {
    let line = 0;
    for (let i = 0; i < columns; i++) {
      line += lengthMm[j * columns + i]!;
      sums[(j + 1) * wide + i + 1] = sums[j * wide + i + 1]! + line;
    }
  }
  const spacing = (i0: number, j0: number, i1: number, j1: number): number => {
    const length = sums[j1 * wide + i1]! - sums[j0 * wide + i1]! - sums[j1 * wide + i0]! + sums[j0 * wide + i0]!; // prettier-ignore
    return ((i1 - i0) * (j1 - j0) * cellMm * cellMm) / Math.max(length, 1e-6);
  };
  const low = WIDEST_SPACING_MM + 0.04;
  const thin = new Float32Array(columns * rows);
  for (let j = REACH; j + REACH < rows; j++) {
    for (let i = REACH; i + REACH < columns; i++) {
      const all = spacing(i - REACH, j - REACH, i + REACH + 1, j + REACH + 1);
      if (all <= low || all >= OPEN_SPACING_MM) continue;
      const quarters = [
        spacing(i - REACH, j - REACH, i + 1, j + 1),
        spacing(i, j - REACH, i + REACH + 1, j + 1),
        spacing(i - REACH, j, i + 1, j + REACH + 1),
        spacing(i, j, i + REACH + 1, j + REACH + 1),
      ];
      if (quarters.every((one) => one > low - 0.06 && one < all * 1.7)) thin[j * columns + i] = all;
    }
  }
  return thin;
}

interface Patch {
  readonly most: number;
  readonly areaMm2: number;
  readonly spacingMm: number;
}

/** Patches of neighbouring thin squares, the largest first: a square in the middle, its area, its mean spacing. */
function patchesOf({ columns, rows, cellMm }: SewnGround, thin: Float32Array): Patch[] {
  const seen = new Uint8Array(thin.length);
  const patches: Patch[] = [];
  for (let start = 0; start < thin.length; start++) {
    if (seen[start] === 1 || thin[start] === 0) continue;
    const patch = [start];
    seen[start] = 1;
    let sum = 0;
    for (let n = 0; n < patch.length; n++) {
      const at = patch[n]!;
      sum += thin[at]!;
      const i = at % columns;
      const next = [i > 0 ? at - 1 : -1, i + 1 < columns ? at + 1 : -1, at - columns, at + columns];
      for (const other of next) {
        if (other < 0 || other >= columns * rows || seen[other] === 1 || thin[other] === 0) continue;
        seen[other] = 1;
        patch.push(other);
      }
    }
    const areaMm2 = patch.length * cellMm * cellMm;
    patches.push({ most: patch[patch.length >> 1]!, areaMm2, spacingMm: sum / patch.length });
  }
  return patches.sort((a, b) => b.areaMm2 - a.areaMm2 || a.most - b.most);
}
