import type { Answer, costs } from "#contract";
import type { Store } from "#store";
import { daysBetween } from "#core/shop";
import type { CostGround } from "./ground";
import { missingOf } from "./missing";
import { costedOrders, type CostedOrder, orderMoney } from "./orders";
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
  const sums = emptySums();
  const orders: OrderMoney[] = [];
  for (let at = 0; at < briefs.length; at += PORTION)
    for (const one of await costedOrders(db, ground, briefs.slice(at, at + PORTION))) {
      if (one.pieces.length === 0) continue;
      addOrder(sums, one);
      orders.push(orderMoney(one));
    }
  return {
    from,
    to,
    ...totalsOf(sums, orders),
    orders: orders.slice(asked.offset, asked.offset + asked.limit),
    total: orders.length,
  };
}

type Ledger = Answer<"costLedger">;
type OrderMoney = Ledger["orders"][number];

/** What is kept of the orders while they are gone through: their lines are let go, or a season fills the memory. */
interface Sums {
  pieces: number;
  parcelCents: number;
  readonly kinds: Map<Ledger["byKind"][number]["kind"], number>;
  readonly products: Map<string, { -readonly [K in keyof ByProduct]: ByProduct[K] }>;
  readonly missing: (readonly costs.MissingFigure[])[];
}
type ByProduct = Ledger["byProduct"][number];

const emptySums = (): Sums => ({
  pieces: 0,
  parcelCents: 0,
  kinds: new Map(),
  products: new Map(),
  missing: [],
});

function addOrder(sums: Sums, { pieces, parcel, missing }: CostedOrder): void {
  const addLines = (lines: CostedOrder["parcel"]["lines"]) => {
    for (const { kind, cents } of lines) sums.kinds.set(kind, (sums.kinds.get(kind) ?? 0) + cents);
  };
  addLines(parcel.lines);
  sums.parcelCents += parcel.totalCents;
  sums.pieces += pieces.length;
  if (missing.length > 0) sums.missing.push(missing);
  for (const { product, cost, priceCents } of pieces) {
    addLines(cost.lines);
    let known = sums.products.get(product.id);
    if (!known) {
      known = { productId: product.id, name: product.name, pieces: 0, priceCents: 0, costCents: 0 };
      sums.products.set(product.id, known);
    }
    known.pieces += 1;
    known.priceCents += priceCents;
    known.costCents += cost.totalCents;
  }
}

function totalsOf(sums: Sums, orders: readonly OrderMoney[]) {
  const sum = (of: (one: OrderMoney["earned"]) => number) =>
    orders.reduce((all, one) => all + of(one.earned), 0);
  const priceCents = sum((one) => one.priceCents);
  const taxCents = sum((one) => one.taxCents);
  const profitCents = sum((one) => one.profitCents);
  return {
    pieces: sums.pieces,
    earned: {
      priceCents,
      taxCents,
      feesCents: sum((one) => one.feesCents),
      costCents: sum((one) => one.costCents),
      profitCents,
      margin: priceCents === taxCents ? null : profitCents / (priceCents - taxCents),
    },
    byKind: [...sums.kinds].map(([kind, cents]) => ({ kind, cents })).sort((a, b) => b.cents - a.cents),
    byProduct: [...sums.products.values()].sort((a, b) => b.costCents - a.costCents),
    parcelCents: sums.parcelCents,
    missing: missingOf(sums.missing),
  };
}
