import type { Answers, Context } from "../context";
import { localTime } from "#core/shop";
import { refuseApp } from "../refusals";
import { type CostGround, costGround } from "./ground";
import { keepingAnswers } from "./keeping";
import { ledgerOf } from "./ledger";
import { missingOf } from "./missing";
import { addedLines, centsByKind, costedOrders, costedPieceOf, orderMoney } from "./orders";
import { productTable } from "./products";
import { needleLifeAnswers } from "./needle-lives";
import { orderingAnswers } from "./ordering";
import { purchaseAnswers } from "./purchases";
import { workedQuote } from "./quote";
import { quoteSheetOf, refuseUnsendable } from "./quote-sheet";
import { quoteAnswers } from "./quotes";
import { figureOf } from "./records";

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
> &
  ReturnType<typeof quoteAnswers> &
  ReturnType<typeof purchaseAnswers> &
  ReturnType<typeof orderingAnswers> &
  ReturnType<typeof needleLifeAnswers>;

export function costAnswers(context: Context): CostAnswers {
  const { store, nowMs } = context;
  const { db } = store;
  const ground = () => costGround(db, nowMs());
  return {
    ...keepingAnswers(context),
    ...quoteAnswers(context),
    ...purchaseAnswers(context),
    ...orderingAnswers(context),
    ...needleLifeAnswers(context),

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
            repairs: all.machineCosts.get(id)!.repairs,
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
      const day = localTime(studio.timeZone, nowMs()).date;
      const worked = await workedQuote(db, all, body);
      refuseUnsendable(body, worked, day);
      return quoteSheetOf(
        body,
        { atMs: nowMs(), day, studioName: studio.name, worked },
        { number: null, paper: query.paper || studio.paper },
      );
    },
  };
}

const nameOf = (all: CostGround, id: string): string =>
  (all.stock.get(id) ?? all.threads.get(id) ?? all.machines.get(id) ?? all.products.get(id))?.name ?? "";
