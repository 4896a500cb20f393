/**
 * When to renew a part that wears out before it fails. Hours to failure follow a Weibull distribution; `shape` above 1
 * means wear, and only then does renewing a sound part pay.
 */
import { invariant, lnGamma } from "#core/base";

export interface Wear {
  readonly shape: number;
  /** Hours by which 63.2 % have failed. */
  readonly scaleHours: number;
}

export interface RenewalCosts {
  /** Renewing it in good time, and renewing it after it failed (with what the stop costs); same unit of money. */
  readonly planned: number;
  readonly afterFailure: number;
}

export interface RenewalAge {
  /** Null: run it until it fails. */
  readonly hours: number | null;
  readonly costPerHour: number;
  readonly costPerHourUntilFailure: number;
}

const survives = ({ shape, scaleHours }: Wear, hours: number): number =>
  Math.exp(-((hours / scaleHours) ** shape));

/** Mean hours run when the part is renewed at `hours` or at failure, whichever comes first: ∫₀ᵗ R. */
function meanRun(wear: Wear, hours: number): number {
  // Simpson's rule on 2000 strips: below 1e-9 of the value for shapes of 0.5 to 10.
  const strips = 2000;
  const step = hours / strips;
  let sum = 1 + survives(wear, hours);
  for (let at = 1; at < strips; at += 1) sum += (at % 2 === 0 ? 2 : 4) * survives(wear, at * step);
  return (sum * step) / 3;
}

/**
 * The age at which renewing costs least an hour, C(t) = (c_p R(t) + c_f F(t)) / ∫₀ᵗ R (R. E. Barlow, F. Proschan,
 * Mathematical Theory of Reliability, 1965, ch. 4, from memory). Without wear (shape ≤ 1), or where a failure costs no
 * more than a planned renewal, there is none.
 */
export function renewalAge(wear: Wear, costs: RenewalCosts): RenewalAge {
  invariant(
    wear.shape > 0 && wear.scaleHours > 0 && costs.planned > 0,
    "renewal needs wear and costs above 0",
  );
  const meanLife = wear.scaleHours * Math.exp(lnGamma(1 + 1 / wear.shape));
  const untilFailure = costs.afterFailure / meanLife;
  const none = { hours: null, costPerHour: untilFailure, costPerHourUntilFailure: untilFailure };
  if (wear.shape <= 1 || costs.afterFailure <= costs.planned) return none;
  const rate = (hours: number): number => {
    const sound = survives(wear, hours);
    return (costs.planned * sound + costs.afterFailure * (1 - sound)) / meanRun(wear, hours);
  };
  // With a rising hazard the cost rate falls, then rises: one lowest point, closed in by golden sections.
  const hours = lowest(rate, wear.scaleHours * 1e-3, wear.scaleHours * 5);
  const costPerHour = rate(hours);
  return costPerHour < untilFailure * (1 - 1e-6)
    ? { hours, costPerHour, costPerHourUntilFailure: untilFailure }
    : none;
}

const golden = (Math.sqrt(5) - 1) / 2;

function lowest(value: (x: number) => number, from: number, to: number): number {
  let [a, b] = [from, to];
  let [c, d] = [b - golden * (b - a), a + golden * (b - a)];
  let [atC, atD] = [value(c), value(d)];
  while (b - a > 1e-9 * to) {
    if (atC < atD) {
      [b, d, atD] = [d, c, atC];
      c = b - golden * (b - a);
      atC = value(c);
    } else {
      [a, c, atC] = [c, d, atD];
      d = a + golden * (b - a);
      atD = value(d);
    }
  }
  return (a + b) / 2;
}

/** Hours at which parts failed, and those that others have run soundly until now. */
export interface FailureLog {
  readonly failedHours: readonly number[];
  readonly soundHours: readonly number[];
}

/**
 * The Weibull distribution most likely behind a log with parts that have not failed yet: the shape solves the profile
 * likelihood's equation, which has one root, the scale follows (NIST/SEMATECH e-Handbook 8.4.1.3). Null below two
 * different failures: nothing is known of the shape.
 */
export function fittedWear({ failedHours, soundHours }: FailureLog): Wear | null {
  if (new Set(failedHours).size < 2) return null;
  const all = [...failedHours, ...soundHours];
  invariant(
    all.every((hours) => hours > 0),
    "hours of a failure log are above 0",
  );
  const longest = Math.max(...all);
  const logs = all.map((hours) => Math.log(hours / longest));
  const meanLogFailed = mean(failedHours.map((hours) => Math.log(hours / longest)));
  const lack = (shape: number): number => {
    let weight = 0;
    let weighted = 0;
    for (const log of logs) {
      const power = Math.exp(shape * log);
      weight += power;
      weighted += power * log;
    }
    return weighted / weight - 1 / shape - meanLogFailed;
  };
  let [low, high] = [1e-3, 1];
  while (lack(high) < 0 && high < 1e4) high *= 2;
  for (let step = 0; step < 100; step += 1) {
    const middle = (low + high) / 2;
    if (lack(middle) < 0) low = middle;
    else high = middle;
  }
  const shape = (low + high) / 2;
  const weight = logs.reduce((sum, log) => sum + Math.exp(shape * log), 0);
  return { shape, scaleHours: longest * (weight / failedHours.length) ** (1 / shape) };
}

const mean = (values: readonly number[]): number => values.reduce((sum, one) => sum + one, 0) / values.length;
