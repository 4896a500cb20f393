import type { Answer, quotes } from "#contract";
import { judged } from "#core/costing";
import type { PurchaseTable, Store } from "#store";
import type { Answers, Call, Context } from "../context";
import { changedByAnother } from "../studio";
import { refuseCosts } from "./refusals";

/** Purchases that were considered, kept with their figures; each is judged by its money over time when it is read. */
type PurchaseAnswers = Pick<Answers, "listPurchases" | "keepPurchase" | "changePurchase" | "putPurchaseAway">;
type Kept = Answer<"keepPurchase">;

export function purchaseAnswers(context: Context): PurchaseAnswers {
  const { store, nowMs } = context;
  const { db } = store;
  const matching = async (reader: Store["db"], id: string, call: Call): Promise<PurchaseTable> => {
    const row = await reader.selectFrom("purchases").selectAll().where("id", "=", id).executeTakeFirst();
    if (!row)
      throw refuseCosts("purchase-unknown", `There is no purchase ${id}.`, [{ field: "id", found: id }]);
    if (call.ifMatch !== row.version) throw changedByAnother(call.ifMatch, row.version, recordOf(row));
    return row;
  };
  const changed = async (
    id: string,
    call: Call,
    what: string,
    set: Partial<PurchaseTable>,
  ): Promise<Kept> => {
    const { result, changeId } = await store.write({ who: call.who, what }, async (writing) => {
      await matching(writing.db, id, call);
      return writing.update("purchases", id, set);
    });
    call.note({ version: result.version, changeId });
    return recordOf(result);
  };

  return {
    listPurchases: async ({ query }) => {
      const shown = db.selectFrom("purchases").where("archived", "=", 0);
      const [rows, count] = await Promise.all([
        shown
          .selectAll()
          .orderBy("created_at_ms", "desc")
          .orderBy("id", "desc")
          .offset(query.offset)
          .limit(query.limit)
          .execute(),
        shown.select(({ fn }) => fn.countAll<number | string>().as("count")).executeTakeFirstOrThrow(),
      ]);
      return { items: rows.map(recordOf), total: Number(count.count) };
    },

    keepPurchase: async ({ body }, call) => {
      const row: PurchaseTable = {
        id: context.newId("pu"),
        version: 1,
        archived: 0,
        created_at_ms: nowMs(),
        updated_at_ms: nowMs(),
        ...columnsOf(body),
      };
      const { changeId } = await store.write(
        { who: call.who, what: `Kept the purchase ${body.name}` },
        (writing) => writing.insert("purchases", row),
      );
      call.note({ version: 1, changeId });
      return recordOf(row);
    },

    changePurchase: async ({ params, body }, call) =>
      changed(params.id, call, `Changed the purchase ${body.name}`, columnsOf(body)),

    putPurchaseAway: async ({ params }, call) => {
      const { name } = await matching(db, params.id, call);
      return changed(params.id, call, `Put the purchase ${name} away`, { archived: 1 });
    },
  };
}

const columnsOf = (body: quotes.PurchaseBody) => ({ name: body.name, body: JSON.stringify(body) });

function recordOf(row: PurchaseTable): Kept {
  const body = JSON.parse(row.body) as quotes.PurchaseBody;
  return {
    id: row.id,
    version: row.version,
    archived: row.archived === 1,
    createdAtMs: row.created_at_ms,
    updatedAtMs: row.updated_at_ms,
    ...body,
    judged: judged([-body.outlayCents, ...body.yearCents], body.rate),
  };
}
