import type { PieceState } from "#core/shop";
import { byTime, type FloorEvent, type RunFacts } from "./events";

/** A piece put into a state from its page: it counts among the floor's events in its order. */
export interface MovedByHand {
  readonly kind: "moved";
  readonly id: string;
  readonly atMs: number;
  readonly to: PieceState;
  readonly from?: PieceState | undefined;
  readonly pieceId?: string | undefined;
  /** Runs of the piece that the move concerns, by job, and what was known of them; absent in moves of older records. */
  readonly runs?: Readonly<Record<string, MovedRun>> | undefined;
}

export interface MovedRun {
  /** Where it sews or has sewn, as far as the move, a station or the plan tells. */
  readonly machineId: string | null;
  readonly facts: RunFacts | null;
}

export interface PieceStanding {
  readonly state: PieceState;
  /** Jobs whose sewing is done. */
  readonly sewn: ReadonlySet<string>;
}

interface PieceAsked {
  /** How it stood before the first of the events. */
  readonly before: PieceStanding;
  readonly jobIds: readonly string[];
  readonly events: readonly (FloorEvent | MovedByHand)[];
}

/** What leaves the floor for good, unless a person moves it back from its page. */
const gone: readonly PieceState[] = ["spoiled", "cancelled", "shipped"];
const atMachines: readonly PieceState[] = ["ready", "hooped", "sewing"];
const afterSewing: readonly PieceState[] = ["finishing", "done", "packed", "shipped"];

/**
 * Where a piece stands after its events, in their own order whatever the order they came in: hooped, sewing, then ready
 * for its next placement or finishing, done, packed. Of events in one piece's life a later stage is not undone by an
 * earlier one told late.
 */
export function pieceAfter({ before, jobIds, events }: PieceAsked): PieceStanding {
  const taken = new Set(events.flatMap((event) => (event.kind === "taken-back" ? [event.eventId] : [])));
  let state = before.state;
  const sewn = new Set(before.sewn);
  for (const event of [...events].filter((one) => !taken.has(one.id)).sort(byTime)) {
    if (event.kind === "moved") {
      // Taken back to the machine from behind it, none of it counts as sewn.
      if (afterSewing.includes(event.to)) jobIds.forEach((job) => sewn.add(job));
      else if (afterSewing.includes(state) && atMachines.includes(event.to)) sewn.clear();
      state = event.to;
      continue;
    }
    if (gone.includes(state)) continue;
    state = stateAfter(state, event, sewn, jobIds);
  }
  return { state, sewn };
}

function stateAfter(
  state: PieceState,
  event: FloorEvent,
  sewn: Set<string>,
  jobIds: readonly string[],
): PieceState {
  const isAllSewn = () => jobIds.every((job) => sewn.has(job));
  switch (event.kind) {
    case "hooped":
    case "loaded":
      return "hooped";
    case "started":
    case "stopped":
      sewn.delete(event.jobId);
      return "sewing";
    case "sewn":
      sewn.add(event.jobId);
      return isAllSewn() ? "finishing" : "ready";
    case "finished":
      sewn.add(event.jobId);
      if (state === "packed") return state;
      return isAllSewn() ? "done" : state === "finishing" || state === "sewing" ? "ready" : state;
    case "batch-done":
      return state === "packed" ? state : "done";
    case "packed":
      jobIds.forEach((job) => sewn.add(job));
      return "packed";
    case "spoiled":
      return "spoiled";
    case "skipped":
      return state === "sewing" ? "hooped" : state;
    default:
      return state;
  }
}
