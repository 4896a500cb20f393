/** Several purchases beside each other: how each does, which of two is better, and what to buy with limited money. */
import { invariant } from "#core/base";
import {
  type Cash,
  equalAnnual,
  internalRates,
  modifiedRate,
  netPresentValue,
  payback,
  profitabilityIndex,
} from "./money-in-time";

/** One purchase by its money over time, judged. Amounts in the unit of `cash`, times in periods. */
export interface Judged {
  readonly netPresentValue: number;
  /** The equal amount a period over its life: what is compared where lives differ. */
  readonly equalAnnual: number;
  readonly payback: number | null;
  readonly discountedPayback: number | null;
  readonly profitabilityIndex: number | null;
  /** Every internal rate; none or more than one says that no rate describes this purchase. */
  readonly internalRates: readonly number[];
  readonly modifiedRate: number | null;
  readonly pays: boolean;
  /** What to know before trusting a figure, in words. */
  readonly warnings: readonly string[];
}

/** Judges a purchase that lasts `cash.length − 1` periods. */
export function judged(cash: Cash, rate: number): Judged {
  invariant(cash.length >= 2, "a purchase needs money now and at least one period later");
  const value = netPresentValue(cash, rate);
  const rates = internalRates(cash);
  return {
    netPresentValue: value,
    equalAnnual: equalAnnual(value, rate, cash.length - 1),
    payback: payback(cash),
    discountedPayback: payback(cash, rate),
    profitabilityIndex: profitabilityIndex(cash, rate),
    internalRates: rates,
    modifiedRate: modifiedRate(cash, rate)?.rate ?? null,
    pays: value > 0,
    warnings: warningsOf(rates),
  };
}

function warningsOf(rates: readonly number[]): readonly string[] {
  if (rates.length > 1)
    return [
      `There are ${rates.length} internal rates (${rates.map(percent).join(" and ")}), because money goes out again later. None of them ranks this purchase: go by the net present value.`,
    ];
  if (rates.length === 0) return ["There is no internal rate: go by the net present value."];
  return [];
}

const percent = (rate: number): string => `${(100 * rate).toFixed(1)} %`;

export interface Candidate {
  readonly id: string;
  readonly cash: Cash;
}

/**
 * The best of several that exclude one another, by net present value: an internal rate prefers the small purchase
 * that doubles little money. With unequal lives the thing is bought again, so the equal annual amount decides.
 */
export function bestOf(candidates: readonly Candidate[], rate: number): Candidate | null {
  const sameLife = new Set(candidates.map(({ cash }) => cash.length)).size === 1;
  const worth = ({ cash }: Candidate) => {
    const { netPresentValue: value, equalAnnual: yearly } = judged(cash, rate);
    return sameLife ? value : yearly;
  };
  const best = candidates.reduce<Candidate | null>(
    (found, one) => (found === null || worth(one) > worth(found) ? one : found),
    null,
  );
  return best === null || worth(best) <= 0 ? null : best;
}

export interface Wish {
  readonly id: string;
  /** Whole units of money, at least 0. */
  readonly outlay: number;
  readonly value: number;
}

/**
 * The set of purchases worth most within a budget: the 0–1 knapsack, exactly, by branch and bound on gain per money
 * (Dantzig's bound; G. B. Dantzig, Operations Research 5 (1957) 266–277). Those that lose are never bought.
 */
export function bestWithin(wishes: readonly Wish[], budget: number): readonly string[] {
  const sorted = wishes
    .filter(({ value, outlay }) => value > 0 && outlay <= budget)
    .sort((a, b) => b.value * a.outlay - a.value * b.outlay);
  let best = { value: 0, ids: [] as readonly string[] };
  const most = (from: number, left: number): number => {
    let value = 0;
    for (const wish of sorted.slice(from)) {
      if (wish.outlay > left) return value + (wish.value * left) / wish.outlay;
      left -= wish.outlay;
      value += wish.value;
    }
    return value;
  };
  const walk = (from: number, left: number, value: number, ids: readonly string[]): void => {
    if (value > best.value) best = { value, ids };
    const wish = sorted[from];
    if (wish === undefined || value + most(from, left) <= best.value) return;
    if (wish.outlay <= left) walk(from + 1, left - wish.outlay, value + wish.value, [...ids, wish.id]);
    walk(from + 1, left, value, ids);
  };
  walk(0, budget, 0, []);
  const chosen = new Set(best.ids);
  return wishes.filter(({ id }) => chosen.has(id)).map(({ id }) => id);
}
