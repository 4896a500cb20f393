import { ableHours, busyUntil, closingFrom, measureUpTo, unloadedBy } from "./able-hours";
import type { Compiled } from "./compile";
import type { Work } from "./job-works";

/** All machines as one: the Lagrangian dual of R || Cmax over the hours they can work. */
export interface Pool {
  /** No plan ends before. */
  readonly endAt: number;
  /** When the first k runs can have left their machines, k from 1. */
  leaveAt(k: number): number;
}

export function poolOf(
  compiled: Compiled,
  jobs: readonly number[],
  chores: readonly number[],
  works: ReadonlyMap<number, readonly Work[]>,
  threadings: number,
): Pool {
  const { machines, problem } = compiled;
  if (jobs.length === 0) return { endAt: 0, leaveAt: () => 0 };
  const able = ableHours(compiled, jobs);
  const choreS = new Float64Array(machines);
  for (const chore of chores) {
    const m = compiled.choreMachine[chore]!;
    if (m >= 0) choreS[m]! += compiled.choreS[chore]!;
  }
  // Threadings inside runs are in the runs' own time already, wherever they go.
  const inside = jobs.reduce((sum, job) => sum + Math.max(...works.get(job)!.map((work) => work.inside)), 0);
  const extra = Math.max(0, threadings - inside);
  // A threading at a stop more than there must be saves a change of colour.
  const threadS = problem.machines.map((machine) =>
    machine.threadS >= machine.colourChangeS ? machine.threadS - machine.colourChangeS : machine.threadS,
  );
  const latest = able.reduce((last, own) => Math.max(last, own.at(-1)?.[1] ?? 0), 0);
  const closing = closingFrom(compiled, jobs);
  // Runs lie before the last closing, chores may follow it.
  const hours = (m: number, endAt: number, busy: number): number =>
    Math.min(measureUpTo(able[m]!, busy) + choreS[m]!, measureUpTo(able[m]!, endAt));
  const known = new Map<number, number>();
  const busyBy = (endAt: number): number => {
    const busy = known.get(endAt) ?? busyUntil(closing, endAt);
    known.set(endAt, busy);
    return busy;
  };
  const soonestEnd = (weights: Float64Array, need: number): number => {
    let low = 0;
    let high = compiled.lastShiftEnd;
    while (low < high) {
      const middle = (low + high) >> 1;
      const busy = busyBy(middle);
      const can = weights.reduce((sum, weight, m) => sum + weight * hours(m, middle, busy), 0);
      if (can >= need * (1 - 1e-9) - 1e-6) high = middle;
      else low = middle + 1;
    }
    return low;
  };
  const canDo = (weights: Float64Array, t: number): number =>
    able.reduce((sum, own, m) => sum + weights[m]! * measureUpTo(own, t), 0);
  const soonest = (weights: Float64Array, need: number): number => {
    let low = 0;
    let high = latest;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (canDo(weights, middle) >= need * (1 - 1e-9) - 1e-6) high = middle;
      else low = middle + 1;
    }
    return low;
  };
  const least = (weights: Float64Array, job: number): Work =>
    works.get(job)!.reduce((a, b) => (weights[b.m]! * b.seconds < weights[a.m]! * a.seconds ? b : a));

  const weights = new Float64Array(machines).fill(1);
  let bestWeights = weights.slice();
  let bestT = -1;
  const rounds = jobs.length * machines > 2000 ? 60 : 150;
  for (let round = 0; round < rounds; round++) {
    const load = choreS.slice();
    let need = choreS.reduce((sum, seconds, m) => sum + seconds * weights[m]!, 0);
    for (const job of jobs) {
      const work = least(weights, job);
      need += weights[work.m]! * work.seconds;
      load[work.m]! += work.seconds;
    }
    need += extra * threadS.reduce((least, seconds, m) => Math.min(least, weights[m]! * seconds), Infinity);
    const t = soonestEnd(weights, need);
    const busy = busyBy(t);
    if (t > bestT) {
      bestT = t;
      bestWeights = weights.slice();
    }
    if (machines === 1) break;
    // Machines with more than they can do get dearer, those with less cheaper.
    const stepSize = 0.5 / (1 + round / 4);
    const span = Math.max(1, t);
    for (let m = 0; m < machines; m++) {
      const step = (stepSize * (load[m]! - hours(m, t, busy))) / span;
      weights[m]! *= Math.exp(Math.max(-0.5, Math.min(0.5, step)));
    }
    const sum = weights.reduce((a, b) => a + b, 0);
    for (let m = 0; m < machines; m++) weights[m]! *= machines / sum;
  }
  const sizes = jobs.map((job) => least(bestWeights, job)).map((work) => bestWeights[work.m]! * work.seconds);
  sizes.sort((a, b) => a - b);
  const sums = [0];
  for (const size of sizes) sums.push(sums.at(-1)! + size);
  return {
    endAt: bestT,
    leaveAt: (k) => unloadedBy(compiled, soonest(bestWeights, sums[k]!)),
  };
}
