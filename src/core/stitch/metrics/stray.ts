import type { Place } from "../spine";
import { forPixelsNear, type Grid } from "./raster";

const THREAD_HALF_MM = 0.2;
const WINDOW_MM = 1;
const ACROSS_RAD = (35 * Math.PI) / 180;

/**
 * Stitches that lie on top of the others and run across them: at least half of one (0.9 mm or longer) is the topmost
 * thread, and over most of that the threads round it lie more than 35° otherwise.
 */
export function strayStitches(runs: readonly (readonly Place[])[], grid: Grid): number {
  const { columns, rows, pixelMm } = grid;
  const top = new Int32Array(columns * rows).fill(-1);
  const stitches: { a: Place; b: Place; length: number; angle: number }[] = [];
  for (const run of runs) {
    for (let i = 1; i < run.length; i++) {
      const [a, b] = [run[i - 1]!, run[i]!];
      const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
      if (length < 1e-6) continue;
      const number = stitches.length;
      stitches.push({ a, b, length, angle: Math.atan2(b[1] - a[1], b[0] - a[0]) });
      forPixelsNear(grid, a, b, THREAD_HALF_MM, (index, t) => {
        if (t >= 0 && t <= 1) top[index] = number;
      });
    }
  }
  // Sums over windows of doubled angles, by tables of sums.
  const wide = columns + 1;
  const table = (value: (stitch: number) => number): Float64Array => {
    const sums = new Float64Array(wide * (rows + 1));
    for (let j = 0; j < rows; j++) {
      let line = 0;
      for (let i = 0; i < columns; i++) {
        const stitch = top[j * columns + i]!;
        if (stitch >= 0) line += value(stitch);
        sums[(j + 1) * wide + i + 1] = sums[j * wide + i + 1]! + line;
      }
    }
    return sums;
  };
  const cos = table((n) => Math.cos(2 * stitches[n]!.angle));
  const sin = table((n) => Math.sin(2 * stitches[n]!.angle));
  const any = table(() => 1);
  const half = Math.round(WINDOW_MM / pixelMm / 2);
  const windowSum = (sums: Float64Array, index: number): number => {
    const i = index % columns;
    const j = (index - i) / columns;
    const [i0, i1] = [Math.max(0, i - half), Math.min(columns, i + half)];
    const [j0, j1] = [Math.max(0, j - half), Math.min(rows, j + half)];
    return sums[j1 * wide + i1]! - sums[j0 * wide + i1]! - sums[j1 * wide + i0]! + sums[j0 * wide + i0]!;
  };
  let stray = 0;
  stitches.forEach(({ a, b, length, angle }, number) => {
    if (length < 0.9) return;
    let all = 0;
    let visible = 0;
    let across = 0;
    forPixelsNear(grid, a, b, THREAD_HALF_MM, (index, t) => {
      if (t < 0 || t > 1) return;
      all++;
      if (top[index] !== number) return;
      visible++;
      const c = windowSum(cos, index);
      const s = windowSum(sin, index);
      if (Math.hypot(c, s) <= 0.35 * windowSum(any, index)) return;
      const turn = angle - Math.atan2(s, c) / 2;
      if (Math.abs(Math.atan2(Math.sin(2 * turn), Math.cos(2 * turn)) / 2) > ACROSS_RAD) across++;
    });
    if (visible >= 0.5 * all && across > 0.5 * visible) stray++;
  });
  return stray;
}
