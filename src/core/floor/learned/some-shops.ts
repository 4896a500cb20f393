/** Simulated shops with known truth, for tests and benches. */
import type { Chance } from "#core/base";
import { normalQuantile } from "#core/base";
import type { TimeObservation } from "./times";

/** A standard normal value. */
export const normal = (chance: Chance): number =>
  normalQuantile((Math.floor(chance.next() * 2 ** 32) + 0.5) / 2 ** 32);

export interface SeriesAsked {
  readonly chance: Chance;
  readonly count: number;
  /** Typical seconds of the n-th measurement. */
  readonly typicalS: (index: number) => number;
  /** Standard deviation of the logarithm. */
  readonly spread: number;
  /** The share of measurements with a lunch of half an hour to an hour within. */
  readonly lunches: number;
}

/** Measured seconds, rounded to whole ones as taps are. */
export function measuredSeries({ chance, count, typicalS, spread, lunches }: SeriesAsked): number[] {
  return Array.from({ length: count }, (_, index) => {
    const seconds = typicalS(index) * Math.exp(spread * normal(chance));
    // Both drawn each time, so that series with and without lunches are otherwise the same.
    const [turn, length] = [chance.next(), 1800 + 1800 * chance.next()];
    const away = turn < lunches ? length : 0;
    return Math.max(1, Math.round(seconds + away));
  });
}

export interface ShopAsked {
  readonly chance: Chance;
  readonly hoops: number;
  readonly products: number;
  /** Measurements of each hoop with each product. */
  readonly each: number;
  readonly spread: number;
  /** Of the shop about the usual, hoops about the shop, products about their hoop; standard deviations of logarithms. */
  readonly between: readonly [number, number, number];
}

export interface SimulatedShop {
  readonly observations: readonly TimeObservation[];
  /** The true typical seconds of a hoop with a product; one more product than was ever measured. */
  readonly trueS: (hoop: number, product: number) => number;
}

export const USUAL_S = 45;

/** A shop's hoopings: true times drawn from the hierarchy, then measured. */
export function simulatedShop({ chance, hoops, products, each, spread, between }: ShopAsked): SimulatedShop {
  const shop = between[0] * normal(chance);
  const truth = Array.from({ length: hoops }, () => {
    const hoop = shop + between[1] * normal(chance);
    return Array.from({ length: products + 1 }, () => hoop + between[2] * normal(chance));
  });
  const trueS = (hoop: number, product: number) => USUAL_S * Math.exp(truth[hoop]![product]!);
  const observations = truth.flatMap((ofHoop, hoop) =>
    ofHoop.slice(0, products).flatMap((log, product) =>
      Array.from({ length: each }, (_, index) => ({
        quantity: "hooping" as const,
        value: USUAL_S * Math.exp(log + spread * normal(chance)),
        usual: USUAL_S,
        atMs: index,
        machineId: null,
        hoopId: `H${hoop}`,
        productId: `P${product}`,
        threadId: null,
      })),
    ),
  );
  return { observations, trueS };
}
