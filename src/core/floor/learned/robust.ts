/**
 * Where a series of times lies, whatever interruptions are among them. Times are taken as logarithms (of the time over
 * its usual value), since they scatter in proportion. Outliers are told by the Hampel identifier, median ± 3 scaled
 * median absolute deviations (F. R. Hampel, J. American Statistical Association 69 (1974) 383–393; L. Davies,
 * U. Gather, same journal 88 (1993) 782–792); the rest is averaged by Huber's M-estimator at k = 1.345, 95 % efficient
 * at the normal (P. J. Huber, Annals of Mathematical Statistics 35 (1964) 73–101), the newest weighing most.
 */

export interface RobustAsked {
  /** In the order of time. */
  readonly values: readonly number[];
  /** How single values usually scatter (standard deviation of the logarithm). */
  readonly usualSpread: number;
  /** As many evenly weighted values as the window is worth in the long run. Infinity forgets nothing. */
  readonly memory: number;
}

export interface RobustLocation {
  readonly location: number;
  /** The location's variance. */
  readonly variance: number;
  /** Standard deviation of single values. */
  readonly spread: number;
  readonly kept: number;
  readonly rejected: number;
  /** Kept values, as many evenly weighted ones as they are worth. */
  readonly effective: number;
  /** Sum of squares of the kept values about the location, as many evenly weighted ones as they are worth; undrawn. */
  readonly squares: number;
}

/** Fewer than so many values cannot tell by themselves which of them is the odd one. */
const FEW = 5;
/** What is more than six times as long or short as usual is no measurement while there are only a few. */
const FEW_GATE = Math.log(6);
const HAMPEL = 3;
const HUBER = 1.345;
/** The variance at the normal against the mean's: 1/0.95 for the M-estimator, the rest for what the identifier takes. */
const VARIANCE_COST = 1 / 0.92;
/** Of few values the identifier takes some by chance: the variance is greater by so much over their count (simulated). */
const FEW_COST = 0.8;
/** Standard deviation of what is left of a normal cut at about three of them by an estimated scale (simulated). */
const CUT_SPREAD = 0.975;
/** MAD to standard deviation at the normal. */
const MAD_SCALE = 1.4826;
/** The usual spread counts like so many values. */
export const SPREAD_WEIGHT = 4;
/** Older values weigh less than e⁻⁸ of the newest. */
const MEMORIES_LOOKED_AT = 4;
/** So many rejected in a row on one side are no interruptions: things have changed. */
export const SHIFT_RUN = 5;

/** Weights φ^age with (1 + φ)/(1 − φ) = memory: what an endless series of them is worth (ISO 7870-6's EWMA). */
export function ageWeights(count: number, memory: number): number[] {
  const keep = memory === Infinity ? 1 : (memory - 1) / (memory + 1);
  return Array.from({ length: count }, (_, index) => keep ** (count - 1 - index));
}

/** (Σw)²/Σw². */
export function worthOf(weights: readonly number[]): number {
  let sum = 0;
  let squares = 0;
  for (const weight of weights) {
    sum += weight;
    squares += weight * weight;
  }
  return squares === 0 ? 0 : (sum * sum) / squares;
}

/** The value with half of the weight on either side; the mean of two where it falls between them. NaN of nothing. */
export function weightedMedian(values: readonly number[], weights: readonly number[]): number {
  const order = Uint32Array.from(values, (_, index) => index).sort((a, b) => values[a]! - values[b]!);
  const half = weights.reduce((sum, weight) => sum + weight, 0) / 2;
  let sum = 0;
  for (const [place, index] of order.entries()) {
    sum += weights[index]!;
    const next = order[place + 1];
    if (next !== undefined && Math.abs(sum - half) < 1e-12 * half)
      return (values[index]! + values[next]!) / 2;
    if (sum > half) return values[index]!;
  }
  return NaN;
}

/** The robust location of a series, its spread and its uncertainty; null when no value is left. */
export function robustLocation(asked: RobustAsked): RobustLocation | null {
  const values = sinceShift(asked);
  const weights = ageWeights(values.length, asked.memory);
  const sides = sidesOf(values, weights, asked.usualSpread);
  const kept = values.flatMap((value, index) =>
    sides[index] === 0 ? [{ value, weight: weights[index]! }] : [],
  );
  if (kept.length === 0) return null;
  const effective = worthOf(kept.map((one) => one.weight));
  const scale = scaleOf(kept, asked.usualSpread);
  const location = huberLocation(kept, scale);
  const cost = values.length < FEW ? 1 : 1 + FEW_COST / effective;
  const squares = squaresOf(kept, location, effective);
  const spread = Math.sqrt(
    (SPREAD_WEIGHT * asked.usualSpread ** 2 + squares) / (SPREAD_WEIGHT + Math.max(0, effective - 1)),
  );
  return {
    location,
    variance: (VARIANCE_COST * cost * spread * spread) / effective,
    spread,
    kept: kept.length,
    rejected: values.length - kept.length,
    effective,
    squares,
  };
}

/** −1, 0 or 1 for each value: rejected as too low, kept, rejected as too high. */
function sidesOf(values: readonly number[], weights: readonly number[], usualSpread: number): number[] {
  if (values.length < FEW) return values.map((value) => (Math.abs(value) <= FEW_GATE ? 0 : Math.sign(value)));
  const median = weightedMedian(values, weights);
  const weighted = values.map((value, index) => ({ value: value - median, weight: weights[index]! }));
  const limit = HAMPEL * scaleOf(weighted, usualSpread, 0);
  return weighted.map(({ value }) => (Math.abs(value) <= limit ? 0 : Math.sign(value)));
}

interface Weighted {
  readonly value: number;
  readonly weight: number;
}

/** Scaled MAD about the median (or a given centre), drawn to the usual spread while there are few values. */
function scaleOf(values: readonly Weighted[], usualSpread: number, centre: number | null = null): number {
  const weights = values.map((one) => one.weight);
  const middle =
    centre ??
    weightedMedian(
      values.map((one) => one.value),
      weights,
    );
  const mad = weightedMedian(
    values.map((one) => Math.abs(one.value - middle)),
    weights,
  );
  const worth = worthOf(weights);
  const own = MAD_SCALE * mad;
  return Math.sqrt((SPREAD_WEIGHT * usualSpread ** 2 + worth * own * own) / (SPREAD_WEIGHT + worth));
}

/** Reweighted means until nothing moves. */
function huberLocation(values: readonly Weighted[], scale: number): number {
  let location = weightedMedian(
    values.map((one) => one.value),
    values.map((one) => one.weight),
  );
  for (let step = 0; step < 50; step++) {
    let sum = 0;
    let total = 0;
    for (const { value, weight } of values) {
      const far = Math.abs(value - location);
      const share = weight * (far <= HUBER * scale ? 1 : (HUBER * scale) / far);
      sum += share * value;
      total += share;
    }
    const next = sum / total;
    if (Math.abs(next - location) < 1e-10) return next;
    location = next;
  }
  return location;
}

/** Squares of the kept values about their location, for what the cut took made good. */
function squaresOf(values: readonly Weighted[], location: number, worth: number): number {
  const total = values.reduce((sum, one) => sum + one.weight, 0);
  const squares = values.reduce((sum, one) => sum + one.weight * (one.value - location) ** 2, 0);
  const cut = values.length < FEW ? 1 : CUT_SPREAD ** 2;
  return ((squares / total) * worth) / cut;
}

/**
 * What was measured since things last changed for good. A long run rejected on one side is no run of interruptions: at
 * the end it is how things are now, before that how they were once.
 */
function sinceShift({ values, usualSpread, memory }: RobustAsked): readonly number[] {
  const recent = memory === Infinity ? values : values.slice(-Math.ceil(MEMORIES_LOOKED_AT * memory));
  const sides = sidesOf(recent, ageWeights(recent.length, memory), usualSpread);
  let from = 0;
  let start = 0;
  for (let index = 1; index <= sides.length; index++) {
    if (index < sides.length && sides[index] === sides[start]) continue;
    if (sides[start] !== 0 && index - start >= SHIFT_RUN) from = index === sides.length ? start : index;
    start = index;
  }
  return recent.slice(from);
}
