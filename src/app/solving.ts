import type { Worker } from "node:worker_threads";
import { type ExplainOptions, type Plan, type PlanWishes, type Problem, solve } from "#core/planning";
import { startPlanThread } from "./plan-thread";
import type { Explained, LeaderOrders, Told } from "./plan-worker";

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

export interface AgainOptions {
  /** 0 for an answer at once. */
  readonly seconds: number;
  readonly seed: number;
  readonly wishes: PlanWishes & { readonly previous: Plan };
  readonly signal?: AbortSignal;
}

/** A thread that does not answer a stop within this time is ended. */
const PATIENCE_MS = 250;
/** Orders are given anew to a fresh thread when one died before it had told of a plan, at most so often. */
const MOST_STARTS = 3;
const MEMORY_MB = 1024;
/** Explaining and proving a large plan may take so long; without an answer the plan stays as it is. */
const EXPLAIN_S = 60;

interface Outcome {
  readonly plan: Plan | null;
  readonly told: Told | null;
  readonly error: unknown;
}

/**
 * The planner's leading thread, kept warm from one plan to the next. One order at a time: a further one waits. A
 * thread that dies, spins or runs out of memory leaves the best plan told so far and is replaced; without a plan the
 * order is given again, and after three times the error is thrown. Aborting answers with the best so far.
 */
export class PlanThreads {
  private idle: Worker | null = null;
  private turn: Promise<unknown> = Promise.resolve();

  /** Starts the thread before it is needed. */
  warm(): void {
    this.idle ??= this.start();
  }

  solve(problem: Problem, options: SolvingOptions): Promise<Plan> {
    const { seconds, seed, wishes = {}, evaluations } = options;
    const threads = Math.max(1, Math.floor(options.threads));
    return this.planned(
      { kind: "solve", problem, wishes, seconds, seed, threads, evaluations: evaluations ?? null },
      options,
    );
  }

  /** Plans a day in hand anew; see `createReplanning`. */
  again(problem: Problem, options: AgainOptions): Promise<Plan> {
    const { seconds, seed, wishes } = options;
    return this.planned({ kind: "again", problem, wishes, seconds, seed }, options);
  }

  /** Explains a plan and proves its bounds; null where that broke off. */
  async explain(problem: Problem, plan: Plan, options: ExplainOptions): Promise<Explained | null> {
    const { told } = await this.inTurn({ kind: "explain", problem, plan, options }, { seconds: EXPLAIN_S });
    return told?.explained ?? null;
  }

  async close(): Promise<void> {
    await this.turn.catch(() => undefined);
    await this.idle?.terminate();
    this.idle = null;
  }

  private async planned(
    orders: LeaderOrders & { readonly wishes: PlanWishes },
    options: Pick<SolvingOptions, "seconds" | "seed" | "onProgress" | "onTrouble" | "signal">,
  ): Promise<Plan> {
    let failure: unknown = null;
    for (let start = 0; start < MOST_STARTS; start++) {
      const { plan, error } = await this.inTurn(orders, options);
      if (plan) {
        if (error !== null && !options.signal?.aborted) options.onTrouble?.(error);
        return plan;
      }
      failure = error;
      // Stopped before the first plan: a start alone, which takes a fraction of a second.
      if (options.signal?.aborted)
        return solve(orders.problem, { seed: options.seed, evaluations: 1, wishes: orders.wishes });
    }
    throw failure instanceof Error
      ? failure
      : new Error(`The planner's thread broke off: ${String(failure)}`);
  }

  private inTurn(orders: LeaderOrders, options: Parameters<typeof this.once>[1]): Promise<Outcome> {
    const turn = this.turn.then(() => this.once(orders, options));
    this.turn = turn;
    return turn;
  }

  private start(): Worker {
    const worker = startPlanThread(
      { role: "leader" },
      { resourceLimits: { maxOldGenerationSizeMb: MEMORY_MB } },
    );
    // A thread that waits keeps no program alive, and one that dies waiting is replaced when it is needed.
    worker.unref();
    worker.once("exit", () => {
      if (this.idle === worker) this.idle = null;
    });
    worker.on("error", () => undefined);
    return worker;
  }

  private once(
    orders: LeaderOrders,
    {
      seconds,
      signal,
      onProgress,
    }: { seconds: number; signal?: AbortSignal; onProgress?: SolvingOptions["onProgress"] },
  ): Promise<Outcome> {
    return new Promise((resolve) => {
      let plan: Plan | null = null;
      let finished = false;
      const worker = this.idle ?? this.start();
      this.idle = null;
      worker.ref();
      const timers: NodeJS.Timeout[] = [];
      const finish = (error: unknown, told: Told | null = null): void => {
        if (finished) return;
        finished = true;
        timers.forEach((timer) => clearTimeout(timer));
        signal?.removeEventListener("abort", stop);
        worker.off("message", hear);
        worker.off("error", broken);
        worker.off("exit", ended);
        if (error === null) {
          worker.unref();
          if (this.idle) void worker.terminate();
          else this.idle = worker;
        } else void worker.terminate();
        resolve({ plan, told, error });
      };
      const stop = (): void => {
        worker.postMessage("stop");
        timers.push(setTimeout(() => finish(new Error("stopped")), PATIENCE_MS));
      };
      const hear = (told: Told): void => {
        if (told.trouble !== undefined) return finish(new Error(told.trouble));
        if (told.plan) plan = told.plan;
        if (told.progress) {
          const { cost, threadings, lateJobs, evaluations, bound } = told.progress;
          onProgress?.({ best: { cost, threadings, lateJobs, evaluations }, bound });
        }
        if (told.last) finish(null, told);
      };
      const broken = (error: unknown): void => finish(error ?? new Error("The planner's thread broke off"));
      const ended = (code: number): void => finish(new Error(`The planner's thread ended with ${code}`));
      worker.on("message", hear);
      worker.on("error", broken);
      worker.on("exit", ended);
      // A round that never comes back: long after the time given, take what there is.
      timers.push(
        setTimeout(() => finish(new Error("The planner's thread did not answer")), seconds * 1000 + 30_000),
      );
      worker.postMessage(orders);
      if (signal?.aborted) stop();
      else signal?.addEventListener("abort", stop, { once: true });
    });
  }
}

/** Solves one problem off the main thread, on threads of its own. */
export async function solveInWorkers(problem: Problem, options: SolvingOptions): Promise<Plan> {
  const threads = new PlanThreads();
  try {
    return await threads.solve(problem, options);
  } finally {
    await threads.close();
  }
}
