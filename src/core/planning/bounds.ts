import { cheapestAssignment } from "./assignment";
import { byHands, fitFrom, measureUpTo, roomsOf, spreadFrom } from "./able-hours";
import { type Compiled, joined, NEVER } from "./compile";
import { createCover } from "./cover";
import { worksOf } from "./job-works";
import { lineCostBound } from "./one-machine";
import { threadedAgain } from "./pinned-bound";
import { type Pool, poolOf } from "./pool-bound";
import type { PlanBounds } from "./problem";
import { tradeBound } from "./trade-bound";

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
  const { cost, threadings, finishAt } = boundsApart(compiled, left, depth);
  return { cost, threadings, finishAt };
}

/** As `boundsOf`, with what lateness alone costs at least. */
export function boundsApart(
  compiled: Compiled,
  left: ReadonlySet<number>,
  depth: "thorough" | "quick",
): PlanBounds & { readonly lateness: number } {
  const { cost } = compiled.problem;
  const items = [...compiled.doable].filter((item) => !left.has(item));
  const jobs = items.filter((item) => item < compiled.jobs);
  const chores = items.filter((item) => item >= compiled.jobs).map((item) => item - compiled.jobs);
  const works = new Map(jobs.map((job) => [job, worksOf(compiled, job)]));
  const thorough = depth === "thorough" && jobs.length > 0;
  const again = compiled.startColour.map((_, m) => (thorough ? threadedAgain(compiled, m, jobs) : 0));
  const cover = thorough ? createCover(compiled, jobs, (job) => works.get(job)!, again) : null;
  const rooms = roomsOf(compiled, jobs, chores);
  const latest = compiled.lastShiftEnd + 1; // spans leave their last second out
  const covered =
    cover?.least(
      rooms.at(latest, latest),
      { perThreading: 1, perMidStop: 0, perLaterSecond: 0 },
      80,
      cover.fresh(),
    ) ?? 0;
  const threadings = Math.max(
    threadingsBound(compiled, jobs) + again.reduce((sum, count) => sum + count, 0),
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
  const traded = cover === null ? 0 : tradeBound({ compiled, cover, rooms, finishAt, latest, apart });
  // Thousands of roundings stand behind it: less than that is taken off, so that it never ends above what it proves.
  const work = traded - ROUNDED * (1 + traded);
  const lateness = downAHair((cost.perLateMinute * lateS) / 60);
  return {
    cost: downAHair(lateness + Math.max(work, apart + (cost.perFinishMinute * finishAt) / 60)),
    threadings,
    finishAt,
    lateness,
  };
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
const ROUNDED = 1e-8;
const downAHair = (bound: number): number => bound * (1 - 1e-13);
