import { byTime, type FloorEvent, type RunFacts, type StopWhy } from "./events";
import { blankRun, atMostExpected, runMoved, toldAfterAll, type RunDraft } from "./moved-runs";
import type { MovedByHand } from "./pieces";

/** Where a run stands, in the order it goes. */
export type RunStage =
  "waiting" | "hooped" | "loaded" | "sewing" | "stopped" | "sewn" | "finished" | "spoiled";

/** One job at its machine, as its events tell it: times, how long it sewed, what broke. Times in ms since 1970. */
export interface Run {
  readonly jobId: string;
  readonly pieceId: string;
  readonly stage: RunStage;
  readonly machineId: string | null;
  readonly hoop: string | null;
  readonly hoopedAtMs: number | null;
  readonly loadedAtMs: number | null;
  readonly startedAtMs: number | null;
  /** When it came off the machine, sewn or spoiled. */
  readonly endedAtMs: number | null;
  readonly finishedAtMs: number | null;
  /** When it came out of its hoop, where that was told before it was finished. */
  readonly unhoopedAtMs?: number | undefined;
  /** Milliseconds the machine sewed on it; while it sews, up to the last event. */
  readonly sewedMs: number;
  /** Since when it sews now; null while it does not. */
  readonly sewingSinceMs: number | null;
  readonly stops: readonly {
    readonly atMs: number;
    readonly why: StopWhy;
    readonly needle: number | null;
    /** How long it stood; null while it stands. */
    readonly standingMs: number | null;
  }[];
  readonly facts: RunFacts | null;
  /** Its times are taken from moves on its piece's page: it counts with the time expected. */
  readonly estimated?: true | undefined;
}

/** The events of a run that matter to it. */
const isOf = (jobId: string, event: FloorEvent): boolean => "jobId" in event && event.jobId === jobId;

/**
 * The run of a job: a fold over its events in their order. A run that starts again after it was sewn (taken back onto
 * a machine) goes on; its sewing adds up. A machine that is told to start while it sews changes nothing.
 */
export function runOf(jobId: string, events: readonly (FloorEvent | MovedByHand)[]): Run | null {
  return runAfter(null, jobId, events);
}

/**
 * A run as it is known, with events that came after all it was made of: for a tablet that has the run and not its
 * record. Null where nothing was told of it.
 */
export function runAfter(
  known: Run | null,
  jobId: string,
  events: readonly (FloorEvent | MovedByHand)[],
): Run | null {
  const taken = new Set(events.flatMap((event) => (event.kind === "taken-back" ? [event.eventId] : [])));
  const own = events
    .filter((event) => !taken.has(event.id) && (event.kind === "moved" || isOf(jobId, event)))
    .sort(byTime);
  let run = known;
  for (const event of own)
    run = event.kind === "moved" ? runMoved(run, jobId, event) : told(run, jobId, event);
  return run;
}

function told(known: Run | null, jobId: string, event: FloorEvent): Run {
  const run: RunDraft = known ? { ...known } : blankRun(jobId, (event as { pieceId: string }).pieceId);
  if (event.kind === "hooped" || event.kind === "loaded" || event.kind === "started") toldAfterAll(run);
  take(run, event);
  if (run.estimated && run.endedAtMs !== null) run.sewedMs = atMostExpected(run.sewedMs, run.facts);
  return run;
}

function take(run: RunDraft, event: FloorEvent): void {
  // What was known when it began counts before what was known later.
  if ("facts" in event && event.facts !== undefined) run.facts ??= event.facts;
  switch (event.kind) {
    case "hooped":
      run.hoopedAtMs = event.atMs;
      run.hoop = event.hoop;
      delete run.unhoopedAtMs;
      if (run.stage === "waiting") run.stage = "hooped";
      return;
    case "loaded":
      run.loadedAtMs = event.atMs;
      run.machineId = event.machineId;
      if (run.stage === "waiting" || run.stage === "hooped") run.stage = "loaded";
      return;
    case "started":
      return begin(run, event.machineId, event.atMs);
    case "stopped":
      run.machineId = event.machineId;
      rest(run, event.atMs);
      run.stops = [
        ...run.stops,
        { atMs: event.atMs, why: event.why, needle: event.needle, standingMs: null },
      ];
      run.stage = "stopped";
      return;
    case "sewn":
      run.machineId = event.machineId;
      return end(run, "sewn", event.atMs);
    case "unhooped":
      run.unhoopedAtMs = event.atMs;
      return;
    case "finished":
      // Whoever finishes a piece says with it that it is sewn.
      if (run.endedAtMs === null) end(run, "sewn", event.atMs);
      run.finishedAtMs = event.atMs;
      run.stage = "finished";
      return;
    case "spoiled":
      return end(run, "spoiled", event.atMs);
    case "skipped":
      rest(run, event.atMs);
      if (run.stage !== "sewn" && run.stage !== "finished")
        run.stage = run.hoopedAtMs === null ? "waiting" : "hooped";
      return;
    default:
  }
}

function begin(run: RunDraft, machineId: string, atMs: number): void {
  run.machineId = machineId;
  run.startedAtMs ??= atMs;
  if (run.sewingSinceMs !== null) return;
  run.sewingSinceMs = atMs;
  run.endedAtMs = null;
  run.finishedAtMs = null;
  run.stage = "sewing";
  endStop(run, atMs);
}

function endStop(run: RunDraft, atMs: number): void {
  const last = run.stops.at(-1);
  if (last && last.standingMs === null)
    run.stops = [...run.stops.slice(0, -1), { ...last, standingMs: atMs - last.atMs }];
}

function rest(run: RunDraft, atMs: number): void {
  if (run.sewingSinceMs === null) return;
  run.sewedMs += atMs - run.sewingSinceMs;
  run.sewingSinceMs = null;
}

function end(run: RunDraft, stage: "sewn" | "spoiled", atMs: number): void {
  rest(run, atMs);
  endStop(run, atMs);
  run.endedAtMs = atMs;
  run.stage = stage;
}

/**
 * Stitches sewn of a run: all of them once it is sewn; of one that ended or stands before, as many as its sewing time
 * bears to the time the whole was expected to take.
 */
export function stitchesSewn(run: Run, nowMs: number): number {
  if (!run.facts) return 0;
  if (run.stage === "sewn" || run.stage === "finished") return run.facts.stitches;
  const sewedMs = run.sewedMs + (run.sewingSinceMs === null ? 0 : Math.max(0, nowMs - run.sewingSinceMs));
  const share = Math.min(1, sewedMs / Math.max(1, run.facts.expectedS * 1000));
  return Math.round(share * run.facts.stitches);
}
