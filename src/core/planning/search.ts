import { type Bench, createBench } from "./bench";
import type { Candidate } from "./candidate";
import { coolingCourse } from "./cooling";
import type { Course } from "./course";
import { firstIslands, LARGE_JOBS, SKETCH_JOBS } from "./first-islands";
import { adapted } from "./move-shares";
import type { PlanWishes, Problem } from "./problem";
import { replicaCourse } from "./replicas";
import { type RoundResult, type RoundTask, scaleOf } from "./round";
import { sketchCourse } from "./sketch-course";

/**
 * The search: islands that do rounds, and take something from one another after each. A round is a fixed number of
 * evaluations on one island and depends on nothing but what it is given, so any thread may do it; rounds are counted
 * in a fixed order. Hence the same problem, seed and number of evaluations give the same plan on any number of
 * threads. A day is searched by replica exchange (`replicas.ts`), a larger shop, which has no time to wander, by cooling
 * (`cooling.ts`), one larger still by sketches that are mended (`sketch-course.ts`).
 */
export interface Search {
  readonly bench: Bench;
  /** The tasks of the next round, one an island; any order, any thread. Fewer when `most` evaluations come first. */
  nextRound(most?: number): RoundTask[];
  /** Takes the results of a round: all, or the first few islands' when time is up. */
  absorb(results: readonly RoundResult[]): void;
  readonly best: () => Candidate;
  readonly bestScore: () => number;
  readonly evaluations: () => number;
}

/** Islands that cool, and temperatures of replica exchange. */
const COOLING = 2;
const REPLICAS = 4;
/** Room for seeds of a round's tasks: those of the islands, and one beside them. */
const SEEDS_A_ROUND = 5;

/**
 * What is weighed on a day in the end: two threadings, half a stop, two minutes of its end. Where due times are tight,
 * most moves from a first plan cost far more than that in lateness, and their middle is no measure of heat.
 */
function tradeOf({ compiled }: Bench): number {
  const { perThreading, perMidStop, perFinishMinute } = compiled.problem.cost;
  return 2 * perThreading + perMidStop / 2 + 2 * perFinishMinute || Infinity;
}

/** A search; `bench`: one made already of the same problem and wishes. */
export function createSearch(
  problem: Problem,
  seed: number,
  wishes: PlanWishes = {},
  bench: Bench = createBench(problem, wishes),
): Search {
  const { compiled } = bench;
  const exchanges = !bench.line && compiled.jobs < SKETCH_JOBS;
  const {
    islands,
    best: first,
    evaluations: begun,
  } = firstIslands(bench, exchanges ? REPLICAS : COOLING, seed);
  let { candidate: best, score: bestScore } = first;
  let evaluations = begun;
  const items = compiled.doable.length;
  const perRound = Math.max(60, Math.min(1000, Math.round(16_000 / Math.max(1, items))));
  let shares: readonly number[] = bench.shares;
  let course: Course | null = null;
  let round = 0;

  function begin(): Course {
    const { scale, evaluations: tried } = scaleOf(bench, islands[0]!, seed ^ 0x5eed);
    evaluations += tried;
    if (exchanges) return replicaCourse({ islands, perRound, unit: Math.min(scale, tradeOf(bench)), seed });
    if (!bench.line && compiled.jobs >= LARGE_JOBS)
      return sketchCourse({
        islands,
        perRound,
        trade: Math.min(scale, tradeOf(bench)),
        jobs: compiled.jobs,
        machines: compiled.machines,
      });
    // A larger shop has no time to cool from far: it begins from its sketch and stays near.
    const calm = Math.min(1, (60 / Math.max(1, items)) ** 2);
    const unit = calm === 1 ? Math.min(scale, tradeOf(bench)) : scale;
    return coolingCourse({ islands, perRound, unit, calm });
  }

  return {
    bench,
    best: () => best,
    bestScore: () => bestScore,
    evaluations: () => evaluations,
    nextRound(most = Infinity) {
      course ??= begin();
      return course.next({ best, bestScore }, most - evaluations).map((step) => ({
        ...step,
        round,
        seed:
          (Math.imul(seed + 1, 0x9e3779b1) ^
            Math.imul(round * SEEDS_A_ROUND + step.island + 1, 0x85ebca6b)) >>>
          0,
        shares,
      }));
    },
    absorb(results) {
      const inOrder = [...results].sort((a, b) => a.island - b.island);
      shares = adapted(
        bench.shares,
        shares,
        inOrder.flatMap(({ tally }) => (tally ? [tally] : [])),
      );
      for (const { state, evaluations: done } of inOrder) {
        evaluations += done;
        if (state.bestScore < bestScore) ({ best, bestScore } = state);
      }
      course!.absorb(inOrder, { best, bestScore });
      round++;
    },
  };
}
