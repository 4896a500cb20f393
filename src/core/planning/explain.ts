import { boundsOf } from "./bounds";
import { buildPlan } from "./build";
import { compile } from "./compile";
import { createDecoder } from "./decode";
import type { Job, Plan, Problem, Run } from "./problem";
import { carefulCandidate } from "./starts";

/**
 * What a careful person would plan: earliest due first, each job on the machine that finishes it first, the least
 * recently used needle re-threaded. The measure a plan is shown against.
 */
export function carefulPerson(problem: Problem): Plan {
  const compiled = compile(problem);
  const decoder = createDecoder(compiled);
  decoder.rule = "least-recently-used";
  const candidate = carefulCandidate(decoder);
  const built = buildPlan(decoder, candidate);
  const left = new Set<number>();
  compiled.doable.forEach((item) => decoder.endOf[item]! < 0 && left.add(item));
  return {
    format: "spoolwright/plan@1",
    ...built,
    bounds: boundsOf(compiled, left),
    solver: { seconds: 0, seed: 0, evaluations: compiled.jobs },
  };
}

export interface PlanDescription {
  readonly jobs: number;
  /** Jobs and chores that end after they are due, the latest first. */
  readonly late: readonly { readonly id: string; readonly lateS: number }[];
  /** What ends nearest before its due time; null when nothing has one or all that have are late. */
  readonly tightest: { readonly id: string; readonly spareS: number } | null;
  readonly threadings: number;
  readonly threadingsBound: number;
  readonly midStops: number;
  readonly finishAt: number;
  readonly finishBound: number;
  readonly unplanned: number;
}

/** The figures of a plan's headline. */
export function describePlan(problem: Problem, plan: Plan): PlanDescription {
  const due = new Map([...problem.jobs, ...problem.chores].map((item) => [item.id, item.dueAt]));
  const late: { id: string; lateS: number }[] = [];
  let tightest: { id: string; spareS: number } | null = null;
  for (const task of plan.tasks) {
    const id = task.do === "finish" ? task.job! : task.do === "chore" ? task.chore! : null;
    const dueAt = id === null ? null : (due.get(id) ?? null);
    if (id === null || dueAt === null) continue;
    const spareS = dueAt - task.end;
    if (spareS < 0) late.push({ id, lateS: -spareS });
    else if (tightest === null || spareS < tightest.spareS) tightest = { id, spareS };
  }
  late.sort((a, b) => b.lateS - a.lateS);
  return {
    jobs: plan.runs.length,
    late,
    tightest,
    threadings: plan.totals.threadings,
    threadingsBound: plan.bounds.threadings,
    midStops: plan.totals.midStops,
    finishAt: plan.totals.finishAt,
    finishBound: plan.bounds.finishAt,
    unplanned: plan.unplanned.length,
  };
}

/** What ids are called on screen; an id without a name stands for itself. */
export interface PlanNames {
  readonly jobs?: ReadonlyMap<string, string>;
  readonly machines?: ReadonlyMap<string, string>;
  readonly hoops?: ReadonlyMap<string, string>;
  readonly colours?: ReadonlyMap<string, string>;
}

/** One true sentence on why a job stands where it stands. */
export function explainJob(problem: Problem, plan: Plan, jobId: string, names: PlanNames = {}): string {
  const job = problem.jobs.find((entry) => entry.id === jobId);
  if (!job) return "It is not part of this plan.";
  const run = plan.runs.find((entry) => entry.job === jobId);
  if (!run) {
    const why = plan.unplanned.find((entry) => entry.job === jobId)?.why;
    return why === undefined ? "It is not part of this plan." : `Left out: ${why}.`;
  }
  const reasons = [
    dueReason(plan, job),
    machineReason(problem, run, job, names),
    threadReason(problem, plan, run, job, names),
  ];
  const said = reasons.filter((reason) => reason !== null);
  const sentence = said.join("; ");
  return `${sentence.charAt(0).toUpperCase()}${sentence.slice(1)}.`;
}

function dueReason(plan: Plan, job: Job): string | null {
  const end = plan.tasks.find((task) => task.do === "finish" && task.job === job.id)?.end;
  if (job.dueAt === null || end === undefined) return job.dueAt === null ? "nothing is due" : null;
  const spare = job.dueAt - end;
  return spare < 0 ? `it is late by ${span(-spare)}` : `it is done ${span(spare)} before it is due`;
}

function span(seconds: number): string {
  const minutes = Math.round(seconds / 60);
  if (minutes < 1) return `${seconds} s`;
  if (minutes < 120) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  return minutes % 60 === 0 ? `${hours} h` : `${hours} h ${minutes % 60} min`;
}

function machineReason(problem: Problem, run: Run, job: Job, names: PlanNames): string | null {
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

function threadReason(problem: Problem, plan: Plan, run: Run, job: Job, names: PlanNames): string {
  const onMachine = plan.runs.filter((entry) => entry.machine === run.machine);
  onMachine.sort((a, b) => a.stretches[0]!.start - b.stretches[0]!.start);
  const at = onMachine.indexOf(run);
  const own = new Set(job.parts.map((part) => part.colour));
  const threaded = plan.tasks.filter((task) => task.do === "thread" && task.job === job.id).length;
  const cost =
    threaded === 0
      ? "nothing is threaded for it"
      : `${threaded} ${threaded === 1 ? "threading" : "threadings"} for it`;
  if (at === 0) {
    const machine = problem.machines.find((entry) => entry.id === run.machine)!;
    const ready = [...own].filter((colour) => machine.threaded.includes(colour)).length;
    return `first on its machine, where ${ready} of its ${own.size} threads are on already; ${cost}`;
  }
  const before = onMachine[at - 1]!;
  const other = problem.jobs.find((entry) => entry.id === before.job)!;
  const theirs = new Set(other.parts.map((part) => part.colour));
  const shared = [...own].filter((colour) => theirs.has(colour)).length;
  return `shares ${shared} of its ${own.size} threads with ${names.jobs?.get(before.job) ?? before.job} before it; ${cost}`;
}
