/**
 * Distribution functions that ranges and limits are made of. Formulas: M. Abramowitz, I. A. Stegun, Handbook of
 * Mathematical Functions (1964), 6.1 (gamma), 6.5 (incomplete gamma), 26.4–26.7 (chi-square, beta, t); the incomplete
 * functions by series and Lentz's continued fraction (W. J. Lentz, Applied Optics 15 (1976) 668–671). Quantiles by
 * bisection of their distribution, to about 1e-12 relative. A probability outside (0, 1) is a bug of the caller's.
 */
import { invariant } from "./refusal";

const lanczos = [
  0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
  12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7,
] as const;

/** ln Γ(x) for x > 0 (C. Lanczos, SIAM J. Numerical Analysis B 1 (1964) 86–96; coefficients for g = 7), to about 1e-14. */
export function lnGamma(x: number): number {
  if (x < 0.5) return Math.log(Math.PI / Math.sin(Math.PI * x)) - lnGamma(1 - x);
  const z = x - 1;
  let sum: number = lanczos[0];
  for (let i = 1; i < lanczos.length; i++) sum += lanczos[i]! / (z + i);
  const t = z + 7.5;
  return 0.5 * Math.log(2 * Math.PI) + (z + 0.5) * Math.log(t) - t + Math.log(sum);
}

const TINY = 1e-300;
const NEAR = 1e-15;

/** Lentz's continued fraction a₁/(b₁ + a₂/(b₂ + …)), for terms from 1 on. */
function fraction(terms: (n: number) => readonly [a: number, b: number]): number {
  let value = TINY;
  let c = TINY;
  let d = 0;
  for (let n = 1; n < 10_000; n++) {
    const [a, b] = terms(n);
    d = 1 / (b + a * d || TINY);
    c = b + a / c || TINY;
    value *= c * d;
    if (Math.abs(c * d - 1) < NEAR) break;
  }
  return value;
}

/** P(a, x), the regularised lower incomplete gamma function: the chance that a gamma of shape a and rate 1 is under x. */
export function gammaShare(shape: number, x: number): number {
  if (x <= 0) return 0;
  const front = Math.exp(shape * Math.log(x) - x - lnGamma(shape));
  if (x < shape + 1) {
    let term = 1 / shape;
    let sum = term;
    for (let n = 1; n < 10_000 && term > sum * NEAR; n++) {
      term *= x / (shape + n);
      sum += term;
    }
    return Math.min(1, front * sum);
  }
  const upper = fraction((n) => [n === 1 ? 1 : -(n - 1) * (n - 1 - shape), x + 2 * n - 1 - shape]);
  return Math.max(0, 1 - front * upper);
}

/** I_x(a, b), the regularised incomplete beta function. */
function betaShare(a: number, b: number, x: number): number {
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  if (x > (a + 1) / (a + b + 2)) return 1 - betaShare(b, a, 1 - x);
  const front = Math.exp(a * Math.log(x) + b * Math.log1p(-x) + lnGamma(a + b) - lnGamma(a) - lnGamma(b)) / a;
  return (
    front *
    fraction((n) => {
      if (n === 1) return [1, 1];
      const m = Math.floor((n - 1) / 2);
      const top = n % 2 === 0 ? -(a + m) * (a + b + m) : m * (b - m);
      return [(top * x) / ((a + n - 2) * (a + n - 1)), 1];
    })
  );
}

/** Where a growing function of x reaches a value, between two x. */
function reached(share: (x: number) => number, wanted: number, low: number, high: number): number {
  for (let step = 0; step < 200 && high - low > 1e-13 * Math.max(1e-300, Math.abs(low + high)); step++) {
    const middle = (low + high) / 2;
    if (share(middle) < wanted) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

const isChance = (probability: number): boolean => 0 < probability && probability < 1;

/** The quantile of a gamma distribution of that shape and rate. */
export function gammaQuantile(probability: number, shape: number, rate: number): number {
  invariant(
    isChance(probability) && shape > 0 && rate > 0,
    "a gamma quantile needs 0 < p < 1, shape and rate > 0",
  );
  let high = shape + 1;
  while (gammaShare(shape, high) < probability) high *= 2;
  return reached((x) => gammaShare(shape, x), probability, 0, high) / rate;
}

/** The chi-square value that is not exceeded with that probability. */
export const chiSquareQuantile = (probability: number, degrees: number): number =>
  gammaQuantile(probability, degrees / 2, 0.5);

/** The chance that a normal value is under z standard deviations. */
export const normalShare = (z: number): number =>
  z < 0 ? (1 - gammaShare(0.5, (z * z) / 2)) / 2 : (1 + gammaShare(0.5, (z * z) / 2)) / 2;

/** The standard normal quantile. */
export function normalQuantile(probability: number): number {
  invariant(isChance(probability), "a normal quantile needs 0 < p < 1");
  if (probability === 0.5) return 0;
  const z = Math.sqrt(chiSquareQuantile(Math.abs(2 * probability - 1), 1));
  return probability < 0.5 ? -z : z;
}

/** Student's t that is not exceeded with that probability; any degrees of freedom > 0. */
export function studentQuantile(probability: number, degrees: number): number {
  invariant(isChance(probability) && degrees > 0, "a t quantile needs 0 < p < 1 and degrees > 0");
  if (probability < 0.5) return -studentQuantile(1 - probability, degrees);
  if (probability === 0.5) return 0;
  const share = (t: number) => 1 - betaShare(degrees / 2, 0.5, degrees / (degrees + t * t)) / 2;
  let high = 2;
  while (share(high) < probability) high *= 2;
  return reached(share, probability, 0, high);
}

/** The chance of so many events or more where `expected` are expected (Poisson). */
export const atLeast = (events: number, expected: number): number =>
  events <= 0 ? 1 : gammaShare(events, expected);
