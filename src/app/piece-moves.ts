import type { shapes } from "#contract";
import { invariant, type RefusalDetail } from "#core/base";
import { nextStates, type PieceState } from "#core/shop";
import type { JobTable, PieceTable, Store, Writing } from "#store";
import type { Context } from "./context";
import { refuseOrders } from "./order-refusals";
import { recountOrders, remakePiece } from "./piece-making";
import { isUnbegun, jobsOfPieces } from "./piece-records";
import { type Move, settleTrail, stateName, tellMoves } from "./piece-trail";
import { groupedBy, inPortions } from "./records";

/** Pieces moved from state to state, all of them or none. */

type Reader = Store["db"];

/** States from which all of a piece's runs count as sewn. */
const sewnStates: readonly PieceState[] = ["finishing", "done", "packed", "shipped"];

export interface MoveAsked {
  readonly pieceIds: readonly string[];
  readonly state: PieceState;
  readonly why: string;
  readonly remake: boolean;
  readonly personId: string | null;
  readonly machineId: string | null;
  readonly who: string;
}

/** Moves pieces inside a write: all of them, or a refusal that names each that cannot go and why. */
export async function movePieces(
  context: Context,
  writing: Writing,
  asked: MoveAsked,
): Promise<{ pieces: PieceTable[]; remakes: PieceTable[] }> {
  const { state: to, who } = asked;
  const why = asked.why.trim();
  const found = new Map(
    (
      await inPortions(asked.pieceIds, (ids) =>
        writing.db.selectFrom("pieces").selectAll().where("id", "in", ids).execute(),
      )
    ).map((row) => [row.id, row]),
  );
  const missing = asked.pieceIds.filter((id) => !found.has(id));
  if (missing.length > 0)
    throw refuseOrders(
      "piece-unknown",
      `There is no piece ${missing[0]}.`,
      missing.map((id) => ({ field: "pieceIds", found: id })),
    );
  const rows = asked.pieceIds.map((id) => found.get(id)!);
  refuseWrongMoves(rows, to);
  await refuseStrangers(writing.db, asked);
  if (to === "ready")
    await refuseTroubled(
      writing.db,
      rows.filter((row) => row.state === "waiting"),
    );
  await settleTrail(context, writing.db, who, rows);
  const jobs = groupedBy(await jobsOfPieces(writing.db, asked.pieceIds), (job) => job.piece_id);
  const customers = new Map(
    (
      await inPortions([...new Set(rows.map((row) => row.order_id))], (ids) =>
        writing.db.selectFrom("orders").select(["id", "customer"]).where("id", "in", ids).execute(),
      )
    ).map((row) => [row.id, row.customer]),
  );
  // A cancelled piece comes back as far as its artwork lets it.
  const landing = (row: PieceTable): PieceState =>
    to === "ready" && jobs.get(row.id)?.some((job) => job.trouble !== null) ? "waiting" : to;
  const pieces = await land(context, writing, rows, to, landing);
  await markSewn(writing, rows, landing, jobs);
  const remakes: PieceTable[] = [];
  const moves: Move[] = [];
  for (const row of rows) {
    const remake =
      to === "spoiled" && asked.remake
        ? await remakePiece(context, writing, row, customers.get(row.order_id)!)
        : undefined;
    if (remake) remakes.push(remake);
    moves.push({
      piece: row,
      from: row.state as PieceState,
      to: landing(row),
      who,
      why,
      personId: asked.personId,
      machineId: asked.machineId,
      ...(remake ? { remake } : {}),
    });
  }
  await tellMoves(context, writing.db, moves);
  await recountOrders(
    writing,
    rows.map((row) => row.order_id),
  );
  return { pieces, remakes };
}

/** Sets where the pieces land; gives them as they now stand, in the order of the rows. */
async function land(
  context: Context,
  writing: Writing,
  rows: readonly PieceTable[],
  to: PieceState,
  landing: (row: PieceTable) => PieceState,
): Promise<PieceTable[]> {
  const after = new Map<string, PieceTable>();
  for (const [state, group] of groupedBy(rows, landing))
    for (const piece of await writing.updateAll("pieces", idsOf(group), {
      state,
      waiting_for: state === "waiting" && state !== to ? "artwork" : null,
      state_changed_at_ms: context.nowMs(),
    }))
      after.set(piece.id, piece);
  return rows.map((row) => after.get(row.id)!);
}

const idsOf = (rows: readonly { readonly id: string }[]): string[] => rows.map((row) => row.id);

/** Finished pieces have all runs sewn; taken back to the machine, none. */
async function markSewn(
  writing: Writing,
  rows: readonly PieceTable[],
  landing: (row: PieceTable) => PieceState,
  jobs: ReadonlyMap<string, readonly JobTable[]>,
): Promise<void> {
  const changing: Record<0 | 1, string[]> = { 0: [], 1: [] };
  for (const row of rows) {
    const to = landing(row);
    const wanted = sewnStates.includes(to)
      ? 1
      : sewnStates.includes(row.state as PieceState) && ["ready", "hooped", "sewing"].includes(to)
        ? 0
        : null;
    if (wanted === null) continue;
    changing[wanted].push(...idsOf((jobs.get(row.id) ?? []).filter((job) => job.sewn !== wanted)));
  }
  await writing.updateAll("jobs", changing[0], { sewn: 0 });
  await writing.updateAll("jobs", changing[1], { sewn: 1 });
}

/** The state that follows from what a person says a piece waits for. */
export async function waitingOf(
  db: Reader,
  row: PieceTable,
  waitingFor: shapes.PieceRecord["waitingFor"],
): Promise<{ state: PieceState; waitingFor: string | null }> {
  const state = row.state as PieceState;
  if (waitingFor !== null) {
    if (!isUnbegun(state))
      throw refuseOrders(
        "move-not-allowed",
        `Piece ${row.code} stands at ${stateName(state).toLowerCase()}; only a piece not begun can wait for ${waitingFor}.`,
        [{ field: "waitingFor", found: waitingFor }],
      );
    return { state: "waiting", waitingFor };
  }
  if (state !== "waiting") return { state, waitingFor: null };
  await refuseTroubled(db, [row]);
  return { state: "ready", waitingFor: null };
}

/** A piece whose design cannot be made is not ready, whatever a person says. */
async function refuseTroubled(db: Reader, rows: readonly PieceTable[]): Promise<void> {
  const troubled = (
    await jobsOfPieces(
      db,
      rows.map((row) => row.id),
    )
  ).filter((job) => job.trouble !== null);
  if (troubled.length === 0) return;
  const codes = new Map(rows.map((row) => [row.id, row.code]));
  const first = troubled[0]!;
  const more = troubled.length > 1 ? ` (and ${troubled.length - 1} more)` : "";
  throw refuseOrders(
    "move-not-allowed",
    `Piece ${codes.get(first.piece_id)} waits for artwork: ${first.trouble}${more}`,
    troubled.slice(0, 50).map((job) => ({
      field: codes.get(job.piece_id)!,
      found: job.trouble!,
      expected: "a design that can be sewn",
    })),
  );
}

function refuseWrongMoves(rows: readonly PieceTable[], to: PieceState): void {
  const wrong = rows.filter((row) => !nextStates(row.state as PieceState).includes(to));
  if (wrong.length === 0) return;
  const first = wrong[0]!;
  const after = nextStates(first.state as PieceState);
  const allowed =
    after.length === 0
      ? "nothing follows that"
      : `from there it can go to ${after.map((one) => stateName(one).toLowerCase()).join(", ")}`;
  const same = first.state === to ? " already" : "";
  const more = wrong.length > 1 ? ` (and ${wrong.length - 1} more of the ${rows.length} pieces)` : "";
  const details: RefusalDetail[] = wrong.slice(0, 50).map((row) => ({
    field: row.code,
    found: stateName(row.state),
    expected: `a state before ${stateName(to).toLowerCase()}`,
  }));
  throw refuseOrders(
    "move-not-allowed",
    `Piece ${first.code} stands${same} at ${stateName(first.state).toLowerCase()}; ${allowed}${more}. No piece was moved.`,
    details,
  );
}

async function refuseStrangers(db: Reader, asked: MoveAsked): Promise<void> {
  for (const [list, id, field] of [
    ["people", asked.personId, "personId"],
    ["machines", asked.machineId, "machineId"],
  ] as const) {
    if (id === null) continue;
    const row = await db
      .selectFrom(list as "people")
      .select("id")
      .where("id", "=", id)
      .executeTakeFirst();
    if (!row)
      throw refuseOrders("line-names-unknown", `There is no such record ${id}.`, [{ field, found: id }]);
  }
  invariant(asked.pieceIds.length > 0, "a move names pieces");
}
