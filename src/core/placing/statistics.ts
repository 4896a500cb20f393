/**
 * Tests and circles of placing. Student's distribution for whole degrees of freedom by its finite series (M. Abramowitz,
 * I. A. Stegun, Handbook of Mathematical Functions (1964) 26.7.3–26.7.4), between them linearly in 1/ν; tails of F by
 * Paulson's normal approximation (E. Paulson, Annals of Mathematical Statistics 13 (1942) 233–235; after Wilson and
 * Hilferty, PNAS 17 (1931) 684–688), good to a few percent of a tail, which decides nothing here (two upper degrees: exactly).
 */
import { lnGamma, normalShare } from "#core/base";
import { applied, type Matrix } from "./algebra";

/** The chance that |t| is at most this, whole ν. */
function withinWhole(t: number, freedom: number): number {
  if (freedom > 200)
    return 2 * normalShare((t * (1 - 1 / (4 * freedom))) / Math.sqrt(1 + (t * t) / (2 * freedom))) - 1;
  const theta = Math.atan(t / Math.sqrt(freedom));
  const cos = Math.cos(theta);
  let term = freedom % 2 === 1 ? cos : 1;
  let series = freedom === 1 ? 0 : term;
  for (let k = freedom % 2 === 1 ? 3 : 2; k <= freedom - 2; k += 2) {
    term *= ((k - 1) / k) * cos * cos;
    series += term;
  }
  return freedom % 2 === 1 ? (2 / Math.PI) * (theta + Math.sin(theta) * series) : Math.sin(theta) * series;
}

/** The chance that Student's |t| is at most t ≥ 0; any freedom ≥ 1, Infinity for the normal law. */
export function studentWithin(t: number, freedom: number): number {
  if (!Number.isFinite(t)) return 1;
  if (!(freedom < 1e6)) return 2 * normalShare(t) - 1;
  const low = Math.max(1, Math.floor(freedom));
  if (low === freedom) return withinWhole(t, low);
  const share = (1 / low - 1 / freedom) / (1 / low - 1 / (low + 1));
  return withinWhole(t, low) * (1 - share) + withinWhole(t, low + 1) * share;
}

function studentDensity(t: number, freedom: number): number {
  if (!(freedom < 1e6)) return Math.exp((-t * t) / 2) / Math.sqrt(2 * Math.PI);
  const front = lnGamma((freedom + 1) / 2) - lnGamma(freedom / 2) - Math.log(freedom * Math.PI) / 2;
  return Math.exp(front - ((freedom + 1) / 2) * Math.log1p((t * t) / freedom));
}

/**
 * The chance that a vector of three standard normal values over one estimated deviation is at most r long (three
 * coordinates of the multivariate t). Integrating Maxwell's law by parts: P(|t| ≤ r) − 2 r · density(r).
 */
export const withinThree = (r: number, freedom: number): number =>
  Math.max(0, studentWithin(r, freedom) - 2 * r * studentDensity(r, freedom));

/** The chance of an F of these degrees of freedom or more. */
export function fisherTail(value: number, upper: number, lower: number): number {
  if (!(value > 0)) return 1;
  if (!Number.isFinite(value)) return 0;
  if (upper === 2) return lower < 1e6 ? (1 + (2 * value) / lower) ** (-lower / 2) : Math.exp(-value);
  const a = 2 / (9 * upper);
  const b = lower < 1e6 ? 2 / (9 * lower) : 0;
  const root = Math.cbrt(value);
  return 1 - normalShare(((1 - b) * root - (1 - a)) / Math.sqrt(b * root * root + a));
}

/** Points evenly over half a sphere (golden-angle spiral): an error's size is the same the opposite way. */
function halfSphere(count: number): readonly [number, number, number][] {
  return Array.from({ length: count }, (_, i) => {
    const z = 1 - (i + 0.5) / count;
    const angle = i * Math.PI * (3 - Math.sqrt(5));
    const across = Math.sqrt(1 - z * z);
    return [across * Math.cos(angle), across * Math.sin(angle), z];
  });
}
const DIRECTIONS = halfSphere(200);

/**
 * The radius within which the largest of several planar errors stays with that chance. The errors are linear in three
 * parameters: rows [x1, y1, x2, y2, …] of `maps`, already multiplied by a root of the parameters' covariance. Along
 * each direction of the three the length has a known law, so only the direction is averaged: no chance is drawn.
 */
export function largestWithin(maps: Matrix, chance: number, freedom: number): number {
  const sizes = DIRECTIONS.map((direction) => {
    const errors = applied(maps, direction);
    let most = 0;
    for (let i = 0; i < errors.length; i += 2) most = Math.max(most, Math.hypot(errors[i]!, errors[i + 1]!));
    return most;
  });
  const most = Math.max(...sizes);
  if (!(most > 0)) return 0;
  const share = (radius: number) =>
    sizes.reduce((all, size) => all + (size > 0 ? withinThree(radius / size, freedom) : 1), 0) / sizes.length;
  let high = 4 * most;
  while (share(high) < chance) high *= 2;
  return risingRoot((radius) => share(radius) - chance, [0, high]);
}

/** Where a rising function is 0, to 1/5000: false position, its stale end's value halved (M. Dowell, P. Jarratt, BIT 11 (1971) 168–174). */
function risingRoot(of: (x: number) => number, [from, to]: readonly [number, number]): number {
  let [low, high] = [from, to];
  let [under, over] = [of(low), of(high)];
  for (let step = 0, stale = 0; step < 60 && high - low > 2e-4 * high && over > 0; step++) {
    const x = (low * over - high * under) / (over - under);
    const value = of(x);
    if (Math.abs(value) < 1e-5) return x;
    if (value < 0) {
      [low, under] = [x, value];
      if (stale === -1) over /= 2;
      stale = -1;
    } else {
      [high, over] = [x, value];
      if (stale === 1) under /= 2;
      stale = 1;
    }
  }
  return high;
}
