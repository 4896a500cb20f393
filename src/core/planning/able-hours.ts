import { type Compiled, joined, NEVER, without } from "./compile";
import type { Rooms } from "./cover";
import { longestStretchS } from "./job-works";
import type { Interval } from "./problem";
import { waitingOf } from "./waiting";

/** Hours that bounds count with: when machines can be busy, when hands can close what is left, and where tasks fit. */

/**
 * The hours each machine has for runs when all ends in [from, to].
 *
 * Two ways to say it, both true of every such plan: the hours up to the closing of `to`; or the hours up to `from`, less
 * what unhooping and finishing take at least, and the seconds between, which cost what ending later does. The second
 * says more, unless a break lies between.
 */
export function roomsOf(
  compiled: Compiled,
  jobs: readonly number[],
  chores: readonly number[],
): { at: (from: number, to: number) => Rooms; turns: readonly number[] } {
  const { problem, machines } = compiled;
  const able = ableHours(compiled, jobs);
  const waiting = waitingOf(compiled, jobs, able);
  const closing = closingFrom(compiled, jobs);
  const tailS = Math.min(...jobs.map((job) => compiled.unhoopS[job]! + compiled.finishS[job]!));
  const choreS = new Float64Array(machines);
  for (const chore of chores) {
    const m = compiled.choreMachine[chore]!;
    if (m >= 0) choreS[m]! += compiled.choreS[chore]!;
  }
  const headAt = problem.machines.map((_, m) =>
    jobs
      .filter((job) => compiled.choices[job]!.includes(m))
      .reduce(
        (least, job) => Math.min(least, byHands(compiled, compiled.release[job]!, compiled.hoopS[job]!)),
        NEVER,
      ),
  );
  const least = (seconds: readonly number[]): number => seconds.reduce((a, b) => Math.min(a, b), Infinity);
  const at = (from: number, to: number): Rooms => {
    const last = busyUntil(closing, to);
    const until = able.map((own) => measureUpTo(own, last));
    const sewing = able.map((own, m) =>
      Math.max(0, until[m]! - measureUpTo(own, Math.min(last, headAt[m]!))),
    );
    const whole = able.map((own, m) => measureUpTo(own, to) - choreS[m]!);
    const upTo = until.map((seconds, m) => Math.min(seconds, whole[m]!));
    const soft = able.map((own, m) =>
      Math.min(measureUpTo(own, from - tailS), measureUpTo(own, from) - choreS[m]!),
    );
    const spanS = to - from;
    const isSoft = sum(soft) + machines * Math.min(spanS, SOON_S) <= sum(upTo) + machines * 30;
    // Standing still after the last closing counts already.
    const keptS = isSoft
      ? choreS.reduce((all, seconds) => all + Math.max(0, tailS - seconds), 0)
      : sum(whole) - sum(upTo);
    const rooms = isSoft ? soft : upTo;
    // A machine left unused stands still for all its hours: no more is asked than the one with fewest has.
    const waitS = Math.max(0, Math.min(waiting.within(from, to) - keptS, least(rooms)));
    const laterS = isSoft ? spanS : 0;
    return { waitS, machines: rooms.map((allS, m) => ({ allS, sewingS: sewing[m]!, laterS })) };
  };
  return { at, turns: waiting.turns };
}

/** Of a long span the first minutes decide how its hours are said. */
const SOON_S = 600;

const sum = (seconds: readonly number[]): number => seconds.reduce((a, b) => a + b, 0);

/**
 * When a machine can be busy with runs: it is up, and somebody is there or the shop is open. While nobody is there it
 * can only go on with the one stretch that runs: no longer than the longest that needs no stop.
 */
export function ableHours(compiled: Compiled, jobs: readonly number[]): [number, number][][] {
  const { problem } = compiled;
  const there = joined(problem.hands.flatMap((hand) => hand.shifts));
  const alone = without(joined(problem.open), there).filter(([from, to]) => from < to);
  // A shift of no length leaves room for tasks of no length amid what looks unattended.
  const instants = problem.hands.some((hand) => hand.shifts.some(([from, to]) => from === to));
  return problem.machines.map((machine, m) => {
    const longestS = jobs.reduce(
      (most, job) =>
        compiled.choices[job]!.includes(m) ? Math.max(most, longestStretchS(compiled, job, m)) : most,
      0,
    );
    const down = joined(machine.down);
    const unattended = alone.flatMap((interval) => {
      // The run that is on may wait through a down time: its seconds count from when the machine is up.
      let left = instants ? Infinity : Math.ceil(longestS);
      return without([interval], down).map(([from, to]): [number, number] => {
        const until = Math.min(to, from + left);
        left -= until - from;
        return [from, until];
      });
    });
    return without(joined([...there, ...unattended]), down);
  });
}

/** When the unloading of a run that keeps its machine busy to `at` at least is over, by somebody's hand. */
export const unloadedBy = (compiled: Compiled, at: number): number => {
  const unloadS = Math.min(...compiled.unloadS);
  return byHands(compiled, Math.max(0, at - unloadS), unloadS);
};

/** When all can be over if some machine is busy to `at` at least: unloading, unhooping, finishing lie in shifts. */
export function closingFrom(compiled: Compiled, jobs: readonly number[]): (at: number) => number {
  const unhoopS = Math.min(...jobs.map((job) => compiled.unhoopS[job]!));
  const finishS = Math.min(...jobs.map((job) => compiled.finishS[job]!));
  const tailS = Math.min(...jobs.map((job) => compiled.unhoopS[job]! + compiled.finishS[job]!));
  return (at) => {
    const unloaded = unloadedBy(compiled, at);
    return Math.max(unloaded + tailS, byHands(compiled, byHands(compiled, unloaded, unhoopS), finishS));
  };
}

/** The last time up to which machines can be busy when all ends by `endAt`. */
export function busyUntil(closing: (at: number) => number, endAt: number): number {
  if (closing(0) > endAt) return 0;
  let low = 0;
  let high = Math.max(0, endAt);
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (closing(middle) <= endAt) low = middle;
    else high = middle - 1;
  }
  return low;
}

export const byHands = ({ shiftStart, shiftEnd }: Compiled, at: number, seconds: number): number =>
  fitFrom(shiftStart, shiftEnd, at, seconds) + seconds;

/** Seconds of these intervals before t. */
export function measureUpTo(intervals: readonly Interval[], t: number): number {
  let sum = 0;
  for (const [from, to] of intervals) sum += Math.max(0, Math.min(to, t) - from);
  return sum;
}

/** The first start from `at` on of something that lies whole in one of these. */
export function fitFrom(
  starts: readonly Int32Array[],
  ends: readonly Int32Array[],
  at: number,
  seconds: number,
): number {
  let best = NEVER;
  starts.forEach((own, h) =>
    own.forEach((from, i) => {
      const start = Math.max(from, at);
      if (start + seconds <= ends[h]![i]!) best = Math.min(best, start);
    }),
  );
  return best === NEVER ? at : best;
}

/** When so many seconds of these intervals have passed, counted from `at`. */
export function spreadFrom(starts: Int32Array, ends: Int32Array, at: number, seconds: number): number {
  let rest = seconds;
  for (let i = 0; i < starts.length; i++) {
    const from = Math.max(starts[i]!, at);
    const room = ends[i]! - from;
    if (room <= 0) continue;
    if (rest <= room) return from + rest;
    rest -= room;
  }
  return at + seconds;
}
