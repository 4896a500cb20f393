import type {
  FramedPiece,
  Interval,
  Job,
  Plan,
  PlanningMachine,
  Problem,
  RunningPiece,
} from "#core/planning";
import { downSpans, localTime, openSpans, addDays } from "#core/shop";
import type { shapes } from "#contract";
import type { Run } from "#core/floor";
import type { JobTable, PieceTable, Store } from "#store";
import { runOfRow } from "./floor/rows";
import { inPortions, type StudioKept } from "./records";

/**
 * What stands on the machines and in frames when a plan is made. It follows from the pieces' states and their last
 * moves: a piece that sews is on the machine its move names, else on the one the plan in force has for it. How long it
 * still sews is its sewing time less the working time since it began; a design with stops follows the plan in force.
 */
export interface FloorState {
  readonly running: readonly RunningPiece[];
  /** In their frames, waiting for a machine. */
  readonly hooped: readonly FramedPiece[];
}

/** A begun piece as the records have it. */
export interface BegunPiece {
  readonly jobId: string;
  readonly state: "hooped" | "sewing";
  /** Where and since when it sews, as far as its last move tells. */
  readonly machineId: string | null;
  readonly sinceMs: number;
  /** What its station told, if it did. */
  readonly told: ToldRun | null;
}

/** A run on its machine as the station told it. */
export interface ToldRun {
  readonly jobId: string;
  readonly machineId: string | null;
  readonly isOnMachine: boolean;
  /** Seconds it has sewn. */
  readonly sewedS: number;
  /** The stretch it is at, or has just ended where it stands for threading. */
  readonly stretch: number;
  readonly isBetween: boolean;
}

/** The plan in force, as people see it. */
export interface SeenPlan {
  readonly plan: Plan;
  /** Second 0 of it. */
  readonly startsAtMs: number;
}

/** When pieces last went onto a machine (and which, if it was told), and when they last came off sewn. */
export interface FloorMoves {
  /** Runs under way that stations told of, by piece. */
  readonly told: ReadonlyMap<string, ToldRun>;
  readonly starts: ReadonlyMap<string, { readonly atMs: number; readonly machineId: string | null }>;
  readonly ends: ReadonlyMap<string, number>;
}

export async function floorMoves(
  db: Store["db"],
  pieceIds: readonly string[],
  nowMs: number,
): Promise<FloorMoves> {
  const [rows, runs] = await Promise.all([
    inPortions(pieceIds, (ids) =>
      db
        .selectFrom("floor_events")
        .select(["piece_id", "at_ms", "machine_id", "data", "seq"])
        .where("piece_id", "in", ids)
        .where("kind", "=", "piece-moved")
        .orderBy("seq")
        .execute(),
    ),
    inPortions(pieceIds, (ids) =>
      db.selectFrom("floor_runs").select(["piece_id", "run"]).where("piece_id", "in", ids).execute(),
    ),
  ]);
  const starts = new Map<string, { atMs: number; machineId: string | null }>();
  const ends = new Map<string, number>();
  for (const row of rows) {
    const { from, to } = JSON.parse(row.data) as { from?: string; to?: string };
    if (to === "sewing") starts.set(row.piece_id!, { atMs: row.at_ms, machineId: row.machine_id });
    const isSewn = to === "finishing" || to === "done";
    if (isSewn && from !== "finishing" && from !== "done") ends.set(row.piece_id!, row.at_ms);
  }
  const told = new Map<string, ToldRun>();
  for (const row of runs) {
    const run = runOfRow(row);
    // Moved on its page: the move itself stands above.
    if (run.estimated) continue;
    if (run.startedAtMs !== null)
      starts.set(run.pieceId, { atMs: run.startedAtMs, machineId: run.machineId });
    if (run.endedAtMs !== null && run.stage !== "spoiled") ends.set(run.pieceId, run.endedAtMs);
    if (under.has(run.stage)) told.set(run.pieceId, toldRun(run, nowMs));
  }
  return { starts, ends, told };
}

const under: ReadonlySet<Run["stage"]> = new Set(["hooped", "loaded", "sewing", "stopped"]);

function toldRun(run: Run, nowMs: number): ToldRun {
  const sewingMs = run.sewingSinceMs === null ? 0 : Math.max(0, nowMs - run.sewingSinceMs);
  const threaded = run.stops.filter((stop) => stop.why === "threading");
  const isBetween = run.stage === "stopped" && run.stops.at(-1)?.why === "threading";
  return {
    jobId: run.jobId,
    machineId: run.machineId,
    isOnMachine: run.stage !== "hooped",
    sewedS: Math.round((run.sewedMs + sewingMs) / 1000),
    stretch: isBetween ? threaded.length - 1 : threaded.length,
    isBetween,
  };
}

/** Which of a begun piece's runs is meant: the unsewn one that the plan in force has first, else the first placement. */
export function begunJob(jobs: readonly JobTable[], seen: SeenPlan | null): JobTable | null {
  const open = jobs.filter((job) => job.sewn === 0);
  const startOf = (job: JobTable) =>
    seen?.plan.runs.find((run) => run.job === job.id)?.stretches[0]?.start ?? Infinity;
  return open.reduce<JobTable | null>(
    (first, job) => (first === null || startOf(job) < startOf(first) ? job : first),
    null,
  );
}

export const isBegun = (piece: PieceTable): boolean => piece.state === "hooped" || piece.state === "sewing";

interface FloorAsked {
  readonly problem: Problem;
  readonly startsAtMs: number;
  readonly studio: StudioKept;
  readonly downTimes: ReadonlyMap<string, shapes.MachineBody["downTimes"]>;
  readonly begun: readonly BegunPiece[];
  readonly seen: SeenPlan | null;
}

/**
 * The floor, and the problem with what must be said in it about begun pieces: an interrupted one has its sewn stitches
 * taken off and stays on its machine.
 */
export function floorOf(asked: FloorAsked): { problem: Problem; floor: FloorState } {
  const { startsAtMs, begun, seen } = asked;
  const machines = new Map(asked.problem.machines.map((machine) => [machine.id, machine]));
  const jobs = new Map(asked.problem.jobs.map((job) => [job.id, job]));
  const frames = frameNumbers(asked.problem, begun, seen);
  const running: RunningPiece[] = [];
  const hooped: FramedPiece[] = [];
  const changed = new Map<string, Job>();
  /** Since when each machine has the piece that is on it now. */
  const busy = new Map<string, number>();
  // Of two pieces said to sew on one machine the later is there; the earlier came off, mostly sewn, and was not marked.
  for (const piece of [...begun].sort((a, b) => b.sinceMs - a.sinceMs)) {
    const job = jobs.get(piece.jobId);
    if (!job) continue;
    const hoop = frames.get(piece.jobId) ?? null;
    const run = seen?.plan.runs.find((one) => one.job === piece.jobId);
    const machineId = piece.machineId ?? run?.machine ?? null;
    const machine = machineId === null ? undefined : machines.get(machineId);
    if (piece.state === "hooped" || !machine) {
      hooped.push({ job: job.id, hoop });
      continue;
    }
    const untilMs = busy.get(machine.id) ?? startsAtMs;
    const workedS = piece.told?.isOnMachine
      ? piece.told.sewedS
      : workedSeconds(asked, machine.id, piece.sinceMs, untilMs);
    if (busy.has(machine.id)) {
      hooped.push({ job: job.id, hoop });
      changed.set(job.id, { ...withoutSewn(job, machine, workedS), machines: [machine.id] });
      continue;
    }
    busy.set(machine.id, piece.sinceMs);
    if (machine.down.some(([from, to]) => from <= 0 && 0 < to)) {
      hooped.push({ job: job.id, hoop });
      changed.set(job.id, { ...withoutSewn(job, machine, workedS), machines: [machine.id] });
      continue;
    }
    const begunAt = Math.min(0, Math.round((piece.sinceMs - startsAtMs) / 1000));
    const at = standing(job, machine, workedS, begunAt, { run, seen, startsAtMs, told: piece.told });
    running.push({ job: job.id, machine: machine.id, hoop, begunAt, ...at });
  }
  const problem = {
    ...asked.problem,
    jobs: asked.problem.jobs.map((job) => changed.get(job.id) ?? job),
  };
  return { problem, floor: { running, hooped } };
}

/** A machine that goes down while its piece still sews is taken down when the piece has ended: so long people wait for it. */
export function downAfterRunning(problem: Problem, running: readonly RunningPiece[]): Problem {
  const ends = new Map(running.map((piece) => [piece.machine, piece.stretchEndsAt]));
  return {
    ...problem,
    machines: problem.machines.map((machine) => {
      const end = ends.get(machine.id);
      if (end === undefined) return machine;
      const down = machine.down
        .map(([from, to]): Interval => [Math.max(from, end), to])
        .filter(([from, to]) => from < to);
      return { ...machine, down };
    }),
  };
}

/** Seconds the parts take on the machine, as the problem's rules have it. */
function sewingS(job: Job, machine: PlanningMachine, from = 0): number {
  const parts = job.parts.slice(from);
  const stitches = parts.reduce((sum, part) => sum + part.stitches, 0);
  const changes = parts.filter((part, at) => at > 0 && part.colour !== parts[at - 1]!.colour).length;
  return Math.ceil(
    (60 * stitches) / machine.stitchesPerMinute + changes * machine.colourChangeS + job.trims * machine.trimS,
  );
}

function standing(
  job: Job,
  machine: PlanningMachine,
  workedS: number,
  begunAt: number,
  known: {
    readonly run: Plan["runs"][number] | undefined;
    readonly seen: SeenPlan | null;
    readonly startsAtMs: number;
    readonly told: ToldRun | null;
  },
): { sewnParts: number; stretchEndsAt: number } {
  const { run, seen, startsAtMs, told } = known;
  if (run && run.machine === machine.id && run.stretches.length > 1 && told?.isOnMachine) {
    // With stops, and its station tells at which of them it is.
    const at = Math.min(told.stretch, run.stretches.length - 1);
    const untilS = run.stretches.slice(0, at + 1).reduce((sum, one) => sum + one.end - one.start, 0);
    return {
      sewnParts: run.stretches[at]!.to + 1,
      stretchEndsAt: told.isBetween ? 0 : Math.max(0, untilS - told.sewedS),
    };
  }
  if (run && seen && run.machine === machine.id && run.stretches.length > 1) {
    // With stops: as the plan in force has it, from when the piece really began.
    const offsetS = Math.round((seen.startsAtMs - startsAtMs) / 1000);
    const late = begunAt - (run.stretches[0]!.start + offsetS);
    const at = (seconds: number) => seconds + offsetS + late;
    const stretch = run.stretches.filter((one) => at(one.start) <= 0).at(-1) ?? run.stretches[0]!;
    return { sewnParts: stretch.to + 1, stretchEndsAt: Math.max(0, at(stretch.end)) };
  }
  return {
    sewnParts: job.parts.length,
    stretchEndsAt: Math.max(0, Math.round(sewingS(job, machine) - workedS)),
  };
}

/** The job with its sewn stitches taken off. */
function withoutSewn(job: Job, machine: PlanningMachine, workedS: number): Job {
  const whole = Math.max(1, sewingS(job, machine));
  const share = Math.min(1, workedS / whole);
  let sewn = share * job.parts.reduce((sum, part) => sum + part.stitches, 0);
  const parts = job.parts.map((part) => {
    const off = Math.min(part.stitches, sewn);
    sewn -= off;
    return { ...part, stitches: Math.ceil(part.stitches - off) };
  });
  return { ...job, parts, trims: Math.ceil(job.trims * (1 - share)) };
}

/** Seconds between the two in which the studio was open and the machine up; a piece begun outside the hours sews on regardless. */
function workedSeconds(
  { studio, downTimes }: FloorAsked,
  machineId: string,
  sinceMs: number,
  untilMs: number,
): number {
  if (untilMs <= sinceMs) return 0;
  const { timeZone, openHours, closedDays } = studio.body;
  const from = addDays(localTime(timeZone, sinceMs).date, -1);
  const days = Math.min(60, Math.ceil((untilMs - sinceMs) / 86_400_000) + 3);
  const open = openSpans({ timeZone, hours: openHours, daysOff: closedDays, from, days });
  const shut = [
    ...open.slice(1).map((span, at) => ({ start: open[at]!.end, end: span.start })),
    ...downSpans(timeZone, downTimes.get(machineId) ?? []),
  ].filter((span) => sinceMs < span.start && span.start < untilMs);
  let offMs = 0;
  let reached = sinceMs;
  for (const span of shut.sort((a, b) => a.start - b.start)) {
    const end = Math.min(span.end, untilMs);
    offMs += Math.max(0, end - Math.max(reached, span.start));
    reached = Math.max(reached, end);
  }
  return Math.max(0, (untilMs - sinceMs - offMs) / 1000);
}

/** The frame of each begun job: the one the plan in force gave it, else the first of its kind that no other begun piece is in. */
function frameNumbers(
  problem: Problem,
  begun: readonly BegunPiece[],
  seen: SeenPlan | null,
): Map<string, string> {
  const counts = new Map(problem.hoops.map((kind) => [kind.id, kind.count]));
  const kinds = new Map(problem.jobs.map((job) => [job.id, job.hoop]));
  const taken = new Map<string, string>();
  const used = new Set<string>();
  const give = (jobId: string, hoop: string) => {
    taken.set(jobId, hoop);
    used.add(hoop);
  };
  for (const { jobId } of begun) {
    const known = seen?.plan.runs.find((run) => run.job === jobId)?.hoop;
    const kind = kinds.get(jobId);
    const number = Number(known?.slice(known.lastIndexOf("/") + 1));
    if (
      known &&
      kind &&
      known === `${kind}/${number}` &&
      number <= (counts.get(kind) ?? 0) &&
      !used.has(known)
    )
      give(jobId, known);
  }
  for (const { jobId } of begun) {
    const kind = kinds.get(jobId);
    if (!kind || taken.has(jobId)) continue;
    const free = Array.from({ length: counts.get(kind) ?? 0 }, (_, n) => `${kind}/${n + 1}`).find(
      (hoop) => !used.has(hoop),
    );
    if (free) give(jobId, free);
  }
  return taken;
}
