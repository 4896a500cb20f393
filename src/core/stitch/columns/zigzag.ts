import { SEWING } from "../cloth";
import { at, type Place } from "../spine";
import type { Crowd } from "./crowd";
import { MOST_IN_WINDOW } from "./crowd";
import { type Column, halfAt, type Rung, rungAt, type RungOptions, SHORTEST_RUNG_MM } from "./column";

export interface ZigzagOptions extends RungOptions {
  /** Between two needle points of one side, measured at the outer edge. */
  readonly pitchMm?: number | undefined;
  /** Longer stitches are split. */
  readonly splitMm: number;
  /** What is sewn already, and takes in what is made here. */
  readonly crowd: Crowd;
}

/** Needle points of one side nearer than this are drawn in by turns: short stitches. */
const CLOSE_MM = 0.21;
/** The pitch is measured this share of the way from the middle to the outer edge: even cover there, no heap within. */
const PITCH_AT = 0.6;
/** How much of a rung short stitches keep, by turns. */
const DRAWN_IN = [0.8, 0.6] as const;
const SHORTEST_STITCH_MM = SHORTEST_RUNG_MM - 0.06;
const NARROW_MM = 1.7;
/** How many needle points of one side are looked back upon. */
const LOOK_BACK = 5;

/**
 * The needle points of a column's satin from `from` to `to`, either way round. Sides alternate; each point goes half a
 * pitch further, measured near the outer edge. Where one side's points come too near to those before them (the inside
 * of a bend, a mitre), they are drawn in by turns, so that needle holes do not line up.
 */
export function zigzag(column: Column, from: number, to: number, options: ZigzagOptions): Place[] {
  const { pitchMm = pitchOf(column, options.pullMm), splitMm, crowd } = options;
  const way = to >= from ? 1 : -1;
  const step = evenStep(column, from, to, pitchMm / 2);
  const points: Place[] = [];
  const recent: Record<1 | -1, Place[]> = { 1: [], [-1]: [] };
  let side: 1 | -1 = 1;
  let count = 0;
  let before: Place | null = null;
  let last: Rung | null = null;
  const put = (rung: Rung): void => {
    const point = pointOn(rung, side, recent[side], crowd);
    if (point === null) return;
    if (before !== null && Math.hypot(point[0] - before[0], point[1] - before[1]) < SHORTEST_STITCH_MM)
      return;
    if (before !== null) splitLong(before, point, count, splitMm, points);
    points.push(point);
    crowd.add(point[0], point[1]);
    before = point;
    recent[side].push(point);
    if (recent[side].length > LOOK_BACK) recent[side].shift();
    count++;
    side = side === 1 ? -1 : 1;
  };
  for (let s = from; (to - s) * way > -1e-6;) {
    const rung = rungAt(column, s, options);
    if (rung === null) {
      s += way * Math.min(step, 0.1);
      continue;
    }
    // The first stitch and the last lie straight across, so that ends are not slanted.
    if (last === null && isFreeEnd(column, from)) put(rung);
    put(rung);
    last = rung;
    s += way * stepAt(rung, step);
  }
  if (last !== null && isFreeEnd(column, to)) put(last);
  return points;
}

/** Narrow columns are sewn a little lighter: their needle holes lie near to one another. */
function pitchOf({ half }: Column, pullMm: number): number {
  const sewnMm = 2 * (half[half.length >> 1]! + pullMm);
  const share = Math.min(1, Math.max(0, (NARROW_MM - sewnMm) / 0.3));
  return SEWING.satinPitchMm + 0.015 * share;
}

const isFreeEnd = (column: Column, s: number): boolean =>
  !column.spine.closed &&
  ((s <= column.from + 1e-6 && column.ends[0].kind === "free") ||
    (s >= column.to - 1e-6 && column.ends[1].kind === "free"));

/** Half a pitch measured at the outer edge of the rung. */
function stepAt({ curvature, lo, hi }: Rung, halfPitch: number): number {
  const outer = curvature > 0 ? Math.max(0, -lo) : Math.max(0, hi);
  return halfPitch / (1 + PITCH_AT * Math.abs(curvature) * outer);
}

/** Once round a ring the pitch is changed a little, so that the last stitch meets the first without a seam. */
function evenStep(column: Column, from: number, to: number, halfPitch: number): number {
  const { spine } = column;
  if (!spine.closed) return halfPitch;
  let edge = 0;
  const length = Math.abs(to - from);
  const pieces = Math.max(8, Math.ceil(length / 0.3));
  for (let i = 0; i < pieces; i++) {
    const s = from + ((to - from) * (i + 0.5)) / pieces;
    edge += (length / pieces) * (1 + PITCH_AT * Math.abs(at(spine, s).curvature) * halfAt(column, s));
  }
  return edge / Math.max(4, 2 * Math.round(edge / halfPitch / 2));
}

/** The needle point of a side, drawn in where the place is taken; null where even then it would be a heap. */
function pointOn(rung: Rung, side: 1 | -1, recent: readonly Place[], crowd: Crowd): Place | null {
  const { lo, hi } = rung;
  let best: Place | null = null;
  let bestFar = -1;
  for (const share of [1, ...DRAWN_IN]) {
    const width = share === 1 ? hi - lo : Math.max(SHORTEST_RUNG_MM + 0.1, (hi - lo) * share);
    if (width > hi - lo) break;
    const place = placeOn(rung, side === 1 ? lo + width : hi - width);
    if (crowd.at(place[0], place[1]) >= MOST_IN_WINDOW) continue;
    const far = nearestTo(recent, place);
    if (far >= CLOSE_MM) return place;
    if (far > bestFar) {
      best = place;
      bestFar = far;
    }
  }
  return best;
}

const placeOn = ({ x, y, nx, ny }: Rung, t: number): Place => [x + t * nx, y + t * ny];

function nearestTo(places: readonly Place[], [x, y]: Place): number {
  let best = Infinity;
  for (const place of places) best = Math.min(best, Math.hypot(place[0] - x, place[1] - y));
  return best;
}

/** Where split stitches are pierced, as shares of a piece, by turns: so that no line shows. */
const SPLITS = [0.5, 0.34, 0.66, 0.42, 0.58];

/** Adds the penetrations inside a stitch that is too long. */
export function splitLong(a: Place, b: Place, count: number, mostMm: number, points: Place[]): void {
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  // A hair under the limit, as rounding to tenths may lengthen a stitch.
  const most = mostMm - 0.15;
  if (length <= most) return;
  // The outermost split wanders by 0.16 of a piece.
  const pieces = Math.ceil((1.16 * length) / most);
  for (let piece = 1; piece < pieces; piece++) {
    const t = (piece + SPLITS[count % SPLITS.length]! - 0.5) / pieces;
    points.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
  }
}
