import type { Answers, Context } from "../context";
import type { costs } from "#contract";
import { localTime } from "#core/shop";
import { quotePdf } from "../paper/quote";
import { refuseApp } from "../refusals";
import { type CostGround, costGround } from "./ground";
import { keepingAnswers } from "./keeping";
import { ledgerOf } from "./ledger";
import { missingOf } from "./missing";
import { addedLines, centsByKind, costedOrders, costedPieceOf, orderMoney } from "./orders";
import { productTable } from "./products";
import { workedQuote } from "./quote";
import { figureOf } from "./records";
import { refuseCosts } from "./refusals";

/**
 * What things, pieces and orders cost, and quotes. It joins the records, what the floor has taught and the figures a
 * person gave into what core/costing counts; a figure that is missing is asked for and never taken for nothing.
 */
type CostAnswers = Pick<
  Answers,
  | "readCosts"
  | "keepCostSettings"
  | "keepCostFigures"
  | "productCosts"
  | "orderCost"
  | "pieceCost"
  | "costLedger"
  | "workQuote"
  | "quoteSheet"
>;

export function costAnswers(context: Context): CostAnswers {
  const { store, nowMs } = context;
  const { db } = store;
  const ground = () => costGround(db, nowMs());
  return {
    ...keepingAnswers(context),

    readCosts: async (_, call) => {
      const all = await ground();
      call.note({ version: all.version });
      const { version, settings, measured } = all;
      return {
        ...{ version, settings, measured },
        figures: all.figures.rows.map((row) => ({
          subjectId: row.id,
          name: nameOf(all, row.id),
          version: row.version,
          figure: figureOf(row),
        })),
        machines: [...all.machines.values()]
          .filter((one) => !one.archived)
          .map(({ id, name, bought }) => ({
            machineId: id,
            name,
            priceCents: bought?.priceCents ?? null,
            hour: all.machineCosts.get(id)!.hour,
          })),
        missing: missingOf((await productTable(db, all, "")).products.map((one) => one.missing)),
      };
    },

    productCosts: async ({ query }) => productTable(db, await ground(), query.channel),

    orderCost: async ({ params }) => {
      const order = await db
        .selectFrom("orders")
        .select(["id", "reference", "customer", "channel", "placed_on"])
        .where("id", "=", params.id)
        .executeTakeFirst();
      if (!order)
        throw refuseApp("not-found", `There is no order ${params.id}.`, [{ field: "id", found: params.id }]);
      const [costed] = await costedOrders(db, await ground(), [order]);
      const { pieces, parcel, missing, earned } = costed!;
      const lines = [...pieces.map((one) => one.cost.lines), parcel.lines];
      return {
        ...orderMoney(costed!),
        byPiece: pieces.map(({ piece, product, cost, priceCents }) => ({
          pieceId: piece.id,
          code: piece.code,
          productName: product.name,
          personalText: piece.personal_text,
          totalCents: cost.totalCents,
          priceCents,
        })),
        byKind: centsByKind(lines.flat()),
        parcel: parcel.lines,
        lines: addedLines(lines),
        totalCents: earned.costCents,
        machineS: Math.round(pieces.reduce((sum, one) => sum + one.cost.machineS, 0)),
        handS: Math.round(pieces.reduce((sum, one) => sum + one.cost.handS, costed!.parcelHandS)),
        missing,
      };
    },

    pieceCost: async ({ params }) => {
      const found = await costedPieceOf(db, await ground(), params.id);
      if (!found)
        throw refuseApp("not-found", `There is no piece ${params.id}.`, [{ field: "id", found: params.id }]);
      const { piece, product, cost } = found;
      return {
        pieceId: piece.id,
        code: piece.code,
        orderId: piece.order_id,
        productName: product.name,
        ...cost,
        machineS: Math.round(cost.machineS),
        handS: Math.round(cost.handS),
      };
    },

    costLedger: async ({ query }) => ledgerOf(db, await ground(), query),

    workQuote: async ({ body }) => workedQuote(db, await ground(), body),

    quoteSheet: async ({ body, query }) => {
      const all = await ground();
      const { body: studio } = all.studio;
      const today = localTime(studio.timeZone, nowMs()).date;
      refuseOver(body, today);
      const worked = await workedQuote(db, all, body);
      refuseIncomplete(body, worked);
      const bytes = await quotePdf({
        asked: body,
        worked,
        day: today,
        studioName: studio.name,
        paper: query.paper === "" ? studio.paper : query.paper,
        nowMs: nowMs(),
      });
      return {
        bytes,
        mediaType: "application/pdf",
        saveAs: `quote-${fileWord(body.reference || body.customer) || today}.pdf`,
      };
    },
  };
}

const fileWord = (text: string): string =>
  text
    .normalize("NFD")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 60);

const nameOf = (all: CostGround, id: string): string =>
  (all.stock.get(id) ?? all.threads.get(id) ?? all.machines.get(id) ?? all.products.get(id))?.name ?? "";

function refuseOver({ validUntil }: costs.QuoteAsked, today: string): void {
  if (validUntil < today)
    throw refuseCosts("quote-over", `The quote would hold until ${validUntil}; today is ${today}.`, [
      { field: "validUntil", found: validUntil, expected: `${today} or later` },
    ]);
}

/** A price goes out only where it was worked out from all figures, or a person typed it. */
function refuseIncomplete(asked: costs.QuoteAsked, worked: costs.QuoteWorked): void {
  const bare = worked.lines.flatMap((line, at) =>
    asked.lines[at]!.priceCents === null && line.suggestedCents === null ? [{ line, at }] : [],
  );
  const [first] = bare;
  if (first)
    throw refuseCosts(
      "quote-incomplete",
      `${first.line.name} has no price. Missing: ${fewOf(first.line.missing.map((one) => one.what))}.`,
      bare.map(({ at, line }) => ({
        field: `lines.${at}.priceCents`,
        found: "no price",
        expected: line.missing[0]?.what ?? "a price",
      })),
    );
}

/** So many missing figures are named; the others are counted. */
const NAMED = 3;
const fewOf = (words: readonly string[]): string =>
  words.length <= NAMED
    ? words.join("; ")
    : `${words.slice(0, NAMED).join("; ")} and ${words.length - NAMED} more`;
