/**
 * What is told from the floor. Events are only ever added; each carries the time it happened at by the clock of
 * whoever told it, which may be long before it arrives. Nothing here depends on the order of arrival: wherever order
 * matters it is by `atMs`, then by id. An event that should not have been told is taken back by another one.
 */

/** Why a machine stopped before its piece was sewn. `threading` is the stop the plan foresaw. */
export type StopWhy = "thread-broke" | "bobbin" | "needle" | "threading" | "other";

/** Why a needle was changed. */
export type NeedleWhy = "worn" | "struck" | "other-size" | "other";

/** How a run's stitches fall on needles, and how long they take without a stop: known when it begins. */
export interface RunFacts {
  readonly stitches: number;
  readonly trims: number;
  readonly expectedS: number;
  readonly colourChanges: number;
  readonly parts: readonly {
    readonly needle: number | null;
    readonly threadId: string;
    readonly stitches: number;
    readonly threadMm: number;
  }[];
  readonly productId: string;
  readonly hoopId: string | null;
  /** Where the plan in force had its sewing, from first stitch to last; absent where it had none. */
  readonly planned?: { readonly startMs: number; readonly endMs: number } | null | undefined;
}

interface Base {
  readonly id: string;
  readonly atMs: number;
  /** Whose hands, as far as it was said. */
  readonly personId: string | null;
}

interface AtPiece {
  readonly pieceId: string;
  readonly jobId: string;
  /** Added where the event is kept. */
  readonly facts?: RunFacts;
}

/** A piece's states as in core/shop; the fold of its events gives one of them. */
export type FloorEvent = Base &
  (
    | ({ readonly kind: "hooped"; readonly hoop: string | null } & AtPiece)
    | {
        readonly kind: "threaded";
        readonly machineId: string;
        readonly needles: readonly { readonly needle: number; readonly threadId: string | null }[];
      }
    | ({ readonly kind: "loaded"; readonly machineId: string } & AtPiece)
    | ({
        readonly kind: "started";
        readonly machineId: string;
        /** The needle of each part, as the station had it. */
        readonly needles?: readonly (number | null)[] | undefined;
      } & AtPiece)
    | ({
        readonly kind: "stopped";
        readonly machineId: string;
        readonly why: StopWhy;
        readonly needle: number | null;
        readonly note: string;
      } & AtPiece)
    | ({ readonly kind: "sewn"; readonly machineId: string } & AtPiece)
    /** Out of its hoop, which is free again; the rest of its finishing comes later. */
    | ({ readonly kind: "unhooped" } & AtPiece)
    | ({ readonly kind: "finished" } & AtPiece)
    | { readonly kind: "packed"; readonly pieceId: string }
    | {
        readonly kind: "spoiled";
        readonly pieceId: string;
        readonly jobId: string | null;
        readonly machineId: string | null;
        readonly why: string;
        readonly remake: boolean;
      }
    /** Not now: its turn comes again after `untilMs`. */
    | ({ readonly kind: "skipped"; readonly machineId: string | null; readonly untilMs: number } & AtPiece)
    /** A batch of sewn goods done. */
    | { readonly kind: "batch-done"; readonly choreId: string; readonly pieceIds: readonly string[] }
    | {
        readonly kind: "machine-down";
        readonly machineId: string;
        readonly untilMs: number;
        readonly why: string;
      }
    | { readonly kind: "machine-up"; readonly machineId: string }
    | {
        readonly kind: "person-away";
        readonly awayId: string;
        readonly untilMs: number;
        readonly why: string;
      }
    | { readonly kind: "person-back"; readonly awayId: string }
    | { readonly kind: "thread-out"; readonly threadId: string }
    | { readonly kind: "thread-in"; readonly threadId: string }
    | {
        readonly kind: "needle-changed";
        readonly machineId: string;
        readonly needle: number;
        readonly why: NeedleWhy;
        readonly sizeNm: number | null;
        readonly point: "sharp" | "ball" | null;
      }
    | {
        readonly kind: "care-done";
        readonly machineId: string;
        readonly ruleId: string;
        readonly note: string;
      }
    | {
        readonly kind: "repaired";
        readonly machineId: string;
        readonly what: string;
        readonly costCents: number | null;
      }
    | { readonly kind: "meter-read"; readonly machineId: string; readonly hours: number }
    /** The plan leaves everything as it stands until then; 0 ends that. */
    | { readonly kind: "board-left"; readonly untilMs: number }
    /** The plan leaves one machine's order alone until then; 0 ends that. */
    | { readonly kind: "machine-locked"; readonly machineId: string; readonly untilMs: number }
    | { readonly kind: "taken-back"; readonly eventId: string }
  );

export type FloorKind = FloorEvent["kind"];
export type EventOf<K extends FloorKind> = Extract<FloorEvent, { readonly kind: K }>;

/** The order in which things happened: by time told, then by id, so that it is the same wherever it is worked out. */
export const byTime = (a: Pick<FloorEvent, "atMs" | "id">, b: Pick<FloorEvent, "atMs" | "id">): number =>
  a.atMs - b.atMs || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0);

/** Events in their order without those taken back (and without the taking back). */
export function standingEvents(events: readonly FloorEvent[]): FloorEvent[] {
  const taken = new Set(events.flatMap((event) => (event.kind === "taken-back" ? [event.eventId] : [])));
  return events.filter((event) => event.kind !== "taken-back" && !taken.has(event.id)).sort(byTime);
}
