import type { Plan, PlanTask } from "#core/planning";
import { freeHoop } from "./hoops";
import { type Register, registerKey, type RegisterKind, type RegisterValues } from "./registers";
import type { Run } from "./runs";
import type { StopWhy } from "./events";

/**
 * What to do now, at a machine and with a pair of hands: the plan held against what has been told. A pure function, so
 * that a tablet without a network goes on by its own events.
 */
export interface FloorNow {
  readonly nowMs: number;
  /** The plan as people see it, and its second 0. */
  readonly plan: Pick<Plan, "runs" | "tasks">;
  readonly startsAtMs: number;
  /** Colours on each machine's needles by the records, needle 1 first; a register set since counts before it. */
  readonly threaded: ReadonlyMap<string, readonly (string | null)[]>;
  /** When the plan was made: a chore of it whose care was done since is done. */
  readonly madeAtMs: number;
  readonly chores: ReadonlyMap<
    string,
    {
      readonly machineId: string | null;
      /** Of care: its rule, and the needle where it is about one. */
      readonly ruleId: string | null;
      readonly needle: number | null;
    }
  >;
  readonly runs: ReadonlyMap<string, Run>;
  readonly registers: ReadonlyMap<string, Register>;
  /** Batches of sewn goods told as done, and when last: another plan may give the same name to what is left. */
  readonly doneChores: ReadonlyMap<string, number>;
  /** How many hoops there are of each kind. */
  readonly hoops: ReadonlyMap<string, number>;
  /** Jobs that are sewn and still to be finished, whether a station told of them or not, and the hoop each was sewn in. */
  readonly unfinished: ReadonlyMap<string, { readonly hoopId: string | null }>;
}

export interface NeedleChange {
  readonly needle: number;
  readonly from: string | null;
  readonly to: string;
}

export type MachineStep =
  | { readonly do: "down"; readonly untilMs: number; readonly why: string }
  | {
      readonly do: "sewing";
      readonly jobId: string;
      readonly sinceMs: number;
      /** Seconds until the next stop or the end, by the plan; negative when it takes longer. */
      readonly leftS: number;
      /** Needles to thread at the next stop; null where it sews through. */
      readonly nextStop: readonly NeedleChange[] | null;
    }
  /** Stopped for something that went wrong. */
  | { readonly do: "mend"; readonly jobId: string; readonly why: StopWhy; readonly needle: number | null }
  /** Threading: before the piece is loaded, or at a stop inside it. */
  | {
      readonly do: "thread";
      readonly jobId: string;
      readonly needles: readonly NeedleChange[];
      readonly inside: boolean;
    }
  | { readonly do: "care"; readonly choreId: string; readonly jobId: null }
  | {
      readonly do: "hoop";
      readonly jobId: string;
      /** With no hoop free: the pieces in them, and what can be hooped for this machine meanwhile. */
      readonly waits: HoopWait | null;
    }
  | { readonly do: "load"; readonly jobId: string }
  | { readonly do: "start"; readonly jobId: string }
  | { readonly do: "idle" };

export interface HoopWait {
  /** Jobs in the hoops of the kind, those sewn first. */
  readonly heldBy: readonly string[];
  /** The first of them is sewn: taken out, its hoop is free. */
  readonly sewnJobId: string | null;
  /** A later piece of this machine for which a hoop is free. */
  readonly meanwhileJobId: string | null;
}

export type HandStep = {
  /** Whether it can be done now; else what it waits for: its machine, a free hoop, or to be hooped first. */
  readonly waitsFor: "machine" | "hoop" | "hooping" | null;
  readonly planned: { readonly startMs: number; readonly endMs: number };
} & (
  | {
      readonly do: "hoop" | "load" | "start" | "unload" | "finish";
      readonly jobId: string;
      readonly machineId: string | null;
      /** Of hooping with no hoop free: the pieces in them, those sewn first. */
      readonly heldBy?: readonly string[] | undefined;
    }
  | {
      readonly do: "thread";
      readonly jobId: string;
      readonly machineId: string;
      readonly needles: readonly NeedleChange[];
    }
  | { readonly do: "chore"; readonly choreId: string; readonly machineId: string | null }
);

const valueOf = <K extends RegisterKind>(
  floor: Pick<FloorNow, "registers">,
  kind: K,
  subject: string,
): RegisterValues[K] | null =>
  (floor.registers.get(registerKey({ kind, subject }))?.value as RegisterValues[K] | undefined) ?? null;

/** The thread on a needle now. */
export function threadOn(floor: FloorNow, machineId: string, needle: number): string | null {
  const set = valueOf(floor, "needle-thread", `${machineId}/${needle}`);
  return set ? set.threadId : (floor.threaded.get(machineId)?.[needle - 1] ?? null);
}

type PlanRun = Plan["runs"][number];

const isOver = (run: Run | undefined): boolean =>
  run !== undefined && ["sewn", "finished", "spoiled"].includes(run.stage);

/**
 * What is on a machine; null while it is empty. A piece that is over, or that left the plan by its page, is on it no
 * more, whatever was told last.
 */
export function onMachine(floor: FloorNow, machineId: string): RegisterValues["machine"] | null {
  const on = valueOf(floor, "machine", machineId);
  if (on === null || on.doing === "empty" || on.jobId === null) return null;
  const isPlanned = floor.plan.runs.some((run) => run.job === on.jobId);
  return isPlanned && !isOver(floor.runs.get(on.jobId)) ? on : null;
}

/** The runs still to be sewn on a machine, in their order; what stands on it comes first. */
export function runsAhead(floor: FloorNow, machineId: string): PlanRun[] {
  const onIt = onMachine(floor, machineId)?.jobId ?? null;
  return floor.plan.runs
    .filter((run) => run.machine === machineId && !isOver(floor.runs.get(run.job)))
    .filter((run) => run.job === onIt || (valueOf(floor, "skipped", run.job)?.untilMs ?? 0) <= floor.nowMs)
    .sort(
      (a, b) =>
        Number(b.job === onIt) - Number(a.job === onIt) || a.stretches[0]!.start - b.stretches[0]!.start,
    );
}

/** What must be put on needles before a stretch of the run may be sewn. */
function changesFor(
  floor: FloorNow,
  run: PlanRun,
  stretch: number,
  colours: ReadonlyMap<number, string>,
): NeedleChange[] {
  const { from, to } = run.stretches[stretch] ?? run.stretches.at(-1)!;
  const wanted = new Map<number, string>();
  for (let part = from; part <= to; part++) {
    const colour = colours.get(part);
    // What a needle sews first is what must be on it now.
    if (colour !== undefined && !wanted.has(run.needles[part]!)) wanted.set(run.needles[part]!, colour);
  }
  return [...wanted]
    .map(([needle, colour]) => ({ needle, from: threadOn(floor, run.machine, needle), to: colour }))
    .filter((change) => change.from !== change.to)
    .sort((a, b) => a.needle - b.needle);
}

/** Stops for threading that the run has been through: the stretch it is at. */
const stretchAt = (run: Run | undefined): number =>
  run === undefined ? 0 : run.stops.filter((stop) => stop.why === "threading").length;

export interface JobColours {
  /** Thread id of each part of a job, in sewing order. */
  (jobId: string): readonly string[];
}

const coloursOf = (colours: JobColours, jobId: string): ReadonlyMap<number, string> =>
  new Map(colours(jobId).map((colour, part) => [part, colour]));

/** What to do now at a machine. */
export function machineStep(floor: FloorNow, machineId: string, colours: JobColours): MachineStep {
  const down = valueOf(floor, "down", machineId);
  if (down && down.untilMs > floor.nowMs) return { do: "down", untilMs: down.untilMs, why: down.why };
  const on = onMachine(floor, machineId);
  const [next] = runsAhead(floor, machineId);
  const jobId = on?.jobId ?? null;
  if (jobId !== null && on!.doing === "sewing") return sewingStep(floor, machineId, jobId, colours);
  if (jobId !== null && on!.doing === "stopped" && on!.why !== "threading")
    return { do: "mend", jobId, why: on!.why ?? "other", needle: on!.needle };
  const care = jobId === null ? careBefore(floor, machineId, next) : null;
  if (care !== null) return { do: "care", choreId: care, jobId: null };
  if (!next) return { do: "idle" };
  const run = floor.runs.get(next.job);
  const inside = run !== undefined && run.startedAtMs !== null && stretchAt(run) > 0;
  const needles = changesFor(floor, next, stretchAt(run), coloursOf(colours, next.job));
  if (needles.length > 0) return { do: "thread", jobId: next.job, needles, inside };
  if (jobId === next.job) return { do: "start", jobId };
  if (next.hoop !== null && (run === undefined || run.hoopedAtMs === null))
    return { do: "hoop", jobId: next.job, waits: hoopWait(floor, machineId, next.job) };
  return { do: "load", jobId: next.job };
}

function hoopWait(floor: FloorNow, machineId: string, jobId: string): HoopWait | null {
  const hoop = freeHoop(floor, jobId);
  if (hoop.free) return null;
  const [first] = hoop.heldBy;
  const meanwhile = runsAhead(floor, machineId).find(
    (run) =>
      run.job !== jobId && run.hoop !== null && !isHooped(floor, run.job) && freeHoop(floor, run.job).free,
  );
  return {
    heldBy: hoop.heldBy,
    sewnJobId: first !== undefined && floor.runs.get(first)?.stage === "sewn" ? first : null,
    meanwhileJobId: meanwhile?.job ?? null,
  };
}

/** Whether a job is in its hoop, or needs none. */
const isHooped = (floor: FloorNow, jobId: string): boolean =>
  floor.plan.runs.find((run) => run.job === jobId)?.hoop === null ||
  (floor.runs.get(jobId)?.hoopedAtMs ?? null) !== null;

function sewingStep(floor: FloorNow, machineId: string, jobId: string, colours: JobColours): MachineStep {
  const run = floor.runs.get(jobId);
  const planned = floor.plan.runs.find((one) => one.job === jobId && one.machine === machineId);
  const sinceMs = run?.sewingSinceMs ?? floor.nowMs;
  const sewedS = ((run?.sewedMs ?? 0) + (floor.nowMs - sinceMs)) / 1000;
  const at = stretchAt(run);
  const hasStop = planned !== undefined && at + 1 < planned.stretches.length;
  const expectedS = run?.facts?.expectedS ?? Infinity;
  // A plan made while the machine stood has the standing in its stretch; sewing alone takes no longer than expected.
  const wholeS = planned
    ? Math.min(
        expectedS > 0 ? expectedS : Infinity,
        planned.stretches.slice(0, at + 1).reduce((sum, one) => sum + one.end - one.start, 0),
      )
    : expectedS;
  return {
    do: "sewing",
    jobId,
    sinceMs,
    leftS: Number.isFinite(wholeS) ? Math.round(wholeS - sewedS) : 0,
    nextStop: hasStop ? changesFor(floor, planned, at + 1, coloursOf(colours, jobId)) : null,
  };
}

/** Care of the machine whose turn is before the next run. */
function careBefore(floor: FloorNow, machineId: string, next: PlanRun | undefined): string | null {
  const until = next?.stretches[0]?.start ?? Infinity;
  const due = floor.plan.tasks
    .filter((task) => task.do === "chore" && task.machine === machineId && task.start < until)
    .filter((task) => !isChoreDone(floor, task.chore!))
    .sort((a, b) => a.start - b.start)
    // Care planned for the afternoon is not asked for in the morning, even where nothing is to be sewn.
    .find((task) => floor.startsAtMs + task.start * 1000 <= floor.nowMs + 5 * 60_000 || next !== undefined);
  return due?.chore ?? null;
}

function isChoreDone(floor: FloorNow, choreId: string): boolean {
  if ((floor.doneChores.get(choreId) ?? -Infinity) >= floor.madeAtMs) return true;
  const chore = floor.chores.get(choreId);
  if (!chore || chore.machineId === null || chore.ruleId === null) return false;
  const done = floor.registers.get(
    chore.needle === null
      ? registerKey({ kind: "care", subject: `${chore.machineId}/${chore.ruleId}` })
      : registerKey({ kind: "needle-changed", subject: `${chore.machineId}/${chore.needle}` }),
  );
  return done !== undefined && done.atMs >= floor.madeAtMs;
}

/**
 * What a pair of hands is to do, in the plan's order, without what is done already. Before all of it comes starting
 * what lies loaded on a machine: whoever loaded it by the plan does that, or anybody where the plan does not say.
 */
export function handSteps(floor: FloorNow, personId: string, colours: JobColours): HandStep[] {
  const tasks = floor.plan.tasks.filter((task) => task.hand === personId).sort((a, b) => a.start - b.start);
  const steps: HandStep[] = toStart(floor, personId, colours);
  const threading = new Map<string, HandStep & { do: "thread" }>();
  for (const task of tasks) {
    const planned = {
      startMs: floor.startsAtMs + task.start * 1000,
      endMs: floor.startsAtMs + task.end * 1000,
    };
    const step = stepOf(floor, task, planned);
    if (step === null) continue;
    if (step.do === "thread") {
      // Needles threaded one after another for a piece are one thing to do.
      const key = `${step.jobId} ${step.machineId} ${step.waitsFor}`;
      const known = threading.get(key);
      if (known) {
        const merged = {
          ...known,
          needles: [...known.needles, ...step.needles],
          planned: { ...known.planned, endMs: planned.endMs },
        };
        steps[steps.indexOf(known)] = merged;
        threading.set(key, merged);
        continue;
      }
      threading.set(key, step);
    }
    steps.push(step);
  }
  return steps;
}

function toStart(floor: FloorNow, personId: string, colours: JobColours): HandStep[] {
  const machines = new Set(floor.plan.runs.map((run) => run.machine));
  return [...machines].flatMap((machineId): HandStep[] => {
    const on = onMachine(floor, machineId);
    if (on?.doing !== "loaded" || on.jobId === null) return [];
    const loader = floor.plan.tasks.find((task) => task.do === "load" && task.job === on.jobId);
    if (loader && loader.hand !== personId) return [];
    if (machineStep(floor, machineId, colours).do !== "start") return [];
    const planned = { startMs: floor.nowMs, endMs: floor.nowMs };
    return [{ do: "start", jobId: on.jobId, machineId, waitsFor: null, planned }];
  });
}

type PieceStep = HandStep & { do: "hoop" | "load" | "start" | "unload" | "finish" };

function stepOf(
  floor: FloorNow,
  task: PlanTask,
  planned: { readonly startMs: number; readonly endMs: number },
): HandStep | null {
  if (task.do === "chore")
    return isChoreDone(floor, task.chore!)
      ? null
      : { do: "chore", choreId: task.chore!, machineId: task.machine ?? null, waitsFor: null, planned };
  const jobId = task.job!;
  const run = floor.runs.get(jobId);
  const machineId = floor.plan.runs.find((one) => one.job === jobId)?.machine ?? task.machine ?? null;
  const isSewn = run?.stage === "sewn" || run?.stage === "finished" || floor.unfinished.has(jobId);
  if (run?.stage === "spoiled" || (valueOf(floor, "skipped", jobId)?.untilMs ?? 0) > floor.nowMs) return null;
  const one = (what: PieceStep["do"], waitsFor: HandStep["waitsFor"]): PieceStep => ({
    do: what,
    jobId,
    machineId,
    waitsFor,
    planned,
  });
  switch (task.do) {
    case "hoop": {
      if (isSewn || (run !== undefined && run.hoopedAtMs !== null)) return null;
      const hoop = freeHoop(floor, jobId);
      return hoop.free ? one("hoop", null) : { ...one("hoop", "hoop"), heldBy: hoop.heldBy };
    }
    case "thread":
      return threadStep(floor, task, run, planned);
    case "load": {
      const isLoaded = run !== undefined && run.loadedAtMs !== null;
      if (isSewn || isLoaded) return null;
      return one("load", !isHooped(floor, jobId) ? "hooping" : isFree(floor, machineId) ? null : "machine");
    }
    case "unload":
      return isSewn || run === undefined || run.startedAtMs === null ? null : one("unload", "machine");
    case "unhoop":
      return null;
    default:
      return run?.stage === "finished" ? null : one("finish", isSewn ? null : "machine");
  }
}

const isFree = (floor: FloorNow, machineId: string | null): boolean =>
  machineId !== null && onMachine(floor, machineId) === null;

function threadStep(
  floor: FloorNow,
  task: PlanTask,
  run: Run | undefined,
  planned: HandStep["planned"],
): HandStep | null {
  const machineId = task.machine!;
  const from = threadOn(floor, machineId, task.needle!);
  if (from === task.colour || run?.stage === "sewn" || run?.stage === "finished") return null;
  const planRun = floor.plan.runs.find((one) => one.job === task.job);
  const isBefore = planRun === undefined || task.start < planRun.stretches[0]!.start;
  // What the run has gone through already was threaded, told or not.
  if (isBefore && run !== undefined && run.startedAtMs !== null) return null;
  const on = onMachine(floor, machineId);
  const canNow = isBefore
    ? isFree(floor, machineId)
    : on?.doing === "stopped" && on.why === "threading" && on.jobId === task.job;
  return {
    do: "thread",
    jobId: task.job!,
    machineId,
    needles: [{ needle: task.needle!, from, to: task.colour! }],
    waitsFor: canNow ? null : "machine",
    planned,
  };
}
