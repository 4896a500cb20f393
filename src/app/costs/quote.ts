import type { costs } from "#contract";
import { earned, type QuantityCost, rushPrice, type Selling, standardTime, tierPrices } from "#core/costing";
import type { Store } from "#store";
import { refuseApp } from "../refusals";
import type { CostGround } from "./ground";
import { asking, missingOf } from "./missing";
import { parcelCost, sellingBy } from "./orders";
import { type CostedProduct, costedProducts } from "./products";

/** A quote worked out: each line's price from its cost once and each, the studio's margin and tiers, its rounding. */

type Line = costs.QuoteWorked["lines"][number];
type Settings = costs.CostSettings;

export async function workedQuote(
  db: Store["db"],
  ground: CostGround,
  asked: costs.QuoteAsked,
): Promise<costs.QuoteWorked> {
  const { settings } = ground;
  const channel = settings.channels.find((one) => one.id === asked.channelId)?.name ?? "";
  const { selling, missing } = sellingBy(ground, channel);
  const products = new Map((await costedProducts(db, ground)).map((one) => [one.product.id, one]));
  const parcel = parcelCost(ground);
  const lines = asked.lines.map((line): Line => {
    const costed = products.get(line.productId);
    if (!costed)
      throw refuseApp("not-found", `There is no product ${line.productId} to quote.`, [
        { field: "productId", found: line.productId },
      ]);
    // The parcel and the channel's fixed fee are for the whole quote; each line carries its even part.
    const shares = asked.lines.length;
    return workedLine(ground, costed, line, {
      selling: { ...selling, feeCents: 0 },
      onceCents: (parcel.parcel.totalCents + selling.feeCents) / shares,
      missing: missingOf([parcel.missing, missing]),
      isRush: asked.isRush,
    });
  });
  const totalCents = lines.reduce((sum, line) => sum + line.sumCents, 0);
  const costCents = lines.reduce((sum, line) => sum + line.costCents, parcel.parcel.totalCents);
  const whole = earned(totalCents, costCents, selling);
  return {
    currency: ground.studio.body.currency,
    lines,
    totalCents,
    taxCents: whole.taxCents,
    taxShare: selling.taxShare,
    feesCents: whole.feesCents,
    costCents,
    profitCents: whole.profitCents,
  };
}

interface LineGround {
  readonly selling: Selling;
  readonly onceCents: number;
  readonly missing: readonly costs.MissingFigure[];
  readonly isRush: boolean;
}

function workedLine(
  ground: CostGround,
  { product, cost }: CostedProduct,
  line: costs.QuoteAsked["lines"][number],
  shared: LineGround,
): Line {
  const { settings } = ground;
  const prepared = preparing(settings);
  const missing = missingOf([cost.missing, shared.missing, prepared.missing]);
  const cent: QuantityCost = { onceCents: prepared.cents + shared.onceCents, eachCents: cost.totalCents };
  const tiers = missing.length > 0 ? [] : tiersOf(settings, cent, shared);
  const fitting = tiers.filter((tier) => tier.from <= line.quantity).at(-1);
  const suggestedCents = fitting ? fitting.eachCents : null;
  const eachCents = line.priceCents ?? suggestedCents ?? product.priceCents;
  return {
    productId: product.id,
    name: product.name,
    what: line.what,
    quantity: line.quantity,
    eachCents,
    suggestedCents,
    sumCents: eachCents * line.quantity,
    costCents: cost.totalCents * line.quantity + Math.round(prepared.cents),
    tiers: line.priceCents === null ? tiers : [],
    missing,
  };
}

/** Making a design ready and asking for a yes: once a line, paid with the allowance. */
function preparing({ prepareS, wageCentsPerHour: wage, allowance }: Settings) {
  const needed = asking();
  if (!prepareS) needed.ask("the time to make a design ready for a quote", "settings");
  const cents =
    prepareS && wage && allowance ? (standardTime(prepareS.value, allowance) / 3600) * wage.value : 0;
  return { cents, missing: needed.found };
}

/** Prices from one piece on, by the studio's tiers; in a hurry all of them rise. */
function tiersOf(settings: Settings, cost: QuantityCost, { selling, isRush }: LineGround) {
  const { rounding, rush, margin } = settings;
  const tiers = [{ from: 1, margin }, ...settings.tiers];
  return tierPrices(cost, tiers, selling, rounding).map(({ from, priceCents }) => ({
    from,
    eachCents: isRush ? rushPrice(priceCents, rush, rounding) : priceCents,
  }));
}
