import type { whatIf } from "#contract";
import type { Wear } from "./new-or-used";

/**
 * How often machines fail, from logs of their repairs. A repair leaves a machine as worn as it was, so that repairs
 * follow the power law of hours that `core/costing` reckons with. Most likely shape and scale for several machines, each
 * watched between two readings of its meter (L. H. Crow, in: Reliability and Biometry, SIAM 1974, 379–410; NIST/SEMATECH
 * e-Handbook 8.1.7.2; both from memory).
 */

export type RepairLog = whatIf.RepairLog;

/** Below so many repairs a shape says more of chance than of wear. */
const ENOUGH_FOR_SHAPE = 5;
/** A guess: some wear. */
const GUESSED_SHAPE = 1.5;
const LEAST_SHAPE = 0.5;
const MOST_SHAPE = 5;
/** A meter that shows less when the watching begins is taken to show so much: the logarithm of nothing is none. */
const LEAST_HOURS = 0.5;

interface Watched {
  readonly from: number;
  readonly to: number;
  readonly at: readonly number[];
}

const watchedIn = (log: RepairLog): Watched => ({
  from: Math.max(0, log.fromHours),
  to: log.meterHours,
  at: log.repairs
    .map(({ atHours }) => Math.max(LEAST_HOURS, atHours))
    .filter((hours) => hours >= log.fromHours && hours <= log.meterHours),
});

/** Expected repairs of all of them at a scale of 1. */
const exposure = (all: readonly Watched[], shape: number): number =>
  all.reduce((sum, { from, to }) => sum + to ** shape - from ** shape, 0);

/** Of the profile likelihood's slope in the shape: above 0 where a larger one is likelier. */
function slope(all: readonly Watched[], shape: number): number {
  const count = all.reduce((sum, { at }) => sum + at.length, 0);
  const logs = all.reduce((sum, { at }) => sum + at.reduce((own, hours) => own + Math.log(hours), 0), 0);
  const powered = (hours: number) => (hours > 0 ? hours ** shape * Math.log(hours) : 0);
  const moved = all.reduce((sum, { from, to }) => sum + powered(to) - powered(from), 0);
  return count / shape + logs - (count * moved) / exposure(all, shape);
}

/** The wear most likely behind the logs, and how many repairs it is known from; null without a repair. */
export function fittedRepairs(
  logs: readonly RepairLog[],
): { readonly wear: Wear; readonly count: number; readonly isShapeFitted: boolean } | null {
  const all = logs.map(watchedIn).filter(({ from, to }) => to > from);
  const count = all.reduce((sum, { at }) => sum + at.length, 0);
  if (count === 0) return null;
  const isShapeFitted = count >= ENOUGH_FOR_SHAPE;
  const shape = isShapeFitted ? likeliestShape(all) : GUESSED_SHAPE;
  return { wear: { shape, scaleHours: (exposure(all, shape) / count) ** (1 / shape) }, count, isShapeFitted };
}

function likeliestShape(all: readonly Watched[]): number {
  let [low, high] = [LEAST_SHAPE, MOST_SHAPE];
  if (slope(all, low) <= 0) return low;
  if (slope(all, high) >= 0) return high;
  for (let step = 0; step < 60; step++) {
    const middle = (low + high) / 2;
    if (slope(all, middle) > 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** The mean of what repairs cost, where it was noted; null where it never was. */
export function meanRepairCents(logs: readonly RepairLog[]): number | null {
  const costs = logs.flatMap(({ repairs }) => repairs.flatMap(({ costCents }) => costCents ?? []));
  return costs.length === 0 ? null : Math.round(costs.reduce((sum, one) => sum + one, 0) / costs.length);
}
