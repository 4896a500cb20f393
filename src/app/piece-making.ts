import { isClosed, type PieceState } from "#core/shop";
import type { JobTable, OrderLineTable, OrderTable, PieceTable, Writing } from "#store";
import type { Context } from "./context";
import { escapeLike, foldText, isLike } from "./fold";
import type { JobFacts, LineFacts, Workshop } from "./piece-jobs";
import { groupedBy, inPortions } from "./records";

/** From order line to pieces with their runs, a piece made again in a spoiled one's place, and what an order counts of them. */

export const factsOfLine = (line: OrderLineTable): LineFacts => ({
  productId: line.product_id,
  personalText: line.personal_text,
  designId: line.design_id,
  threadIds: line.thread_ids === null ? null : (JSON.parse(line.thread_ids) as (string | null)[]),
  textThreadId: line.text_thread_id,
});

export interface PiecesAsked {
  readonly order: Pick<OrderTable, "id" | "reference" | "customer" | "ship_by">;
  readonly line: OrderLineTable;
  readonly count: number;
  /** The number in the first one's code. */
  readonly firstNumber: number;
}

/** Rows that wait to be added together: an import's portion goes in with few statements. */
export interface NewRows {
  readonly orders: OrderTable[];
  readonly lines: OrderLineTable[];
  readonly pieces: PieceTable[];
  readonly jobs: JobTable[];
}

export const newRows = (): NewRows => ({ orders: [], lines: [], pieces: [], jobs: [] });

/** Adds what has been gathered, what is pointed to first. */
export async function keepRows(writing: Writing, rows: NewRows): Promise<void> {
  await writing.insertAll("orders", rows.orders);
  await writing.insertAll("order_lines", rows.lines);
  await writing.insertAll("pieces", rows.pieces);
  await writing.insertAll("jobs", rows.jobs);
}

/** Gathers a line's pieces with their runs; the workshop has been prepared for the line. Gives how many. */
export function makePieces(context: Context, rows: NewRows, workshop: Workshop, asked: PiecesAsked): number {
  const { order, line, count, firstNumber } = asked;
  const jobs = workshop.jobsOf(factsOfLine(line));
  const waits = jobs.some((job) => job.trouble !== null);
  for (let index = 0; index < count; index++) {
    const piece = newPiece(context, {
      order,
      line,
      code: `${order.reference}-${firstNumber + index}`,
      waits,
    });
    rows.pieces.push(piece);
    jobs.forEach((job, position) => rows.jobs.push(jobRow(context, piece.id, position, job)));
  }
  return count;
}

interface NewPiece {
  readonly order: PiecesAsked["order"];
  readonly line: Pick<OrderLineTable, "id" | "product_id" | "personal_text">;
  readonly code: string;
  readonly waits: boolean;
}

function newPiece(context: Context, { order, line, code, waits }: NewPiece): PieceTable {
  const atMs = context.nowMs();
  return {
    id: context.newId("pc"),
    version: 1,
    code,
    order_id: order.id,
    line_id: line.id,
    product_id: line.product_id,
    personal_text: line.personal_text,
    state: waits ? "waiting" : "ready",
    waiting_for: waits ? "artwork" : null,
    urgency: "normal",
    held_why: "",
    pinned_machine_id: null,
    remake_of: null,
    ship_by: order.ship_by,
    search: pieceSearch(code, order.customer, line.personal_text),
    state_changed_at_ms: atMs,
    created_at_ms: atMs,
    updated_at_ms: atMs,
  };
}

export const pieceSearch = (code: string, customer: string, personalText: string): string =>
  foldText(`${code} ${customer} ${personalText}`);

export function jobRow(context: Context, pieceId: string, position: number, job: JobFacts): JobTable {
  return {
    id: context.newId("jb"),
    version: 1,
    piece_id: pieceId,
    ...jobColumns(job, position),
    sewn: 0,
    by_hand: "[]",
    updated_at_ms: context.nowMs(),
  };
}

export const jobColumns = (job: JobFacts, position: number) => ({
  placement_id: job.placementId,
  placement_name: job.placementName,
  position,
  design_version_id: job.designVersionId,
  trouble: job.trouble,
  thread_ids: JSON.stringify(job.threadIds),
  hoop_id: job.hoopId,
  machine_ids: job.machineIds === null ? null : JSON.stringify(job.machineIds),
  hoop_s: job.hoopS,
  unhoop_s: job.unhoopS,
  finish_s: job.finishS,
  stitches: job.stitches,
});

/** A new piece with the same runs as a spoiled one, in its place in the order. */
export async function remakePiece(
  context: Context,
  writing: Writing,
  spoiled: PieceTable,
  customer: string,
): Promise<PieceTable> {
  const base = spoiled.code.replace(/R\d*$/, "");
  const { count } = await writing.db
    .selectFrom("pieces")
    .select((build) => build.fn.countAll<number>().as("count"))
    .where("line_id", "=", spoiled.line_id)
    .where("remake_of", "is not", null)
    .where((build) => build.or([build("code", "=", `${base}R`), isLike("code", `${escapeLike(base)}R%`)]))
    .executeTakeFirstOrThrow();
  const jobs = await writing.db
    .selectFrom("jobs")
    .selectAll()
    .where("piece_id", "=", spoiled.id)
    .orderBy("position")
    .execute();
  const waits = jobs.some((job) => job.trouble !== null);
  const code = `${base}R${Number(count) === 0 ? "" : Number(count) + 1}`;
  const fresh: PieceTable = {
    ...newPiece(context, {
      order: { id: spoiled.order_id, reference: "", customer, ship_by: spoiled.ship_by },
      line: { id: spoiled.line_id, product_id: spoiled.product_id, personal_text: spoiled.personal_text },
      code,
      waits,
    }),
    urgency: spoiled.urgency === "held" ? "normal" : spoiled.urgency,
    pinned_machine_id: spoiled.pinned_machine_id,
    remake_of: spoiled.id,
  };
  await writing.insert("pieces", fresh);
  for (const job of jobs)
    await writing.insert("jobs", {
      ...job,
      id: context.newId("jb"),
      version: 1,
      piece_id: fresh.id,
      sewn: 0,
      updated_at_ms: context.nowMs(),
    });
  return fresh;
}

/** Brings `open_pieces` of these orders up to what their pieces say; a wholly cancelled order goes to the archive. */
export async function recountOrders(writing: Writing, orderIds: readonly string[]): Promise<void> {
  const ids = [...new Set(orderIds)];
  const counts = await inPortions(ids, (portion) =>
    writing.db
      .selectFrom("pieces")
      .select((build) => ["order_id", "state", build.fn.countAll<number>().as("count")])
      .where("order_id", "in", portion)
      .groupBy(["order_id", "state"])
      .execute(),
  );
  const byOrder = groupedBy(counts, (row) => row.order_id);
  const orders = await inPortions(ids, (portion) =>
    writing.db
      .selectFrom("orders")
      .select(["id", "open_pieces", "archived"])
      .where("id", "in", portion)
      .execute(),
  );
  const changing = orders.flatMap((order) => {
    const rows = byOrder.get(order.id) ?? [];
    const open = rows.reduce(
      (sum, row) => sum + (isClosed(row.state as PieceState) ? 0 : Number(row.count)),
      0,
    );
    const archived = rows.length > 0 && rows.every((row) => row.state === "cancelled") ? 1 : 0;
    if (open === order.open_pieces && archived === order.archived) return [];
    return [{ id: order.id, open, archived }];
  });
  for (const alike of groupedBy(changing, (order) => `${order.open} ${order.archived}`).values())
    await writing.updateAll(
      "orders",
      alike.map((order) => order.id),
      { open_pieces: alike[0]!.open, archived: alike[0]!.archived },
    );
}
