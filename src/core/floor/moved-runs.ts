import type { RunFacts } from "./events";
import type { MovedByHand } from "./pieces";
import type { Register } from "./registers";
import type { Run } from "./runs";

/**
 * Pieces moved on their pages and not told at a station: their runs are estimated. What is said of such a run is only
 * when its piece was moved; it is taken to have sewn as long as expected, up to then, on the machine known of it. A
 * machine's own hour meter corrects the sum.
 */
export type RunDraft = { -readonly [K in keyof Run]: Run[K] };

const isOver = (run: Run | null): boolean =>
  run !== null && ["sewn", "finished", "spoiled"].includes(run.stage);

/** A run of which nothing is told yet. */
export const blankRun = (jobId: string, pieceId: string): RunDraft => ({
  jobId,
  pieceId,
  stage: "waiting",
  machineId: null,
  hoop: null,
  hoopedAtMs: null,
  loadedAtMs: null,
  startedAtMs: null,
  endedAtMs: null,
  finishedAtMs: null,
  sewedMs: 0,
  sewingSinceMs: null,
  stops: [],
  facts: null,
});

/** The run after its piece was moved; null where nothing is known of it any more. */
export function runMoved(run: Run | null, jobId: string, move: MovedByHand): Run | null {
  const known = move.runs?.[jobId];
  if (!known) return run?.estimated && (move.to === "ready" || move.to === "waiting") ? null : run;
  const draft: RunDraft = run ? { ...run } : blankRun(jobId, move.pieceId ?? "");
  draft.facts ??= known.facts;
  draft.machineId ??= known.machineId;
  switch (move.to) {
    case "hooped":
      return isOver(run) && !run!.estimated ? run : back(draft, "hooped", move.atMs);
    case "sewing":
      return sewOn(run, draft, move.atMs);
    case "finishing":
    case "done":
    case "packed":
    case "shipped":
      if (isOver(run)) return run;
      ended(draft, move.to === "finishing" ? "sewn" : "finished", move.atMs);
      return draft;
    case "spoiled":
    case "cancelled":
      if (run === null || isOver(run)) return run;
      ended(draft, "spoiled", move.atMs);
      return draft;
    default:
      if (run === null || run.estimated) return null;
      return isOver(run) ? run : back(draft, "waiting", move.atMs);
  }
}

/** In its hoop again or out of it, with what was sewn before kept. */
function back(run: RunDraft, stage: "hooped" | "waiting", atMs: number): RunDraft {
  if (run.sewingSinceMs !== null) run.sewedMs += Math.max(0, atMs - run.sewingSinceMs);
  if (run.estimated) run.sewedMs = 0;
  if (run.startedAtMs === null || run.estimated) {
    run.estimated = true;
    run.startedAtMs = run.endedAtMs = run.finishedAtMs = null;
  }
  run.sewingSinceMs = null;
  run.hoopedAtMs = stage === "hooped" ? (run.hoopedAtMs ?? atMs) : null;
  run.stage = stage;
  return run;
}

function sewOn(run: Run | null, draft: RunDraft, atMs: number): Run | null {
  if (run !== null && run.sewingSinceMs !== null) return run;
  if (isOver(run) && !run!.estimated) return run;
  // What its station told stays as it was told.
  if (draft.startedAtMs === null || draft.estimated) {
    draft.estimated = true;
    draft.sewedMs = 0;
    draft.startedAtMs = atMs;
  }
  draft.hoopedAtMs ??= atMs;
  draft.loadedAtMs ??= atMs;
  draft.sewingSinceMs = atMs;
  draft.endedAtMs = draft.finishedAtMs = null;
  draft.stage = "sewing";
  return draft;
}

function ended(run: RunDraft, stage: "sewn" | "finished" | "spoiled", atMs: number): void {
  const expectedMs = (run.facts?.expectedS ?? 0) * 1000;
  const isUntold = run.startedAtMs === null || run.estimated === true;
  const sewedMs = run.sewedMs + (run.sewingSinceMs === null ? 0 : Math.max(0, atMs - run.sewingSinceMs));
  if (stage === "spoiled" || !isUntold)
    run.sewedMs = expectedMs > 0 ? Math.min(sewedMs, expectedMs) : sewedMs;
  else run.sewedMs = expectedMs;
  run.startedAtMs = isUntold && run.sewingSinceMs === null ? atMs - run.sewedMs : run.startedAtMs;
  run.sewingSinceMs = null;
  run.stops = run.stops.map((stop) =>
    stop.standingMs === null ? { ...stop, standingMs: atMs - stop.atMs } : stop,
  );
  run.endedAtMs = atMs;
  if (stage === "finished") run.finishedAtMs = atMs;
  run.stage = stage;
  run.estimated = true;
}

/** A run told from a station on: what was estimated before counts no more. */
export function toldAfterAll(run: RunDraft): void {
  if (!run.estimated) return;
  delete run.estimated;
  run.sewedMs = 0;
  run.startedAtMs = run.endedAtMs = run.finishedAtMs = run.sewingSinceMs = null;
}

/** Seconds a run that came off by a page's word may count at most: those expected. */
export const atMostExpected = (sewedMs: number, facts: RunFacts | null): number =>
  facts && facts.expectedS > 0 ? Math.min(sewedMs, facts.expectedS * 1000) : sewedMs;

/** What stands on machines by a move: the piece that sews now, or nothing any more. `id` is the move's own. */
export function registersOfMove(move: MovedByHand, id: string): Register[] {
  const isOn = move.to === "sewing";
  if (!isOn && move.from !== "sewing") return [];
  return Object.entries(move.runs ?? {}).flatMap(([jobId, { machineId }]): Register[] =>
    machineId === null
      ? []
      : [
          {
            kind: "machine",
            subject: machineId,
            atMs: move.atMs,
            eventId: id,
            value: {
              doing: isOn ? "sewing" : "empty",
              jobId: isOn ? jobId : null,
              pieceId: isOn ? (move.pieceId ?? null) : null,
              why: null,
              needle: null,
            },
          },
        ],
  );
}
