import type { whatIf } from "#contract";
import { allowanceWords, earned, standardTime } from "#core/costing";
import type { Store } from "#store";
import { type CostGround, costGround } from "../costs/ground";
import { missingOf } from "../costs/missing";
import { parcelCost, sellingBy } from "../costs/orders";
import { type CostedProduct, costedProducts } from "../costs/products";
import type { Past, Sold } from "./past";
import type { Prices, ProductPrice } from "./prices";

/** What the figures of Costs say of a played season: hours and goods as money. Nothing is taken for nothing. */

type Assumption = whatIf.Assumption;

export interface PricesFound {
  /** Null while a figure is missing on Costs. */
  readonly prices: Prices | null;
  readonly missing: readonly string[];
  readonly assumptions: readonly Assumption[];
}

interface PricedAsked {
  readonly past: Pick<Past, "productIds" | "sold">;
  readonly machineIds: readonly string[];
  readonly nowMs: number;
}

export async function pricesOf(
  db: Store["db"],
  { past, machineIds, nowMs }: PricedAsked,
): Promise<PricesFound> {
  const ground = await costGround(db, nowMs);
  const costed = new Map((await costedProducts(db, ground)).map((one) => [one.product.id, one]));
  const products = past.productIds.map((id) => costed.get(id));
  const { wageCentsPerHour: wage, allowance, overhead } = ground.settings;
  const channels = [...new Set(past.sold.map(({ channel }) => channel))];
  const missing = missingOf([
    ...products.map((one) => one?.cost.missing ?? []),
    ...machineIds.map((id) => ground.machineCosts.get(id)?.missing ?? []),
    ...channels.map((channel) => sellingBy(ground, channel).missing),
    parcelCost(ground).missing,
  ]).map(({ what }) => what);
  if (missing.length > 0 || !wage || !allowance)
    return { prices: null, missing, assumptions: [notCounted(missing)] };
  const hours = machineIds.map((id) => [id, ground.machineCosts.get(id)!.hour!.total] as const);
  return {
    prices: {
      products: withMeans(
        products.map(
          (one, at) =>
            one &&
            priceOf(
              ground,
              one,
              past.sold.filter(({ product }) => product === at),
            ),
        ),
      ),
      handCents: wage.value,
      paidShare: standardTime(1, allowance),
      machineCents: Object.fromEntries(hours),
      added: {},
      overhead: overhead && { key: overhead.key, rate: overhead.rate },
    },
    missing: [],
    assumptions: counted(ground, channels.length),
  };
}

const notCounted = (missing: readonly string[]): Assumption => ({
  what: "Cost per piece and profit",
  value: `not counted: on Costs ${missing.slice(0, 3).join("; ")}${missing.length > 3 ? ` and ${missing.length - 3} more` : ""} ${missing.length === 1 ? "is" : "are"} missing`,
  source: "entered",
  count: null,
});

const goodsKinds: ReadonlySet<string> = new Set([
  "blank",
  "cloth",
  "thread",
  "bobbin",
  "backing",
  "topping",
  "packing",
]);

/** The mean of what its pieces brought, channel by channel, and what one takes beside time. */
function priceOf(ground: CostGround, { product, cost }: CostedProduct, sold: readonly Sold[]): ProductPrice {
  const pieces = sold.reduce((sum, one) => sum + one.pieces, 0);
  const parcels = sold.reduce((sum, one) => sum + one.orders, 0) / pieces;
  const netCents = sold.reduce((sum, one) => {
    const { selling } = sellingBy(ground, one.channel);
    return (
      sum + earned(one.priceCents, 0, { ...selling, feeCents: selling.feeCents * one.orders }).profitCents
    );
  }, 0);
  const goods = cost.lines.filter(({ kind }) => goodsKinds.has(kind));
  const sewing = product.kind === "sewn" ? cost.lines.filter(({ kind }) => kind === "machine") : [];
  const sum = (lines: CostedProduct["cost"]["lines"]) =>
    lines.reduce((all, { exactCents }) => all + exactCents, 0);
  return {
    name: product.name,
    netCents: netCents / pieces,
    goodsCents: sum(goods) + parcels * parcelCost(ground).parcel.totalCents,
    sewingCents: sum(sewing),
  };
}

/** A product that was ordered and is in use no more is counted like the mean of the others. */
function withMeans(products: readonly (ProductPrice | undefined)[]): ProductPrice[] {
  const known = products.filter((one) => one !== undefined);
  const mean = (of: (one: ProductPrice) => number) =>
    known.reduce((sum, one) => sum + of(one), 0) / known.length;
  const usual: ProductPrice = {
    name: "",
    netCents: known.length === 0 ? 0 : mean((one) => one.netCents),
    goodsCents: known.length === 0 ? 0 : mean((one) => one.goodsCents),
    sewingCents: 0,
  };
  return products.map((one) => one ?? usual);
}

function counted({ settings }: CostGround, channels: number): Assumption[] {
  const { wageCentsPerHour: wage, allowance, overhead } = settings;
  return [
    {
      what: "Cost of a piece and profit",
      value: `played hours of machines at the cost of their hour, played hours of hands at the wage with ${allowanceWords(allowance!)}, goods, parcels and the fees of ${channels} ${channels === 1 ? "channel" : "channels"} as on Costs; spoiled pieces as played. Hands are paid for hours of work; a person who is added for the hours she is there`,
      source: wage!.from === "entered" ? "entered" : wage!.from === "guessed" ? "guessed" : "default",
      count: null,
    },
    {
      what: "Overhead",
      value: overhead
        ? "as its key gives it for the shop today; the changed shop bears the same amount"
        : "none",
      source: overhead?.from === "guessed" ? "guessed" : "entered",
      count: null,
    },
  ];
}
