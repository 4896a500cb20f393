import type { Answer } from "#contract";
import type { Store } from "#store";
import { daysBetween } from "#core/shop";
import type { CostGround } from "./ground";
import { missingOf } from "./missing";
import { centsByKind, costedOrders, type CostedOrder, orderMoney } from "./orders";
import { refuseCosts } from "./refusals";

/** The orders of some days as money: every total is a sum of whole cents, so that all ways of adding up agree. */

const LONGEST_DAYS = 800;
/** Orders are costed in portions, so that others get their answers between. */
const PORTION = 500;

export async function ledgerOf(
  db: Store["db"],
  ground: CostGround,
  asked: { readonly from: string; readonly to: string; readonly offset: number; readonly limit: number },
): Promise<Answer<"costLedger">> {
  const { from, to } = asked;
  if (to < from || daysBetween(from, to) > LONGEST_DAYS)
    throw refuseCosts(
      "cost-span-too-long",
      `From ${from} to ${to} is no span of at most ${LONGEST_DAYS} days.`,
      [{ field: "from", found: from, expected: `at most ${LONGEST_DAYS} days before ${to}` }],
    );
  const briefs = await db
    .selectFrom("orders")
    .select(["id", "reference", "customer", "channel", "placed_on"])
    .where("placed_on", ">=", from)
    .where("placed_on", "<=", to)
    .where("archived", "=", 0)
    .orderBy("placed_on", "desc")
    .orderBy("reference", "desc")
    .execute();
  const orders: CostedOrder[] = [];
  for (let at = 0; at < briefs.length; at += PORTION) {
    const costed = await costedOrders(db, ground, briefs.slice(at, at + PORTION));
    orders.push(...costed.filter((one) => one.pieces.length > 0));
  }
  return {
    from,
    to,
    ...totalsOf(orders),
    orders: orders.slice(asked.offset, asked.offset + asked.limit).map(orderMoney),
    total: orders.length,
  };
}

function totalsOf(orders: readonly CostedOrder[]) {
  const sum = (of: (one: CostedOrder) => number) => orders.reduce((all, one) => all + of(one), 0);
  const pieces = orders.flatMap((one) => one.pieces);
  const taxCents = sum((one) => one.earned.taxCents);
  const priceCents = sum((one) => one.earned.priceCents);
  const profitCents = sum((one) => one.earned.profitCents);
  const products = new Map<string, Answer<"costLedger">["byProduct"][number]>();
  for (const { product, cost, priceCents: price } of pieces) {
    const known = products.get(product.id);
    products.set(product.id, {
      productId: product.id,
      name: product.name,
      pieces: (known?.pieces ?? 0) + 1,
      priceCents: (known?.priceCents ?? 0) + price,
      costCents: (known?.costCents ?? 0) + cost.totalCents,
    });
  }
  return {
    pieces: pieces.length,
    earned: {
      priceCents,
      taxCents,
      feesCents: sum((one) => one.earned.feesCents),
      costCents: sum((one) => one.earned.costCents),
      profitCents,
      margin: priceCents === taxCents ? null : profitCents / (priceCents - taxCents),
    },
    byKind: centsByKind([
      ...pieces.flatMap((one) => one.cost.lines),
      ...orders.flatMap((one) => one.parcel.lines),
    ]),
    byProduct: [...products.values()].sort((a, b) => b.costCents - a.costCents),
    parcelCents: sum((one) => one.parcel.totalCents),
    missing: missingOf(orders.map((one) => one.missing)),
  };
}
