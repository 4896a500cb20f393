/**
 * A design as placing needs it: its outline, and the places of it that a person can find again on the cloth. Stitches
 * come as plain arrays in the machine file's unit: record i leaves the needle at (x[i], y[i]) tenths of mm from the
 * start, y away from the person, and `kind` is 0 for a stitch, 1 for a jump, 2 for a colour stop.
 */
import type { PointMm } from "./points";

export interface SewnRecords {
  readonly kind: ArrayLike<number>;
  readonly x: ArrayLike<number>;
  readonly y: ArrayLike<number>;
}

export const SEWN = 0;
export const STOPPED = 2;

const turnOf = (a: PointMm, b: PointMm, c: PointMm): number =>
  (b.xMm - a.xMm) * (c.yMm - a.yMm) - (b.yMm - a.yMm) * (c.xMm - a.xMm);

/** The convex hull, counter-clockwise (A. M. Andrew, Information Processing Letters 9 (1979) 216–219). */
export function hullOf(points: readonly PointMm[]): PointMm[] {
  const sorted = [...points].sort((a, b) => a.xMm - b.xMm || a.yMm - b.yMm);
  const half = (way: readonly PointMm[]): PointMm[] => {
    const chain: PointMm[] = [];
    for (const point of way) {
      while (chain.length >= 2 && turnOf(chain.at(-2)!, chain.at(-1)!, point) <= 0) chain.pop();
      chain.push(point);
    }
    return chain.slice(0, -1);
  };
  return sorted.length < 2 ? sorted : [...half(sorted), ...half(sorted.reverse())];
}

const placeOf = ({ x, y }: SewnRecords, record: number): PointMm => ({
  xMm: x[record]! / 10,
  yMm: y[record]! / 10,
});

function sewnPlaces(design: SewnRecords, upTo: number): PointMm[] {
  const places: PointMm[] = [];
  for (let i = 0; i < Math.min(upTo, design.kind.length); i++)
    if (design.kind[i] === SEWN) places.push(placeOf(design, i));
  return places;
}

/** The convex outline of all penetrations, mm from the design's start, counter-clockwise; empty without stitches. */
export const designOutline = (design: SewnRecords): PointMm[] => hullOf(sewnPlaces(design, Infinity));

/** A place worth touching. */
export interface FindablePoint {
  readonly at: PointMm;
  readonly why: "corner" | "end";
  /** 0 to 1: how sharp the corner is; ends count as half. */
  readonly sharpness: number;
}

const CORNER_WINDOW_MM = 3;
const SAME_PLACE_MM = 4;

/**
 * So many places of the sewn part (records before `upTo`) that can be found again on the cloth: sharp corners of its
 * outline and ends of its lines, chosen far apart, best first. Fewer where there are no more; none without stitches.
 */
export function findablePoints(
  design: SewnRecords,
  asked: { readonly upTo: number; readonly count: number },
): FindablePoint[] {
  const candidates = [...corners(design, asked.upTo), ...ends(design, asked.upTo)];
  return spreadOut(candidates, asked.count);
}

function corners(design: SewnRecords, upTo: number): FindablePoint[] {
  const hull = hullOf(sewnPlaces(design, upTo));
  if (hull.length < 3) return hull.map((at) => ({ at, why: "end", sharpness: 1 }));
  return hull.map((at, i) => {
    const [before, after] = [reached(hull, i, -1), reached(hull, i, 1)];
    const [a, b] = [
      Math.atan2(before.yMm - at.yMm, before.xMm - at.xMm),
      Math.atan2(after.yMm - at.yMm, after.xMm - at.xMm),
    ];
    const inside = Math.abs(Math.atan2(Math.sin(a - b), Math.cos(a - b)));
    return { at, why: "corner", sharpness: 1 - inside / Math.PI };
  });
}

/** The place on the outline about 3 mm on from a corner, so that a rounded corner is judged as what it looks like. */
function reached(hull: readonly PointMm[], from: number, step: 1 | -1): PointMm {
  let at = hull[from]!;
  let left = CORNER_WINDOW_MM;
  for (let k = 1; k <= hull.length; k++) {
    const next = hull[(from + step * k + hull.length * 2) % hull.length]!;
    const length = Math.hypot(next.xMm - at.xMm, next.yMm - at.yMm);
    if (length >= left)
      return {
        xMm: at.xMm + ((next.xMm - at.xMm) * left) / length,
        yMm: at.yMm + ((next.yMm - at.yMm) * left) / length,
      };
    left -= length;
    at = next;
  }
  return at;
}

/** First and last penetrations of each line between moves and stops. */
function ends(design: SewnRecords, upTo: number): FindablePoint[] {
  const found: FindablePoint[] = [];
  const to = Math.min(upTo, design.kind.length);
  for (let i = 0; i < to; i++) {
    if (design.kind[i] !== SEWN) continue;
    const begins = i === 0 || design.kind[i - 1] !== SEWN;
    const stops = i + 1 === to || design.kind[i + 1] !== SEWN;
    if (begins !== stops) found.push({ at: placeOf(design, i), why: "end", sharpness: 0.5 });
  }
  return found;
}

/** Greedy: the sharpest of those farthest apart first, then always what is far from all chosen, weighed by sharpness. */
function spreadOut(candidates: readonly FindablePoint[], count: number): FindablePoint[] {
  if (candidates.length === 0) return [];
  const middle = {
    xMm: candidates.reduce((all, one) => all + one.at.xMm, 0) / candidates.length,
    yMm: candidates.reduce((all, one) => all + one.at.yMm, 0) / candidates.length,
  };
  const away = (one: FindablePoint, from: readonly PointMm[]) =>
    Math.min(...from.map((other) => Math.hypot(one.at.xMm - other.xMm, one.at.yMm - other.yMm)));
  const chosen: FindablePoint[] = [];
  while (chosen.length < count) {
    const from = chosen.length === 0 ? [middle] : chosen.map((one) => one.at);
    let best: FindablePoint | null = null;
    let most = 0;
    for (const one of candidates) {
      const distance = away(one, from);
      const worth = distance < SAME_PLACE_MM ? 0 : distance * Math.sqrt(0.05 + one.sharpness);
      if (worth > most) [best, most] = [one, worth];
    }
    if (best === null) break;
    chosen.push(best);
  }
  return chosen;
}
