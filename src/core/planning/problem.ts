/**
 * The planner's nouns, in the shapes of docs/formats/problem.md and plan.md. Times are whole seconds after an
 * arbitrary start; intervals are [start, end).
 */
export type Interval = readonly [start: number, end: number];

export interface Hand {
  readonly id: string;
  /** A task lies whole inside one of these. */
  readonly shifts: readonly Interval[];
}

export interface HoopKind {
  readonly id: string;
  /** Equal frames of this kind. */
  readonly count: number;
}

export interface PlanningMachine {
  readonly id: string;
  readonly needles: number;
  /** The colour on each needle, needle 1 first; null where it is empty. */
  readonly threaded: readonly (string | null)[];
  /** Needles (from 1) that keep their thread. */
  readonly fixed: readonly number[];
  /** The frame kinds it takes. */
  readonly hoops: readonly string[];
  /** While down, nothing happens on the machine; a run may wait through it. */
  readonly down: readonly Interval[];
  readonly stitchesPerMinute: number;
  readonly colourChangeS: number;
  readonly trimS: number;
  readonly threadS: number;
  readonly loadS: number;
  readonly unloadS: number;
}

export interface JobPart {
  readonly colour: string;
  readonly stitches: number;
}

export interface Job {
  readonly id: string;
  /** Sewn in this order. */
  readonly parts: readonly JobPart[];
  readonly trims: number;
  readonly hoop: string | null;
  /** The machines it may go to; null for any. */
  readonly machines: readonly string[] | null;
  readonly releaseAt: number;
  readonly dueAt: number | null;
  readonly weight: number;
  readonly hoopS: number;
  readonly unhoopS: number;
  readonly finishS: number;
}

export interface Chore {
  readonly id: string;
  /** The machine that stands still and empty meanwhile; null for work elsewhere. */
  readonly machine: string | null;
  readonly seconds: number;
  readonly releaseAt: number;
  readonly dueAt: number | null;
  readonly weight: number;
}

export interface CostWeights {
  readonly perLateMinute: number;
  readonly perThreading: number;
  readonly perMidStop: number;
  readonly perFinishMinute: number;
}

export interface Problem {
  readonly format: "spoolwright/problem@1";
  readonly hands: readonly Hand[];
  readonly open: readonly Interval[];
  readonly hoops: readonly HoopKind[];
  readonly machines: readonly PlanningMachine[];
  readonly jobs: readonly Job[];
  readonly chores: readonly Chore[];
  readonly cost: CostWeights;
}

export interface Stretch {
  /** First and last part sewn in it, from 0. */
  readonly from: number;
  readonly to: number;
  readonly start: number;
  readonly end: number;
}

export interface Run {
  readonly job: string;
  readonly machine: string;
  /** "kind/number", numbers from 1; null for a job without a frame. */
  readonly hoop: string | null;
  /** The needle (from 1) of each part. */
  readonly needles: readonly number[];
  readonly stretches: readonly Stretch[];
}

export type TaskKind = "hoop" | "thread" | "load" | "unload" | "unhoop" | "finish" | "chore";

export interface PlanTask {
  readonly hand: string;
  readonly do: TaskKind;
  readonly job?: string;
  readonly chore?: string;
  readonly machine?: string;
  readonly needle?: number;
  readonly colour?: string;
  readonly start: number;
  readonly end: number;
}

export interface Unplanned {
  readonly job?: string;
  readonly chore?: string;
  readonly why: string;
}

export interface PlanTotals {
  readonly cost: number;
  readonly threadings: number;
  readonly midStops: number;
  /** Jobs and chores that end after their due time. */
  readonly lateJobs: number;
  /** Unweighted, jobs and chores. */
  readonly lateMinutes: number;
  readonly finishAt: number;
}

/** Proven: no plan that leaves the same things unplanned goes below. */
export interface PlanBounds {
  readonly cost: number;
  readonly threadings: number;
  readonly finishAt: number;
}

export interface SolverNote {
  readonly seconds: number;
  readonly seed: number;
  readonly evaluations: number;
  readonly [more: string]: number | string | boolean;
}

export interface Plan {
  readonly format: "spoolwright/plan@1";
  readonly runs: readonly Run[];
  readonly tasks: readonly PlanTask[];
  readonly unplanned: readonly Unplanned[];
  readonly totals: PlanTotals;
  readonly bounds: PlanBounds;
  readonly solver: SolverNote;
}

/** What the shop asks beyond the problem. */
export interface PlanWishes {
  /** Jobs pulled to the front: on its machine none of the others starts before them. */
  readonly first?: readonly string[];
  /** Jobs on their machines or in their frames already: before those pulled first, for they hold their frames. */
  readonly begun?: readonly string[];
  /** A plan people already know: it is a start of the search, and among equals the plan that moves less wins. */
  readonly previous?: Plan;
  /** What a plan must save for each job it moves against `previous`, in cost; a tie-breaker where it is not given. */
  readonly perMovedJob?: number;
  /** Jobs of one thing each: no two of a list have it in hand at once, from hooping to the end of finishing. */
  readonly oneThing?: OneThing;
}

/** Lists of jobs; no job is in two of them. */
export type OneThing = readonly (readonly string[])[];
