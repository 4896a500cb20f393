import type { OrderLineTable, OrderTable, PieceTable, Writing } from "#store";
import type { Context } from "./context";
import type { OrderDraft } from "./order-drafts";
import { refuseOrders } from "./order-refusals";
import { gatherLine, lineColumns, nextNumber, orderSearch, shipByOf } from "./order-writing";
import type { Workshop } from "./piece-jobs";
import { keepRows, makePieces, newRows, pieceSearch, recountOrders } from "./piece-making";
import { isUnbegun, piecesOfOrder } from "./piece-records";
import { refreshJobs } from "./piece-refresh";
import { settleTrail, stateName, tellMoves } from "./piece-trail";
import { groupedBy } from "./records";

/** Changing an order that is there, inside a write; what is begun keeps its record. */

/**
 * Makes an order stand as the draft says. Lines are matched by id; what is begun keeps its record. A line taken out
 * whose pieces are not begun stays as a line of quantity 0, so that its cancelled pieces still have one.
 */
export async function changeOrder(
  context: Context,
  writing: Writing,
  workshop: Workshop,
  order: OrderTable,
  draft: OrderDraft,
  who: string,
): Promise<void> {
  const lines = await writing.db
    .selectFrom("order_lines")
    .selectAll()
    .where("order_id", "=", order.id)
    .orderBy("position")
    .execute();
  const pieces = await piecesOfOrder(writing.db, order.id);
  const byLine = groupedBy(pieces, (piece) => piece.line_id);
  const known = new Map(lines.filter((line) => line.quantity > 0).map((line) => [line.id, line]));
  const strange = draft.lines.findIndex((line) => line.id !== null && !known.has(line.id));
  if (strange >= 0)
    throw refuseOrders(
      "line-names-unknown",
      `Order ${order.reference} has no line ${draft.lines[strange]!.id}.`,
      [{ field: `lines.${strange}.id`, found: draft.lines[strange]!.id! }],
    );
  const ids = draft.lines.flatMap((line) => line.id ?? []);
  if (new Set(ids).size < ids.length)
    throw refuseOrders("line-names-unknown", "The same line is given twice.", [{ field: "lines" }]);
  if (draft.reference !== order.reference) {
    const taken = await writing.db
      .selectFrom("orders")
      .select("id")
      .where("reference", "=", draft.reference)
      .executeTakeFirst();
    if (taken)
      throw refuseOrders("reference-taken", `There is an order ${draft.reference} already.`, [
        { field: "reference", found: draft.reference },
      ]);
  }
  const shipBy = shipByOf(workshop, draft);
  const after = await writing.update("orders", order.id, {
    reference: draft.reference,
    customer: draft.customer,
    channel: draft.channel,
    placed_on: draft.placedOn,
    promise_date: draft.promiseDate,
    ship_by: shipBy,
    note: draft.note,
    search: orderSearch(workshop, draft, draft.lines),
  });
  const cancelled: PieceTable[] = [];
  for (const line of known.values())
    if (!ids.includes(line.id)) {
      cancelled.push(...spare(byLine.get(line.id) ?? [], Infinity, line));
      await writing.update("order_lines", line.id, { quantity: 0 });
    }
  const remade: string[] = [];
  await workshop.keep(writing, draft.lines);
  let number = await nextNumber(writing, order);
  const rows = newRows();
  for (const [position, line] of draft.lines.entries()) {
    const row = line.id === null ? undefined : known.get(line.id);
    if (!row) {
      number += gatherLine(context, rows, workshop, { order: after, line, position, firstNumber: number });
      continue;
    }
    const own = byLine.get(row.id) ?? [];
    if (row.product_id !== line.productId) refuseBegun(own, `Its product cannot change`);
    const dropped = line.quantity < row.quantity ? spare(own, row.quantity - line.quantity, row) : [];
    cancelled.push(...dropped);
    const stands = await writing.update("order_lines", row.id, { position, ...lineColumns(workshop, line) });
    if (line.quantity > row.quantity)
      number += makePieces(context, rows, workshop, {
        order: after,
        line: stands,
        count: line.quantity - row.quantity,
        firstNumber: number,
      });
    if (sameWork(row, stands)) continue;
    for (const piece of own)
      if (isUnbegun(piece.state) && !dropped.includes(piece)) {
        await writing.update("pieces", piece.id, {
          product_id: line.productId,
          personal_text: line.personalText,
        });
        await forgetByHand(writing, piece.id);
        remade.push(piece.id);
      }
  }
  await keepRows(writing, rows);
  await cancelPieces(context, writing, cancelled, who, "the order was changed");
  await retellPieces(writing, after, draft.reference !== order.reference ? order.reference : null);
  await refreshJobs(context, writing, { pieceIds: remade }, who);
  await recountOrders(writing, [order.id]);
}

const sameWork = (a: OrderLineTable, b: OrderLineTable): boolean =>
  a.product_id === b.product_id &&
  a.personal_text === b.personal_text &&
  a.design_id === b.design_id &&
  a.thread_ids === b.thread_ids &&
  a.text_thread_id === b.text_thread_id;

/** A line that says something new about the design overrules what was set on its runs before. */
async function forgetByHand(writing: Writing, pieceId: string): Promise<void> {
  const jobs = await writing.db
    .selectFrom("jobs")
    .select(["id", "by_hand"])
    .where("piece_id", "=", pieceId)
    .execute();
  for (const job of jobs) {
    const kept = (JSON.parse(job.by_hand) as string[]).filter(
      (field) => field !== "design" && field !== "threads",
    );
    if (JSON.stringify(kept) !== job.by_hand)
      await writing.update("jobs", job.id, { by_hand: JSON.stringify(kept) });
  }
}

/** The pieces to cancel when a line loses some: the last not begun first. Refuses when begun ones would have to go. */
function spare(pieces: readonly PieceTable[], count: number, line: OrderLineTable): PieceTable[] {
  const unbegun = pieces.filter((piece) => isUnbegun(piece.state)).reverse();
  if (count === Infinity) {
    refuseBegun(pieces, "The line cannot be taken out");
    return unbegun;
  }
  if (unbegun.length < count) {
    const begun = begunOf(pieces);
    throw refuseOrders(
      "pieces-begun",
      `The line cannot go from ${line.quantity} to ${line.quantity - count}: only ${unbegun.length} of its pieces ${unbegun.length === 1 ? "is" : "are"} not begun${begun.length > 0 ? ` (begun: ${begun.map((piece) => piece.code).join(", ")})` : ""}.`,
      begun.map((piece) => ({ field: piece.code, found: stateName(piece.state), expected: "not begun" })),
    );
  }
  return unbegun.slice(0, count);
}

const begunOf = (pieces: readonly PieceTable[]) =>
  pieces.filter(
    (piece) => !isUnbegun(piece.state) && piece.state !== "cancelled" && piece.state !== "spoiled",
  );

function refuseBegun(pieces: readonly PieceTable[], what: string): void {
  const begun = begunOf(pieces);
  if (begun.length === 0) return;
  throw refuseOrders(
    "pieces-begun",
    `${what}: ${begun
      .map((piece) => `${piece.code} stands at ${stateName(piece.state).toLowerCase()}`)
      .slice(0, 5)
      .join(", ")}.`,
    begun
      .slice(0, 50)
      .map((piece) => ({ field: piece.code, found: stateName(piece.state), expected: "not begun" })),
  );
}

/** Cancels pieces that are not begun, with their events. */
export async function cancelPieces(
  context: Context,
  writing: Writing,
  pieces: readonly PieceTable[],
  who: string,
  why: string,
): Promise<void> {
  if (pieces.length === 0) return;
  await settleTrail(context, writing.db, who, pieces);
  await writing.updateAll(
    "pieces",
    pieces.map((piece) => piece.id),
    { state: "cancelled", waiting_for: null, state_changed_at_ms: context.nowMs() },
  );
  await tellMoves(
    context,
    writing.db,
    pieces.map((piece) => ({
      piece,
      from: piece.state as "waiting" | "ready",
      to: "cancelled" as const,
      who,
      why,
    })),
  );
}

/** What a piece carries of its order: ship-by date, code, and what it is found by. */
async function retellPieces(writing: Writing, order: OrderTable, oldReference: string | null): Promise<void> {
  const pieces = await writing.db
    .selectFrom("pieces")
    .select(["id", "code", "ship_by", "search", "personal_text"])
    .where("order_id", "=", order.id)
    .execute();
  for (const piece of pieces) {
    const code =
      oldReference !== null && piece.code.startsWith(`${oldReference}-`)
        ? order.reference + piece.code.slice(oldReference.length)
        : piece.code;
    const search = pieceSearch(code, order.customer, piece.personal_text);
    if (code !== piece.code || search !== piece.search || order.ship_by !== piece.ship_by)
      await writing.update("pieces", piece.id, { code, search, ship_by: order.ship_by });
  }
}
