import { parentPort, type Worker, workerData } from "node:worker_threads";
import {
  type Bench,
  createBench,
  createSearch,
  finishPlan,
  firstPlan,
  follower,
  isProvenBest,
  type Plan,
  type PlanWishes,
  type Problem,
  type RoundResult,
  type RoundTask,
  runRound,
} from "#core/planning";
import { startPlanThread } from "./plan-thread";

/**
 * The planner's threads. The leader makes the search, shares each round among itself and its helpers, and tells of
 * every better plan; a helper does the rounds it is given. A round depends on nothing but its task, so a helper that
 * dies costs only time: the leader does its rounds itself.
 */
export interface LeaderOrders {
  readonly role: "leader";
  readonly problem: Problem;
  readonly wishes: PlanWishes;
  readonly seconds: number;
  readonly seed: number;
  readonly threads: number;
  readonly evaluations: number | null;
}

export interface HelperOrders {
  readonly role: "helper";
  readonly problem: Problem;
  readonly wishes: PlanWishes;
}

const orders = workerData as LeaderOrders | HelperOrders;
const port = parentPort!;

/** A plan is told of at most this often, so that telling does not slow the search. */
const TELL_EVERY_MS = 150;

interface Helper {
  /** Up, and not dead. */
  ready: boolean;
  readonly worker: Worker;
  waiting: { task: RoundTask; give: (result: RoundResult) => void; fail: () => void } | null;
}

function startHelpers(count: number, { problem, wishes }: LeaderOrders): Helper[] {
  return Array.from({ length: count }, () => {
    const workerOrders: HelperOrders = { role: "helper", problem, wishes };
    const worker = startPlanThread(workerOrders);
    const helper: Helper = { ready: false, worker, waiting: null };
    const lost = (): void => {
      helper.ready = false;
      helper.waiting?.fail();
      helper.waiting = null;
    };
    worker.on("error", lost);
    worker.on("exit", lost);
    worker.on("message", (result: RoundResult | "ready") => {
      if (result === "ready") {
        helper.ready = true;
        return;
      }
      const { waiting } = helper;
      helper.waiting = null;
      waiting?.give(result);
    });
    return helper;
  });
}

function ask(helper: Helper, task: RoundTask): Promise<RoundResult | null> {
  return new Promise((resolve) => {
    if (!helper.ready) return resolve(null);
    helper.waiting = { task, give: resolve, fail: () => resolve(null) };
    helper.worker.postMessage(task);
  });
}

/** Whoever is free takes the next task of the round; the leader makes good for helpers that died. */
async function doRound(
  bench: Bench,
  tasks: readonly RoundTask[],
  helpers: readonly Helper[],
): Promise<RoundResult[]> {
  const results: RoundResult[] = [];
  let next = 0;
  const byHelper = helpers.map(async (helper) => {
    while (helper.ready && next < tasks.length) {
      const task = tasks[next++]!;
      results.push((await ask(helper, task)) ?? runRound(bench, task));
    }
  });
  while (next < tasks.length) {
    results.push(runRound(bench, tasks[next++]!));
    await breath();
  }
  await Promise.all(byHelper);
  return results;
}

function tellFirst(plan: Plan): void {
  const { cost, threadings, lateJobs } = plan.totals;
  port.postMessage({ progress: { cost, threadings, lateJobs, evaluations: 0, bound: plan.bounds }, plan });
}

/** Lets messages come in. */
const breath = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

async function lead(own: LeaderOrders): Promise<void> {
  const startedMs = performance.now();
  const elapsedS = (): number => (performance.now() - startedMs) / 1000;
  let stopped = false;
  port.on("message", () => (stopped = true));
  const helpers = startHelpers(own.threads - 1, own);
  // Something to look at before the search has made itself ready.
  tellFirst(firstPlan(own.problem, own.wishes));
  const search = createSearch(own.problem, own.seed, own.wishes);
  const follow = follower(search);
  let toldMs = -Infinity;
  let told = Infinity;
  const tell = (): void => {
    if (performance.now() - toldMs < TELL_EVERY_MS) return;
    toldMs = performance.now();
    const better = search.bestScore() < told;
    told = search.bestScore();
    const progress = follow();
    port.postMessage({
      progress,
      plan: better ? finishPlan(search, { seconds: elapsedS(), seed: own.seed }, "quick") : null,
    });
  };
  tell();
  await breath();
  const most = own.evaluations ?? Infinity;
  while (
    !stopped &&
    elapsedS() < own.seconds &&
    search.evaluations() < most &&
    !isProvenBest(search, follow())
  ) {
    const tasks = search.nextRound(most);
    search.absorb(await doRound(search.bench, tasks, helpers));
    tell();
    await breath();
  }
  const plan = finishPlan(search, { seconds: elapsedS(), seed: own.seed });
  port.postMessage({ progress: follow(), plan, last: true });
  await Promise.all(helpers.map((helper) => helper.worker.terminate()));
  port.close();
}

if (orders.role === "helper") {
  const bench = createBench(orders.problem, orders.wishes);
  port.on("message", (task: RoundTask) => port.postMessage(runRound(bench, task)));
  port.postMessage("ready");
} else {
  void lead(orders);
}
