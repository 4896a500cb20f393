import type { Compiled } from "../compile";
import { type Candidate, newCandidate } from "../candidate";
import type { Island, RoundResult, RoundTask } from "../round";
import { NEVER } from "../compile";
import { createCounter } from "./count";
import { insertBeside } from "./exact";
import { innerJobs, lineOn, partOf } from "./line";
import { type OrderState, searchOrder, startOrder } from "./order";
import { createTardyKernel, type TardyState } from "./tardiness";

export { lineCostBound } from "./bound";
export { polish } from "./polish";

/**
 * Where a day is a classical problem of one machine, its own search does the rounds: an order is judged in a
 * microsecond, where decoding the day takes twenty or more. Two are known: nothing but threadings costs (job
 * sequencing and tool switching), and nothing but lateness does, with every thread on its needle (weighted tardiness).
 * Every order found is decoded as any other, so what a plan holds does not depend on this being right.
 */
export interface LineWork {
  /** A candidate to begin from, and how many evaluations it took. */
  start(): { candidate: Candidate; evaluations: number };
  /** A round on one island in place of the general one. */
  round(task: RoundTask): RoundResult;
}

/** What an island carries from round to round for it. */
export type LineState = OrderState | TardyState;

/** One search for both: orders of jobs in, states and orders out. */
interface LineSearch<State> {
  begin(order: readonly number[]): State;
  go(state: State, evaluations: number, seed: number): State;
  /** What the state's best costs, and the best itself, all jobs. */
  worth(state: State): number;
  order(state: State): Int32Array;
}

/** Steps of annealing, passes of dynasearch, that count as one evaluation. */
const STEPS = 40;
const PASSES = 1;
const START_EVALUATIONS = 100;

/** The day's own search, null where it is none of the classical problems. `evaluate` scores a candidate. */
export function createLineWork(
  compiled: Compiled,
  evaluate: (candidate: Candidate) => number,
): LineWork | null {
  const m = onlyMachine(compiled);
  if (m < 0) return null;
  const jobs = [...compiled.doable];
  const search = threadingsOnly(compiled, m, jobs) ?? tardinessOnly(compiled, m, jobs);
  return search && workOf(compiled, jobs, search as LineSearch<LineState>, evaluate);
}

function workOf(
  compiled: Compiled,
  jobs: readonly number[],
  search: LineSearch<LineState>,
  evaluate: (candidate: Candidate) => number,
): LineWork {
  const place = new Map(jobs.map((job, at) => [job, at]));
  const candidateOf = (state: LineState): Candidate =>
    newCandidate(
      compiled,
      [...search.order(state)].map((at) => jobs[at]!),
    );
  const begin = (from: Candidate): LineState => search.begin([...from.order].map((job) => place.get(job)!));
  return {
    start() {
      const state = search.go(search.begin([...jobs.keys()]), START_EVALUATIONS, 0x11e);
      return { candidate: candidateOf(state), evaluations: START_EVALUATIONS };
    },
    round({ island, round, state, evaluations, seed }) {
      const known = state.line ?? begin(state.current);
      const line = search.go(known, evaluations, seed);
      let next: Island = { ...state, line };
      if (!state.line || search.worth(line) < search.worth(known)) {
        const best = candidateOf(line);
        const score = evaluate(best);
        if (score < state.bestScore)
          next = { current: best, best, currentScore: score, bestScore: score, line };
      }
      return { island, round, state: next, evaluations };
    },
  };
}

/** The one machine that all jobs go to, with nothing else to be done; −1 when there are several, or chores. */
function onlyMachine(compiled: Compiled): number {
  const { doable, choices } = compiled;
  let only = -1;
  for (const item of doable) {
    if (item >= compiled.jobs || choices[item]!.length !== 1) return -1;
    if (only >= 0 && choices[item]![0] !== only) return -1;
    only = choices[item]![0]!;
  }
  return doable.length < 2 ? -1 : only;
}

const isDue = (compiled: Compiled, job: number): boolean =>
  compiled.due[job]! < NEVER && compiled.weight[job]! > 0;

function threadingsOnly(compiled: Compiled, m: number, jobs: number[]): LineSearch<OrderState> | null {
  const { cost } = compiled.problem;
  if (cost.perThreading <= 0 || cost.perFinishMinute > 0) return null;
  if (cost.perLateMinute > 0 && jobs.some((job) => isDue(compiled, job))) return null;
  // Cuts that stop for thread where no stop must be are a matter for the general search.
  if (jobs.some((job) => compiled.cuts[job * compiled.machines + m]!.length > 1)) return null;
  const line = lineOn(compiled, m, jobs);
  if (!line) return null;
  const { inner, beside } = innerJobs(line);
  const counter = createCounter(partOf(line, inner));
  const innerPlace = new Map(inner.map((job, at) => [job, at]));
  return {
    begin: (order) =>
      startOrder(
        counter,
        Int32Array.from(order.filter((job) => innerPlace.has(job)).map((job) => innerPlace.get(job)!)),
      ),
    go: (state, evaluations, seed) => searchOrder(counter, state, evaluations * STEPS, seed),
    worth: (state) => state.bestCount,
    order: (state) =>
      insertBeside(
        [...state.best].map((at) => inner[at]!),
        beside,
      ),
  };
}

function tardinessOnly(compiled: Compiled, m: number, jobs: number[]): LineSearch<TardyState> | null {
  const { cost } = compiled.problem;
  if (cost.perLateMinute <= 0 || cost.perFinishMinute > 0) return null;
  const on = new Set(compiled.startColour[m]!);
  for (const job of jobs) {
    const cut = compiled.cuts[job * compiled.machines + m]![0]!;
    if (cut.to.length !== 1 || cut.colours.some((colour) => !on.has(colour))) return null;
    if (compiled.release[job]! > 0 || compiled.hoopKind[job]! >= 0) return null;
    if (compiled.hoopS[job]! + compiled.unhoopS[job]! + compiled.finishS[job]! > 0) return null;
  }
  if (compiled.downStart[m]!.length > 0) return null;
  const kernel = createTardyKernel({
    seconds: Float64Array.from(
      jobs,
      (job) =>
        compiled.cuts[job * compiled.machines + m]![0]!.sewS + compiled.loadS[m]! + compiled.unloadS[m]!,
    ),
    weight: Float64Array.from(jobs, (job) => compiled.weight[job]!),
    due: Float64Array.from(jobs, (job) => (isDue(compiled, job) ? compiled.due[job]! : Infinity)),
  });
  return {
    begin: (order) => kernel.start(Int32Array.from(order)),
    go: (state, evaluations, seed) => kernel.search(state, evaluations * PASSES, seed),
    worth: (state) => state.bestTardiness,
    order: (state) => state.best,
  };
}
