import { type Difference, differences, inOrder, onMachine, type Replay, replayOf } from "./elsewhere";
import type { Job, OneThing, Plan, Problem, Run } from "./problem";
import { whyLate } from "./why-late";
import { counted, lengthWords, listed } from "./words";

/** What ids are called on screen; an id without a name stands for itself. */
export interface PlanNames {
  readonly jobs?: ReadonlyMap<string, string>;
  readonly machines?: ReadonlyMap<string, string>;
  readonly hoops?: ReadonlyMap<string, string>;
  readonly colours?: ReadonlyMap<string, string>;
}

/** What a plan can be asked about its items. */
export interface Explanation {
  /** One true sentence for each job: why it stands where it stands. */
  readonly whys: ReadonlyMap<string, string>;
  /** For each late job and chore what binds it. */
  readonly late: ReadonlyMap<string, string>;
}

export interface ExplainOptions {
  readonly names?: PlanNames;
  /** Jobs on their machines already. */
  readonly running?: readonly string[];
  /** Jobs in their frames already. */
  readonly hooped?: readonly string[];
  /** Jobs of one thing each, as in the plan's wishes. */
  readonly oneThing?: OneThing;
  /** `told` says what can be seen in the plan alone; `tried` also what it would cost to put each job elsewhere, and why what is late is late: some ten decodings a job. */
  readonly depth?: "told" | "tried";
}

/** Explains a whole plan. A plan that cannot be decoded again exactly is explained as `told`. */
export function explainPlan(problem: Problem, plan: Plan, options: ExplainOptions = {}): Explanation {
  const { names = {}, depth = "tried" } = options;
  const replay = depth === "tried" ? replayOf(problem, plan, options.oneThing) : null;
  const speaker = speakerOf(problem, plan, options, replay);
  return {
    whys: new Map(problem.jobs.map((job) => [job.id, speaker(job)])),
    late: replay ? whyLate(problem, plan, replay, names) : new Map(),
  };
}

/** One true sentence on why a job stands where it stands. */
export function explainJob(
  problem: Problem,
  plan: Plan,
  jobId: string,
  options: ExplainOptions = {},
): string {
  const job = problem.jobs.find((entry) => entry.id === jobId);
  if (!job) return "It is not part of this plan.";
  const replay = options.depth === "told" ? null : replayOf(problem, plan, options.oneThing);
  return speakerOf(problem, plan, options, replay)(job);
}

/** Cost that says nothing: some seconds of the day's end. */
const TRIFLE = 0.1;

function speakerOf(
  problem: Problem,
  plan: Plan,
  { names = {}, running = [], hooped = [] }: ExplainOptions,
  replay: Replay | null,
): (job: Job) => string {
  const asks = replay ? differences(replay) : null;
  const number = new Map(problem.jobs.map((job, index) => [job.id, index]));
  const runs = new Map(plan.runs.map((run) => [run.job, run]));
  const finished = new Map(
    plan.tasks.flatMap((task) => (task.do === "finish" ? [[task.job!, task.end]] : [])),
  );
  const machineName = (id: string) => names.machines?.get(id) ?? id;
  const [isRunning, isHooped] = [new Set(running), new Set(hooped)];

  /** What the best place on another machine would cost, where there is one. */
  function elsewhere(job: Job): string | null {
    if (!replay || !asks) return null;
    const index = number.get(job.id)!;
    const here = replay.candidate.machine[index]!;
    let best: { m: number; difference: Difference } | null = null;
    for (const m of replay.compiled.choices[index]!) {
      if (m === here) continue;
      const difference = asks.bestOf(onMachine(replay, index, m));
      if (difference && (best === null || difference.cost < best.difference.cost)) best = { m, difference };
    }
    if (!best) return null;
    const name = machineName(problem.machines[best.m]!.id);
    if (best.difference.leftOut > 0) return `on ${name} something would find no place any more`;
    if (best.difference.cost < -TRIFLE)
      return plan.solver["moved"] === undefined
        ? `a longer look may find it a better place on ${name}`
        : `moving it to ${name} would gain too little to be worth it`;
    if (best.difference.cost < TRIFLE) return `${name} would do as well`;
    return `on ${name} instead: ${differenceWords(best.difference)}`;
  }

  function otherOrder(job: Job): string | null {
    if (!replay || !asks) return null;
    const index = number.get(job.id)!;
    for (const [where, words] of [
      ["first", "sewn first there"],
      ["later", "sewn one place later"],
    ] as const) {
      const change = inOrder(replay, index, where);
      const difference = change && asks.bestOf([change]);
      if (!difference) continue;
      if (difference.leftOut > 0) return `${words}, something would find no place any more`;
      return TRIFLE <= difference.cost ? `${words}: ${differenceWords(difference)}` : null;
    }
    return null;
  }

  return (job) => {
    const run = runs.get(job.id);
    if (!run) {
      const why = plan.unplanned.find((entry) => entry.job === job.id)?.why;
      return why === undefined ? "It is not part of this plan." : `Left out: ${why}.`;
    }
    const due = dueReason(finished.get(job.id), job);
    if (isRunning.has(job.id))
      return sentence([`it is on ${machineName(run.machine)} now and stays there`, due]);
    const only = onlyMachine(problem, run, job, names);
    return sentence([
      isHooped.has(job.id) ? "it is in its frame already" : null,
      threadReason(problem, plan, run, job, names),
      only ?? elsewhere(job),
      otherOrder(job),
      due,
    ]);
  };
}

function sentence(reasons: readonly (string | null)[]): string {
  const said = reasons.filter((reason) => reason !== null).join("; ");
  return `${said.charAt(0).toUpperCase()}${said.slice(1)}.`;
}

/** What a change would cost, in what people count: "2 more threadings, the day ends 4 min later". */
function differenceWords({ threadings, midStops, lateS, finishS }: Difference): string {
  const worse: string[] = [];
  const better: string[] = [];
  const count = (by: number, one: string, many?: string) => {
    if (by !== 0)
      (by > 0 ? worse : better).push(
        `${Math.abs(by)} ${by > 0 ? "more" : "fewer"} ${Math.abs(by) === 1 ? one : (many ?? `${one}s`)}`,
      );
  };
  count(threadings, "threading");
  count(midStops, "stop inside a design", "stops inside designs");
  if (Math.abs(lateS) >= 60)
    (lateS > 0 ? worse : better).push(
      `${lengthWords(Math.abs(lateS))} ${lateS > 0 ? "more" : "less"} late in all`,
    );
  if (Math.abs(finishS) >= 60)
    (finishS > 0 ? worse : better).push(
      `the day ends ${lengthWords(Math.abs(finishS))} ${finishS > 0 ? "later" : "sooner"}`,
    );
  if (worse.length === 0) return "a little dearer";
  return better.length === 0 ? listed(worse) : `${listed(worse)}, though ${listed(better)}`;
}

function dueReason(end: number | undefined, job: Job): string | null {
  if (job.dueAt === null || end === undefined) return null;
  const spare = job.dueAt - end;
  return spare < 0
    ? `it is late by ${lengthWords(-spare)}`
    : `it is done ${lengthWords(spare)} before it is due`;
}

function onlyMachine(problem: Problem, run: Run, job: Job, names: PlanNames): string | null {
  const name = names.machines?.get(run.machine) ?? run.machine;
  if (problem.machines.length < 2) return null;
  const allowed = problem.machines.filter(
    (machine) => job.machines === null || job.machines.includes(machine.id),
  );
  if (allowed.length === 1) return `${name} is the only machine it may go to`;
  const taking = allowed.filter((machine) => job.hoop === null || machine.hoops.includes(job.hoop));
  if (taking.length === 1)
    return `${name} is the only machine that takes its frame ${names.hoops?.get(job.hoop!) ?? job.hoop}`;
  const colours = new Set(job.parts.map((part) => part.colour)).size;
  const wide = taking.filter((machine) => machine.needles >= colours);
  if (wide.length === 1 && wide[0]!.id === run.machine)
    return `${name} is the only machine with needles for its ${colours} threads`;
  return null;
}

/** What it shares with the run before it, or with what is on the machine at the start, and what is threaded for it. */
function threadReason(problem: Problem, plan: Plan, run: Run, job: Job, names: PlanNames): string {
  const before = plan.runs
    .filter((one) => one.machine === run.machine && one.stretches[0]!.start < run.stretches[0]!.start)
    .reduce<Run | null>(
      (last, one) => (last === null || last.stretches[0]!.start < one.stretches[0]!.start ? one : last),
      null,
    );
  const own = new Set(job.parts.map((part) => part.colour));
  const threadings = plan.tasks.filter((task) => task.do === "thread" && task.job === job.id).length;
  const taken =
    threadings === 0 ? "nothing is threaded for it" : `${counted(threadings, "threading")} for it`;
  if (before === null) {
    const machine = problem.machines.find((entry) => entry.id === run.machine)!;
    const ready = [...own].filter((colour) => machine.threaded.includes(colour)).length;
    return `first on its machine, where ${onWords(ready, own.size)}; ${taken}`;
  }
  const other = problem.jobs.find((entry) => entry.id === before.job)!;
  const theirs = new Set(other.parts.map((part) => part.colour));
  const shared = [...own].filter((colour) => theirs.has(colour)).length;
  const name = names.jobs?.get(before.job) ?? before.job;
  if (own.size === 1)
    return shared === 1
      ? `sews with a thread of ${name} before it; ${taken}`
      : `its thread is not one of ${name} before it; ${taken}`;
  return shared === 0
    ? `shares no thread with ${name} before it; ${taken}`
    : `shares ${shared === own.size ? `all ${shared}` : `${shared} of its ${own.size}`} threads with ${name} before it; ${taken}`;
}

function onWords(ready: number, all: number): string {
  if (all === 1) return ready === 1 ? "its thread is on already" : "its thread is not on yet";
  if (ready === 0) return "none of its threads is on yet";
  return ready === all
    ? `all ${all} of its threads are on already`
    : `${ready} of its ${all} threads ${ready === 1 ? "is" : "are"} on already`;
}
