import type { shapes } from "#contract";
import type { RefusalDetail } from "#core/base";
import type { OrderLineTable, OrderTable, PieceTable, Store, Writing } from "#store";
import type { Context } from "./context";
import { foldText, tidyText } from "./fold";
import { refuseOrders } from "./order-refusals";
import type { LineFacts, Workshop } from "./piece-jobs";
import {
  factsOfLine,
  isUnbegun,
  keepRows,
  makePieces,
  type NewRows,
  newRows,
  pieceSearch,
  piecesOfOrder,
  recountOrders,
  refreshJobs,
} from "./pieces";
import { settleTrail, stateName, tellMoves } from "./piece-trail";
import { groupedBy } from "./records";

/** Adding and changing orders inside a write: by hand, by import, by the demo's maker, all through here. */

/** A line as asked for; `lineReference` is the channel's own number of it, where it comes from a file. */
export interface LineDraft extends LineFacts {
  readonly id: string | null;
  readonly quantity: number;
  readonly priceCents: number | null;
  readonly note: string;
  readonly lineReference: string | null;
}

export type OrderDraft = Omit<shapes.OrderBody, "lines"> & { readonly lines: readonly LineDraft[] };

const MOST_PIECES = 10_000;

/** A body as drafts: names tidied, so that the same text is the same text. */
export function draftOf(body: shapes.OrderBody): OrderDraft {
  return {
    ...body,
    reference: tidyText(body.reference),
    customer: tidyText(body.customer),
    channel: tidyText(body.channel),
    lines: body.lines.map((line) => ({
      ...line,
      personalText: tidyText(line.personalText),
      lineReference: null,
    })),
  };
}

/** Refuses an order whose dates run backwards or whose lines name what is not there; all that is wrong at once. */
export async function checkDraft(
  db: Store["db"],
  workshop: Workshop,
  draft: OrderDraft,
  before: readonly OrderLineTable[] = [],
): Promise<void> {
  if (draft.reference === "")
    throw refuseOrders("order-dates", "The order has no reference.", [
      { field: "reference", expected: "a reference" },
    ]);
  if (draft.promiseDate < draft.placedOn)
    throw refuseOrders(
      "order-dates",
      `The order is placed on ${draft.placedOn} and promised for ${draft.promiseDate}, before that.`,
      [{ field: "promiseDate", found: draft.promiseDate, expected: `${draft.placedOn} or later` }],
    );
  if (draft.shipBy !== null && draft.shipBy > draft.promiseDate)
    throw refuseOrders(
      "order-dates",
      `The ship-by date ${draft.shipBy} is after the promise date ${draft.promiseDate}.`,
      [{ field: "shipBy", found: draft.shipBy, expected: `${draft.promiseDate} or earlier` }],
    );
  const pieces = draft.lines.reduce((sum, line) => sum + line.quantity, 0);
  if (pieces > MOST_PIECES)
    throw refuseOrders(
      "too-many-pieces",
      `The order has ${pieces} pieces; at most ${MOST_PIECES} go into one.`,
      [{ field: "lines", found: `${pieces} pieces`, expected: `at most ${MOST_PIECES}` }],
    );
  const designIds = [...new Set(draft.lines.flatMap((line) => line.designId ?? []))];
  const designs = new Set(
    designIds.length === 0
      ? []
      : (
          await db.selectFrom("designs").select("id").where("id", "in", designIds.slice(0, 500)).execute()
        ).map((row) => row.id),
  );
  const usedBefore = new Set(before.map((line) => line.product_id));
  const wrong: RefusalDetail[] = draft.lines.flatMap((line, index) => {
    const product = workshop.product(line.productId);
    const field = (name: string) => `lines.${index}.${name}`;
    return [
      ...(!product
        ? [{ field: field("productId"), found: line.productId, expected: "a product of the list" }]
        : []),
      ...(product?.archived && !usedBefore.has(product.id)
        ? [
            {
              field: field("productId"),
              found: `${product.name}, which is archived`,
              expected: "a product that is sold",
            },
          ]
        : []),
      ...(line.designId !== null && !designs.has(line.designId)
        ? [{ field: field("designId"), found: line.designId, expected: "a design of the list" }]
        : []),
      ...[line.textThreadId, ...(line.threadIds ?? [])].flatMap((id) =>
        id !== null && !workshop.threads.has(id)
          ? [{ field: field("threadIds"), found: id, expected: "a thread of the list" }]
          : [],
      ),
    ];
  });
  if (wrong.length > 0)
    throw refuseOrders(
      "line-names-unknown",
      `Line ${Number(/\d+/.exec(wrong[0]!.field!)![0]) + 1} names ${wrong[0]!.found}; expected ${wrong[0]!.expected}.`,
      wrong,
    );
}

const shipByOf = (workshop: Workshop, draft: Pick<OrderDraft, "shipBy" | "promiseDate">): string =>
  draft.shipBy ?? workshop.shipBy(draft.promiseDate);

function orderSearch(
  workshop: Workshop,
  order: Pick<OrderDraft, "reference" | "customer" | "channel" | "note">,
  lines: readonly Pick<LineFacts, "productId" | "personalText">[],
): string {
  const words = lines.slice(0, 100).flatMap((line) => {
    const product = workshop.product(line.productId);
    return [line.personalText, product?.code ?? "", product?.name ?? ""];
  });
  return foldText([order.reference, order.customer, order.channel, ...new Set(words)].join(" ")).slice(
    0,
    8000,
  );
}

export interface Added {
  readonly order: OrderTable;
  readonly lines: number;
  readonly pieces: number;
}

/** Adds an order with its lines and pieces; the workshop has been prepared for its lines. */
export async function addOrder(
  context: Context,
  writing: Writing,
  workshop: Workshop,
  draft: OrderDraft,
): Promise<Added> {
  const taken = await writing.db
    .selectFrom("orders")
    .select("archived")
    .where("reference", "=", draft.reference)
    .executeTakeFirst();
  if (taken)
    throw refuseOrders(
      "reference-taken",
      `There is ${taken.archived === 1 ? "a cancelled" : "an"} order ${draft.reference} already.`,
      [{ field: "reference", found: draft.reference, expected: "a reference no other order has" }],
    );
  await workshop.keep(writing, draft.lines);
  const rows = newRows();
  const added = gatherOrder(context, rows, workshop, draft);
  await keepRows(writing, rows);
  return added;
}

/** Gathers an order with its lines and pieces; its reference is free, and the designs of its lines are kept. */
export function gatherOrder(context: Context, rows: NewRows, workshop: Workshop, draft: OrderDraft): Added {
  const atMs = context.nowMs();
  const order: OrderTable = {
    id: context.newId("or"),
    version: 1,
    archived: 0,
    created_at_ms: atMs,
    updated_at_ms: atMs,
    reference: draft.reference,
    customer: draft.customer,
    channel: draft.channel,
    placed_on: draft.placedOn,
    promise_date: draft.promiseDate,
    ship_by: shipByOf(workshop, draft),
    note: draft.note,
    search: orderSearch(workshop, draft, draft.lines),
    open_pieces: draft.lines.reduce((sum, line) => sum + line.quantity, 0),
  };
  rows.orders.push(order);
  let number = 1;
  for (const [position, line] of draft.lines.entries())
    number += gatherLine(context, rows, workshop, { order, line, position, firstNumber: number });
  return { order, lines: draft.lines.length, pieces: number - 1 };
}

function gatherLine(
  context: Context,
  rows: NewRows,
  workshop: Workshop,
  asked: { order: OrderTable; line: LineDraft; position: number; firstNumber: number },
): number {
  const { order, line, position, firstNumber } = asked;
  const row: OrderLineTable = {
    id: context.newId("ol"),
    order_id: order.id,
    position,
    ...lineColumns(workshop, line),
    line_reference: line.lineReference,
  };
  rows.lines.push(row);
  return makePieces(context, rows, workshop, { order, line: row, count: line.quantity, firstNumber });
}

const lineColumns = (workshop: Workshop, line: LineDraft) => ({
  product_id: line.productId,
  quantity: line.quantity,
  personal_text: line.personalText,
  design_id: line.designId,
  thread_ids: line.threadIds === null ? null : JSON.stringify(line.threadIds),
  text_thread_id: line.textThreadId,
  price_cents: line.priceCents ?? workshop.product(line.productId)?.priceCents ?? null,
  note: line.note,
});

/** Adds lines to an order that is there already; its search and count of open pieces follow. */
export async function addLines(
  context: Context,
  writing: Writing,
  workshop: Workshop,
  order: OrderTable,
  lines: readonly LineDraft[],
): Promise<{ lines: number; pieces: number }> {
  const before = await writing.db
    .selectFrom("order_lines")
    .selectAll()
    .where("order_id", "=", order.id)
    .orderBy("position")
    .execute();
  let number = await nextNumber(writing, order);
  const first = number;
  await workshop.keep(writing, lines);
  const rows = newRows();
  for (const [index, line] of lines.entries())
    number += gatherLine(context, rows, workshop, {
      order,
      line,
      position: (before.at(-1)?.position ?? -1) + 1 + index,
      firstNumber: number,
    });
  await keepRows(writing, rows);
  const all = [...before.map(factsOfLine), ...lines];
  await writing.update("orders", order.id, { search: orderSearch(workshop, order, all) });
  await recountOrders(writing, [order.id]);
  return { lines: lines.length, pieces: number - first };
}

/** Codes go on counting after the highest number the order has had. */
async function nextNumber(writing: Writing, order: OrderTable): Promise<number> {
  const pieces = await writing.db
    .selectFrom("pieces")
    .select("code")
    .where("order_id", "=", order.id)
    .execute();
  return 1 + Math.max(0, ...pieces.map((piece) => Number(/-(\d+)(?:R\d*)?$/.exec(piece.code)?.[1] ?? 0)));
}

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
