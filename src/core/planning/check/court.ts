import type { Finding } from "#core/base";
import type { Interval, Job, Plan, PlanningMachine, PlanTask, Problem, Run } from "../problem";

/** Something that takes a hand, a machine or a frame for a while. */
export interface Occupied {
  readonly start: number;
  readonly end: number;
  readonly what: string;
}

/** What is known of a plan while it is judged, and what has been found wrong with it. */
export interface Court {
  readonly problem: Problem;
  readonly plan: Plan;
  readonly jobs: ReadonlyMap<string, Job>;
  readonly machines: ReadonlyMap<string, PlanningMachine>;
  readonly findings: Finding[];
  readonly tasksOfJob: Map<string, PlanTask[]>;
  /** What takes each hand, machine (as a whole) and frame. */
  readonly hands: Map<string, Occupied[]>;
  readonly occupation: Map<string, Occupied[]>;
  readonly frames: Map<string, Occupied[]>;
  /** What happens on each machine, waiting left out. */
  readonly happenings: Map<string, Occupied[]>;
  readonly threadingsOf: Map<string, { run: Run; start: number; end: number; perStretch: PlanTask[][] }[]>;
  threadings: number;
  midStops: number;
}

/** A new court: nothing looked at yet. */
export const courtOf = (problem: Problem, plan: Plan): Court => ({
  problem,
  plan,
  jobs: new Map(problem.jobs.map((job) => [job.id, job])),
  machines: new Map(problem.machines.map((machine) => [machine.id, machine])),
  findings: [],
  tasksOfJob: new Map(),
  hands: new Map(),
  occupation: new Map(),
  frames: new Map(),
  happenings: new Map(),
  threadingsOf: new Map(),
  threadings: 0,
  midStops: 0,
});

export function fault(court: Court, code: string, message: string): void {
  court.findings.push({ code, level: "stop", message });
}

export function push<T>(map: Map<string, T[]>, key: string, value: T): void {
  const own = map.get(key);
  if (own) own.push(value);
  else map.set(key, [value]);
}

export const liesIn = (intervals: readonly Interval[], start: number, end: number): boolean =>
  intervals.some(([from, to]) => from <= start && end <= to);

export const nameOf = (task: PlanTask): string => `The ${task.do} of ${task.job ?? task.chore ?? "nothing"}`;
