import { countStitches, JUMP, STITCH, type Stitches, STOP } from "../stitches";
import type { Place } from "../spine";
import { nearestTo } from "./nearest";
import { distanceTo, layThread, type ShapeMask } from "./raster";
import { strayStitches } from "./stray";

/** How stitches cover a wanted shape (STITCHING.md, "Metrics"): lengths in mm, shares from 0 to 1. */
export interface StitchMetrics {
  readonly stitches: number;
  readonly areaMm2: number;
  readonly threadMm: number;
  /** Stitch path over area / 0.40 mm. */
  readonly threadToIdeal: number;
  readonly cover: number;
  readonly widestBareMm: number;
  /** Share of the path further than compensation + 0.15 mm outside the shape, and the furthest of it. */
  readonly outside: number;
  readonly worstOutMm: number;
  /** Most penetrations in a window of 1 mm × 1 mm moved by 0.25 mm, ties aside. */
  readonly densest: number;
  readonly layersP99: number;
  readonly layersMost: number;
  /** Share of penetrations within 0.2 mm of another one. */
  readonly near: number;
  /** Most penetrations within 0.3 mm of one. */
  readonly mostAtOnePlace: number;
  /** Share of stitches under 0.5 mm, ties aside. */
  readonly short: number;
  readonly shortestMm: number;
  readonly longestMm: number;
  readonly trims: number;
  readonly jumps: number;
  /** Stitches on top of others that run across their neighbours: travel on the surface. */
  readonly stray: number;
}

export type CoverMetrics = Omit<StitchMetrics, "stray">;

export const THREAD_MM = 0.4;

/** The sewn lines of a design: between two jumps or stops the needle's places in mm. */
export function threadRuns({ kind, x, y }: Stitches): Place[][] {
  const runs: Place[][] = [];
  let run: Place[] | null = null;
  let last: Place = [0, 0];
  for (let i = 0; i < kind.length; i++) {
    const place: Place = [x[i]! / 10, y[i]! / 10];
    if (kind[i] === STITCH) {
      if (run === null) runs.push((run = [last]));
      run.push(place);
    } else run = null;
    last = place;
  }
  return runs;
}

/** Measures a design against the shape it was to cover; `pullMm` is the compensation it was made with. */
export function measureStitches(
  design: Stitches,
  mask: ShapeMask,
  options: { readonly pullMm: number },
): StitchMetrics {
  return { ...measureCover(design, mask, options), stray: strayStitches(threadRuns(design), mask) };
}

/** All figures but travel on top, which takes as long as the others together. */
export function measureCover(
  design: Stitches,
  mask: ShapeMask,
  { pullMm }: { readonly pullMm: number },
): CoverMetrics {
  // prettier-ignore
  const runs = threadRuns(design);
  const { pixelMm, inside } = mask;
  const layers = new Uint16Array(inside.length);
  let path = 0;
  for (const run of runs) {
    for (let i = 1; i < run.length; i++) {
      const [a, b] = [run[i - 1]!, run[i]!];
      path += Math.hypot(b[0] - a[0], b[1] - a[1]);
      layThread(mask, layers, a, b, THREAD_MM / 2);
    }
  }
  let area = 0;
  const counts = new Uint32Array(200);
  const bare: number[] = [];
  for (let i = 0; i < inside.length; i++) {
    if (inside[i] === 0) continue;
    area++;
    const layer = layers[i]!;
    counts[layer < 199 ? layer : 199]!++;
    if (layer === 0) bare.push(i);
  }
  const { out, worst, tried } = strayOutside(runs, mask, pullMm + 0.15);
  let p99 = 0;
  for (let sum = 0; p99 < 199; p99++) {
    sum += counts[p99]!;
    if (sum >= 0.99 * area) break;
  }
  let most = 199;
  while (most > 0 && counts[most] === 0) most--;
  const areaMm2 = area * pixelMm * pixelMm;
  const { stitches, trims } = countStitches(design);
  return {
    stitches,
    areaMm2,
    threadMm: path,
    threadToIdeal: area === 0 ? 0 : path / (areaMm2 / THREAD_MM),
    cover: area === 0 ? 1 : 1 - bare.length / area,
    widestBareMm: widestBare(mask, bare),
    outside: tried === 0 ? 0 : out / tried,
    worstOutMm: worst,
    layersP99: p99,
    layersMost: most,
    ...needleFigures(runs),
    trims,
    jumps: movesOf(design) - trims,
  };
}

/** Twice the furthest way from a bare place of the shape to one that is not. */
function widestBare(mask: ShapeMask, places: readonly number[]): number {
  if (places.length === 0) return 0;
  const { columns, pixelMm } = mask;
  const bare = new Uint8Array(mask.inside.length);
  for (const i of places) bare[i] = 1;
  let widest = 0;
  if (places.length > MOST_SEARCHED) {
    const all = distanceTo(mask, bare.map((value) => 1 - value)); // prettier-ignore
    for (const i of places) widest = Math.max(widest, all[i]!);
    return 2 * widest;
  }
  const far = nearestTo(mask, bare, "none");
  for (const i of places) {
    // What is covered as near as this by makes the spot no wider.
    const reach = Math.floor(widest / pixelMm + 1e-3);
    if (reach > 0 && !(bare[i - reach] && bare[i + reach] && bare[i - reach * columns] && bare[i + reach * columns])) continue; // prettier-ignore
    widest = Math.max(widest, far(i));
  }
  return 2 * widest;
}

/** With more bare pixels than these all distances at once cost less. */
const MOST_SEARCHED = 2000;

/** Ways out of a shape, kept with it: a shape is measured against many designs. */
const waysOut = new WeakMap<ShapeMask, (index: number) => number>();

/** How long the thread lies further outside the shape than `mostMm`, how far out it comes, and its length. */
function strayOutside(
  runs: readonly (readonly Place[])[],
  mask: ShapeMask,
  mostMm: number,
): { readonly out: number; readonly worst: number; readonly tried: number } {
  // prettier-ignore
  const { columns, rows, pixelMm, inside } = mask;
  let away = waysOut.get(mask);
  if (away === undefined) waysOut.set(mask, (away = nearestTo(mask, inside, "some")));
  let out = 0;
  let worst = 0;
  let tried = 0;
  const stepMm = Math.max(0.05, 0.8 * pixelMm);
  for (const run of runs) {
    for (let i = 1; i < run.length; i++) {
      const a = run[i - 1]!;
      const b = run[i]!;
      const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
      const steps = Math.max(1, Math.ceil(length / stepMm));
      tried += length + length / steps;
      const x = (a[0] - mask.left) / pixelMm;
      const y = (a[1] - mask.low) / pixelMm;
      const dx = (b[0] - a[0]) / pixelMm / steps;
      const dy = (b[1] - a[1]) / pixelMm / steps;
      for (let n = 0; n <= steps; n++) {
        const column = Math.floor(x + n * dx);
        const row = Math.floor(y + n * dy);
        const beyond = column < 0 || row < 0 || column >= columns || row >= rows;
        if (!beyond && inside[row * columns + column] === 1) continue;
        const d = beyond ? 2 : away(row * columns + column);
        if (d > mostMm) out += length / steps;
        if (d > worst) worst = d;
      }
    }
  }
  return { out, worst, tried };
}

/** How often the thread moves without sewing, after the first stitch. */
function movesOf({ kind }: Stitches): number {
  let moves = 0;
  for (let i = Math.max(1, kind.indexOf(STITCH)); i < kind.length; i++)
    if (kind[i] === JUMP && kind[i - 1] !== JUMP && kind[i - 1] !== STOP) moves++;
  return moves;
}

/** A tie stitch is no longer than this and stands among the first or last four of a run. */
const TIE_MM = 0.95;

function needleFigures(
  runs: readonly (readonly Place[])[],
): Pick<StitchMetrics, "densest" | "near" | "mostAtOnePlace" | "short" | "shortestMm" | "longestMm"> {
  // prettier-ignore
  const places: Place[] = [];
  const plain: Place[] = [];
  let stitches = 0;
  let short = 0;
  let shortest = Infinity;
  let longest = 0;
  for (const run of runs) {
    const lengthTo = (i: number): number => Math.hypot(run[i]![0] - run[i - 1]![0], run[i]![1] - run[i - 1]![1]); // prettier-ignore
    run.forEach((place, i) => {
      places.push(place);
      const atEnd = i <= 3 || i >= run.length - 3;
      const tie = atEnd && i > 0 && lengthTo(i) <= TIE_MM;
      if (!tie) plain.push(place);
      if (i === 0) return;
      const length = lengthTo(i);
      if (length > 0) shortest = Math.min(shortest, length);
      longest = Math.max(longest, length);
      if (tie) return;
      stitches++;
      if (length < 0.5 - 1e-9) short++;
    });
  }
  const { near, mostAtOnePlace } = crowding(places);
  return {
    densest: densestWindow(plain),
    near: near / Math.max(1, places.length),
    mostAtOnePlace,
    short: short / Math.max(1, stitches),
    shortestMm: shortest === Infinity ? 0 : shortest,
    longestMm: longest,
  };
}

const NEAR_MM = 0.199;
const ONE_PLACE_MM = 0.3;

/** How many places have another within 0.2 mm, and the most within 0.3 mm of one, itself counted. */
function crowding(places: readonly Place[]): { readonly near: number; readonly mostAtOnePlace: number } {
  const { column, row, columns, rows } = cellsOf(places, ONE_PLACE_MM);
  const first = new Int32Array(columns * rows).fill(-1);
  const next = new Int32Array(places.length);
  places.forEach((_, n) => {
    const cell = row[n]! * columns + column[n]!;
    next[n] = first[cell]!;
    first[cell] = n;
  });
  let near = 0;
  let mostAtOnePlace = 0;
  places.forEach(([x, y], n) => {
    let [close, beside] = [0, 0];
    for (let j = Math.max(0, row[n]! - 1); j <= Math.min(rows - 1, row[n]! + 1); j++)
      for (let i = Math.max(0, column[n]! - 1); i <= Math.min(columns - 1, column[n]! + 1); i++)
        for (let k = first[j * columns + i]!; k >= 0; k = next[k]!) {
          const far = Math.hypot(places[k]![0] - x, places[k]![1] - y);
          if (far <= ONE_PLACE_MM) close++;
          if (far <= NEAR_MM) beside++;
        }
    if (beside > 1) near++;
    mostAtOnePlace = Math.max(mostAtOnePlace, close);
  });
  return { near, mostAtOnePlace };
}

/** The cells of a lattice that places fall into, counted from the lowest and leftmost. */
function cellsOf(
  places: readonly Place[],
  sizeMm: number,
): {
  readonly column: Int32Array;
  readonly row: Int32Array;
  readonly columns: number;
  readonly rows: number;
} {
  // prettier-ignore
  const column = Int32Array.from(places, ([x]) => Math.floor(x / sizeMm));
  const row = Int32Array.from(places, ([, y]) => Math.floor(y / sizeMm));
  const spread = (cells: Int32Array): number => {
    const lowest = cells.reduce((a, b) => Math.min(a, b), Infinity);
    for (let i = 0; i < cells.length; i++) cells[i]! -= lowest;
    return cells.reduce((a, b) => Math.max(a, b), 0) + 1;
  };
  return { column, row, columns: spread(column), rows: spread(row) };
}

/** Most places in a window of 1 mm × 1 mm, moved by 0.25 mm. */
export function densestWindow(places: readonly Place[]): number {
  if (places.length === 0) return 0;
  const { column, row, columns, rows } = cellsOf(places, 0.25);
  const wide = columns + 3;
  const windows = new Uint16Array(wide * (rows + 3));
  let densest = 0;
  for (let n = 0; n < places.length; n++) {
    for (let dj = 0; dj < 4; dj++) {
      for (let di = 0; di < 4; di++) {
        const window = (row[n]! + dj) * wide + column[n]! + di;
        const count = ++windows[window]!;
        if (count > densest) densest = count;
      }
    }
  }
  return densest;
}
