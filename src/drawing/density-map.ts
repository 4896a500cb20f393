import { STITCH, type Stitches, stitchExtents } from "#core/stitch";
import type { Scene, Shape } from "./scene";

/** Needle points on the square mm round each square of a grid, rows from the bottom. */
export interface DensityGrid {
  readonly cellMm: number;
  readonly leftMm: number;
  readonly lowMm: number;
  readonly columns: number;
  readonly rows: number;
  /** Penetrations in the square mm round the place's lower left corner; 255 stands for more. */
  readonly perMm2: Uint8Array;
  readonly most: number;
}

const CELL_MM = 0.25;
const MOST_CELLS = 6_000_000;

/** Counts a design's penetrations in windows of 1 mm × 1 mm moved by 0.25 mm (more on very large designs). */
export function densityGrid(design: Pick<Stitches, "kind" | "x" | "y">): DensityGrid {
  const box = stitchExtents(design);
  if (box.right < box.left)
    return { cellMm: CELL_MM, leftMm: 0, lowMm: 0, columns: 0, rows: 0, perMm2: new Uint8Array(0), most: 0 };
  let cell = CELL_MM * 10;
  while (((box.right - box.left) / cell + 9) * ((box.top - box.bottom) / cell + 9) > MOST_CELLS && cell < 10)
    cell *= 2;
  const half = Math.round(5 / cell);
  const left = box.left - 5;
  const low = box.bottom - 5;
  const columns = Math.ceil((box.right - box.left + 10) / cell) + 1;
  const rows = Math.ceil((box.top - box.bottom + 10) / cell) + 1;
  const points = new Uint16Array(columns * rows);
  for (let i = 0; i < design.kind.length; i++) {
    if (design.kind[i] !== STITCH) continue;
    points[Math.floor((design.y[i]! - low) / cell) * columns + Math.floor((design.x[i]! - left) / cell)]!++;
  }
  const sums = windowSums(
    windowSums(points, { lines: rows, length: columns, stride: 1, step: columns, half }),
    {
      lines: columns,
      length: rows,
      stride: columns,
      step: 1,
      half,
    },
  );
  const perMm2 = new Uint8Array(sums.length);
  let most = 0;
  for (let i = 0; i < sums.length; i++) {
    perMm2[i] = Math.min(255, sums[i]!);
    if (sums[i]! > most) most = sums[i]!;
  }
  return { cellMm: cell / 10, leftMm: left / 10, lowMm: low / 10, columns, rows, perMm2, most };
}

/** Sums over 2·half (at least one) neighbours along each line. */
function windowSums(
  values: Uint16Array,
  { lines, length, stride, step, half }: { readonly lines: number; readonly length: number; readonly stride: number; readonly step: number; readonly half: number }, // prettier-ignore
): Uint16Array {
  const sums = new Uint16Array(values.length);
  const wide = Math.max(1, 2 * half);
  for (let line = 0; line < lines; line++) {
    let sum = 0;
    for (let n = 0; n < length + half; n++) {
      if (n < length) sum += values[line * step + n * stride]!;
      if (n >= wide) sum -= values[line * step + (n - wide) * stride]!;
      const at = n - half + (half > 0 ? 1 : 0);
      if (0 <= at && at < length) sums[line * step + at * stride] = sum;
    }
  }
  return sums;
}

/** TRADE.md: 0.6–1.5 in a fill's mean, 5–8 where columns meet, over 8 is much, over 12 a lump (common practice, no source). */
export const DENSITY_STEPS = [
  { from: 3, rgb: [214, 196, 160], alpha: 90, words: "3 to 5" },
  { from: 6, rgb: [226, 170, 60], alpha: 170, words: "6 to 8" },
  { from: 9, rgb: [214, 106, 40], alpha: 215, words: "9 to 12" },
  { from: 13, rgb: [163, 35, 31], alpha: 240, words: "13 and more" },
] as const;

/** The step a count falls in; null under the lowest. */
export const densityStep = (perMm2: number): (typeof DENSITY_STEPS)[number] | null =>
  DENSITY_STEPS.findLast(({ from }) => from <= perMm2) ?? null;

/** The map as shapes at true scale, one a row of like squares: for paper and the picture tests. */
export function densityScene(design: Stitches, label = "Needle points on each square millimetre"): Scene {
  const grid = densityGrid(design);
  const { cellMm, columns, rows, perMm2, leftMm, lowMm } = grid;
  const paths = new Map<(typeof DENSITY_STEPS)[number], string[]>();
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns;) {
      const step = densityStep(perMm2[row * columns + column]!);
      let to = column + 1;
      while (to < columns && densityStep(perMm2[row * columns + to]!) === step) to++;
      if (step !== null) {
        const d = `M${round(leftMm + column * cellMm)} ${round(-(lowMm + (row + 1) * cellMm))}h${round((to - column) * cellMm)}v${round(cellMm)}h${round((column - to) * cellMm)}z`;
        paths.set(step, [...(paths.get(step) ?? []), d]);
      }
      column = to;
    }
  }
  const shapes: Shape[] = DENSITY_STEPS.flatMap((step) => {
    const d = paths.get(step)?.join("");
    const fill = `#${step.rgb.map((channel) => channel.toString(16).padStart(2, "0")).join("")}`;
    return d === undefined ? [] : [{ kind: "path" as const, d, fill, opacity: step.alpha / 255 }];
  });
  return { widthMm: columns * cellMm, heightMm: rows * cellMm, leftMm, topMm: -(lowMm + rows * cellMm), shapes, label }; // prettier-ignore
}

const round = (mm: number): number => Math.round(mm * 1000) / 1000 || 0;
