import { at, type Place, type Spine } from "../spine";
import type { StrokeEnd } from "./stroke";

/** What one end of a column does: it is free, it butts against another column's body, or it is mitred at a node. */
export type EndRule =
  | { readonly kind: "free"; readonly shape: StrokeEnd }
  | { readonly kind: "butt"; readonly host: Column; readonly hostS: number; readonly side: 1 | -1 }
  | {
      readonly kind: "mitre";
      readonly x: number;
      readonly y: number;
      /** The column keeps what lies on the side these normals point to. */
      readonly keep: readonly Place[];
      /** How far along the column the mitre acts, in mm from the node. */
      readonly reachMm: number;
    };

export type Butt = EndRule & { readonly kind: "butt" };

/** A column: a centre-line with a half width, and a rule for each end. A closed one has no ends. */
export interface Column {
  readonly index: number;
  readonly spine: Spine;
  /** Half widths at the spine's samples, in mm. */
  readonly half: Float64Array;
  /** Rules of the start and the end. */
  ends: readonly [EndRule, EndRule];
  /** Where rungs begin and end; beyond the spine it goes on straight. */
  from: number;
  to: number;
}

/** What stitches may cover across a column at one place: from `lo` (right) to `hi` (left) along the normal, in mm. */
export interface Rung {
  readonly x: number;
  readonly y: number;
  readonly nx: number;
  readonly ny: number;
  readonly lo: number;
  readonly hi: number;
  readonly curvature: number;
}

export interface RungOptions {
  readonly pullMm: number;
  readonly clip?: ((x: number, y: number) => boolean) | undefined;
}

/** A rung shorter than this is left out: too short to be a stitch. */
export const SHORTEST_RUNG_MM = 0.56;
/** How far a butted end goes in under its host, and how far mitred ends pass one another. */
export const BUTT_OVERLAP_MM = 0.45;
const MITRE_OVERLAP_MM = 0.1;
/** How far from a joint the host's body takes from a butted column, in half widths. */
const BUTT_REACH = 8;
/** Open ends are kept this much short, as stitches push the cloth out lengthwise. */
export const PUSH_MM = 0.15;

export function halfAt({ spine, half }: Column, s: number): number {
  const last = half.length - 1;
  const within = spine.closed
    ? ((s % spine.lengthMm) + spine.lengthMm) % spine.lengthMm
    : Math.min(spine.lengthMm, Math.max(0, s));
  const position = Math.min(last, within / spine.stepMm);
  const i = Math.min(last - 1, Math.floor(position));
  return half[i]! + (position - i) * (half[i + 1]! - half[i]!);
}

/** The overlap under a host: less than the usual one where the host is narrow. */
export const overlapUnder = (hostHalf: number): number => Math.min(BUTT_OVERLAP_MM, 0.35 * hostHalf);

/** The rung at `s`, cut by the rules of both ends and by the wanted shape; null when nothing worth a stitch is left. */
export function rungAt(column: Column, s: number, { pullMm, clip }: RungOptions): Rung | null {
  const { spine } = column;
  const here = at(spine, s);
  const h = halfAt(column, s);
  let lo = -(h + pullMm);
  let hi = h + pullMm;
  const k = here.curvature;
  // Rungs must not cross past the centre of the bend.
  if (k > 0) hi = Math.min(hi, 0.92 / k);
  else if (k < 0) lo = Math.max(lo, 0.92 / k);
  const butts: Butt[] = [];
  if (!spine.closed) {
    for (const which of [0, 1] as const) {
      const q = which === 0 ? s : spine.lengthMm - s;
      const rule = column.ends[which];
      if (rule.kind === "free") {
        const share = clip === undefined ? endShare(rule.shape, q, h, spine.lengthMm < h) : 1;
        lo *= share;
        hi *= share;
      } else if (rule.kind === "mitre") {
        if (q > rule.reachMm) continue;
        for (const [nx, ny] of rule.keep) {
          const base = (here.x - rule.x) * nx + (here.y - rule.y) * ny + MITRE_OVERLAP_MM;
          const slope = here.nx * nx + here.ny * ny;
          if (Math.abs(slope) < 1e-6) {
            if (base < 0) return null;
          } else if (slope > 0) lo = Math.max(lo, -base / slope);
          else hi = Math.min(hi, -base / slope);
        }
        if (q < 0) {
          // Beyond the node only what the round corner covers.
          const dx = here.x - rule.x;
          const dy = here.y - rule.y;
          const b = dx * here.nx + dy * here.ny;
          const root = b * b - (dx * dx + dy * dy - (h + pullMm) ** 2);
          if (root <= 0) return null;
          lo = Math.max(lo, -b - Math.sqrt(root));
          hi = Math.min(hi, -b + Math.sqrt(root));
        }
      } else if (q < BUTT_REACH * Math.max(h, halfAt(rule.host, rule.hostS))) butts.push(rule);
    }
  }
  if (hi - lo < SHORTEST_RUNG_MM) return null;
  if (butts.length > 0 || clip !== undefined) {
    const test: RungTest = { column, s, x: here.x, y: here.y, nx: here.nx, ny: here.ny, clip, butts, hints: new Int32Array(butts.length) }; // prettier-ignore
    for (let i = 0; i < butts.length; i++) test.hints[i] = Math.round(butts[i]!.hostS / butts[i]!.host.spine.stepMm); // prettier-ignore
    const kept = clip === undefined && isClear(test, lo, hi) ? ([lo, hi] as const) : longestRun(lo, hi, test);
    if (kept === null) return null;
    [lo, hi] = kept;
    if (hi - lo < SHORTEST_RUNG_MM) return null;
  }
  return { x: here.x, y: here.y, nx: here.nx, ny: here.ny, lo, hi, curvature: k };
}

interface RungTest {
  readonly column: Column;
  readonly s: number;
  readonly x: number;
  readonly y: number;
  readonly nx: number;
  readonly ny: number;
  readonly clip: ((x: number, y: number) => boolean) | undefined;
  readonly butts: readonly Butt[];
  /** For each host the sample that was nearest to the place tried before. */
  readonly hints: Int32Array;
}

function isAllowed(test: RungTest, t: number): boolean {
  const x = test.x + t * test.nx;
  const y = test.y + t * test.ny;
  if (test.clip !== undefined && !test.clip(x, y)) return false;
  for (let i = 0; i < test.butts.length; i++) if (!besideHost(test, i, x, y)) return false;
  return true;
}

/** Whether a rung meets none of its hosts: allowed at both ends and too far from each body to touch it between. */
function isClear(test: RungTest, lo: number, hi: number): boolean {
  const middle = (lo + hi) / 2;
  const reach = (hi - lo) / 2;
  const x = test.x + middle * test.nx;
  const y = test.y + middle * test.ny;
  for (let i = 0; i < test.butts.length; i++) {
    const { host, hostS } = test.butts[i]!;
    if (!besideHost(test, i, x, y)) return false;
    if (Math.sqrt(squaredFar(host.spine, test.hints[i]!, x, y)) < reach + halfAt(host, hostS)) return false;
  }
  return isAllowed(test, lo) && isAllowed(test, hi);
}

/** Whether a place lies on the column's own side of its host, at most the overlap inside the host's body. */
function besideHost(test: RungTest, index: number, x: number, y: number): boolean {
  const { host, hostS, side } = test.butts[index]!;
  const { spine } = host;
  const hostHalf = halfAt(host, hostS);
  const reach = Math.ceil((5 * hostHalf + 1) / spine.stepMm);
  const middle = Math.round(hostS / spine.stepMm);
  const last = spine.x.length - 1;
  let low = spine.closed ? middle - reach : Math.max(0, middle - reach);
  let high = spine.closed ? middle + reach : Math.min(last, middle + reach);
  if (host === test.column) {
    // Of its own body only the half of the way nearer to the joint is host: the rest is the column that stands there.
    const between = Math.round((hostS + test.s) / 2 / spine.stepMm);
    if (test.s > hostS) high = Math.min(high, between);
    else low = Math.max(low, between);
  }
  // Downhill from the place before: along one rung the nearest place moves little.
  let n = Math.min(high, Math.max(low, test.hints[index]!));
  let best = squaredFar(spine, n, x, y);
  for (let stride = 8; stride >= 1; stride >>= 1) {
    for (;;) {
      const ahead = n + stride <= high ? squaredFar(spine, n + stride, x, y) : Infinity;
      const behind = n - stride >= low ? squaredFar(spine, n - stride, x, y) : Infinity;
      if (ahead < best && ahead <= behind) {
        n += stride;
        best = ahead;
      } else if (behind < best) {
        n -= stride;
        best = behind;
      } else break;
    }
  }
  test.hints[index] = n;
  const nearest = sampleOf(spine, n);
  const across = side * ((x - spine.x[nearest]!) * spine.nx[nearest]! + (y - spine.y[nearest]!) * spine.ny[nearest]!); // prettier-ignore
  const distance = Math.sqrt(best);
  if (distance < hostHalf - overlapUnder(hostHalf)) return false;
  return across >= 0 || distance > 3 * hostHalf;
}

/** On a ring samples are counted on past its ends. */
function sampleOf(spine: Spine, n: number): number {
  if (!spine.closed) return n;
  const last = spine.x.length - 1;
  return ((n % last) + last) % last;
}

function squaredFar(spine: Spine, n: number, x: number, y: number): number {
  const i = sampleOf(spine, n);
  const dx = x - spine.x[i]!;
  const dy = y - spine.y[i]!;
  return dx * dx + dy * dy;
}

/** The longest allowed piece of [lo, hi], tried every 0.1 mm and its ends made finer. */
function longestRun(lo: number, hi: number, test: RungTest): [number, number] | null {
  const count = Math.max(2, Math.ceil((hi - lo) / 0.1));
  const step = (hi - lo) / count;
  let best: [number, number] | null = null;
  let begin = NaN;
  for (let i = 0; i <= count + 1; i++) {
    const t = lo + i * step;
    const ok = i <= count && isAllowed(test, t);
    if (ok && Number.isNaN(begin)) begin = i === 0 ? lo : refined(test, t, t - step);
    else if (!ok && !Number.isNaN(begin)) {
      const end = i > count ? hi : refined(test, t - step, t);
      if (best === null || end - begin > best[1] - best[0]) best = [begin, end];
      begin = NaN;
    }
  }
  return best;
}

function refined(test: RungTest, inside: number, outside: number): number {
  for (let n = 0; n < 3; n++) {
    const middle = (inside + outside) / 2;
    if (isAllowed(test, middle)) inside = middle;
    else outside = middle;
  }
  return inside;
}

/** How much of its width the column has at `q` mm before (below 0: beyond) a free end. */
function endShare(shape: StrokeEnd, q: number, h: number, dot: boolean): number {
  if (shape === "square") return 1;
  if (shape === "point") return Math.min(1, 0.12 + Math.max(0, q) / Math.max(1, h * 5));
  if (q >= 0) return 1;
  // Fuller than a circle, as the last stitches are drawn in: the tip still has about half the width.
  const u = -q / (h + (dot ? 0.18 : 0.1));
  return u >= 1 ? 0 : Math.sqrt(1 - u * u);
}
