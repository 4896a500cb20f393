import type { shapes } from "#contract";
import {
  type HandStep,
  handSteps,
  type MachineStep,
  machineStep,
  registerKey,
  type RegisterValues,
  runsAhead,
} from "#core/floor";
import { localTime } from "#core/shop";
import type { SeenFloor } from "./floor-state";

/** A station's place in the day: what to do now, and what stands around it. */
export interface StationDay {
  readonly step: MachineStep;
  /** The piece the step is about. */
  readonly job: shapes.PlannedJob | null;
  /** The chore of a care step or of a batch to sew. */
  readonly chore: shapes.PlannedChore | null;
  /** Planned so much later that it is no "now" yet: when it is planned, ms. */
  readonly plannedAtMs: number | null;
  /** With nothing to do: when something comes again, ms. */
  readonly nextAtMs: number | null;
  readonly next: { readonly job: shapes.PlannedJob; readonly startMs: number } | null;
  readonly hooping: {
    readonly job: shapes.PlannedJob;
    readonly hand: string | null;
    readonly startMs: number;
  } | null;
  readonly ready: Ready | null;
  /** How far the piece on the machine is, and where it stops, as shares of its sewing; null before it starts. */
  readonly sewn: { readonly share: number; readonly stops: readonly number[] } | null;
}

export interface Ready {
  readonly readyAtMs: number;
  readonly shipBy: string;
  readonly lateMinutes: number | null;
  /** To spare before the end of the ship-by day's work, s; null where the plan does not reach that far. */
  readonly spareS: number | null;
}

/** Work planned further off than this is offered, not asked for. */
const EARLY_MS = 30 * 60_000;

type PlanRun = SeenFloor["floor"]["plan"]["runs"][number];

/** The floor with one piece before all others on its machine: what was scanned and shall be sewn anyway. */
export function pulled(seen: SeenFloor, jobId: string | null): SeenFloor {
  if (jobId === null) return seen;
  const first = (run: PlanRun): PlanRun => {
    const by = run.stretches[0]!.start + 1e9;
    const moved = run.stretches.map((one) => ({ ...one, start: one.start - by, end: one.end - by }));
    return { ...run, stretches: moved };
  };
  const runs = seen.floor.plan.runs.map((run) => (run.job === jobId ? first(run) : run));
  return { ...seen, floor: { ...seen.floor, plan: { ...seen.floor.plan, runs } } };
}

/** What a machine has to do now and next; `pulledId` is a job that shall come first here. */
export function stationDay(whole: SeenFloor, machineId: string, pulledId: string | null): StationDay {
  const seen = pulled(whole, pulledId);
  const { floor, jobs } = seen;
  const asked = machineStep(floor, machineId, seen.colours);
  const bench = asked.do === "idle" ? benchChores(seen, machineId) : [];
  const step: MachineStep = bench[0] ? { do: "care", choreId: bench[0].choreId, jobId: null } : asked;
  const ahead = runsAhead(floor, machineId);
  const jobId = "jobId" in step ? step.jobId : null;
  const others = ahead.filter((run) => run.job !== (jobId ?? ahead[0]?.job) || step.do === "idle");
  const following = step.do === "care" || step.do === "down" ? ahead[0] : others[0];
  const toHoop = others.find((run) => run.hoop !== null && !floor.runs.get(run.job)?.hoopedAtMs);
  const hoopTask = toHoop && floor.plan.tasks.find((task) => task.do === "hoop" && task.job === toHoop.job);
  const job = (jobId !== null && jobs.get(jobId)) || null;
  const nextJob = following && jobs.get(following.job);
  const hoopJob = toHoop && jobs.get(toHoop.job);
  return {
    step,
    job,
    plannedAtMs: bench[0]
      ? earlyOf(bench[0].planned.startMs, floor.nowMs)
      : pulledId !== null && pulledId === jobId
        ? null
        : plannedAtMs(seen, step),
    chore:
      step.do === "care" ? (seen.view?.chores.find((one) => one.choreId === step.choreId) ?? null) : null,
    nextAtMs: step.do === "idle" ? nextAtMs(seen, machineId) : null,
    next:
      following && nextJob ? { job: nextJob, startMs: startOf(whole, following.job) ?? floor.nowMs } : null,
    hooping: hoopJob
      ? {
          job: hoopJob,
          hand: seen.answer.people.find((one) => one.id === hoopTask?.hand)?.name ?? null,
          startMs: floor.startsAtMs + (hoopTask?.start ?? 0) * 1000,
        }
      : null,
    ready: job && readyOf(whole, job),
    sewn: jobId === null ? null : sewnOf(floor, jobId),
  };
}

/** By the plan's stretches and the time sewn so far. */
function sewnOf(floor: SeenFloor["floor"], jobId: string): StationDay["sewn"] {
  const run = floor.runs.get(jobId);
  const planned = floor.plan.runs.find((one) => one.job === jobId);
  if (!planned || !run || run.startedAtMs === null) return null;
  const lengths = planned.stretches.map((one) => one.end - one.start);
  const wholeS = Math.max(
    1,
    lengths.reduce((sum, one) => sum + one, 0),
  );
  const sinceMs = run.sewingSinceMs === null ? 0 : Math.max(0, floor.nowMs - run.sewingSinceMs);
  let at = 0;
  const stops = lengths.slice(0, -1).map((one) => (at += one) / wholeS);
  return { share: Math.min(1, (run.sewedMs + sinceMs) / 1000 / wholeS), stops };
}

/** At a sewing machine: its care, and the batches to be sewn, whoever has them in the plan. */
function benchChores(seen: SeenFloor, machineId: string): (HandStep & { do: "chore" })[] {
  const machine = seen.answer.machines.find((one) => one.id === machineId);
  const chores = new Map((seen.view?.chores ?? []).map((one) => [one.choreId, one]));
  return seen.answer.people
    .flatMap((person) => handSteps(seen.floor, person.id, seen.colours))
    .filter((step) => step.do === "chore")
    .filter(({ choreId }) => {
      const chore = chores.get(choreId);
      if (!chore) return false;
      return chore.machineId === null
        ? machine?.kind === "straight-stitch" && chore.pieceIds.length > 0
        : chore.machineId === machineId;
    })
    .sort((a, b) => a.planned.startMs - b.planned.startMs);
}

const earlyOf = (atMs: number, nowMs: number): number | null => (atMs - nowMs > EARLY_MS ? atMs : null);

const startOf = ({ floor }: SeenFloor, jobId: string): number | null => {
  const run = floor.plan.runs.find((one) => one.job === jobId);
  return run ? floor.startsAtMs + run.stretches[0]!.start * 1000 : null;
};

/** When a step not begun is planned, where that is well ahead; null where it is due. */
function plannedAtMs({ floor }: SeenFloor, step: MachineStep): number | null {
  if (step.do !== "thread" && step.do !== "hoop" && step.do !== "load") return null;
  if (step.do === "thread" && step.inside) return null;
  const first = Math.min(
    ...floor.plan.tasks
      .filter((task) => task.job === step.jobId && ["hoop", "thread", "load"].includes(task.do))
      .map((task) => task.start),
  );
  const atMs = floor.startsAtMs + first * 1000;
  return Number.isFinite(first) ? earlyOf(atMs, floor.nowMs) : null;
}

/** When something is to do again: a piece put off comes back, or care is planned. */
function nextAtMs({ floor }: SeenFloor, machineId: string): number | null {
  const skipped = floor.plan.runs
    .filter((run) => run.machine === machineId)
    .map((run) => floor.registers.get(registerKey({ kind: "skipped", subject: run.job })))
    .map((one) => (one?.value as RegisterValues["skipped"] | undefined)?.untilMs ?? 0);
  const chores = floor.plan.tasks
    .filter((task) => task.do === "chore" && task.machine === machineId)
    .map((task) => floor.startsAtMs + task.start * 1000);
  const ahead = [...skipped, ...chores].filter((atMs) => atMs > floor.nowMs);
  return ahead.length === 0 ? null : Math.min(...ahead);
}

/** The plan's times, moved on where the clock has run past them. */
function readyOf({ floor, view }: SeenFloor, job: shapes.PlannedJob): Ready {
  const run = floor.plan.runs.find((one) => one.job === job.jobId);
  const [beginS, sewnS] = [run?.stretches[0]?.start ?? 0, run?.stretches.at(-1)?.end ?? 0];
  const ends = floor.plan.tasks.filter((task) => task.job === job.jobId).map((task) => task.end);
  const readyS = Math.max(sewnS, ...ends);
  const nowS = (floor.nowMs - floor.startsAtMs) / 1000;
  const sewn = sewnOf(floor, job.jobId);
  const endsAtS = sewn ? nowS + (1 - sewn.share) * (sewnS - beginS) : sewnS + Math.max(0, nowS - beginS);
  const readyAtMs = Math.round(floor.startsAtMs + (endsAtS + readyS - sewnS) * 1000);
  const dueMs = view ? endOfDay(view, job.shipBy) : null;
  return {
    readyAtMs,
    shipBy: job.shipBy,
    lateMinutes: view?.headline.late.find((one) => one.jobId === job.jobId)?.minutes ?? null,
    spareS: dueMs === null ? null : Math.round((dueMs - readyAtMs) / 1000),
  };
}

/** The end of the last open hours up to a date, as far as the plan knows them. */
function endOfDay(view: shapes.PlanView, date: string): number | null {
  const ends = view.open.map(([, end]) => view.startsAtMs + end * 1000);
  const upTo = ends.filter((endMs) => localTime(view.timeZone, endMs - 1000).date <= date);
  return upTo.length === 0 || upTo.length === ends.length ? null : Math.max(...upTo);
}

/** Where a scanned piece stands as seen from a station. */
export type Scanned =
  | { readonly found: "now" | "later"; readonly job: shapes.PlannedJob }
  | { readonly found: "elsewhere"; readonly job: shapes.PlannedJob; readonly machineId: string | null }
  | { readonly found: "none" };

/** A piece by its id or code among the plan's: of several runs, the one at this station comes first. */
export function scanned(
  seen: SeenFloor,
  machineId: string,
  piece: { readonly id: string } | { readonly code: string },
): Scanned {
  const own = [...seen.jobs.values()].filter((job) =>
    "id" in piece
      ? job.pieceId === piece.id
      : job.pieceCode.toLocaleLowerCase() === piece.code.toLocaleLowerCase(),
  );
  const ahead = runsAhead(seen.floor, machineId);
  const here = ahead.find((run) => own.some((job) => job.jobId === run.job));
  if (here) {
    const job = own.find((one) => one.jobId === here.job)!;
    return { found: here === ahead[0] ? "now" : "later", job };
  }
  const [job] = own;
  if (!job) return { found: "none" };
  const run = seen.floor.plan.runs.find((one) => one.job === job.jobId);
  return { found: "elsewhere", job, machineId: run?.machine ?? null };
}
