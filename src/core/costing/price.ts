/** From cost to price and back: margin, fees of the sales channel, tax in the price, quantity tiers, rush. */
import { refusals } from "#core/base";
import { type PriceRounding, roundedPrice } from "./shares";

export const refuse = refusals({
  "price-impossible": {
    status: 422,
    title: "No price reaches this margin",
    advice: "Ask for a smaller margin, or sell where the fees are smaller.",
  },
});

export interface Selling {
  /** Tax within the price, as a share of the net price: 0.21 for 21 %; 0 where prices are net. */
  readonly taxShare: number;
  /** The channel's fee as a share of what the customer pays, and for each piece, whole cents. */
  readonly feeShare: number;
  readonly feeCents: number;
}

export interface Earned {
  readonly priceCents: number;
  readonly taxCents: number;
  readonly feesCents: number;
  readonly costCents: number;
  /** What is left; negative: the piece loses money. */
  readonly profitCents: number;
  /** Profit as a share of the net price; null for a price of nothing. */
  readonly margin: number | null;
}

/** What a price leaves. Tax, fees, cost and profit add up to the price to the cent. */
export function earned(
  priceCents: number,
  costCents: number,
  { taxShare, feeShare, feeCents }: Selling,
): Earned {
  const netCents = Math.round(priceCents / (1 + taxShare));
  const feesCents = Math.round(priceCents * feeShare + feeCents);
  const profitCents = netCents - feesCents - costCents;
  return {
    priceCents,
    taxCents: priceCents - netCents,
    feesCents,
    costCents,
    profitCents,
    margin: netCents === 0 ? null : profitCents / netCents,
  };
}

/** The price, in cents before rounding, that leaves `margin` of its net part as profit. */
export function exactPrice(
  costCents: number,
  margin: number,
  { taxShare, feeShare, feeCents }: Selling,
): number {
  const left = (1 - margin) / (1 + taxShare) - feeShare;
  if (left <= 0)
    throw refuse(
      "price-impossible",
      `A margin of ${percent(margin)} leaves nothing for the cost: the fees take ${percent(feeShare)} of every price.`,
    );
  return (costCents + feeCents) / left;
}

const percent = (share: number): string => `${Math.round(1000 * share) / 10} %`;

/** The rounded price for a margin; where prices are rounded up the margin is reached. */
export function priceFor(
  costCents: number,
  margin: number,
  selling: Selling,
  rounding: PriceRounding,
): Earned {
  const exact = exactPrice(costCents, margin, selling);
  let price = roundedPrice(exact, rounding);
  // Fees and tax are rounded to cents: a price on the edge may fall short by one.
  const short = (cents: number) => (earned(cents, costCents, selling).margin ?? -1) < margin - 1e-9;
  if (rounding.way === "up" && short(price)) price += rounding.stepCents;
  return earned(price, costCents, selling);
}

/** What is done once for all pieces of an order, and again for each. Whole cents. */
export interface QuantityCost {
  readonly onceCents: number;
  readonly eachCents: number;
}

export interface Tier {
  readonly from: number;
  readonly margin: number;
}

export interface TierPrice extends Earned {
  readonly from: number;
}

/**
 * A price for each tier, from its smallest quantity on: that one pays the largest part of what is done once, so none
 * in the tier loses. Never above the tier before it.
 */
export function tierPrices(
  { onceCents, eachCents }: QuantityCost,
  tiers: readonly Tier[],
  selling: Selling,
  rounding: PriceRounding,
): readonly TierPrice[] {
  let before = Infinity;
  return [...tiers]
    .sort((a, b) => a.from - b.from)
    .map(({ from, margin }) => {
      const costCents = Math.ceil(eachCents + onceCents / from);
      const wanted = priceFor(costCents, margin, selling, rounding).priceCents;
      before = Math.min(before, wanted);
      return { from, ...earned(before, costCents, selling) };
    });
}

export interface Rush {
  /** On top of the price, as a share and in cents. */
  readonly share: number;
  readonly cents: number;
}

export const rushPrice = (priceCents: number, { share, cents }: Rush, rounding: PriceRounding): number =>
  roundedPrice(priceCents * (1 + share) + cents, rounding);
