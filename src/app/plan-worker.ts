import { availableParallelism } from "node:os";
import { parentPort, type Worker, workerData } from "node:worker_threads";
import {
  type Bench,
  carefulTotals,
  createBench,
  createReplanning,
  createSearch,
  type ExplainOptions,
  type Explanation,
  explainPlan,
  finishPlan,
  firstPlan,
  follower,
  isProvenBest,
  learnBounds,
  type Plan,
  planBounds,
  type PlanBounds,
  planSoFar,
  type PlanTotals,
  type PlanWishes,
  type Problem,
  type Progress,
  type RoundResult,
  type RoundTask,
  runRound,
} from "#core/planning";
import type { Proof, ProofOrders } from "./plan-proof-worker";
import { startPlanThread } from "./plan-thread";
import { startThread } from "./threads";

/**
 * The planner's threads. A leader waits for orders, so that a plan can be asked of a thread that is warm already; one
 * thing at a time. It makes the search, shares each round among itself and its helpers, and tells of every better plan;
 * a helper does the rounds it is given. A round depends on nothing but its task, so a helper that dies costs only
 * time: the leader does its rounds itself.
 */
export type LeaderOrders = SolveOrders | AgainOrders | ExplainOrders;

/** Looks for the best plan. */
export interface SolveOrders {
  readonly kind: "solve";
  readonly problem: Problem;
  readonly wishes: PlanWishes;
  readonly seconds: number;
  readonly seed: number;
  readonly threads: number;
  readonly evaluations: number | null;
}

/** Plans a day in hand anew, moving little: an answer at once where `seconds` is 0, else the best it finds by then. */
export interface AgainOrders {
  readonly kind: "again";
  readonly problem: Problem;
  readonly wishes: PlanWishes & { readonly previous: Plan };
  readonly seconds: number;
  readonly seed: number;
}

/** Explains a plan and proves its bounds. */
export interface ExplainOrders {
  readonly kind: "explain";
  readonly problem: Problem;
  readonly plan: Plan;
  readonly options: ExplainOptions;
}

export interface Explained {
  readonly explanation: Explanation;
  readonly bounds: PlanBounds;
  /** What working the same day off as it came would give. */
  readonly careful: PlanTotals;
}

/** What a leader tells. */
export interface Told {
  readonly progress?: Progress;
  readonly plan?: Plan | null;
  readonly explained?: Explained;
  readonly last?: boolean;
  /** Why the orders could not be carried out. */
  readonly trouble?: string;
}

/** What a helper's rounds are of, from now on. */
interface HelperSubject {
  readonly problem: Problem;
  readonly wishes: PlanWishes;
}

const own = workerData as { readonly role: "leader" | "helper" };
const port = parentPort!;
const tell = (told: Told): void => port.postMessage(told);

/** A plan is told of at most this often, so that telling does not slow the search. */
const TELL_EVERY_MS = 150;
/** An answer at once: so many evaluations, in portions, and no longer than so. */
const AT_ONCE = 600;
const PORTION = 100;
const AT_ONCE_MS = 110;

interface Helper {
  /** Has this search's problem, and is not dead. */
  ready: boolean;
  dead: boolean;
  readonly worker: Worker;
  waiting: { task: RoundTask; give: (result: RoundResult) => void; fail: () => void } | null;
}

/** Helpers stay from one search to the next, warm as they are, so long. */
const HELPER_IDLE_MS = 10 * 60_000;
let helpers: readonly Helper[] = [];
let idling: NodeJS.Timeout | undefined;

/** So many helpers for a search; each is ready when it has made itself acquainted with the problem. */
function helpersFor(count: number, { problem, wishes }: SolveOrders): readonly Helper[] {
  clearTimeout(idling);
  const alive = helpers.filter((helper) => !helper.dead);
  for (const { worker } of alive.splice(count)) void worker.terminate();
  helpers = [...alive, ...Array.from({ length: count - alive.length }, startHelper)];
  for (const helper of helpers) {
    helper.ready = false;
    helper.worker.postMessage({ problem, wishes } satisfies HelperSubject);
  }
  return helpers;
}

function leaveHelpers(): void {
  idling = setTimeout(() => {
    for (const { worker } of helpers) void worker.terminate();
    helpers = [];
  }, HELPER_IDLE_MS);
  idling.unref();
}

function startHelper(): Helper {
  const worker = startPlanThread({ role: "helper" });
  worker.unref();
  const helper: Helper = { ready: false, dead: false, worker, waiting: null };
  const lost = (): void => {
    helper.ready = false;
    helper.dead = true;
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

/** Lets messages come in. */
const breath = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

/** A search of so many seconds has a solver beside it, for days of so many jobs: of larger ones it proves less than we do. */
const SOLVER_FROM_S = 5;
const SOLVER_JOBS = 60;
/** The solver takes this share of the time, and no longer than so: it may take processor time from the search. */
const SOLVER_SHARE = 0.6;
const SOLVER_MOST_S = 30;

/** Begins to prove beside the search, where there is a processor for it or time. It only ever helps: what ends it is no matter. */
function startProof(
  { problem, seconds, threads, evaluations }: SolveOrders,
  tell: (proof: Proof) => void,
): Worker | null {
  // Where evaluations are counted the answer must not depend on how fast something else is.
  if (evaluations !== null || problem.jobs.length === 0) return null;
  const solves = seconds >= SOLVER_FROM_S && problem.jobs.length <= SOLVER_JOBS;
  if (!solves && threads >= availableParallelism()) return null;
  const worker = startThread("plan-proof-worker", {
    problem,
    seconds: solves ? Math.min(SOLVER_MOST_S, SOLVER_SHARE * seconds) : 0,
  } satisfies ProofOrders);
  worker.unref();
  worker.on("message", tell);
  worker.on("error", () => undefined);
  return worker;
}

let stopped = false;

async function search(orders: SolveOrders): Promise<void> {
  const startedMs = performance.now();
  const elapsedS = (): number => (performance.now() - startedMs) / 1000;
  const beside = helpersFor(orders.threads - 1, orders);
  // Something to look at before the search has made itself ready.
  const bench = createBench(orders.problem, orders.wishes);
  const first = firstPlan(bench);
  const { cost, threadings, lateJobs } = first.totals;
  tell({
    progress: {
      cost,
      threadings,
      lateJobs,
      unplanned: first.unplanned.length,
      evaluations: 0,
      bound: first.bounds,
    },
    plan: first,
  });
  const going = createSearch(orders.problem, orders.seed, orders.wishes, bench);
  const proof = startProof(orders, (proven) => learnBounds(going, proven));
  // The thorough bounds of a day take longer than a quarter of a short search: they wait until it is over.
  const follow = follower(going, undefined, orders.evaluations === null ? "beside" : "here");
  let toldMs = -Infinity;
  let told = Infinity;
  const tellNow = (): void => {
    if (performance.now() - toldMs < TELL_EVERY_MS) return;
    toldMs = performance.now();
    const better = going.bestScore() < told;
    told = going.bestScore();
    const progress = follow();
    tell({
      progress,
      plan: better ? planSoFar(going, { seconds: elapsedS(), seed: orders.seed }) : null,
    });
  };
  tellNow();
  await breath();
  const most = orders.evaluations ?? Infinity;
  while (
    !stopped &&
    elapsedS() < orders.seconds &&
    going.evaluations() < most &&
    !isProvenBest(going, follow())
  ) {
    const tasks = going.nextRound(most);
    going.absorb(await doRound(going.bench, tasks, beside));
    tellNow();
    await breath();
  }
  // Whoever stops waits for no proof: a thread that takes its time over one is ended.
  const depth = stopped ? "quick" : "thorough";
  const plan = finishPlan(going, { seconds: elapsedS(), seed: orders.seed }, depth);
  tell({ progress: follow(), plan, last: true });
  leaveHelpers();
  await proof?.terminate();
}

async function again({ problem, wishes, seconds, seed }: AgainOrders): Promise<void> {
  const startedMs = performance.now();
  const elapsedS = (): number => (performance.now() - startedMs) / 1000;
  const going = createReplanning(problem, wishes, seed);
  const readyMs = performance.now();
  for (let done = 0; done < AT_ONCE && performance.now() - readyMs < AT_ONCE_MS; done += PORTION)
    going.step(PORTION);
  let plan = going.plan({ seconds: elapsedS(), seed });
  if (seconds > 0) {
    tell({ plan });
    await breath();
    while (!stopped && elapsedS() < seconds) {
      going.step(PORTION);
      await breath();
    }
    plan = going.plan({ seconds: elapsedS(), seed });
  }
  tell({ plan, last: true });
}

async function lead(orders: LeaderOrders): Promise<void> {
  stopped = false;
  try {
    if (orders.kind === "solve") await search(orders);
    else if (orders.kind === "again") await again(orders);
    else {
      const { problem, plan, options } = orders;
      const explanation = explainPlan(problem, plan, options);
      const careful = carefulTotals(problem, options);
      tell({ explained: { explanation, careful, bounds: planBounds(problem, plan) }, last: true });
    }
  } catch (reason) {
    tell({
      trouble: reason instanceof Error ? (reason.stack ?? reason.message) : String(reason),
      last: true,
    });
  }
}

if (own.role === "helper") {
  let bench: Bench | null = null;
  port.on("message", (message: RoundTask | HelperSubject) => {
    if ("problem" in message) {
      bench = createBench(message.problem, message.wishes);
      port.postMessage("ready");
    } else if (bench) port.postMessage(runRound(bench, message));
  });
} else {
  port.on("message", (message: LeaderOrders | "stop") => {
    if (message === "stop") stopped = true;
    else void lead(message);
  });
}
