/** Whole cents shared out so that the parts add up to the total, and prices rounded as a shop rounds them. */
import { invariant } from "#core/base";

/**
 * Shares `totalCents` (whole minor units, also negative) by weights ≥ 0: each part is its exact share rounded down or
 * up, and the parts add up to the total (largest remainders; ties to the earlier). All weights 0 share equally.
 */
export function sharedCents(totalCents: number, weights: readonly number[]): readonly number[] {
  invariant(Number.isSafeInteger(totalCents), "a total to share out is whole cents");
  if (weights.length === 0) return [];
  const sum = weights.reduce((all, one) => all + one, 0);
  const even = sum <= 0;
  const exact = weights.map((weight) => (totalCents * (even ? 1 : weight)) / (even ? weights.length : sum));
  const parts = exact.map(Math.floor);
  let left = totalCents - parts.reduce((all, one) => all + one, 0);
  const byRemainder = exact
    .map((share, at) => ({ at, over: share - parts[at]! }))
    .filter(({ at }) => even || weights[at]! > 0)
    .sort((a, b) => b.over - a.over || a.at - b.at);
  for (let turn = 0; left > 0; turn = (turn + 1) % byRemainder.length, left -= 1)
    parts[byRemainder[turn]!.at]! += 1;
  return parts;
}

/** How a shop rounds a price. `step` in cents: 50 gives x.00 and x.50; `end` 95 and step 100 give x.95. */
export interface PriceRounding {
  readonly stepCents: number;
  /** Where within a step prices stand: 0 for whole steps, 95 of 100 for x.95. Below the step. */
  readonly endCents: number;
  readonly way: "up" | "nearest";
}

/** The price a shop would write for `cents`; never below 0. `up` never gives less than was asked. */
export function roundedPrice(cents: number, { stepCents, endCents, way }: PriceRounding): number {
  invariant(
    stepCents >= 1 && endCents >= 0 && endCents < stepCents,
    "prices end within their step of a cent or more",
  );
  // A price worked out as 12.000000001 is 12, not the next step.
  const steps = (cents - endCents) / stepCents;
  const near = Math.round(steps);
  const whole = way === "nearest" || Math.abs(steps - near) < 1e-9 ? near : Math.ceil(steps);
  const price = whole * stepCents + endCents;
  return price < 0 ? endCents : price;
}
