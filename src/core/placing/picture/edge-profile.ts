/**
 * A dark bar between two light strips, seen through a blur: where its two edges lie along a line of samples. The
 * samples are linear light; the model is
 *   light(s) = outside + (dark − outside) · Φ((s − first) / σ) + (inside − dark) · Φ((s − second) / σ)
 * with Φ the normal distribution function: a step under a Gaussian blur passes its half exactly at the edge, and in
 * linear light only. Fitted by Gauss–Newton steps on all five numbers (σ given) or six.
 */
import { solvePositive } from "./frame-map";

export interface BarFit {
  /** Places of the edges and the blur's σ, in the samples' own unit. */
  readonly first: number;
  readonly second: number;
  readonly blur: number;
  readonly outside: number;
  readonly dark: number;
  readonly inside: number;
  /** Root mean square of what the model does not explain, linear light. */
  readonly rms: number;
}

/** Φ by table, 1/256 apart with straight lines between: error below 1e-6. */
const TABLE = (() => {
  const table = new Float64Array(2 * 5 * 256 + 2);
  // Simpson steps of the density from −5 upwards.
  const density = (t: number) => Math.exp((-t * t) / 2) / Math.sqrt(2 * Math.PI);
  let sum = 2.8665e-7;
  for (let i = 0; i < table.length; i++) {
    table[i] = sum;
    const t = -5 + i / 256;
    sum += (density(t) + 4 * density(t + 1 / 512) + density(t + 1 / 256)) / (6 * 256);
  }
  return table;
})();

export function normalShareOf(t: number): number {
  if (t <= -5) return 0;
  if (t >= 5) return 1;
  const at = (t + 5) * 256;
  const low = at | 0;
  return TABLE[low]! + (TABLE[low + 1]! - TABLE[low]!) * (at - low);
}

const density = (t: number): number => (Math.abs(t) > 6 ? 0 : 0.3989422804014327 * Math.exp((-t * t) / 2));

/**
 * Fits the bar to samples at `from + i · step`. `start` gives where the edges are thought to be and the blur;
 * `freeBlur` of 1 fits the blur too, 0 keeps it. Null if the fit leads away or there is no bar.
 */
export function fitBar(
  samples: Float64Array,
  count: number,
  grid: { readonly from: number; readonly step: number },
  start: Pick<BarFit, "first" | "second" | "blur">,
  freeBlur: 0 | 1,
): BarFit | null {
  let { first, second, blur } = start;
  const width = second - first;
  let outside = samples[0]!;
  let inside = samples[count - 1]!;
  let dark = Math.min(outside, inside);
  for (let i = 0; i < count; i++) dark = Math.min(dark, samples[i]!);
  const n = 5 + freeBlur;
  let rms = 0;
  const normal = new Float64Array(n * n);
  const right = new Float64Array(n);
  const row = new Float64Array(n);
  for (let round = 0; round < 12; round++) {
    normal.fill(0);
    right.fill(0);
    let squares = 0;
    for (let i = 0; i < count; i++) {
      const s = grid.from + i * grid.step;
      const t1 = (s - first) / blur;
      const t2 = (s - second) / blur;
      const p1 = normalShareOf(t1);
      const p2 = normalShareOf(t2);
      const off = samples[i]! - (outside + (dark - outside) * p1 + (inside - dark) * p2);
      const d1 = ((outside - dark) * density(t1)) / blur;
      const d2 = ((dark - inside) * density(t2)) / blur;
      row[0] = 1 - p1;
      row[1] = p1 - p2;
      row[2] = p2;
      row[3] = d1;
      row[4] = d2;
      if (freeBlur) row[5] = d1 * t1 + d2 * t2;
      squares += off * off;
      for (let a = 0; a < n; a++) {
        right[a] = right[a]! + row[a]! * off;
        for (let b = 0; b <= a; b++) normal[a * n + b] = normal[a * n + b]! + row[a]! * row[b]!;
      }
    }
    rms = Math.sqrt(squares / count);
    // A little weight to where the edges were thought to be keeps a bare profile from running away.
    const keep = 1e-4 * (outside - dark) ** 2 + 1e-9;
    for (let a = 0; a < n; a++)
      normal[a * n + a] = normal[a * n + a]! + (a < 3 ? 1e-6 : keep / (width * width));
    if (!solvePositive(normal, right)) return null;
    const limit = 0.3 * width;
    const clamp = (step: number) => (step > limit ? limit : step < -limit ? -limit : step);
    outside += right[0]!;
    dark += right[1]!;
    inside += right[2]!;
    first += clamp(right[3]!);
    second += clamp(right[4]!);
    if (freeBlur) blur = Math.max(0.03 * width, Math.min(1.5 * width, blur + clamp(right[5]!)));
    if (Math.abs(right[3]!) + Math.abs(right[4]!) < 1e-4 * width) break;
  }
  const holds =
    Math.abs(first - start.first) < width &&
    Math.abs(second - start.second) < width &&
    second - first > 0.3 * width &&
    outside > dark &&
    inside > dark;
  return holds ? { first, second, blur, outside, dark, inside, rms } : null;
}
