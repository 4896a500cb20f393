import { cheapestAssignment } from "./assignment";
import { type Compiled, joined, NEVER, without } from "./compile";
import type { Interval, PlanBounds } from "./problem";

/**
 * What no plan can beat, for the plans that leave the same things out.
 *
 * Threadings: a colour that some job needs, and that stands on none of the machines the job can go to, is threaded at
 * least once; on each machine that is a job's only choice, once there. Stops: each job's fewest on its best machine.
 * End: the work on machines, weighed by multipliers that are improved step by step (the Lagrangian dual of the
 * assignment of jobs to unrelated machines), against the time machines can work; the work of hands against their
 * shifts; each item alone in an empty shop. Lateness: the k-th run to leave a machine cannot leave before the k
 * shortest works are done, so the cheapest assignment of jobs to such places costs no more than any plan. Times,
 * threadings and lateness are bounded each by itself, hence their weighted sum bounds the cost.
 */
export function boundsOf(compiled: Compiled, left: ReadonlySet<number>): PlanBounds {
  const { cost } = compiled.problem;
  const items = [...compiled.doable].filter((item) => !left.has(item));
  const jobs = items.filter((item) => item < compiled.jobs);
  const chores = items.filter((item) => item >= compiled.jobs).map((item) => item - compiled.jobs);
  const works = new Map(jobs.map((job) => [job, worksOf(compiled, job)]));
  const threadings = Math.max(threadingsBound(compiled, jobs), 0);
  const midStops = jobs.reduce((sum, job) => sum + Math.min(...works.get(job)!.map((work) => work.stops)), 0);
  const pool = poolOf(compiled, jobs, chores, works, threadings);
  const alone = new Map(items.map((item) => [item, endAlone(compiled, item)]));
  const finishAt = Math.max(0, pool.endAt, handsBound(compiled, jobs, chores, threadings), ...alone.values());
  const lateS = latenessBound(compiled, jobs, chores, alone, pool);
  return {
    cost:
      (cost.perLateMinute * lateS) / 60 +
      cost.perThreading * threadings +
      cost.perMidStop * midStops +
      (cost.perFinishMinute * finishAt) / 60,
    threadings,
    finishAt,
  };
}

/** One choice of machine for a job, at its least. */
interface Work {
  readonly m: number;
  readonly stops: number;
  /** Threadings inside the run, at least. */
  readonly inside: number;
  /** Seconds the machine is busy with the run: loading, sewing, threading inside it, unloading. */
  readonly seconds: number;
  /** Of them, sewing. */
  readonly sewS: number;
}

function worksOf(compiled: Compiled, job: number): Work[] {
  const { problem, machines } = compiled;
  const { parts, trims } = problem.jobs[job]!;
  const stitches = parts.reduce((sum, part) => sum + part.stitches, 0);
  const changes = parts.filter((part, i) => i > 0 && part.colour !== parts[i - 1]!.colour).length;
  return [...compiled.choices[job]!].map((m) => {
    const machine = problem.machines[m]!;
    const stops = compiled.cuts[job * machines + m]![0]!.to.length - 1;
    const loose = new Set(compiled.colourOf[job]!.filter((colour) => compiled.heldAt[m]![colour]! < 0));
    const inside = Math.max(stops, loose.size - compiled.freeNeedles[m]!.length);
    // A stop saves a change of colour and costs a threading: the least is with as many as pay, or as few as can be.
    const taken = machine.threadS >= machine.colourChangeS ? inside : parts.length - 1;
    const sewing =
      (60 * stitches) / machine.stitchesPerMinute +
      machine.colourChangeS * Math.max(0, changes - taken) +
      machine.trimS * trims;
    const sewS = Math.ceil(sewing - 1e-6);
    return {
      m,
      stops,
      inside,
      sewS,
      seconds: machine.loadS + machine.unloadS + sewS + machine.threadS * inside,
    };
  });
}

function threadingsBound(compiled: Compiled, jobs: readonly number[]): number {
  const on = compiled.startColour.map((start, m) => {
    const own = new Set(start);
    compiled.heldAt[m]!.forEach((needle, colour) => needle >= 0 && own.add(colour));
    return own;
  });
  const forced = new Map<number, Set<number>>(); // colour → machines where it must be threaded
  const somewhere = new Set<number>();
  for (const job of jobs) {
    const choices = compiled.choices[job]!;
    for (const colour of compiled.colourOf[job]!) {
      if (choices.some((m) => on[m]!.has(colour))) continue;
      somewhere.add(colour);
      if (choices.length !== 1) continue;
      const own = forced.get(colour) ?? new Set();
      forced.set(colour, own.add(choices[0]!));
    }
  }
  let sum = 0;
  for (const colour of somewhere) sum += Math.max(1, forced.get(colour)?.size ?? 0);
  return sum;
}

/** Seconds of these intervals before t. */
function measureUpTo(intervals: readonly Interval[], t: number): number {
  let sum = 0;
  for (const [from, to] of intervals) sum += Math.max(0, Math.min(to, t) - from);
  return sum;
}

interface Pool {
  /** No plan ends before. */
  readonly endAt: number;
  /** When the first k runs can have left their machines, k from 1. */
  leaveAt(k: number): number;
}

function poolOf(
  compiled: Compiled,
  jobs: readonly number[],
  chores: readonly number[],
  works: ReadonlyMap<number, readonly Work[]>,
  threadings: number,
): Pool {
  const { problem, machines } = compiled;
  if (jobs.length === 0) return { endAt: 0, leaveAt: () => 0 };
  const someone = joined([...problem.open, ...problem.hands.flatMap((hand) => hand.shifts)]);
  const able = problem.machines.map((machine) => without(someone, joined(machine.down)));
  const choreS = new Float64Array(machines);
  for (const chore of chores) {
    const m = compiled.choreMachine[chore]!;
    if (m >= 0) choreS[m]! += compiled.choreS[chore]!;
  }
  const tailS = Math.min(...jobs.map((job) => compiled.unhoopS[job]! + compiled.finishS[job]!));
  // After a machine's last run comes that run's unhooping and finishing; only chores can go on beside them.
  for (let m = 0; m < machines; m++) choreS[m] = Math.max(0, choreS[m]! - tailS);
  // Threadings inside runs are in the runs' own time already, wherever they go.
  const inside = jobs.reduce((sum, job) => sum + Math.max(...works.get(job)!.map((work) => work.inside)), 0);
  const extra = Math.max(0, threadings - inside);
  const latest = someone.at(-1)?.[1] ?? 0;
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
    let cheapest = 0;
    for (let m = 1; m < machines; m++) {
      if (weights[m]! * compiled.threadS[m]! < weights[cheapest]! * compiled.threadS[cheapest]!) cheapest = m;
    }
    need += extra * weights[cheapest]! * compiled.threadS[cheapest]!;
    const t = soonest(weights, need);
    if (t > bestT) {
      bestT = t;
      bestWeights = weights.slice();
    }
    if (machines === 1) break;
    // Machines with more than they can do get dearer, those with less cheaper.
    const stepSize = 0.5 / (1 + round / 4);
    const span = Math.max(1, t);
    for (let m = 0; m < machines; m++) {
      const step = (stepSize * (load[m]! - measureUpTo(able[m]!, t))) / span;
      weights[m]! *= Math.exp(Math.max(-0.5, Math.min(0.5, step)));
    }
    const sum = weights.reduce((a, b) => a + b, 0);
    for (let m = 0; m < machines; m++) weights[m]! *= machines / sum;
  }
  const sizes = jobs.map((job) => least(bestWeights, job)).map((work) => bestWeights[work.m]! * work.seconds);
  sizes.sort((a, b) => a - b);
  const sums = [0];
  for (const size of sizes) sums.push(sums.at(-1)! + size);
  return { endAt: bestT + tailS, leaveAt: (k) => soonest(bestWeights, sums[k]!) };
}

function handsBound(
  compiled: Compiled,
  jobs: readonly number[],
  chores: readonly number[],
  threadings: number,
): number {
  let need = chores.reduce((sum, chore) => sum + compiled.choreS[chore]!, 0);
  for (const job of jobs) {
    const onMachine = [...compiled.choices[job]!].map((m) => compiled.loadS[m]! + compiled.unloadS[m]!);
    need += compiled.hoopS[job]! + compiled.unhoopS[job]! + compiled.finishS[job]! + Math.min(...onMachine);
  }
  if (threadings > 0) need += threadings * Math.min(...compiled.threadS);
  if (need === 0) return 0;
  const shifts = compiled.problem.hands.map((hand) => joined(hand.shifts));
  let low = 0;
  let high = compiled.lastShiftEnd;
  while (low < high) {
    const middle = (low + high) >> 1;
    const can = shifts.reduce((sum, own) => sum + measureUpTo(own, middle), 0);
    if (can >= need) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** The first start from `at` on of something that lies whole in one of these. */
function fitFrom(
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
function spreadFrom(starts: Int32Array, ends: Int32Array, at: number, seconds: number): number {
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

/** When an item could end with the shop to itself and every thread on its needle. */
function endAlone(compiled: Compiled, item: number): number {
  const { shiftStart, shiftEnd, jobs } = compiled;
  const byHand = (at: number, seconds: number) => fitFrom(shiftStart, shiftEnd, at, seconds) + seconds;
  const release = compiled.release[item]!;
  if (item >= jobs) return byHand(release, compiled.choreS[item - jobs]!);
  let soonest = NEVER;
  const hooped = byHand(release, compiled.hoopS[item]!);
  for (const work of worksOf(compiled, item)) {
    const { m } = work;
    const loaded = byHand(hooped, compiled.loadS[m]!);
    // Stops may spread a design over several intervals; one part alone lies whole in one.
    const whole = compiled.colourOf[item]!.length === 1;
    const [starts, ends] = [compiled.sewStart[m]!, compiled.sewEnd[m]!];
    const sewn = whole
      ? fitFrom([starts], [ends], loaded, work.sewS) + work.sewS
      : Math.max(
          loaded + work.sewS + work.inside * compiled.threadS[m]!,
          spreadFrom(starts, ends, loaded, work.sewS),
        );
    const unloaded = byHand(sewn, compiled.unloadS[m]!);
    soonest = Math.min(soonest, byHand(byHand(unloaded, compiled.unhoopS[item]!), compiled.finishS[item]!));
  }
  return soonest === NEVER ? 0 : soonest;
}

/** Weighted seconds of lateness, at least. */
function latenessBound(
  compiled: Compiled,
  jobs: readonly number[],
  chores: readonly number[],
  alone: ReadonlyMap<number, number>,
  pool: Pool,
): number {
  let sum = 0;
  for (const chore of chores) {
    const item = compiled.jobs + chore;
    sum += compiled.weight[item]! * Math.max(0, alone.get(item)! - compiled.due[item]!);
  }
  const leave = jobs.map((_, k) => pool.leaveAt(k + 1));
  const cost = (job: number, k: number): number => {
    const end = Math.max(alone.get(job)!, leave[k]! + compiled.unhoopS[job]! + compiled.finishS[job]!);
    return compiled.weight[job]! * Math.max(0, end - compiled.due[job]!);
  };
  const byDue = [...jobs].sort((a, b) => compiled.due[a]! - compiled.due[b]!);
  if (byDue.every((job, k) => cost(job, k) === 0)) return sum;
  if (jobs.length > 120) {
    return (
      sum +
      jobs.reduce(
        (late, job) => late + compiled.weight[job]! * Math.max(0, alone.get(job)! - compiled.due[job]!),
        0,
      )
    );
  }
  return sum + cheapestAssignment(jobs.length, (row, column) => cost(jobs[row]!, column));
}
