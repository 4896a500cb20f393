import type { OrderLineTable, OrderTable, Writing } from "#store";
import type { Context } from "./context";
import { foldText } from "./fold";
import type { LineDraft, OrderDraft } from "./order-drafts";
import { refuseOrders } from "./order-refusals";
import type { LineFacts, Workshop } from "./piece-jobs";
import { factsOfLine, keepRows, makePieces, type NewRows, newRows, recountOrders } from "./piece-making";

/** Adding orders and lines inside a write: by hand, by import, by the demo's maker, all through here. */

export const shipByOf = (workshop: Workshop, draft: Pick<OrderDraft, "shipBy" | "promiseDate">): string =>
  draft.shipBy ?? workshop.shipBy(draft.promiseDate);

export function orderSearch(
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

export function gatherLine(
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

export const lineColumns = (workshop: Workshop, line: LineDraft) => ({
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
export async function nextNumber(writing: Writing, order: OrderTable): Promise<number> {
  const pieces = await writing.db
    .selectFrom("pieces")
    .select("code")
    .where("order_id", "=", order.id)
    .execute();
  return 1 + Math.max(0, ...pieces.map((piece) => Number(/-(\d+)(?:R\d*)?$/.exec(piece.code)?.[1] ?? 0)));
}
