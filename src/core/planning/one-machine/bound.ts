import type { Compiled } from "../compile";
import { createCounter } from "./count";
import { exactCount } from "./exact";
import { innerJobs, lineOn, partOf } from "./line";
import { searchOrder, startOrder } from "./order";

/** States looked at for a proof: some tenths of a second. */
const MOST_STATES = 60_000;
const STEPS_A_JOB = 2000;

/**
 * What threadings and stops of these jobs cost at least where they all must go to one machine and none needs a stop; 0
 * where they need not. Without a stop no order needs fewer threadings than `exactCount` proves; a plan with a stop pays
 * for it, and for the colours that must be threaded in any case (`threadings`).
 */
export function lineCostBound(compiled: Compiled, jobs: readonly number[], threadings: number): number {
  const { cost } = compiled.problem;
  const m = jobs.length > 1 ? compiled.choices[jobs[0]!]![0]! : -1;
  const alone = jobs.every((job) => compiled.choices[job]!.length === 1 && compiled.choices[job]![0] === m);
  if (m < 0 || !alone || cost.perThreading === 0 || cost.perMidStop === 0) return 0;
  const line = lineOn(compiled, m, jobs);
  if (!line) return 0;
  const { inner } = innerJobs(line);
  const counter = createCounter(partOf(line, inner));
  const begun = startOrder(counter, Int32Array.from(inner.keys()));
  const { bestCount } = searchOrder(counter, begun, STEPS_A_JOB * inner.length, 1);
  const { atLeast } = exactCount(line, MOST_STATES, bestCount);
  return Math.min(cost.perThreading * atLeast, cost.perMidStop + cost.perThreading * threadings);
}
