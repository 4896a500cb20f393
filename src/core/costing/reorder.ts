/**
 * When to order again and how much: the square-root order, safety for the days until it comes, and the single purchase
 * for a season. Models and numbers checked after L. V. Snyder, Z.-J. M. Shen, Fundamentals of Supply Chain Theory, 2nd
 * ed., Wiley 2019, chapters 3 to 5. Amounts are of any unit; `use` is an amount for one period, holding costs are for
 * one unit over one period; money may be of any unit. Nothing is rounded but where a name says so.
 */
import { invariant, normalQuantile, normalShare } from "#core/base";

export interface OrderCosts {
  /** Each time something is ordered: postage, the least order, the time it takes. */
  readonly orderCost: number;
  /** Keeping one unit for one period: money tied up, room, what spoils. */
  readonly holding: number;
}

export interface OrderAmount {
  readonly amount: number;
  /** A period, ordering and holding together; what is bought itself is not in it. */
  readonly cost: number;
}

/** The amount at which ordering and holding cost least together: √(2 K D / h) (Snyder & Shen, 3.2). */
export function economicOrder(use: number, { orderCost, holding }: OrderCosts): OrderAmount {
  invariant(use >= 0 && orderCost >= 0 && holding > 0, "an order amount needs a use and a cost of holding");
  return {
    amount: Math.sqrt((2 * orderCost * use) / holding),
    cost: Math.sqrt(2 * orderCost * use * holding),
  };
}

/** What ordering and holding cost a period when `amount` is ordered each time. */
export const orderingCost = (use: number, amount: number, { orderCost, holding }: OrderCosts): number =>
  (orderCost * use) / amount + (holding * amount) / 2;

export interface PriceBreak {
  /** From this amount on every unit costs `price`. */
  readonly from: number;
  readonly price: number;
}

/**
 * The amount to order where the price of all units falls with it; holding is `rate` of the price a period. The best of
 * each price's own amount where it holds, else its break (all-units discounts, Snyder & Shen, 3.4). `cost` is a period's
 * with what is bought.
 */
export function orderWithDiscounts(
  use: number,
  breaks: readonly PriceBreak[],
  { orderCost, rate }: { readonly orderCost: number; readonly rate: number },
): OrderAmount & { readonly price: number } {
  invariant(breaks.length > 0 && rate > 0, "discounts need a price and a rate");
  const offers = breaks.map(({ from, price }, at) => {
    const costs = { orderCost, holding: rate * price };
    const own = economicOrder(use, costs).amount;
    const before = breaks[at + 1]?.from ?? Infinity;
    // Past its own price a cheaper one holds, which is looked at by itself.
    const amount = Math.min(Math.max(own, from), before);
    return { amount, price, cost: use * price + orderingCost(use, amount, costs) };
  });
  return offers.reduce((best, one) => (one.cost < best.cost ? one : best));
}

/** With customers who wait: `shortage` is the cost of one unit missing for one period (Snyder & Shen, 3.5). */
export function orderWithWaiting(
  use: number,
  { orderCost, holding }: OrderCosts,
  shortage: number,
): OrderAmount & { readonly waitingShare: number } {
  const stretch = (holding + shortage) / shortage;
  return {
    amount: Math.sqrt((2 * orderCost * use * stretch) / holding),
    cost: Math.sqrt((2 * orderCost * use * holding) / stretch),
    waitingShare: holding / (holding + shortage),
  };
}

/** Use of one period and how it varies; `periods` until an order comes. */
export interface UseAhead {
  readonly mean: number;
  readonly deviation: number;
  readonly periods: number;
}

export interface ReorderPoint {
  /** Ordered when no more than this is left. */
  readonly point: number;
  /** The part of it that is there for bad luck. */
  readonly safety: number;
}

/** Enough for the time until the order comes, with `service` the share of orders before whose arrival nothing runs out. */
export function reorderPoint({ mean, deviation, periods }: UseAhead, service: number): ReorderPoint {
  invariant(service > 0 && service < 1 && periods >= 0, "a share between 0 and 1, and a time");
  const safety = normalQuantile(service) * deviation * Math.sqrt(periods);
  return { point: mean * periods + safety, safety };
}

/** The share that balances a unit missing against a unit kept over: p / (p + h). */
export const balancedService = (holding: number, shortage: number): number => shortage / (shortage + holding);

const density = (z: number): number => Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
/** Mean of what a standard normal luck exceeds z by. */
export const normalLoss = (z: number): number => density(z) - z * (1 - normalShare(z));

/** What keeping a stock by order point and amount costs a period, over all places within an amount (5.1, exact form). */
export function reorderCost(
  point: number,
  amount: number,
  { mean, deviation, periods }: UseAhead,
  costs: OrderCosts & { readonly shortage: number },
): number {
  const [mu, sigma] = [mean * periods, deviation * Math.sqrt(periods)];
  const at = (level: number): number => {
    const z = (level - mu) / sigma;
    const missing = sigma * normalLoss(z);
    return costs.holding * (level - mu + missing) + costs.shortage * missing;
  };
  // Simpson's rule over the amount: smooth, so that 400 strips are exact to about 1e-9.
  const strips = 400;
  const step = amount / strips;
  let sum = at(point) + at(point + amount);
  for (let strip = 1; strip < strips; strip += 1) sum += (strip % 2 === 0 ? 2 : 4) * at(point + strip * step);
  return (costs.orderCost * mean) / amount + (sum * step) / 3 / amount;
}

/** One purchase for a season: `over` is what one unit too many costs, `under` one too few (newsvendor, chapter 4). */
export interface SeasonCosts {
  readonly over: number;
  readonly under: number;
}

/** For a use that is normal: the amount and its expected cost. */
export function seasonOrder(mean: number, deviation: number, { over, under }: SeasonCosts): OrderAmount {
  const z = normalQuantile(balancedService(over, under));
  return { amount: mean + z * deviation, cost: (over + under) * density(z) * deviation };
}

/** What ordering `amount` for a season is expected to cost. */
export function seasonCost(
  amount: number,
  mean: number,
  deviation: number,
  { over, under }: SeasonCosts,
): number {
  const z = (amount - mean) / deviation;
  const missing = deviation * normalLoss(z);
  return over * (amount - mean + missing) + under * missing;
}

/** For single things asked for by chance (Poisson): the least whole amount whose chance to suffice reaches the balance. */
export function seasonOrderWhole(mean: number, costs: SeasonCosts): OrderAmount {
  invariant(mean > 0 && mean < 500, "a season's mean above 0 and below 500");
  const wanted = balancedService(costs.over, costs.under);
  let amount = 0;
  for (let chance = Math.exp(-mean), sum = chance; sum < wanted; sum += chance) {
    amount += 1;
    chance *= mean / amount;
  }
  return { amount, cost: seasonCostWhole(amount, mean, costs) };
}

/** What ordering a whole `amount` is expected to cost where things are asked for by chance (Poisson). */
export function seasonCostWhole(amount: number, mean: number, { over, under }: SeasonCosts): number {
  let chance = Math.exp(-mean);
  let left = 0;
  for (let asked = 0; asked < amount; asked += 1) {
    left += (amount - asked) * chance;
    chance *= mean / (asked + 1);
  }
  return over * left + under * (mean - amount + left);
}
