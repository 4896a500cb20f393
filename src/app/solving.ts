import { type Plan, type PlanWishes, type Problem, solve } from "#core/planning";
import { startPlanThread } from "./plan-thread";
import type { LeaderOrders } from "./plan-worker";

export interface SolvingProgress {
  readonly best: {
    readonly cost: number;
    readonly threadings: number;
    readonly lateJobs: number;
    readonly evaluations: number;
  };
  readonly bound: { readonly cost: number; readonly threadings: number; readonly finishAt: number };
}

export interface SolvingOptions {
  readonly seconds: number;
  readonly seed: number;
  /** Threads that search; the plan does not depend on it for the same number of evaluations. */
  readonly threads: number;
  /** Ends the search at this many evaluations, when that comes first. */
  readonly evaluations?: number | undefined;
  readonly wishes?: PlanWishes;
  readonly onProgress?: (progress: SolvingProgress) => void;
  /** Ends the search at once; the best plan so far is the answer. */
  readonly signal?: AbortSignal;
  /** Told when a thread broke off and the best plan so far is the answer all the same. */
  readonly onTrouble?: (trouble: unknown) => void;
}

interface Told {
  readonly progress: {
    cost: number;
    threadings: number;
    lateJobs: number;
    evaluations: number;
    bound: SolvingProgress["bound"];
  };
  readonly plan: Plan | null;
  readonly last?: boolean;
}

/** A thread that does not answer a stop within this time is ended. */
const PATIENCE_MS = 250;
/** A leader that dies before it has told of a plan is started anew, at most so often. */
const MOST_STARTS = 3;
const MEMORY_MB = 1024;

/**
 * Solves a problem off the main thread. A thread that dies, spins or runs out of memory leaves the best plan told so
 * far; without one the search is started again, and after three starts the error is thrown. Aborting answers with
 * the best so far.
 */
export async function solveInWorkers(problem: Problem, options: SolvingOptions): Promise<Plan> {
  let failure: unknown = null;
  for (let start = 0; start < MOST_STARTS; start++) {
    const { plan, error } = await leadOnce(problem, options);
    if (plan) {
      if (error !== null && !options.signal?.aborted) options.onTrouble?.(error);
      return plan;
    }
    failure = error;
    // Stopped before the first plan: a start alone, which takes a fraction of a second.
    if (options.signal?.aborted) return solve(problem, firstOnly(options));
  }
  throw failure instanceof Error ? failure : new Error(`The planner's thread broke off: ${String(failure)}`);
}

const firstOnly = ({ seed, wishes }: SolvingOptions) => ({
  seed,
  evaluations: 1,
  ...(wishes ? { wishes } : {}),
});

function leadOnce(problem: Problem, options: SolvingOptions): Promise<{ plan: Plan | null; error: unknown }> {
  const { seconds, seed, wishes = {}, signal, onProgress } = options;
  const threads = Math.max(1, Math.floor(options.threads));
  const orders: LeaderOrders = {
    role: "leader",
    problem,
    wishes,
    seconds,
    seed,
    threads,
    evaluations: options.evaluations ?? null,
  };
  return new Promise((resolve) => {
    let plan: Plan | null = null;
    let finished = false;
    const worker = startPlanThread(orders, { resourceLimits: { maxOldGenerationSizeMb: MEMORY_MB } });
    const timers: NodeJS.Timeout[] = [];
    const finish = (error: unknown): void => {
      if (finished) return;
      finished = true;
      timers.forEach((timer) => clearTimeout(timer));
      signal?.removeEventListener("abort", stop);
      void worker.terminate();
      resolve({ plan, error });
    };
    const stop = (): void => {
      worker.postMessage("stop");
      timers.push(setTimeout(() => finish(new Error("stopped")), PATIENCE_MS));
    };
    // A round that never comes back: long after the time given, take what there is.
    timers.push(
      setTimeout(() => finish(new Error("The planner's thread did not answer")), seconds * 1000 + 30_000),
    );
    worker.on("message", (told: Told) => {
      if (told.plan) plan = told.plan;
      const { cost, threadings, lateJobs, evaluations, bound } = told.progress;
      if (!finished) onProgress?.({ best: { cost, threadings, lateJobs, evaluations }, bound });
      if (told.last) finish(null);
    });
    worker.on("error", finish);
    worker.on("exit", (code) => finish(new Error(`The planner's thread ended with ${code}`)));
    if (signal?.aborted) stop();
    else signal?.addEventListener("abort", stop, { once: true });
  });
}
