import type { Place } from "../spine";

/** A grid of square pixels over the cloth: pixel (i, j) has its middle at left + (i + ½)·mm, low + (j + ½)·mm. */
export interface Grid {
  readonly left: number;
  readonly low: number;
  readonly pixelMm: number;
  readonly columns: number;
  readonly rows: number;
}

/** A wanted shape as a raster: 1 inside. */
export interface ShapeMask extends Grid {
  readonly inside: Uint8Array;
}

export interface SweptStroke {
  readonly places: readonly Place[];
  readonly halfMm: number | readonly number[];
}

export const PIXEL_MM = 0.05;

function gridOver(places: Iterable<Place>, marginMm: number, pixelMm: number): Grid {
  let [left, right, low, high] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const [x, y] of places) {
    left = Math.min(left, x);
    right = Math.max(right, x);
    low = Math.min(low, y);
    high = Math.max(high, y);
  }
  if (left > right) [left, right, low, high] = [0, 0, 0, 0];
  return {
    left: left - marginMm,
    low: low - marginMm,
    pixelMm,
    columns: Math.ceil((right - left + 2 * marginMm) / pixelMm) + 1,
    rows: Math.ceil((high - low + 2 * marginMm) / pixelMm) + 1,
  };
}

/** What strokes sweep over: discs of their half width along their lines (the wanted shape of stroke letters). */
export function maskOfStrokes(
  strokes: readonly SweptStroke[],
  { marginMm = 2, pixelMm = PIXEL_MM }: { readonly marginMm?: number; readonly pixelMm?: number } = {},
): ShapeMask {
  const halves = strokes.flatMap(({ halfMm }) => (typeof halfMm === "number" ? [halfMm] : halfMm));
  const grid = gridOver(
    strokes.flatMap(({ places }) => places),
    marginMm + Math.max(0, ...halves),
    pixelMm,
  );
  const inside = new Uint8Array(grid.columns * grid.rows);
  for (const { places, halfMm } of strokes) {
    if (typeof halfMm === "number") sweepEvenly(grid, inside, places, halfMm);
    else sweep(grid, inside, places, halfMm);
  }
  return { ...grid, inside };
}

function sweep(grid: Grid, inside: Uint8Array, places: readonly Place[], halfMm: readonly number[]): void {
  for (let i = 0; i < places.length; i++) {
    const from = Math.max(0, i - 1);
    const [r, q] = [halfMm[from]!, halfMm[i]!];
    forPixelsNear(grid, places[from]!, places[i]!, Math.max(r, q), (index, t, away) => {
      const u = Math.min(1, Math.max(0, t));
      if (away <= r * (1 - u) + q * u) inside[index] = 1;
    });
  }
}

/** One width throughout: a disc at each place and a band between two, row by row. */
function sweepEvenly(grid: Grid, inside: Uint8Array, places: readonly Place[], halfMm: number): void {
  const { left, low, pixelMm, columns, rows } = grid;
  const half = halfMm / pixelMm;
  const band: RowVisitor = (from, to) => inside.fill(1, from, to + 1);
  places.forEach((place, i) => {
    const ax = (place[0] - left) / pixelMm - 0.5;
    const ay = (place[1] - low) / pixelMm - 0.5;
    for (let j = Math.max(0, Math.ceil(ay - half)); j <= Math.min(rows - 1, Math.floor(ay + half)); j++) {
      const reach = Math.sqrt(half * half - (j - ay) * (j - ay));
      const from = Math.max(0, Math.ceil(ax - reach));
      const to = Math.min(columns - 1, Math.floor(ax + reach));
      if (from <= to) inside.fill(1, j * columns + from, j * columns + to + 1);
    }
    if (i > 0) alongBand(grid, places[i - 1]!, place, halfMm, band);
  });
}

/** The area rings enclose by the even-odd rule. */
export function maskOfRings(
  rings: readonly (readonly Place[])[],
  { marginMm = 2, pixelMm = PIXEL_MM }: { readonly marginMm?: number; readonly pixelMm?: number } = {},
): ShapeMask {
  const grid = gridOver(rings.flat(), marginMm, pixelMm);
  const inside = new Uint8Array(grid.columns * grid.rows);
  for (let j = 0; j < grid.rows; j++) {
    const y = grid.low + (j + 0.5) * pixelMm;
    const cuts: number[] = [];
    for (const ring of rings) {
      for (let i = 0; i < ring.length; i++) {
        const a = ring[i]!;
        const b = ring[(i + 1) % ring.length]!;
        if (a[1] <= y !== b[1] <= y) cuts.push(a[0] + ((y - a[1]) / (b[1] - a[1])) * (b[0] - a[0]));
      }
    }
    cuts.sort((a, b) => a - b);
    for (let i = 0; i + 1 < cuts.length; i += 2) {
      const from = Math.max(0, Math.ceil((cuts[i]! - grid.left) / pixelMm - 0.5));
      const to = Math.min(grid.columns - 1, Math.ceil((cuts[i + 1]! - grid.left) / pixelMm - 0.5) - 1);
      inside.fill(1, j * grid.columns + from, j * grid.columns + Math.max(from, to + 1));
    }
  }
  return { ...grid, inside };
}

/** Calls back for pixels within `reachMm` of the line's box: share along the line (unclamped) and distance from it. */
export function forPixelsNear(
  grid: Grid,
  a: Place,
  b: Place,
  reachMm: number,
  visit: (index: number, t: number, awayMm: number, acrossMm: number) => void,
): void {
  // prettier-ignore
  const { left, low, pixelMm, columns, rows } = grid;
  const i0 = Math.max(0, Math.floor((Math.min(a[0], b[0]) - reachMm - left) / pixelMm));
  const i1 = Math.min(columns - 1, Math.ceil((Math.max(a[0], b[0]) + reachMm - left) / pixelMm));
  const j0 = Math.max(0, Math.floor((Math.min(a[1], b[1]) - reachMm - low) / pixelMm));
  const j1 = Math.min(rows - 1, Math.ceil((Math.max(a[1], b[1]) + reachMm - low) / pixelMm));
  const dx = b[0] - a[0];
  const dy = b[1] - a[1];
  const length = Math.hypot(dx, dy);
  const ux = length > 0 ? dx / length : 1;
  const uy = length > 0 ? dy / length : 0;
  for (let j = j0; j <= j1; j++) {
    const y = low + (j + 0.5) * pixelMm - a[1];
    // Only the part of the row near the line: |x·uy − y·ux| ≤ reach.
    let from = i0;
    let to = i1;
    if (Math.abs(uy) > 1e-3) {
      const middle = (y * ux) / uy;
      const reach = reachMm / Math.abs(uy);
      from = Math.max(i0, Math.floor((middle - reach + a[0] - left) / pixelMm - 0.5));
      to = Math.min(i1, Math.ceil((middle + reach + a[0] - left) / pixelMm - 0.5));
    }
    for (let i = from; i <= to; i++) {
      const x = left + (i + 0.5) * pixelMm - a[0];
      const along = x * ux + y * uy;
      const across = Math.abs(x * uy - y * ux);
      if (across > reachMm) continue;
      const over = along < 0 ? -along : along > length ? along - length : 0;
      visit(j * columns + i, length > 0 ? along / length : 0, over === 0 ? across : Math.sqrt(over * over + across * across), across); // prettier-ignore
    }
  }
}

/** Lays one more thread over the pixels whose middles lie within `halfMm` of the line, its ends cut straight. */
export function layThread(grid: Grid, layers: Uint16Array, a: Place, b: Place, halfMm: number): void {
  alongBand(grid, a, b, halfMm, (from, to) => {
    for (let index = from; index <= to; index++) layers[index]!++;
  });
}

/** The first and the last pixel of a row that lie in the band; both in. */
type RowVisitor = (from: number, to: number) => void;

/** Rows of the pixels whose middles lie beside a line, at most `halfMm` from it. */
function alongBand(grid: Grid, a: Place, b: Place, halfMm: number, visit: RowVisitor): void {
  const { left, low, pixelMm, columns, rows } = grid;
  const ax = (a[0] - left) / pixelMm - 0.5;
  const ay = (a[1] - low) / pixelMm - 0.5;
  const dx = (b[0] - a[0]) / pixelMm;
  const dy = (b[1] - a[1]) / pixelMm;
  const length = Math.sqrt(dx * dx + dy * dy);
  if (length === 0) return;
  const ux = dx / length;
  const uy = dy / length;
  const half = halfMm / pixelMm;
  const over = half * Math.abs(ux);
  const j0 = Math.max(0, Math.ceil(ay + Math.min(0, dy) - over - 1e-9));
  const j1 = Math.min(rows - 1, Math.floor(ay + Math.max(0, dy) + over + 1e-9));
  for (let j = j0; j <= j1; j++) {
    // In this row: 0 ≤ x·ux + y·uy ≤ length and −half ≤ x·uy − y·ux ≤ half.
    const y = j - ay;
    let from = -Infinity;
    let to = Infinity;
    if (Math.abs(ux) > 1e-9) {
      const p = (-y * uy) / ux;
      const q = (length - y * uy) / ux;
      from = p < q ? p : q;
      to = p < q ? q : p;
    } else if (y * uy < -1e-9 || y * uy > length + 1e-9) continue;
    if (Math.abs(uy) > 1e-9) {
      const p = (y * ux - half) / uy;
      const q = (y * ux + half) / uy;
      from = Math.max(from, p < q ? p : q);
      to = Math.min(to, p < q ? q : p);
    } else if (Math.abs(y) > half) continue;
    const i0 = Math.max(0, Math.ceil(ax + from - 1e-9));
    const i1 = Math.min(columns - 1, Math.floor(ax + to + 1e-9));
    if (i0 <= i1) visit(j * columns + i0, j * columns + i1);
  }
}

const FAR = 1e20;

/**
 * Exact distance in mm from each pixel to the nearest one where `seed` is 1 (P. F. Felzenszwalb, D. P. Huttenlocher,
 * "Distance transforms of sampled functions", Theory of Computing 8 (2012) 415–428).
 */
export function distanceTo({ columns, rows, pixelMm }: Grid, seed: Uint8Array): Float32Array {
  const squared = new Float64Array(columns * rows);
  for (let i = 0; i < squared.length; i++) squared[i] = seed[i] ? 0 : FAR;
  const most = Math.max(columns, rows);
  const f = new Float64Array(most);
  const d = new Float64Array(most);
  const v = new Int32Array(most);
  const z = new Float64Array(most + 1);
  const line = (start: number, stride: number, n: number): void => {
    for (let i = 0; i < n; i++) f[i] = squared[start + i * stride]!;
    let k = 0;
    v[0] = 0;
    z[0] = -FAR;
    z[1] = FAR;
    for (let q = 1; q < n; q++) {
      let s = (f[q]! + q * q - (f[v[k]!]! + v[k]! * v[k]!)) / (2 * q - 2 * v[k]!);
      while (k > 0 && s <= z[k]!) {
        k--;
        s = (f[q]! + q * q - (f[v[k]!]! + v[k]! * v[k]!)) / (2 * q - 2 * v[k]!);
      }
      k++;
      v[k] = q;
      z[k] = s;
      z[k + 1] = FAR;
    }
    k = 0;
    for (let q = 0; q < n; q++) {
      while (z[k + 1]! < q) k++;
      d[q] = (q - v[k]!) * (q - v[k]!) + f[v[k]!]!;
    }
    for (let i = 0; i < n; i++) squared[start + i * stride] = d[i]!;
  };
  for (let i = 0; i < columns; i++) line(i, columns, rows);
  for (let j = 0; j < rows; j++) line(j * columns, 1, columns);
  const far = new Float32Array(squared.length);
  for (let i = 0; i < far.length; i++) far[i] = Math.sqrt(Math.min(squared[i]!, 1e12)) * pixelMm;
  return far;
}
