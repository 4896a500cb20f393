import type { PieceState } from "#core/shop";
import { appendFloorEvents, type FloorEvent, type PieceTable, type Store } from "#store";
import type { Context } from "./context";
import type { MovedRun } from "#core/floor";
import { toldStates } from "./floor/lives";
import { followMoves, runsMoved } from "./floor/moved";
import type { KeptEvent } from "./floor/rows";
import { eventWords } from "./floor/words";
import { allOf } from "./records";

/**
 * The trail of a piece over the floor: an event for each move, never changed, each linked to the one before. A move
 * that is taken back leaves its event standing; before the piece moves again (or at once by `settleTrail`) an event is
 * added that says where it really stands, so the last event always agrees with the piece.
 */
export interface Move {
  readonly piece: Pick<PieceTable, "id" | "code">;
  readonly from: PieceState;
  readonly to: PieceState;
  readonly who: string;
  readonly why: string;
  readonly personId?: string | null;
  readonly machineId?: string | null;
  /** The new piece that takes a spoiled one's place. */
  readonly remake?: Pick<PieceTable, "id" | "code">;
}

type Reader = Store["db"];
const MOVED = "piece-moved";
/** A move was taken back: the piece stands elsewhere than its last event says. */
const SETTLED = "piece-settled";

interface MoveData {
  readonly code: string;
  readonly from: PieceState;
  readonly to: PieceState;
  readonly why: string;
  readonly remakeId?: string;
  readonly remakeCode?: string;
  /** What was known of the runs it concerns. */
  readonly runs?: Readonly<Record<string, MovedRun>>;
}

/** Adds the moves' events, inside a write. */
export async function tellMoves(context: Context, db: Reader, moves: readonly Move[]): Promise<void> {
  const atMs = context.nowMs();
  const known = await runsMoved(
    db,
    moves.map(({ piece, to, machineId }) => ({ pieceId: piece.id, to, machineId: machineId ?? null })),
  );
  const events = moves.map((move): FloorEvent => {
    const runs = known.get(move.piece.id);
    const data: MoveData = {
      code: move.piece.code,
      from: move.from,
      to: move.to,
      why: move.why,
      ...(move.remake ? { remakeId: move.remake.id, remakeCode: move.remake.code } : {}),
      ...(runs ? { runs } : {}),
    };
    return {
      ...bare(context, atMs, move.who, move.piece.id),
      kind: MOVED,
      person_id: move.personId ?? null,
      machine_id: move.machineId ?? null,
      data: JSON.stringify(data),
    };
  });
  await appendFloorEvents(db, events);
  await followMoves(db, idsOf(events));
}

const idsOf = (events: readonly { readonly id: string }[]): string[] => events.map((event) => event.id);

const bare = (context: Context, atMs: number, who: string, pieceId: string) => ({
  id: context.newId("ev"),
  at_ms: atMs,
  recorded_at_ms: atMs,
  who,
  piece_id: pieceId,
  job_id: null,
  person_id: null,
  machine_id: null,
});

/**
 * Adds an event for each piece whose last event says another state than it has: its last move was taken back. For use
 * inside a write, before further moves or right after an undo. Gives how many were added.
 */
export async function settleTrail(
  context: Context,
  db: Reader,
  who: string,
  pieces: readonly Pick<PieceTable, "id" | "code" | "state">[],
): Promise<number> {
  const last = await toldStates(
    db,
    pieces.map((piece) => piece.id),
  );
  const off = pieces.filter((piece) => last.has(piece.id) && last.get(piece.id) !== piece.state);
  if (off.length === 0) return 0;
  const atMs = context.nowMs();
  const known = await runsMoved(
    db,
    off.map((piece) => ({ pieceId: piece.id, to: piece.state as PieceState, machineId: null })),
  );
  const events = off.map((piece): FloorEvent => {
    const runs = known.get(piece.id);
    const data: MoveData = {
      code: piece.code,
      from: last.get(piece.id)!,
      to: piece.state as PieceState,
      why: "the move was taken back",
      ...(runs ? { runs } : {}),
    };
    return { ...bare(context, atMs, who, piece.id), kind: SETTLED, data: JSON.stringify(data) };
  });
  await appendFloorEvents(db, events);
  await followMoves(db, idsOf(events));
  return off.length;
}

/** After a change was taken back: settles the trail of every piece it touched. One write of its own. */
export async function settleAfterUndo(context: Context, who: string, changeId: string): Promise<void> {
  const touched = await context.store.db
    .selectFrom("change_records")
    .innerJoin("changes", "changes.seq", "change_records.change_seq")
    .innerJoin("pieces", "pieces.id", "change_records.record_id")
    .select(["pieces.id", "pieces.code", "pieces.state"])
    .where("changes.id", "=", changeId)
    .execute();
  if (touched.length > 0)
    await context.store.write({ who, what: "Settled the floor's record" }, (writing) =>
      settleTrail(context, writing.db, who, touched),
    );
}

const stateNames: Record<PieceState, string> = {
  waiting: "Waiting",
  ready: "Ready",
  hooped: "Hooped",
  sewing: "Sewing",
  finishing: "Finishing",
  done: "Done",
  packed: "Packed",
  shipped: "Shipped",
  spoiled: "Spoiled",
  cancelled: "Cancelled",
};
export const stateName = (state: string): string => stateNames[state as PieceState] ?? state;

/** A piece's history in words, newest first; a move taken back and not settled yet is told too. */
export async function historyOf(
  db: Reader,
  piece: PieceTable,
): Promise<{ id: string; atMs: number; who: string; what: string; why: string }[]> {
  const [events, told] = await Promise.all([
    db
      .selectFrom("floor_events")
      .selectAll()
      .where("piece_id", "=", piece.id)
      .orderBy("seq", "desc")
      .limit(500)
      .execute(),
    toldStates(db, [piece.id]),
  ]);
  const machines = await allOf(db, "machines");
  const lines = events.map((event) => ({
    id: event.id,
    atMs: event.at_ms,
    who: event.who,
    ...inWords(event, (id) => machines.get(id)?.name ?? "a machine"),
  }));
  if (told.has(piece.id) && told.get(piece.id) !== piece.state)
    lines.unshift({
      id: `${piece.id}-now`,
      atMs: piece.updated_at_ms,
      who: "",
      what: `Stands at ${stateName(piece.state)}`,
      why: "the move was taken back",
    });
  return lines;
}

function inWords(event: KeptEvent, machine: (id: string) => string): { what: string; why: string } {
  const data = JSON.parse(event.data) as Partial<MoveData>;
  if (event.kind !== MOVED && event.kind !== SETTLED)
    return {
      what: eventWords(event, {
        machine,
        person: () => "a person",
        thread: (id) => id,
        piece: () => "Piece",
        state: stateName,
      }),
      why: data.why && event.kind === "spoiled" ? data.why : "",
    };
  const remade = data.remakeCode ? `, remade as ${data.remakeCode}` : "";
  return { what: `${stateName(data.from!)} → ${stateName(data.to!)}${remade}`, why: data.why ?? "" };
}
