import { cheapestAssignment } from "./assignment";
import { type Compiled, joined, NEVER, without } from "./compile";
import { type Cover, createCover, type MachineRoom } from "./cover";
import { lineCostBound } from "./one-machine";
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
export function boundsOf(
  compiled: Compiled,
  left: ReadonlySet<number>,
  depth: "thorough" | "quick" = "thorough",
): PlanBounds {
  const { cost } = compiled.problem;
  const items = [...compiled.doable].filter((item) => !left.has(item));
  const jobs = items.filter((item) => item < compiled.jobs);
  const chores = items.filter((item) => item >= compiled.jobs).map((item) => item - compiled.jobs);
  const works = new Map(jobs.map((job) => [job, worksOf(compiled, job)]));
  const thorough = depth === "thorough" && jobs.length > 0;
  const cover = thorough ? createCover(compiled, jobs, (job) => works.get(job)!) : null;
  const roomAt = roomsOf(compiled, jobs, chores);
  const latest = compiled.lastShiftEnd;
  const covered = cover?.least(roomAt(latest), { perThreading: 1, perMidStop: 0 }, 80) ?? 0;
  const threadings = Math.max(
    threadingsBound(compiled, jobs),
    covered < Infinity ? Math.ceil(covered - 1e-6) : 0,
  );
  const midStops = jobs.reduce((sum, job) => sum + Math.min(...works.get(job)!.map((work) => work.stops)), 0);
  const pool = poolOf(compiled, jobs, chores, works, threadings);
  const alone = new Map(items.map((item) => [item, endAlone(compiled, item)]));
  const finishAt = Math.max(0, pool.endAt, handsBound(compiled, jobs, chores, threadings), ...alone.values());
  const lateS = latenessBound(compiled, jobs, chores, alone, pool);
  const apart = Math.max(
    cost.perThreading * threadings + cost.perMidStop * midStops,
    thorough ? lineCostBound(compiled, jobs, threadings) : 0,
  );
  const work = cover === null ? 0 : tradeBound({ compiled, cover, roomAt, finishAt, latest, apart });
  return {
    cost: downAHair(
      (cost.perLateMinute * lateS) / 60 + Math.max(work, apart + (cost.perFinishMinute * finishAt) / 60),
    ),
    threadings,
    finishAt,
  };
}

interface Trade {
  readonly compiled: Compiled;
  readonly cover: Cover;
  readonly roomAt: (endAt: number) => MachineRoom[];
  readonly finishAt: number;
  readonly latest: number;
  /** What threadings and stops cost at least whenever all ends. */
  readonly apart: number;
}

/** Spans of time the end is looked for in, at most. */
const MOST_SPANS = 12;

/**
 * Threadings, stops and finishing together: a plan that ends in [from, to) pays for ending at `from` and for the
 * threadings that machines with hours up to `to` cannot avoid. The dearest-proven spans are left, the cheapest halved.
 */
function tradeBound({ compiled, cover, roomAt, finishAt, latest, apart }: Trade): number {
  const { cost } = compiled.problem;
  const leastUpTo = (endAt: number, rounds: number): number =>
    Math.max(apart, cover.least(roomAt(endAt), cost, rounds));
  const spans = [{ from: finishAt, to: Math.max(latest, finishAt), work: leastUpTo(latest, 60) }];
  const worth = (span: { from: number; work: number }) => (cost.perFinishMinute * span.from) / 60 + span.work;
  const cheapest = () => spans.reduce((a, b) => (worth(b) < worth(a) ? b : a));
  for (let tries = 0; tries < MOST_SPANS && cost.perFinishMinute > 0; tries++) {
    const span = cheapest();
    // Where ending later alone would eat up what fewer threadings save, there is nothing to look for.
    const far = (60 * Math.max(apart, span.work)) / cost.perFinishMinute / 8;
    const middle = Math.round(span.from + Math.min((span.to - span.from) / 2, Math.max(60, far)));
    if (span.to - span.from < 60 || middle <= span.from) break;
    const work = Math.max(span.work, leastUpTo(middle, 50));
    spans.splice(spans.indexOf(span), 1, { ...span, to: middle, work }, { ...span, from: middle });
  }
  return worth(cheapest());
}

/** The hours each machine has for runs when all ends at a given time. */
function roomsOf(
  compiled: Compiled,
  jobs: readonly number[],
  chores: readonly number[],
): (endAt: number) => MachineRoom[] {
  const { problem, machines } = compiled;
  const able = ableHours(compiled, jobs);
  const closing = closingFrom(compiled, jobs);
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
  return (endAt) => {
    const last = busyUntil(closing, endAt);
    return able.map((own, m) => {
      const allS = measureUpTo(own, last);
      return {
        allS: Math.min(allS, measureUpTo(own, endAt) - choreS[m]!),
        sewingS: Math.max(0, allS - measureUpTo(own, Math.min(last, headAt[m]!))),
      };
    });
  };
}

/**
 * When a machine can be busy with runs: it is up, and somebody is there or the shop is open. While nobody is there it
 * can only go on with the one stretch that runs: no longer than the longest design.
 */
function ableHours(compiled: Compiled, jobs: readonly number[]): [number, number][][] {
  const { problem } = compiled;
  const there = joined(problem.hands.flatMap((hand) => hand.shifts));
  const alone = without(joined(problem.open), there).filter(([from, to]) => from < to);
  // A shift of no length leaves room for tasks of no length amid what looks unattended.
  const instants = problem.hands.some((hand) => hand.shifts.some(([from, to]) => from === to));
  return problem.machines.map((machine, m) => {
    const longestS = jobs.reduce(
      (most, job) => Math.max(most, ...worksOf(compiled, job).map((work) => (work.m === m ? work.busyS : 0))),
      0,
    );
    const unattended = alone.map(([from, to]): [number, number] => [
      from,
      instants ? to : Math.min(to, from + Math.ceil(longestS)),
    ]);
    return without(joined([...there, ...unattended]), joined(machine.down));
  });
}

/** When the unloading of a run that keeps its machine busy to `at` at least is over, by somebody's hand. */
const unloadedBy = (compiled: Compiled, at: number): number => {
  const unloadS = Math.min(...compiled.unloadS);
  return byHands(compiled, Math.max(0, at - unloadS), unloadS);
};

/** When all can be over if some machine is busy to `at` at least: unloading, unhooping, finishing lie in shifts. */
function closingFrom(compiled: Compiled, jobs: readonly number[]): (at: number) => number {
  const unhoopS = Math.min(...jobs.map((job) => compiled.unhoopS[job]!));
  const finishS = Math.min(...jobs.map((job) => compiled.finishS[job]!));
  const tailS = Math.min(...jobs.map((job) => compiled.unhoopS[job]! + compiled.finishS[job]!));
  return (at) => {
    const unloaded = unloadedBy(compiled, at);
    return Math.max(unloaded + tailS, byHands(compiled, byHands(compiled, unloaded, unhoopS), finishS));
  };
}

/** The last time up to which machines can be busy when all ends by `endAt`. */
function busyUntil(closing: (at: number) => number, endAt: number): number {
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

const byHands = ({ shiftStart, shiftEnd }: Compiled, at: number, seconds: number): number =>
  fitFrom(shiftStart, shiftEnd, at, seconds) + seconds;

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
  readonly beyond: number;
  readonly busyS: number;
  readonly changesS: number;
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
    const beyond = Math.max(0, loose.size - compiled.freeNeedles[m]!.length);
    const inside = Math.max(stops, beyond);
    // A stop saves a change of colour and costs a threading: the least is with as many as pay, or as few as can be.
    const taken = machine.threadS >= machine.colourChangeS ? inside : parts.length - 1;
    const sewing =
      (60 * stitches) / machine.stitchesPerMinute +
      machine.colourChangeS * Math.max(0, changes - taken) +
      machine.trimS * trims;
    const sewS = Math.ceil(sewing - 1e-6);
    const changesS = machine.colourChangeS * changes;
    const unbroken = (60 * stitches) / machine.stitchesPerMinute + changesS + machine.trimS * trims;
    return {
      m,
      stops,
      inside,
      beyond,
      sewS,
      busyS: machine.loadS + machine.unloadS + Math.max(0, unbroken - 1e-6),
      changesS,
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
  const { machines } = compiled;
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
    let cheapest = 0;
    for (let m = 1; m < machines; m++) {
      if (weights[m]! * compiled.threadS[m]! < weights[cheapest]! * compiled.threadS[cheapest]!) cheapest = m;
    }
    need += extra * weights[cheapest]! * compiled.threadS[cheapest]!;
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
  const { jobs } = compiled;
  const byHand = (at: number, seconds: number) => byHands(compiled, at, seconds);
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
    const closed = byHands(
      compiled,
      byHands(compiled, leave[k]!, compiled.unhoopS[job]!),
      compiled.finishS[job]!,
    );
    const end = Math.max(alone.get(job)!, closed);
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

/** Sums of floating numbers may lie a hair above what they stand for; a bound must not. */
const downAHair = (bound: number): number => bound * (1 - 1e-13);
