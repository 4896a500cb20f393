/**
 * A dark bar between two light strips, seen through a blur: where its two edges lie along a line of samples. The
 * samples are linear light; the model is
 *   light(s) = outside + (dark − outside) · Φ((s − first) / σ) + (inside − dark) · Φ((s − second) / σ)
 * with Φ the normal distribution function: a step under a Gaussian blur passes its half exactly at the edge, and in
 * linear light only. Fitted by Gauss–Newton steps on all its numbers.
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
  /** Light beyond the outside strip, in shares of that strip's light. */
  readonly beyond: number;
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

/** What lies beyond the light strips, in the samples' unit: one wide each, then something else. */
export interface BarAsk {
  readonly from: number;
  readonly step: number;
  readonly count: number;
  /** Share of dark behind the inside strip, 0 to 1: what the code's cells there are known to be. */
  readonly darkBehind: number;
  /** Share of the inside strip's light that reaches this line; near the ring's corners it is less than 1. */
  readonly open: number;
  /** "free" fits the blur too, "kept" takes it as it is given. */
  readonly blur: "free" | "kept";
}

/**
 * Fits the bar to `samples[i]` at from + i · step. `start` says where the edges are thought to be, and the blur. Both
 * light strips are as wide as the bar; behind the outside one lies anything (one more number, held weakly to the
 * strip's own light), behind the inside one the code: a wide blur brings both in. Null if there is no such bar.
 */
export function fitBar(
  samples: Float64Array,
  ask: BarAsk,
  start: Pick<BarFit, "first" | "second" | "blur" | "beyond">,
): BarFit | null {
  let { first, second, blur } = start;
  const { count, darkBehind, open } = ask;
  const width = second - first;
  const mid = Math.round(((first + second) / 2 - ask.from) / ask.step);
  let dark = samples[mid]!;
  let outside = samples[Math.max(0, Math.round((first - 0.5 * width - ask.from) / ask.step))]!;
  let inside = samples[Math.min(count - 1, Math.round((second + 0.5 * width - ask.from) / ask.step))]!;
  let beyond = start.beyond * outside;
  const holdBeyond = (ask.blur === "free" ? 0.0005 : 0.05) * count;
  const n = ask.blur === "free" ? 7 : 6;
  const normal = new Float64Array(n * n);
  const right = new Float64Array(n);
  const row = new Float64Array(7);
  let rms = 0;
  for (let round = 0; round < 12; round++) {
    normal.fill(0);
    right.fill(0);
    let squares = 0;
    for (let i = 0; i < count; i++) {
      const s = ask.from + i * ask.step;
      const t1 = (s - first) / blur;
      const t2 = (s - second) / blur;
      const p0 = normalShareOf((s - first + width) / blur);
      const p1 = normalShareOf(t1);
      const p2 = normalShareOf(t2);
      const lit = open * (p2 - darkBehind * normalShareOf((s - second - width) / blur));
      row[0] = p0 - p1;
      row[1] = p1 - lit;
      row[2] = lit;
      row[3] = ((outside - dark) * density(t1)) / blur;
      row[4] = (open * (dark - inside) * density(t2)) / blur;
      row[5] = 1 - p0;
      row[6] = row[3]! * t1 + row[4]! * t2;
      const off = samples[i]! - (outside * row[0]! + dark * row[1]! + inside * row[2]! + beyond * row[5]!);
      squares += off * off;
      for (let a = 0; a < n; a++) {
        right[a] = right[a]! + row[a]! * off;
        for (let b = 0; b <= a; b++) normal[a * n + b] = normal[a * n + b]! + row[a]! * row[b]!;
      }
    }
    rms = Math.sqrt(squares / count);
    // Weak holds keep a bare profile from running away; `beyond` is held to the strip's own light.
    const hold = 1e-4 * (outside - dark) ** 2 + 1e-9;
    for (let a = 0; a < n; a++)
      normal[a * n + a] = normal[a * n + a]! + (3 <= a && a !== 5 ? hold / (width * width) : 1e-6);
    normal[5 * n + 5] = normal[5 * n + 5]! + holdBeyond;
    right[5] = right[5]! + holdBeyond * (start.beyond * outside - beyond);
    if (!solvePositive(normal, right)) return null;
    const limit = 0.3 * width;
    const clamp = (step: number) => (step > limit ? limit : step < -limit ? -limit : step);
    outside += right[0]!;
    dark += right[1]!;
    inside += right[2]!;
    first += clamp(right[3]!);
    second += clamp(right[4]!);
    beyond += right[5]!;
    if (n === 7) blur = Math.max(0.03 * width, Math.min(1.5 * width, blur + clamp(right[6]!)));
    if (Math.abs(right[3]!) + Math.abs(right[4]!) < 1e-4 * width) break;
  }
  const holds =
    Math.abs(first - start.first) < width &&
    Math.abs(second - start.second) < width &&
    second - first > 0.3 * width &&
    outside > dark &&
    inside > dark;
  return holds ? { first, second, blur, outside, dark, inside, beyond: beyond / outside, rms } : null;
}
