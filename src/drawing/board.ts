import { type BoardSpan, joinSpans } from "./time-axis";

/**
 * A plan laid out as a board: who does what when, as spans of time.
 * Times are whole seconds after the plan's start, lengths px. It knows no colours' names, no words and no screen;
 * it relies on a plan that has passed the checker.
 */

export type BoardDo = "hoop" | "thread" | "load" | "unload" | "unhoop" | "finish" | "chore";

export interface BoardTask {
  readonly hand: string;
  readonly do: BoardDo;
  readonly job?: string;
  readonly chore?: string;
  readonly machine?: string;
  readonly needle?: number;
  readonly colour?: string;
  readonly start: number;
  readonly end: number;
}

export interface BoardRun {
  readonly job: string;
  readonly machine: string;
  readonly hoop: string | null;
  readonly needles: readonly number[];
  readonly stretches: readonly {
    readonly from: number;
    readonly to: number;
    readonly start: number;
    readonly end: number;
  }[];
}

export interface BoardInput {
  readonly plan: { readonly runs: readonly BoardRun[]; readonly tasks: readonly BoardTask[] };
  readonly machines: readonly {
    readonly id: string;
    readonly threaded: readonly (string | null)[];
    readonly down: readonly BoardSpan[];
  }[];
  readonly hands: readonly { readonly id: string; readonly shifts: readonly BoardSpan[] }[];
  readonly open: readonly BoardSpan[];
  readonly jobs: readonly {
    readonly jobId: string;
    readonly parts: readonly { readonly threadId: string; readonly stitches: number }[];
  }[];
}

/** One colour of the hem, where it is sewn. */
export interface Seam {
  readonly part: number;
  readonly colour: string;
  readonly start: number;
  readonly end: number;
}

/** A piece on a machine, from the load to the end of the unload. */
export interface Block {
  readonly jobId: string;
  readonly machineId: string;
  readonly run: BoardRun;
  readonly start: number;
  readonly end: number;
  /** Sewing begins and ends; between may lie mid-stops. */
  readonly sewStart: number;
  readonly sewEnd: number;
  readonly seams: readonly Seam[];
  readonly midStops: number;
  /** When the piece is finished: the end of its last task. */
  readonly finishedAt: number;
}

export interface Put {
  readonly needle: number;
  readonly on: string;
  /** What comes off; null where the needle was empty. */
  readonly off: string | null;
}

/** Threads put on at one moment: before a run is loaded, or at a mid-stop. */
export interface NeedleTick {
  readonly machineId: string;
  readonly jobId: string;
  readonly start: number;
  readonly end: number;
  /** 0 before the run is loaded, else the mid-stop's number from 1. */
  readonly midStop: number;
  readonly puts: readonly Put[];
}

export interface MachineLane {
  readonly machineId: string;
  readonly blocks: readonly Block[];
  readonly ticks: readonly NeedleTick[];
  readonly down: readonly BoardSpan[];
  readonly chores: readonly BoardTask[];
}

export interface HandLane {
  readonly handId: string;
  readonly tasks: readonly BoardTask[];
  readonly shifts: readonly BoardSpan[];
}

export interface Board {
  readonly machines: readonly MachineLane[];
  readonly hands: readonly HandLane[];
  /** The times worth showing: open hours and shifts, joined, up to the day on which the last task ends. */
  readonly spans: readonly BoardSpan[];
}

const byStart = (a: { readonly start: number }, b: { readonly start: number }) => a.start - b.start;

function grouped<T>(values: readonly T[], keyOf: (value: T) => string | undefined): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const value of values) {
    const key = keyOf(value);
    if (key === undefined) continue;
    const group = groups.get(key);
    if (group) group.push(value);
    else groups.set(key, [value]);
  }
  return groups;
}

/** A stretch's seconds shared out among its parts by their stitches. */
function seamsOf(
  run: BoardRun,
  parts: readonly { readonly threadId: string; readonly stitches: number }[],
): Seam[] {
  return run.stretches.flatMap((stretch) => {
    const own = parts.slice(stretch.from, stretch.to + 1);
    const whole = own.reduce((sum, part) => sum + Math.max(1, part.stitches), 0);
    let sewn = 0;
    return own.map((part, index) => {
      const start = stretch.start + ((stretch.end - stretch.start) * sewn) / whole;
      sewn += Math.max(1, part.stitches);
      return {
        part: stretch.from + index,
        colour: part.threadId,
        start,
        end: stretch.start + ((stretch.end - stretch.start) * sewn) / whole,
      };
    });
  });
}

function blockOf(
  run: BoardRun,
  tasks: readonly BoardTask[],
  parts: readonly { readonly threadId: string; readonly stitches: number }[],
): Block {
  const sewStart = run.stretches[0]?.start ?? 0;
  const sewEnd = run.stretches.at(-1)?.end ?? sewStart;
  // A run that is already on the machine when the plan begins has no load of its own.
  const start = tasks.find((task) => task.do === "load")?.start ?? sewStart;
  const end = tasks.find((task) => task.do === "unload")?.end ?? sewEnd;
  return {
    jobId: run.job,
    machineId: run.machine,
    run,
    start,
    end,
    sewStart,
    sewEnd,
    seams: seamsOf(run, parts),
    midStops: Math.max(0, run.stretches.length - 1),
    finishedAt: tasks.reduce((last, task) => Math.max(last, task.end), end),
  };
}

function ticksOf(
  threaded: readonly (string | null)[],
  tasks: readonly BoardTask[],
  runs: ReadonlyMap<string, BoardRun>,
): NeedleTick[] {
  const needles = [...threaded];
  const ticks: {
    machineId: string;
    jobId: string;
    start: number;
    end: number;
    midStop: number;
    puts: Put[];
  }[] = [];
  for (const task of [...tasks].sort(byStart)) {
    if (task.job === undefined || task.needle === undefined || task.colour === undefined) continue;
    const midStop = (runs.get(task.job)?.stretches ?? []).filter(
      (stretch) => stretch.end <= task.start,
    ).length;
    const put = { needle: task.needle, on: task.colour, off: needles[task.needle - 1] ?? null };
    needles[task.needle - 1] = task.colour;
    const last = ticks.at(-1);
    if (last && last.jobId === task.job && last.midStop === midStop) {
      last.puts.push(put);
      last.end = Math.max(last.end, task.end);
    } else
      ticks.push({
        machineId: task.machine ?? "",
        jobId: task.job,
        start: task.start,
        end: task.end,
        midStop,
        puts: [put],
      });
  }
  return ticks;
}

/** A pause longer than this is closed time and is drawn short; a lunch break is not. */
const CLOSED_FROM_S = 5400;

/** The board of a plan. Lanes stand in the order of `machines` and `hands`. */
export function layBoard({ plan, machines, hands, open, jobs }: BoardInput): Board {
  const runs = new Map(plan.runs.map((run) => [run.job, run]));
  const partsOf = new Map(jobs.map((job) => [job.jobId, job.parts]));
  const tasksOfJob = grouped(plan.tasks, (task) => task.job);
  const runsOfMachine = grouped(plan.runs, (run) => run.machine);
  const threadings = grouped(
    plan.tasks.filter((task) => task.do === "thread"),
    (task) => task.machine,
  );
  const choresOfMachine = grouped(
    plan.tasks.filter((task) => task.do === "chore"),
    (task) => task.machine,
  );
  const tasksOfHand = grouped(plan.tasks, (task) => task.hand);
  const lastEnd = plan.tasks.reduce((last, task) => Math.max(last, task.end), 0);
  const worked = plan.tasks.map((task): BoardSpan => [task.start, task.end]);
  const sewn = plan.runs.flatMap((run) =>
    run.stretches.map((stretch): BoardSpan => [stretch.start, stretch.end]),
  );
  const spans = joinSpans(
    [...open, ...hands.flatMap((hand) => hand.shifts), ...worked, ...sewn],
    CLOSED_FROM_S,
  );
  return {
    machines: machines.map(({ id, threaded, down }) => ({
      machineId: id,
      blocks: (runsOfMachine.get(id) ?? [])
        .map((run) => blockOf(run, tasksOfJob.get(run.job) ?? [], partsOf.get(run.job) ?? []))
        .sort(byStart),
      ticks: ticksOf(threaded, threadings.get(id) ?? [], runs),
      down,
      chores: (choresOfMachine.get(id) ?? []).sort(byStart),
    })),
    hands: hands.map(({ id, shifts }) => ({
      handId: id,
      tasks: (tasksOfHand.get(id) ?? []).sort(byStart),
      shifts,
    })),
    spans: spans.filter(([start], index) => index === 0 || start < lastEnd),
  };
}

export interface NeedleUse {
  readonly needle: number;
  readonly on: string | null;
  /** Given where it is threaded for the run: what comes off. */
  readonly put: Put | null;
  readonly midStop: number;
  readonly used: boolean;
}

/** The needles of one run in their order; a needle threaded again at a mid-stop stands twice. Empty where the machine has no such run. */
export function needlesOfRun(
  lane: MachineLane,
  jobId: string,
  threaded: readonly (string | null)[],
): NeedleUse[] {
  const block = lane.blocks.find((one) => one.jobId === jobId);
  if (!block) return [];
  const needles = [...threaded];
  const own: NeedleTick[] = [];
  for (const tick of lane.ticks) {
    if (tick.jobId === jobId) own.push(tick);
    else if (tick.start < block.sewStart) for (const put of tick.puts) needles[put.needle - 1] = put.on;
  }
  const used = new Set(block.run.needles);
  return needles.flatMap((on, index): NeedleUse[] => {
    const needle = index + 1;
    const puts = own.flatMap((tick) =>
      tick.puts
        .filter((put) => put.needle === needle)
        .map((put) => ({ needle, on: put.on, put, midStop: tick.midStop, used: true })),
    );
    const before = puts[0];
    // Sewn with as it stands before a stop changes it: show both.
    const alsoBefore =
      before &&
      before.midStop > 0 &&
      on !== null &&
      block.run.needles.some(
        (one, part) => one === needle && part < (block.run.stretches[before.midStop]?.from ?? 0),
      );
    if (before && !alsoBefore) return puts;
    return [{ needle, on, put: null, midStop: 0, used: used.has(needle) }, ...puts];
  });
}

export interface TaskGroup {
  readonly start: number;
  readonly end: number;
  readonly tasks: readonly BoardTask[];
}

/** A hand's tasks joined where the pause between them is no longer than `pauseS`; chores stand alone. */
export function groupTasks(tasks: readonly BoardTask[], pauseS: number): TaskGroup[] {
  const groups: { start: number; end: number; tasks: BoardTask[] }[] = [];
  for (const task of tasks) {
    const last = groups.at(-1);
    const alone = task.do === "chore" || last?.tasks.at(-1)?.do === "chore";
    if (last && !alone && task.start - last.end <= pauseS) {
      last.tasks.push(task);
      last.end = Math.max(last.end, task.end);
    } else groups.push({ start: task.start, end: task.end, tasks: [task] });
  }
  return groups;
}

/** Like tasks that follow one another at once (three threadings on one machine) as one. */
export function joinLikeTasks(tasks: readonly BoardTask[]): TaskGroup[] {
  const groups: { start: number; end: number; tasks: BoardTask[] }[] = [];
  for (const task of tasks) {
    const last = groups.at(-1);
    const before = last?.tasks.at(-1);
    if (
      last &&
      before &&
      task.do === "thread" &&
      before.do === "thread" &&
      before.job === task.job &&
      before.machine === task.machine &&
      task.start - last.end <= 1
    ) {
      last.tasks.push(task);
      last.end = task.end;
    } else groups.push({ start: task.start, end: task.end, tasks: [task] });
  }
  return groups;
}
