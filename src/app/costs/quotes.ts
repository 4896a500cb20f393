import type { Answer, costs } from "#contract";
import { localTime } from "#core/shop";
import type { QuoteTable, Store, Writing } from "#store";
import type { Answers, Call, Context } from "../context";
import { foldText, isLike, searchPatterns } from "../fold";
import { changedByAnother } from "../studio";
import { costGround } from "./ground";
import { draftFromQuote, orderFromQuote } from "./quote-order";
import { workedQuote } from "./quote";
import { quoteSheetOf, type QuoteGoing, refuseUnsendable } from "./quote-sheet";
import { refuseCosts } from "./refusals";

/**
 * Quotes that are kept: a draft may change and is worked out anew each time; once it was sent its prices, its day and
 * its sender are kept beside it, so that it is printed again as it went out. Of one that was sent an order can be made,
 * in one write with the quote, once.
 */
type QuoteAnswers = Pick<
  Answers,
  | "listQuotes"
  | "readQuote"
  | "keepQuote"
  | "changeQuote"
  | "sendQuote"
  | "answerQuote"
  | "orderOfQuote"
  | "putQuoteAway"
  | "keptQuoteSheet"
>;
type Reader = Store["db"];
type KeptQuote = Answer<"readQuote">;

export function quoteAnswers(context: Context): QuoteAnswers {
  const { store, nowMs } = context;
  const { db } = store;
  const ground = () => costGround(db, nowMs());
  const todayOf = ({ studio }: Awaited<ReturnType<typeof ground>>) =>
    localTime(studio.body.timeZone, nowMs()).date;

  /** Of a draft today's prices; null where a product of it is gone or archived. */
  const worksOut = async (asked: costs.QuoteAsked) => {
    const all = await ground();
    const isThere = asked.lines.every((line) => all.products.get(line.productId)?.archived === false);
    return { today: todayOf(all), worked: isThere ? await workedQuote(db, all, asked) : null, all };
  };
  const recordOf = async (row: QuoteTable): Promise<KeptQuote> => {
    const asked = askedOf(row);
    const sent = sentOf(row);
    const { worked, today } = await worksOut(asked);
    return {
      ...briefOf(row, today),
      asked,
      worked: sent?.worked ?? worked,
      sentAtMs: sent?.atMs ?? null,
    };
  };
  const matching = async (reader: Reader, id: string, call: Call): Promise<QuoteTable> => {
    const row = await quoteRow(reader, id);
    if (call.ifMatch !== row.version) throw changedByAnother(call.ifMatch, row.version, await recordOf(row));
    return row;
  };
  /** Changes a quote as it stands under the version the caller has seen. */
  const changed = async (
    {
      id,
      call,
      what,
    }: { readonly id: string; readonly call: Call; readonly what: (row: QuoteTable) => string },
    work: (row: QuoteTable, writing: Writing) => Promise<Partial<QuoteTable>>,
  ): Promise<KeptQuote> => {
    const before = await matching(db, id, call);
    const { result, changeId } = await store.write({ who: call.who, what: what(before) }, async (writing) => {
      const row = await matching(writing.db, id, call);
      return writing.update("quotes", id, await work(row, writing));
    });
    call.note({ version: result.version, changeId });
    return recordOf(result);
  };

  return {
    listQuotes: async ({ query }) => {
      const today = todayOf(await ground());
      const shown = db
        .selectFrom("quotes")
        .where("archived", "=", 0)
        .$if(query.show === "open", (rows) => rows.where("state", "in", ["draft", "sent"]))
        .$if(query.show !== "open" && query.show !== "all", (rows) => rows.where("state", "=", query.show))
        .where((build) => build.and(searchPatterns(query.q).map((pattern) => isLike("search", pattern))));
      const [rows, count] = await Promise.all([
        shown.selectAll().orderBy("number", "desc").offset(query.offset).limit(query.limit).execute(),
        shown.select(({ fn }) => fn.countAll<number | string>().as("count")).executeTakeFirstOrThrow(),
      ]);
      return { items: rows.map((row) => briefOf(row, today)), total: Number(count.count) };
    },

    readQuote: async ({ params }, call) => {
      const row = await quoteRow(db, params.id);
      call.note({ version: row.version });
      return recordOf(row);
    },

    keepQuote: async ({ body }, call) => {
      const all = await ground();
      const columns = columnsOf(body, await workedQuote(db, all, body));
      const { result, changeId } = await store.write(
        { who: call.who, what: `Kept a quote${body.customer === "" ? "" : ` for ${body.customer}`}` },
        async (writing) => {
          const row: QuoteTable = {
            id: context.newId("qu"),
            version: 1,
            archived: 0,
            created_at_ms: nowMs(),
            updated_at_ms: nowMs(),
            number: await nextNumber(writing),
            state: "draft",
            order_id: null,
            sent: null,
            ...columns,
          };
          await writing.insert("quotes", row);
          return row;
        },
      );
      call.note({ version: 1, changeId });
      return recordOf(result);
    },

    changeQuote: async ({ params, body }, call) => {
      const columns = columnsOf(body, await workedQuote(db, await ground(), body));
      return changed({ id: params.id, call, what: (row) => `Changed quote ${row.number}` }, async (row) => {
        if (row.state !== "draft") throw wentOut(row);
        return columns;
      });
    },

    sendQuote: async ({ params }, call) => {
      const before = await matching(db, params.id, call);
      if (before.state !== "draft") throw wentOut(before);
      const asked = askedOf(before);
      const all = await ground();
      const worked = await workedQuote(db, all, asked);
      const day = todayOf(all);
      refuseUnsendable(asked, worked, day);
      const sent: QuoteGoing = { atMs: nowMs(), day, studioName: all.studio.body.name, worked };
      return changed({ id: params.id, call, what: (row) => `Sent quote ${row.number}` }, async () => ({
        state: "sent",
        total_cents: worked.totalCents,
        sent: JSON.stringify(sent),
      }));
    },

    answerQuote: async ({ params, body }, call) =>
      changed({ id: params.id, call, what: (row) => `Quote ${row.number}: ${body.state}` }, async (row) => {
        if (row.state === "draft") throw notSent(row);
        if (row.order_id !== null) throw ordered(row);
        return { state: body.state };
      }),

    orderOfQuote: async ({ params, body }, call) => {
      const before = await matching(db, params.id, call);
      const sent = sentOf(before);
      if (!sent) throw notSent(before);
      if (before.order_id !== null) throw ordered(before);
      if (before.state === "declined")
        throw refuseCosts("quote-declined", `Quote ${before.number} was declined.`);
      const all = await ground();
      const draft = draftFromQuote(all, askedOf(before), sent, {
        ...body,
        number: before.number,
        placedOn: todayOf(all),
      });
      const add = await orderFromQuote(context, draft);
      return changed(
        { id: params.id, call, what: (row) => `Made order ${draft.reference} of quote ${row.number}` },
        async (_, writing) => ({ state: "agreed", order_id: await add(writing) }),
      );
    },

    putQuoteAway: async ({ params }, call) =>
      changed({ id: params.id, call, what: (row) => `Put quote ${row.number} away` }, async () => ({
        archived: 1,
      })),

    keptQuoteSheet: async ({ params, query }) => {
      const row = await quoteRow(db, params.id);
      const asked = askedOf(row);
      const all = await ground();
      const { body: studio } = all.studio;
      const day = todayOf(all);
      const sheet = { number: row.number, paper: query.paper || studio.paper };
      const sent = sentOf(row);
      if (sent) return quoteSheetOf(asked, sent, sheet);
      const worked = await workedQuote(db, all, asked);
      refuseUnsendable(asked, worked, day);
      return quoteSheetOf(asked, { atMs: nowMs(), day, studioName: studio.name, worked }, sheet);
    },
  };
}

const askedOf = (row: QuoteTable): costs.QuoteAsked => JSON.parse(row.body) as costs.QuoteAsked;
const sentOf = (row: QuoteTable): QuoteGoing | null =>
  row.sent === null ? null : (JSON.parse(row.sent) as QuoteGoing);

async function quoteRow(db: Reader, id: string): Promise<QuoteTable> {
  const row = await db.selectFrom("quotes").selectAll().where("id", "=", id).executeTakeFirst();
  if (!row) throw refuseCosts("quote-unknown", `There is no quote ${id}.`, [{ field: "id", found: id }]);
  return row;
}

/** Writes wait for one another, so that no two quotes get one number. */
async function nextNumber({ db }: Writing): Promise<number> {
  const { most } = await db
    .selectFrom("quotes")
    .select(({ fn }) => fn.max<number | string | null>("number").as("most"))
    .executeTakeFirstOrThrow();
  return Number(most ?? 0) + 1;
}

const columnsOf = (asked: costs.QuoteAsked, worked: costs.QuoteWorked) => ({
  customer: asked.customer,
  reference: asked.reference,
  valid_until: asked.validUntil,
  total_cents: worked.totalCents,
  search: foldText(
    [asked.customer, asked.reference, ...worked.lines.flatMap((line) => [line.name, line.what])].join(" "),
  ).slice(0, 4000),
  body: JSON.stringify(asked),
});

const briefOf = (row: QuoteTable, today: string): Answer<"listQuotes">["items"][number] => ({
  id: row.id,
  version: row.version,
  archived: row.archived === 1,
  createdAtMs: row.created_at_ms,
  updatedAtMs: row.updated_at_ms,
  number: row.number,
  state: row.state as KeptQuote["state"],
  customer: row.customer,
  reference: row.reference,
  validUntil: row.valid_until,
  isOver: row.state === "sent" && row.valid_until < today,
  totalCents: row.total_cents,
  sentOn: sentOf(row)?.day ?? null,
  orderId: row.order_id,
});

const wentOut = (row: QuoteTable) =>
  refuseCosts("quote-went-out", `Quote ${row.number} is no draft any more.`, [
    { field: "state", found: row.state, expected: "draft" },
  ]);
const notSent = (row: QuoteTable) =>
  refuseCosts("quote-not-sent", `Quote ${row.number} is a draft.`, [
    { field: "state", found: "draft", expected: "sent" },
  ]);
const ordered = (row: QuoteTable) =>
  refuseCosts("quote-ordered", `An order was made of quote ${row.number}.`, [], { orderId: row.order_id });
