import { countStitches, JUMP, STITCH, type Stitches, STOP } from "../stitches";
import type { Place } from "../spine";
import { distanceTo, forPixelsNear, type ShapeMask } from "./raster";
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
  { pullMm }: { readonly pullMm: number },
): StitchMetrics {
  // prettier-ignore
  const runs = threadRuns(design);
  const { columns, pixelMm, inside } = mask;
  const layers = new Uint16Array(inside.length);
  let path = 0;
  for (const run of runs) {
    for (let i = 1; i < run.length; i++) {
      const [a, b] = [run[i - 1]!, run[i]!];
      path += Math.hypot(b[0] - a[0], b[1] - a[1]);
      forPixelsNear(mask, a, b, THREAD_MM / 2, (index, t, _away, across) => {
        if (t >= 0 && t <= 1 && across <= THREAD_MM / 2) layers[index]!++;
      });
    }
  }
  let area = 0;
  let covered = 0;
  const counts = new Uint32Array(200);
  const notBare = new Uint8Array(inside.length).fill(1);
  for (let i = 0; i < inside.length; i++) {
    if (!inside[i]) continue;
    area++;
    counts[Math.min(199, layers[i]!)]!++;
    if (layers[i]! > 0) covered++;
    else notBare[i] = 0;
  }
  const bare = distanceTo(mask, notBare);
  const away = distanceTo(mask, inside);
  let out = 0;
  let worst = 0;
  let tried = 0;
  for (const run of runs) {
    for (let i = 1; i < run.length; i++) {
      const [a, b] = [run[i - 1]!, run[i]!];
      const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
      const steps = Math.max(1, Math.ceil(length / 0.05));
      for (let n = 0; n <= steps; n++) {
        const column = Math.floor((a[0] + ((b[0] - a[0]) * n) / steps - mask.left) / pixelMm);
        const row = Math.floor((a[1] + ((b[1] - a[1]) * n) / steps - mask.low) / pixelMm);
        const beyond = column < 0 || row < 0 || column >= columns || row >= mask.rows;
        const d = beyond ? 2 : away[row * columns + column]!;
        tried += length / steps;
        if (d > pullMm + 0.15) out += length / steps;
        worst = Math.max(worst, d);
      }
    }
  }
  let p99 = 0;
  for (let sum = 0; p99 < 199; p99++) {
    sum += counts[p99]!;
    if (sum >= 0.99 * area) break;
  }
  let most = 199;
  while (most > 0 && counts[most] === 0) most--;
  const needle = needleFigures(runs);
  const areaMm2 = area * pixelMm * pixelMm;
  const { trims } = countStitches(design);
  return {
    stitches: design.kind.reduce((sum, kind) => sum + (kind === STITCH ? 1 : 0), 0),
    areaMm2,
    threadMm: path,
    threadToIdeal: area === 0 ? 0 : path / (areaMm2 / THREAD_MM),
    cover: area === 0 ? 1 : covered / area,
    widestBareMm: 2 * bare.reduce((a, b) => Math.max(a, b), 0),
    outside: tried === 0 ? 0 : out / tried,
    worstOutMm: worst,
    layersP99: p99,
    layersMost: most,
    ...needle,
    trims,
    jumps: movesOf(design) - trims,
    stray: strayStitches(runs, mask),
  };
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
  const near = neighbours(places, 0.199);
  const close = neighbours(places, 0.3);
  return {
    densest: densestWindow(plain),
    near: near.filter((n) => n > 1).length / Math.max(1, places.length),
    mostAtOnePlace: close.reduce((a, b) => Math.max(a, b), 0),
    short: short / Math.max(1, stitches),
    shortestMm: shortest === Infinity ? 0 : shortest,
    longestMm: longest,
  };
}

/** For each place how many places, itself counted, lie within the reach. */
function neighbours(places: readonly Place[], reachMm: number): number[] {
  const cells = new Map<number, number[]>();
  const key = (i: number, j: number): number => i * 100_003 + j;
  const cell = (value: number): number => Math.floor(value / reachMm);
  places.forEach(([x, y], i) => {
    const k = key(cell(x), cell(y));
    const list = cells.get(k);
    if (list === undefined) cells.set(k, [i]);
    else list.push(i);
  });
  return places.map(([x, y]) => {
    let count = 0;
    for (let di = -1; di <= 1; di++)
      for (let dj = -1; dj <= 1; dj++)
        for (const i of cells.get(key(cell(x) + di, cell(y) + dj)) ?? [])
          if (Math.hypot(places[i]![0] - x, places[i]![1] - y) <= reachMm) count++;
    return count;
  });
}

/** Most places in a window of 1 mm × 1 mm, moved by 0.25 mm. */
export function densestWindow(places: readonly Place[]): number {
  const cells = new Map<number, number>();
  const WIDE = 1 << 16;
  let densest = 0;
  for (const [x, y] of places) {
    const i = Math.floor(x / 0.25);
    const j = Math.floor(y / 0.25);
    for (let di = 0; di < 4; di++) {
      for (let dj = 0; dj < 4; dj++) {
        const key = (i - di + (WIDE >> 1)) * WIDE + (j - dj + (WIDE >> 1));
        const count = (cells.get(key) ?? 0) + 1;
        cells.set(key, count);
        if (count > densest) densest = count;
      }
    }
  }
  return densest;
}
