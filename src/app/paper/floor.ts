import type { shapes } from "#contract";
import { localTime } from "#core/shop";
import { machineFileName } from "#core/stitch";
import { refusePaper } from "./refusals";

/**
 * The plan as the floor takes it: each machine's runs of a day in running order, with the name of the machine file
 * each will run under and the needle every part is sewn with. Seconds are the plan's; days are the studio's.
 */

/** One needle with one thread of a run; a needle that is threaded anew inside the run stands twice. */
export interface NeedleUse {
  readonly needle: number;
  readonly threadId: string;
  /** already: it is on the needle; before: threaded before the run; inside: at the stop before part `part`. */
  readonly when: "already" | "before" | "inside";
  /** Part (from 0) before which the machine stands still for threading; only with "inside". */
  readonly part: number | null;
}

export interface SewnPart {
  /** From 0. */
  readonly part: number;
  readonly needle: number;
  readonly threadId: string;
  readonly stitches: number;
}

export interface FloorRun {
  readonly run: shapes.PlanDocument["runs"][number];
  readonly job: shapes.PlannedJob;
  readonly machine: shapes.PlanView["machines"][number];
  /** Local date on which the machine begins with it. */
  readonly day: string;
  /** Place in the machine's day, from 1. */
  readonly order: number;
  /** At most 8 capitals and digits, unique in the machine's day; without extension. */
  readonly fileName: string;
  /** From the first threading or the loading to the end of the unloading. */
  readonly startS: number;
  readonly endS: number;
  readonly hooping: { readonly hand: string; readonly startS: number } | null;
  readonly hoop: { readonly id: string; readonly name: string; readonly number: number } | null;
  readonly needles: readonly NeedleUse[];
  readonly sewn: readonly SewnPart[];
}

/** A thread put on a needle, with what was there before. */
export interface Threading {
  readonly startS: number;
  readonly day: string;
  readonly needle: number;
  readonly from: string | null;
  readonly to: string;
  readonly hand: string;
  /** Null where the plan threads for no run. */
  readonly floorRun: FloorRun | null;
  readonly insideRun: boolean;
}

export interface FloorMachine {
  readonly machine: shapes.PlanView["machines"][number];
  readonly runs: readonly FloorRun[];
  readonly threadings: readonly Threading[];
}

/** The local date of a second of the plan. */
export const dayOf = (view: shapes.PlanView, second: number): string =>
  localTime(view.timeZone, view.startsAtMs + second * 1000).date;

/** The wall clock of a second of the plan, "08:05". */
export function clockOf(view: shapes.PlanView, second: number): string {
  const { minute } = localTime(view.timeZone, view.startsAtMs + second * 1000);
  return `${String(Math.floor(minute / 60)).padStart(2, "0")}:${String(minute % 60).padStart(2, "0")}`;
}

/** Every machine of the plan with its runs and threadings in the order they happen. */
export function floorOf(view: shapes.PlanView): FloorMachine[] {
  const jobs = new Map(view.jobs.map((job) => [job.jobId, job]));
  const hands = new Map(view.hands.map((hand) => [hand.id, hand.name]));
  return view.machines.map((machine) => {
    const tasks = view.plan.tasks
      .filter((task) => task.machine === machine.id)
      .sort((a, b) => a.start - b.start || (a.needle ?? 0) - (b.needle ?? 0));
    const runs = runsOf(view, machine, jobs, hands);
    const byJob = new Map(runs.map((one) => [one.job.jobId, one]));
    const onNeedle = [...machine.threaded];
    const threadings: Threading[] = [];
    for (const task of tasks) {
      if (task.do !== "thread" || task.needle === undefined || task.colour === undefined) continue;
      const floorRun = task.job === undefined ? null : (byJob.get(task.job) ?? null);
      const firstStretch = floorRun?.run.stretches[0]?.start ?? Infinity;
      threadings.push({
        startS: task.start,
        day: dayOf(view, task.start),
        needle: task.needle,
        from: onNeedle[task.needle - 1] ?? null,
        to: task.colour,
        hand: hands.get(task.hand) ?? "",
        floorRun,
        insideRun: task.start > firstStretch,
      });
      onNeedle[task.needle - 1] = task.colour;
    }
    return { machine, runs, threadings };
  });
}

function runsOf(
  view: shapes.PlanView,
  machine: shapes.PlanView["machines"][number],
  jobs: ReadonlyMap<string, shapes.PlannedJob>,
  hands: ReadonlyMap<string, string>,
): FloorRun[] {
  const firstStart = (run: shapes.PlanDocument["runs"][number]) => run.stretches[0]?.start ?? 0;
  const placed = new Map<string, number>();
  const taken = new Map<string, Set<string>>();
  return view.plan.runs
    .filter((run) => run.machine === machine.id && jobs.has(run.job))
    .sort((a, b) => firstStart(a) - firstStart(b))
    .map((run) => {
      const job = jobs.get(run.job)!;
      const tasks = view.plan.tasks.filter((task) => task.job === run.job);
      const onMachine = tasks.filter(
        (task) => task.do === "thread" || task.do === "load" || task.do === "unload",
      );
      const startS = Math.min(firstStart(run), ...onMachine.map((task) => task.start));
      const endS = Math.max(run.stretches.at(-1)?.end ?? 0, ...onMachine.map((task) => task.end));
      const day = dayOf(view, startS);
      const order = (placed.get(day) ?? 0) + 1;
      placed.set(day, order);
      if (!taken.has(day)) taken.set(day, new Set());
      const hooping = tasks.find((task) => task.do === "hoop");
      return {
        run,
        job,
        machine,
        day,
        order,
        fileName: machineFileName(order, job.title, taken.get(day)!),
        startS,
        endS,
        hooping:
          hooping === undefined ? null : { hand: hands.get(hooping.hand) ?? "", startS: hooping.start },
        hoop: hoopOf(view, run.hoop, job),
        needles: needleUses(run, job, tasks),
        sewn: job.parts.map((part, index) => ({
          part: index,
          needle: run.needles[index] ?? 0,
          threadId: part.threadId,
          stitches: part.stitches,
        })),
      };
    });
}

function hoopOf(view: shapes.PlanView, hoop: string | null, job: shapes.PlannedJob): FloorRun["hoop"] {
  if (hoop === null) return null;
  const at = hoop.lastIndexOf("/");
  const id = at < 0 ? hoop : hoop.slice(0, at);
  const name = view.hoops.find((one) => one.id === id)?.name ?? job.hoopName ?? id;
  return { id, name, number: at < 0 ? 1 : Number(hoop.slice(at + 1)) };
}

/** Needles of a run in physical order; a needle threaded again inside the run follows itself. */
function needleUses(
  run: shapes.PlanDocument["runs"][number],
  job: shapes.PlannedJob,
  tasks: shapes.PlanDocument["tasks"],
): NeedleUse[] {
  const uses: NeedleUse[] = [];
  const threadings = tasks.filter((task) => task.do === "thread").sort((a, b) => a.start - b.start);
  for (const stretch of run.stretches) {
    for (let part = stretch.from; part <= stretch.to; part++) {
      const needle = run.needles[part] ?? 0;
      const threadId = job.parts[part]?.threadId ?? "";
      if (uses.findLast((use) => use.needle === needle)?.threadId === threadId) continue;
      const putOn = threadings.findLast((task) => task.needle === needle && task.end <= stretch.start);
      const threaded = putOn?.colour === threadId;
      // The stop at which it is put on: the first stretch that starts after it.
      const stop = threaded ? run.stretches.findIndex((one) => putOn!.end <= one.start) : -1;
      uses.push({
        needle,
        threadId,
        when: !threaded ? "already" : stop === 0 ? "before" : "inside",
        part: stop > 0 ? run.stretches[stop]!.from : null,
      });
    }
  }
  return uses.sort((a, b) => a.needle - b.needle || (a.part ?? -1) - (b.part ?? -1));
}

export interface FloorAsked {
  /** Empty takes every machine. */
  readonly machine: string;
  /** A local date; empty takes today, or the plan's next day with work where today has none. */
  readonly day: string;
  readonly nowMs: number;
}

export interface FloorChosen {
  readonly day: string;
  readonly machines: readonly FloorMachine[];
}

const begun = new Set(["done", "packed", "shipped", "spoiled", "cancelled"]);

/**
 * The machines and the day that were asked for. With no day given, runs of today and earlier whose piece is not
 * done yet are taken: what is still open.
 * @throws Refusal machine-unknown, nothing-planned
 */
export function chooseFloor(view: shapes.PlanView, asked: FloorAsked): FloorChosen {
  const all = floorOf(view);
  const machines = asked.machine === "" ? all : all.filter((one) => one.machine.id === asked.machine);
  if (machines.length === 0) {
    throw refusePaper("machine-unknown", `The plan has no machine "${asked.machine}".`, [
      { field: "machine", found: asked.machine, expected: all.map((one) => one.machine.name).join(", ") },
    ]);
  }
  if (asked.day !== "")
    return { day: asked.day, machines: machines.map((one) => onDay(one, (day) => day === asked.day)) };
  const today = localTime(view.timeZone, asked.nowMs).date;
  const open = (one: FloorMachine): FloorMachine => ({
    ...one,
    runs: one.runs.filter(({ job }) => !begun.has(job.state)),
    threadings: one.threadings.filter(({ floorRun }) => floorRun === null || !begun.has(floorRun.job.state)),
  });
  const now = machines.map((one) => onDay(open(one), (day) => day <= today));
  if (now.some((one) => one.runs.length > 0)) return { day: today, machines: now };
  const next = machines
    .flatMap((one) => open(one).runs.map((run) => run.day))
    .sort()
    .at(0);
  return next === undefined
    ? { day: today, machines: now }
    : { day: next, machines: machines.map((one) => onDay(open(one), (day) => day === next)) };
}

const onDay = (one: FloorMachine, wanted: (day: string) => boolean): FloorMachine => ({
  machine: one.machine,
  runs: one.runs.filter((run) => wanted(run.day)),
  threadings: one.threadings.filter((threading) => wanted(threading.floorRun?.day ?? threading.day)),
});
