import { type SelectQueryBuilder, sql } from "kysely";
import type { shapes } from "#contract";
import { localTime, type PieceState } from "#core/shop";
import type { OrderLineTable, OrderTable, Store, Tables } from "#store";
import type { Answers, Context } from "./context";
import { FEW_FOUND, isLike, searchPatterns } from "./fold";
import { refuseOrders } from "./order-refusals";
import { cancelPieces, changeOrder } from "./order-changing";
import { checkDraft, draftOf } from "./order-drafts";
import { addOrder } from "./order-writing";
import { Workshop } from "./piece-jobs";
import { pieceAnswers, sortOf } from "./piece-answers";
import { proofAnswers } from "./proofs";
import { recountOrders } from "./piece-making";
import { isUnbegun, pieceRecords, piecesOfOrder } from "./piece-records";
import { groupedBy, inPortions, studioOf } from "./records";
import { changedByAnother } from "./studio";

type OrderAnswers = Pick<
  Answers,
  | "listOrders"
  | "readOrder"
  | "createOrder"
  | "changeOrder"
  | "cancelOrder"
  | "listPieces"
  | "readPiece"
  | "changePiece"
  | "movePieces"
  | "changeJob"
  | "jobProof"
>;
type Reader = Store["db"];
type Counted = SelectQueryBuilder<Tables, "orders", object>;

const sortable = {
  shipBy: "ship_by",
  reference: "reference",
  customer: "customer",
  channel: "channel",
  placedOn: "placed_on",
  promiseDate: "promise_date",
  updatedAtMs: "updated_at_ms",
  createdAtMs: "created_at_ms",
} as const;

/** The answers about orders, their pieces and runs. */
export function orderAnswers(context: Context): OrderAnswers {
  const { store } = context;

  const orderRow = async (db: Reader, id: string): Promise<OrderTable> => {
    const row = await db.selectFrom("orders").selectAll().where("id", "=", id).executeTakeFirst();
    if (!row) throw refuseOrders("order-unknown", `There is no order ${id}.`, [{ field: "id", found: id }]);
    return row;
  };
  const recordOf = async (db: Reader, row: OrderTable) => (await orderRecords(db, [row]))[0]!;
  const matching = async (db: Reader, id: string, ifMatch: number | null) => {
    const row = await orderRow(db, id);
    if (ifMatch !== row.version) throw changedByAnother(ifMatch, row.version, await recordOf(db, row));
    return row;
  };

  const count = async (rows: Counted): Promise<number> =>
    Number(
      (await rows.select((build) => build.fn.countAll<number>().as("count")).executeTakeFirstOrThrow()).count,
    );

  return {
    ...pieceAnswers(context),
    ...proofAnswers(context),

    async listOrders({ query }) {
      const today = await todayOf(context);
      const { field, order } = sortOf(query.sort, sortable, "ship_by");
      const wanted = query.archived === "yes" ? 1 : 0;
      const all = store.db
        .selectFrom("orders")
        .$if(query.archived !== "all", (asked) => asked.where("archived", "=", wanted));
      const open = all.where(hasOpenPieces);
      const late = open.where("ship_by", "<", today);
      const patterns = searchPatterns(query.q);
      const shownOf = (rows: typeof all) => {
        const shown = { open, late, shipped: rows.where("open_pieces", "=", 0), all: rows }[query.show];
        return shown.where((build) => build.and(patterns.map((pattern) => isLike("search", pattern))));
      };
      const total = await count(shownOf(all));
      // The rows are walked in their order until a page is full; the plus keeps SQLite from gathering and sorting all
      // of them instead. Where words are found in few, those few are gathered along the index of the search.
      const inOrder = store.db
        .selectFrom("orders")
        .$if(query.archived !== "all", (asked) => asked.where(sql<boolean>`+archived = ${wanted}`));
      const few = store.db.selectFrom("orders").where("id", "in", shownOf(all).select("id"));
      const rows = await (patterns.length > 0 && total <= FEW_FOUND ? few : shownOf(inOrder))
        .selectAll()
        .orderBy(field, order)
        .orderBy("id", order)
        .offset(query.offset)
        .limit(query.limit)
        .execute();
      return {
        items: await orderRecords(store.db, rows),
        total,
        open: await count(open),
        late: await count(late),
      };
    },

    async readOrder({ params }, call) {
      const row = await orderRow(store.db, params.id);
      const pieces = await piecesOfOrder(store.db, row.id);
      call.note({ version: row.version });
      return { order: await recordOf(store.db, row), pieces: await pieceRecords(store.db, pieces) };
    },

    async createOrder({ body }, call) {
      const draft = draftOf(body);
      const workshop = await Workshop.open(context, store.db);
      await checkDraft(store.db, workshop, draft);
      await workshop.prepare(store.db, draft.lines);
      const { result, changeId } = await store.write(
        { who: call.who, what: `Added order ${draft.reference}` },
        (writing) => addOrder(context, writing, workshop, draft),
      );
      call.note({ version: result.order.version, changeId });
      return recordOf(store.db, result.order);
    },

    async changeOrder({ params, body }, call) {
      const draft = draftOf(body);
      const workshop = await Workshop.open(context, store.db);
      const before = await store.db
        .selectFrom("order_lines")
        .selectAll()
        .where("order_id", "=", params.id)
        .execute();
      await matching(store.db, params.id, call.ifMatch);
      await checkDraft(store.db, workshop, draft, before);
      await workshop.prepare(store.db, draft.lines);
      const { result, changeId } = await store.write(
        { who: call.who, what: `Changed order ${draft.reference}` },
        async (writing) => {
          const row = await matching(writing.db, params.id, call.ifMatch);
          await changeOrder(context, writing, workshop, row, draft, call.who);
          return orderRow(writing.db, row.id);
        },
      );
      call.note({ version: result.version, changeId });
      return recordOf(store.db, result);
    },

    async cancelOrder({ params }, call) {
      const { reference } = await orderRow(store.db, params.id);
      const { result, changeId } = await store.write(
        { who: call.who, what: `Cancelled order ${reference}` },
        async (writing) => {
          const row = await matching(writing.db, params.id, call.ifMatch);
          const pieces = await piecesOfOrder(writing.db, row.id);
          const unbegun = pieces.filter((piece) => isUnbegun(piece.state));
          if (unbegun.length === 0)
            throw refuseOrders(
              "pieces-begun",
              `No piece of order ${reference} can be cancelled: none is still waiting or ready.`,
            );
          await cancelPieces(context, writing, unbegun, call.who, "the order was cancelled");
          await recountOrders(writing, [row.id]);
          return orderRow(writing.db, row.id);
        },
      );
      call.note({ version: result.version, changeId });
      return recordOf(store.db, result);
    },
  };
}

/** Said with the number in it, or the index of open orders would not be used. */
export const hasOpenPieces = sql<boolean>`open_pieces > 0`;

/** Today's date at the studio; that of UTC before it is set up. */
export async function todayOf(context: Context): Promise<string> {
  const studio = await studioOf(context.store.db);
  return localTime(studio?.body.timeZone ?? "UTC", context.nowMs()).date;
}

/** Orders as they travel, lines and counts of pieces with them; in the order of the rows. */
export async function orderRecords(db: Reader, rows: readonly OrderTable[]): Promise<shapes.OrderRecord[]> {
  const ids = rows.map((row) => row.id);
  const lines = groupedBy(
    await inPortions(ids, (portion) =>
      db
        .selectFrom("order_lines")
        .selectAll()
        .where("order_id", "in", portion)
        .where("quantity", ">", 0)
        .orderBy("order_id")
        .orderBy("position")
        .execute(),
    ),
    (line) => line.order_id,
  );
  const counts = groupedBy(
    await inPortions(ids, (portion) =>
      db
        .selectFrom("pieces")
        .select((build) => ["order_id", "state", build.fn.countAll<number>().as("count")])
        .where("order_id", "in", portion)
        .groupBy(["order_id", "state"])
        .execute(),
    ),
    (row) => row.order_id,
  );
  return rows.map((row) => ({
    id: row.id,
    version: row.version,
    archived: row.archived === 1,
    createdAtMs: row.created_at_ms,
    updatedAtMs: row.updated_at_ms,
    reference: row.reference,
    customer: row.customer,
    channel: row.channel,
    placedOn: row.placed_on,
    promiseDate: row.promise_date,
    shipBy: row.ship_by,
    note: row.note,
    lines: (lines.get(row.id) ?? []).map(lineOf),
    pieceCounts: Object.fromEntries(
      (counts.get(row.id) ?? []).map((one) => [one.state as PieceState, Number(one.count)]),
    ),
  }));
}

function lineOf(row: OrderLineTable): shapes.OrderLine {
  return {
    id: row.id,
    position: row.position,
    productId: row.product_id,
    quantity: row.quantity,
    personalText: row.personal_text,
    designId: row.design_id,
    threadIds: row.thread_ids === null ? null : (JSON.parse(row.thread_ids) as (string | null)[]),
    textThreadId: row.text_thread_id,
    priceCents: row.price_cents,
    note: row.note,
  };
}
