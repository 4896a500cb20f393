import { type Compiled, joined } from "./compile";
import type { Interval } from "./problem";

/**
 * How long machines must wait, all together, because hands are few: before the first piece lies on each, and after the
 * last is off. Until a machine has its first piece somebody must be at it, or it stands still. So with M machines and h
 * hands M − h stand still at least until the q-th of them is loaded (q hoopings and loadings by h hands take q/h of
 * them), one fewer from then on, and each hooping keeps a hand from them too: Σ over q ≤ M − h of (time until q are
 * loaded) + (M − h + 1) hoopings. The same from the end backwards, with unloading for loading and unhooping and
 * finishing for hooping. A machine that is not used stands still for longer than that.
 *
 * Times count while somebody is there. A machine that is down is not one that waits: what lies beyond the first down
 * time, and before the last, is left out. A plan may thread needles over and over before the first piece; the same plan
 * without that is no dearer, so no more threadings than needles come before it. After a break only
 * so many can still be unloaded before the end; the others stand still through the break, where one could have sewn on.
 */
export interface Waiting {
  /** Seconds of all machines together, for plans that end in [from, to). */
  within(from: number, to: number): number;
  /** Ends from which on one machine more can have been unloaded after a break. */
  readonly turns: readonly number[];
}

/** `able`: when each machine can be busy with runs, by `ableHours`. */
export function waitingOf(
  compiled: Compiled,
  jobs: readonly number[],
  able: readonly (readonly Interval[])[],
): Waiting {
  const { problem, machines, hands } = compiled;
  const least = (seconds: Int32Array, of: readonly number[]): number =>
    of.reduce((sum, one) => Math.min(sum, seconds[one]!), Infinity);
  const hoopS = least(compiled.hoopS, jobs);
  const closeS = jobs.reduce(
    (sum, job) => Math.min(sum, compiled.unhoopS[job]! + compiled.finishS[job]!),
    Infinity,
  );
  const all = problem.machines.map((_, m) => m);
  const there = joined(problem.hands.flatMap((hand) => hand.shifts));
  const downs = joined(problem.machines.flatMap((machine) => machine.down));
  const untilDownS = downs.length > 0 ? spanS(there, 0, downs[0]![0]) : Infinity;
  const threadingS = Math.max(...problem.machines.map(({ needles, threadS }) => needles * threadS));
  const loadS = least(compiled.loadS, all);
  const before = Math.min(
    stoodStill(machines, hands, hoopS, loadS),
    untilDownS - threadingS - Math.max(...compiled.loadS),
  );
  const unloadS = least(compiled.unloadS, all);
  const after = stoodStill(machines, hands, closeS, unloadS);
  /** Time with somebody there from the q-th last start of a machine's last unloading to the end, at least. */
  const closings = all.map((m) => loadedAfter(m + 1, hands, closeS, unloadS));
  const breaks = there
    .slice(1)
    .map(([from], at): Interval => [there[at]![1], from])
    .filter(([from, to]) => able.some((own) => spanS(own, from, to) > 0));
  return {
    within(from, to) {
      const lastDown = downs.reduce((last, [goes, comes]) => (goes < to ? Math.max(last, comes) : last), 0);
      const sinceDownS = lastDown > 0 ? spanS(there, lastDown, from) : Infinity;
      return (
        Math.max(0, before) +
        Math.max(0, Math.min(after, sinceDownS - Math.max(...compiled.unloadS))) +
        breaks.reduce((sum, own) => sum + throughBreak(own, from, to), 0)
      );
    },
    turns: breaks.flatMap(([, back]) => [...new Set(closings)].map((seconds) => back + seconds)),
  };

  /** Machines whose last piece cannot be unloaded after the break stand still through it. */
  function throughBreak([goes, back]: Interval, from: number, to: number): number {
    if (back > from) return 0;
    const afterS = spanS(there, back, to);
    const still = closings.filter((seconds) => seconds >= afterS).length;
    const seconds = able.map((own) => spanS(own, goes, back)).sort((a, b) => a - b);
    return seconds.slice(0, still).reduce((sum, one) => sum + one, 0);
  }
}

/** Seconds of standing still at one end of the day: `asideS` away from the machine and `atS` at it for each piece. */
function stoodStill(machines: number, hands: number, asideS: number, atS: number): number {
  if (machines < hands) return 0;
  let sum = (machines - hands + 1) * asideS;
  for (let q = 1; q <= machines - hands; q++) sum += loadedAfter(q, hands, asideS, atS);
  return sum;
}

/** When q pieces can be on machines at the soonest. */
const loadedAfter = (q: number, hands: number, asideS: number, atS: number): number =>
  Math.max(1, q / hands) * (asideS + atS);

/** Seconds of these intervals in [from, to). */
function spanS(there: readonly Interval[], from: number, to: number): number {
  return there.reduce((sum, [a, b]) => sum + Math.max(0, Math.min(b, to) - Math.max(a, from)), 0);
}
