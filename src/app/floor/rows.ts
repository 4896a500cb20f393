import type { FloorEventBody } from "#contract";
import {
  type FloorEvent,
  type MovedByHand,
  type MovedRun,
  type Register,
  type Run,
  stitchesSewn,
} from "#core/floor";
import type { PieceState } from "#core/shop";
import type { Selectable } from "kysely";
import type { FloorEvent as EventRow, FloorEventTable, FloorRegisterTable, FloorRunTable } from "#store";

/** The floor's events, registers and runs between the database's rows and the core's values. */

/** An event as it is read back. */
export type KeptEvent = Selectable<FloorEventTable>;

/** Kinds that are told from a station; other rows of the record are pieces moved from their pages. */
export const MOVES = ["piece-moved", "piece-settled"] as const;

/** What is kept of an event beside its own words: how the piece stood when it came. */
interface Beside {
  readonly from?: { readonly state: PieceState; readonly sewn: readonly string[] };
  readonly remakeId?: string;
  /** Of a hand's task: whose it was by the plan in force, and when. */
  readonly hand?: PlannedHand;
}

export interface PlannedHand {
  readonly personId: string;
  readonly startMs: number;
  readonly endMs: number;
}

type Told = Pick<
  KeptEvent,
  "id" | "at_ms" | "person_id" | "piece_id" | "job_id" | "machine_id" | "kind" | "data"
>;

const columns = ["id", "atMs", "kind", "personId", "pieceId", "jobId", "machineId"] as const;

/** The row of an event; what has no column of its own goes into `data`. */
export function eventRow(
  event: FloorEvent,
  kept: {
    readonly recordedAtMs: number;
    readonly who: string;
    readonly beside: Beside;
    readonly of?: Pick<Told, "piece_id" | "job_id" | "machine_id">;
  },
): EventRow {
  const whole = event as unknown as Readonly<Record<string, unknown>>;
  const own = Object.fromEntries(
    Object.entries(whole).filter(([key]) => !(columns as readonly string[]).includes(key)),
  );
  const text = (key: string): string | null =>
    typeof whole[key] === "string" ? (whole[key] as string) : null;
  return {
    id: event.id,
    at_ms: event.atMs,
    recorded_at_ms: kept.recordedAtMs,
    person_id: event.personId,
    who: kept.who,
    kind: event.kind,
    piece_id: text("pieceId") ?? kept.of?.piece_id ?? null,
    job_id: text("jobId") ?? kept.of?.job_id ?? null,
    machine_id: text("machineId") ?? kept.of?.machine_id ?? null,
    data: JSON.stringify({ ...own, ...kept.beside }),
  };
}

const parsed = new WeakMap<object, Record<string, unknown>>();

/** A row's own words, parsed once however often they are asked for. */
function dataOf(row: Pick<Told, "data">): Record<string, unknown> {
  const known = parsed.get(row);
  if (known) return known;
  const data = JSON.parse(row.data) as Record<string, unknown>;
  parsed.set(row, data);
  return data;
}

/** The events that rows take back, by id. */
export const takenBackBy = (rows: readonly Pick<Told, "kind" | "data">[]): ReadonlySet<string> =>
  new Set(
    rows.flatMap((row) =>
      row.kind === "taken-back" ? [(dataOf(row) as unknown as { eventId: string }).eventId] : [],
    ),
  );

export const besideOf = (row: Pick<Told, "data">): Beside => dataOf(row) as Beside;

/** A row told from a station as the core's event; null for a piece moved from its page. */
export function eventOf(row: Told): FloorEvent | null {
  if ((MOVES as readonly string[]).includes(row.kind)) return null;
  const { from: _from, remakeId: _remake, hand: _hand, ...own } = dataOf(row);
  return {
    ...own,
    id: row.id,
    atMs: row.at_ms,
    personId: row.person_id,
    kind: row.kind,
    ...(row.piece_id === null ? {} : { pieceId: row.piece_id }),
    ...(row.job_id === null ? (row.kind === "spoiled" ? { jobId: null } : {}) : { jobId: row.job_id }),
    ...(row.machine_id === null
      ? row.kind === "spoiled" || row.kind === "skipped"
        ? { machineId: null }
        : {}
      : { machineId: row.machine_id }),
  } as unknown as FloorEvent;
}

/** A row of a piece's life, told from a station or moved from its page. */
export function lifeOf(row: KeptEvent): FloorEvent | MovedByHand {
  const event = eventOf(row);
  if (event) return event;
  // Within one millisecond what a person set on a page comes last, and in the order it was set.
  return { ...moveOf(row)!, id: `~${String(row.seq).padStart(12, "0")}` };
}

/** A row of a piece moved from its page; null for what was told from a station. */
export function moveOf(row: Told): MovedByHand | null {
  if (!(MOVES as readonly string[]).includes(row.kind)) return null;
  const { from, to, runs } = dataOf(row) as {
    from: PieceState;
    to: PieceState;
    runs?: Readonly<Record<string, MovedRun>>;
  };
  const pieceId = row.piece_id ?? undefined;
  return { kind: "moved", id: row.id, atMs: row.at_ms, from, to, pieceId, runs };
}

/** Jobs whose runs a row concerns. */
export const jobsOfRow = (row: Told): readonly string[] =>
  row.job_id !== null ? [row.job_id] : Object.keys(moveOf(row)?.runs ?? {});

/** How the piece stood before a row: what was kept with it, or where a move from its page came from. */
export function standingBefore(row: Told): { state: PieceState; sewn: readonly string[] } | null {
  if ((MOVES as readonly string[]).includes(row.kind)) {
    const { from } = dataOf(row) as { from: PieceState };
    return { state: from, sewn: [] };
  }
  return besideOf(row).from ?? null;
}

export const registerRow = (register: Register): FloorRegisterTable => ({
  kind: register.kind,
  subject: register.subject,
  at_ms: register.atMs,
  event_id: register.eventId,
  value: JSON.stringify(register.value),
});

export const registerOf = (row: FloorRegisterTable): Register => ({
  kind: row.kind as Register["kind"],
  subject: row.subject,
  atMs: row.at_ms,
  eventId: row.event_id,
  value: JSON.parse(row.value) as Register["value"],
});

export function runRow(run: Run, lastAtMs: number): FloorRunTable {
  return {
    job_id: run.jobId,
    piece_id: run.pieceId,
    machine_id: run.machineId,
    stage: run.stage,
    started_at_ms: run.startedAtMs,
    ended_at_ms: run.endedAtMs,
    finished_at_ms: run.finishedAtMs,
    last_at_ms: lastAtMs,
    sewed_ms: run.sewedMs,
    stitches: stitchesSewn(run, lastAtMs),
    run: JSON.stringify(run),
  };
}

export const runOfRow = (row: Pick<FloorRunTable, "run">): Run => JSON.parse(row.run) as Run;

/** The parsed body is the core's event: the compiler holds the two shapes together here. */
export const eventOfBody = (body: FloorEventBody): FloorEvent => body;
