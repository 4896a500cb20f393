/**
 * A new machine or a used one: what each costs a year over its time here, failures by hours run included. Failures
 * follow a power law of hours and a repair leaves a machine as worn as it was (the power-law process of NIST/SEMATECH
 * e-Handbook 8.1.7.2, from memory): by h hours (h / scale)^shape are expected; shape 1 is the exponential model, in
 * which hours run do not matter; above 1 machines wear. Money in minor units, nothing rounded.
 */
import { chiSquareQuantile, invariant } from "#core/base";
import { equalAnnual, netPresentValue } from "./money-in-time";
import type { Wear } from "./replacement";

export interface MachineOffer {
  readonly priceCents: number;
  /** On its meter when it comes. */
  readonly hours: number;
  /** What it still brings when it leaves. */
  readonly resaleCents: number;
}

export interface MachineUseAhead {
  readonly hoursAYear: number;
  readonly years: number;
  /** A year's rate: 0.05 is 5 %. */
  readonly rate: number;
  readonly wear: Wear;
  /** A repair with all it brings: parts, carriage, and the days without the machine. */
  readonly failureCents: number;
}

/** Failures expected between two readings of the meter. */
export const failuresBetween = ({ shape, scaleHours }: Wear, from: number, to: number): number =>
  (to / scaleHours) ** shape - (from / scaleHours) ** shape;

/** Equal amount a year, positive: what it costs to have the machine; failures at the ends of their years. */
export function machineYear(offer: MachineOffer, use: MachineUseAhead): number {
  invariant(use.years >= 1 && use.hoursAYear > 0, "a machine is kept for a year at least, and used");
  const cash = [-offer.priceCents];
  for (let year = 1; year <= use.years; year++) {
    const from = offer.hours + (year - 1) * use.hoursAYear;
    cash.push(-failuresBetween(use.wear, from, from + use.hoursAYear) * use.failureCents);
  }
  cash[use.years]! += offer.resaleCents;
  return -equalAnnual(netPresentValue(cash, use.rate), use.rate, use.years);
}

/** The price at which the used one costs as much a year as the new one; below it the used one is better. May be negative. */
export function evenPrice(used: MachineOffer, fresh: MachineOffer, use: MachineUseAhead): number {
  const saved = machineYear(fresh, use) - machineYear(used, use);
  // A year's amount for each unit of price is the same for any price.
  return used.priceCents + saved / equalAnnual(1, use.rate, use.years);
}

/** Nobody sells a machine with more. */
const MOST_HOURS = 100_000;

/**
 * The hours on the meter up to which the used one costs less a year at its price: 0 where it never does, Infinity
 * where it does whatever its hours (without wear they do not matter).
 */
export function evenHours(used: MachineOffer, fresh: MachineOffer, use: MachineUseAhead): number {
  const target = machineYear(fresh, use);
  const isBetter = (hours: number) => machineYear({ ...used, hours }, use) <= target;
  if (!isBetter(0)) return 0;
  if (isBetter(MOST_HOURS)) return Infinity;
  let [low, high] = [0, MOST_HOURS];
  while (high - low > 0.5) {
    const middle = (low + high) / 2;
    if (isBetter(middle)) low = middle;
    else high = middle;
  }
  return low;
}

/** Known by so many failures: the wear with as few, and as many failures as may be (90 %; exact for a Poisson count). */
export function wearLimits(wear: Wear, failures: number): { readonly mild: Wear; readonly hard: Wear } {
  invariant(failures >= 1, "limits need a failure");
  const scaled = (share: number): Wear => ({
    ...wear,
    scaleHours: wear.scaleHours / share ** (1 / wear.shape),
  });
  return {
    mild: scaled(chiSquareQuantile(0.05, 2 * failures) / 2 / failures),
    hard: scaled(chiSquareQuantile(0.95, 2 * failures + 2) / 2 / failures),
  };
}
