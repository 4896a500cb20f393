import { boundsOf } from "./bounds";
import { buildPlan } from "./build";
import { type Candidate, pullFirst } from "./candidate";
import { compile } from "./compile";
import { movedJobs } from "./moved";
import { knownStarts } from "./newcomers";
import { polished, settled } from "./replan";
import { greedyCandidates, recipeOf } from "./starts";
import type { Plan, PlanBounds, PlanWishes, Problem } from "./problem";
import { type Bench, evaluate } from "./bench";
import { MOST_NEWCOMERS } from "./first-islands";
import { runRound } from "./round";
import { createSearch, type Search } from "./search";

/** How far a search is. */
export interface Progress {
  readonly evaluations: number;
  /** The best so far. */
  readonly cost: number;
  readonly threadings: number;
  readonly lateJobs: number;
  readonly unplanned: number;
  /** Proven for plans that leave the same things unplanned. */
  readonly bound: PlanBounds;
}

export interface SolveOptions {
  readonly seed?: number;
  /** Ends the search at the first island's round that reaches it. */
  readonly evaluations?: number;
  /** Asked between rounds; true ends the search with the best so far. */
  readonly stop?: (progress: Progress) => boolean;
  /** Told whenever the best gets better. */
  readonly watch?: (progress: Progress) => void;
  readonly wishes?: PlanWishes;
  /** Quick bounds are weaker and cost next to nothing: for a new plan at once. Thorough when left out. */
  readonly bounds?: "thorough" | "quick";
  /** Seconds passed since the start, for the solver's note; the core reads no clock. */
  readonly elapsedS?: () => number;
}

/** The best plan found, on one thread. Without `evaluations` and `stop` it stops after 20,000 evaluations. */
export function solve(problem: Problem, options: SolveOptions = {}): Plan {
  const seed = options.seed ?? 1;
  const limit = options.evaluations ?? (options.stop ? Infinity : 20_000);
  const search = createSearch(problem, seed, options.wishes);
  const follow = follower(search, options.watch);
  const over = (): boolean => {
    const progress = follow();
    return (
      search.evaluations() >= limit || (options.stop?.(progress) ?? false) || isProvenBest(search, progress)
    );
  };
  while (!over()) search.absorb(search.nextRound(limit).map((task) => runRound(search.bench, task)));
  return finishPlan(search, { seconds: options.elapsedS?.() ?? 0, seed }, options.bounds);
}

/** Whether nothing is left to gain: the bound is reached, and nothing is left out that could be done. */
export function isProvenBest(search: Search, progress: Progress): boolean {
  const { doable, impossible } = search.bench.compiled;
  if (doable.length === 0) return true;
  return progress.unplanned === impossible.length && progress.cost <= progress.bound.cost + 1e-6;
}

interface SearchNote {
  readonly seconds: number;
  readonly seed: number;
}

/** The search's best written as a plan with its bounds. */
export function finishPlan(search: Search, note: SearchNote, depth: "thorough" | "quick" = "thorough"): Plan {
  const { bench } = search;
  const { previous } = bench.wishes;
  const smooth = depth === "thorough" ? polished(bench, search.best()) : search.best();
  const best = previous ? settled(bench, smooth, previous).candidate : smooth;
  return written(search, best, note, depth);
}

/** The best so far as it stands, with quick bounds: for telling of it while the search goes on. */
export const planSoFar = (search: Search, note: SearchNote): Plan =>
  written(search, search.best(), note, "quick");

function written(search: Search, best: Candidate, note: SearchNote, depth: "thorough" | "quick"): Plan {
  const { bench } = search;
  const { previous } = bench.wishes;
  const built = buildPlan(bench.decoder, best);
  return {
    format: "spoolwright/plan@1",
    ...built,
    bounds: boundsFor(search, built.unplanned, depth),
    solver: {
      seconds: note.seconds,
      seed: note.seed,
      evaluations: search.evaluations(),
      recipe: recipeOf(bench.compiled, best),
      ...(previous ? { moved: movedJobs(previous, built.runs) } : {}),
    },
  };
}

/**
 * A plan at once: the plan people know, or the best of the greedy starts, with nothing proven yet (its bounds are zero). For showing something
 * within a few tenths of a second while the search makes itself ready.
 */
export function firstPlan(bench: Bench): Plan {
  const { previous } = bench.wishes;
  const tried = previous
    ? knownStarts(bench, previous, MOST_NEWCOMERS).found
    : greedyCandidates(bench.compiled).map((candidate) => {
        if (bench.anyFirst) pullFirst(candidate.order, bench.first);
        return { candidate, score: evaluate(bench, candidate, Infinity) };
      });
  const best = tried.reduce((least, one) => (one.score < least.score ? one : least));
  const built = buildPlan(bench.decoder, best.candidate);
  return {
    format: "spoolwright/plan@1",
    ...built,
    bounds: { cost: 0, threadings: 0, finishAt: 0 },
    solver: { seconds: 0, seed: 0, evaluations: 0 },
  };
}

/** Thorough bounds for a plan that was told of before they were worked out. */
export function planBounds(problem: Problem, plan: Plan): PlanBounds {
  const compiled = compile(problem);
  const left = new Set<number>();
  const unplanned = new Set(plan.unplanned.map((entry) => entry.job ?? entry.chore));
  problem.jobs.forEach((job, j) => unplanned.has(job.id) && left.add(j));
  problem.chores.forEach((chore, c) => unplanned.has(chore.id) && left.add(compiled.jobs + c));
  return boundsOf(compiled, left);
}

interface LeftOut {
  readonly job?: string;
  readonly chore?: string;
}

/** Bounds already worked out for a search, by what is left out. */
const known = new WeakMap<Search, Map<string, PlanBounds>>();

/** What something else has proven, of plans that leave out only what cannot be done, by search. */
const learned = new WeakMap<Search, PlanBounds>();

/** Tells a search what has been proven beside it (`proofModel`, whose thorough bounds it then need not work out itself). */
export function learnBounds(search: Search, proven: PlanBounds): void {
  learned.set(search, higher(proven, learned.get(search)));
}

const higher = (one: PlanBounds, other: PlanBounds | undefined): PlanBounds =>
  other
    ? {
        cost: Math.max(one.cost, other.cost),
        threadings: Math.max(one.threadings, other.threadings),
        finishAt: Math.max(one.finishAt, other.finishAt),
      }
    : one;

/** Bounds take some tenths of a second for a large shop; each is worked out once, and thorough ones serve for quick. */
function boundsFor(search: Search, unplanned: readonly LeftOut[], depth: "thorough" | "quick"): PlanBounds {
  const { compiled } = search.bench;
  const jobs = new Set(unplanned.map((entry) => entry.job));
  const chores = new Set(unplanned.map((entry) => entry.chore));
  const left = new Set<number>();
  compiled.problem.jobs.forEach((job, j) => jobs.has(job.id) && left.add(j));
  compiled.problem.chores.forEach((chore, c) => chores.has(chore.id) && left.add(compiled.jobs + c));
  const own = known.get(search) ?? new Map<string, PlanBounds>();
  known.set(search, own);
  const key = [...left].join();
  const proven = left.size === compiled.impossible.length ? learned.get(search) : undefined;
  const wanted = proven ? "quick" : depth;
  const bounds =
    own.get(`thorough ${key}`) ?? own.get(`${wanted} ${key}`) ?? boundsOf(compiled, left, wanted);
  own.set(`${wanted} ${key}`, bounds);
  return higher(bounds, proven);
}

/**
 * Thorough bounds take as long as some thousand evaluations: they are worked out beside the search once it has done so
 * many, and for more than a few items once it has had time (evaluations × items) to do its best first.
 */
const QUICK_UNTIL = 3000;
const FEW_ITEMS = 14;
const QUICK_WORK = 6e6;

/**
 * Tells of progress; at first with bounds that are quickly had, later with thorough ones: of more than a few items only
 * where nothing beside the search proves them.
 */
export function follower(
  search: Search,
  watch?: SolveOptions["watch"],
  proofs: "here" | "beside" = "here",
): () => Progress {
  let told = Infinity;
  let progress: Progress | null = null;
  let thorough = false;
  let known: PlanBounds | undefined;
  return () => {
    const proven = learned.get(search);
    const score = search.bestScore();
    const evaluations = search.evaluations();
    const items = search.bench.compiled.doable.length;
    const isTime = items <= FEW_ITEMS || (proofs === "here" && evaluations * items > QUICK_WORK);
    const isDue = !thorough && evaluations > QUICK_UNTIL && isTime;
    if (progress === null || score < told || isDue || proven !== known) {
      const built = buildPlan(search.bench.decoder, search.best());
      progress = {
        evaluations,
        cost: built.totals.cost,
        threadings: built.totals.threadings,
        lateJobs: built.totals.lateJobs,
        unplanned: built.unplanned.length,
        bound: boundsFor(search, built.unplanned, isDue || thorough ? "thorough" : "quick"),
      };
      thorough ||= isDue;
      known = proven;
      if (score < told) watch?.(progress);
      told = score;
    } else progress = { ...progress, evaluations };
    return progress;
  };
}
