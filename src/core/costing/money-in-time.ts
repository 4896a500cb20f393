/**
 * Money at different times made comparable: present value, the rates at which an outlay earns nothing, payback, equal
 * annual amounts for unequal lives. `cash[t]` is the money at the end of period t (negative: paid out), `cash[0]` now;
 * `rate` is for one period (0.09 is 9 %). The amounts may be of any unit of money; nothing is rounded here.
 * Formulas as in any textbook of finance, for instance OpenStax, Principles of Finance 2e, chapter 16.
 */
import { invariant } from "#core/base";

export type Cash = readonly number[];

/** The factor that brings money at the end of period `period` back to now. */
export const discountFactor = (rate: number, period: number): number => (1 + rate) ** -period;

/** What each amount is worth now. */
export function presentValues(cash: Cash, rate: number): readonly number[] {
  invariant(rate > -1, "a rate is above −100 %");
  return cash.map((amount, period) => amount * discountFactor(rate, period));
}

/** Net present value: all that comes in and goes out, as of now. */
export const netPresentValue = (cash: Cash, rate: number): number => sumOf(presentValues(cash, rate));

/** What a yearly `amount` at the end of each of `periods` periods is worth now. */
export const annuityValue = (amount: number, rate: number, periods: number): number =>
  rate === 0 ? amount * periods : (amount * (1 - discountFactor(rate, periods))) / rate;

/** The equal amount at the end of each period that is worth `value` now: compares things that last unequally long. */
export const equalAnnual = (value: number, rate: number, periods: number): number =>
  value / annuityValue(1, rate, periods);

/** The net present value of a thing bought again and again, over `rounds` lives of `life` periods each. */
export function repeatedValue(value: number, rate: number, life: number, rounds: number): number {
  let total = 0;
  for (let round = 0; round < rounds; round += 1) total += value * discountFactor(rate, round * life);
  return total;
}

/** Present value of what comes later, for one unit paid out now; null where nothing is paid out at first. */
export function profitabilityIndex(cash: Cash, rate: number): number | null {
  const outlay = -(cash[0] ?? 0);
  return outlay <= 0 ? null : (netPresentValue(cash, rate) + outlay) / outlay;
}

/**
 * After how many periods the outlay has come back, within a period by equal parts; null where it never does. With a
 * `rate` the amounts are discounted first.
 */
export function payback(cash: Cash, rate = 0): number | null {
  let balance = 0;
  const worth = presentValues(cash, rate);
  // What dips below once more has not been paid back: the last time the balance rises through nothing counts.
  let back: number | null = null;
  worth.forEach((amount, period) => {
    const before = balance;
    balance += amount;
    if (balance < -tiny(cash)) back = null;
    else if (back === null)
      back = period === 0 || amount === 0 ? period : period - 1 + Math.min(1, -before / amount);
  });
  return back;
}

/** The rate earned where what comes in is put by at `rate` and what is paid out is borrowed at `rate`; null if undefined. */
export function modifiedRate(
  cash: Cash,
  rate: number,
): { readonly rate: number; readonly terminal: number } | null {
  const periods = cash.length - 1;
  const terminal = sumOf(
    cash.map((amount, period) => Math.max(0, amount) * (1 + rate) ** (periods - period)),
  );
  const paid = -sumOf(
    presentValues(
      cash.map((amount) => Math.min(0, amount)),
      rate,
    ),
  );
  if (periods < 1 || paid <= 0 || terminal <= 0) return null;
  return { rate: (terminal / paid) ** (1 / periods) - 1, terminal };
}

/** Rates looked for: from losing nearly all each period to eleven times the money. */
const lowestRate = -0.99;
const highestRate = 10;

/**
 * Every rate in (−99 %, 1000 %) at which the net present value is nothing, rising. None, one or several: where money
 * goes out again later there may be two, and none of them ranks a purchase (that is what the warning is for).
 */
export function internalRates(cash: Cash): readonly number[] {
  const from = 1 / (1 + highestRate);
  const to = 1 / (1 + lowestRate);
  return rootsWithin(cash, from, to)
    .map((factor) => 1 / factor - 1)
    .sort((a, b) => a - b);
}

/**
 * The real roots of Σ c_t x^t between two positive numbers. Between two neighbouring roots of the derivative a
 * polynomial is monotone and has one root at most (Rolle), so the roots of the derivatives, worked up from the
 * straight line, bracket all of them; each is then closed in by halving.
 */
function rootsWithin(coefficients: Cash, from: number, to: number): readonly number[] {
  const degree = coefficients.reduce((last, one, at) => (one === 0 ? last : at), 0);
  if (degree === 0) return [];
  const slope = coefficients.slice(1, degree + 1).map((one, at) => one * (at + 1));
  const marks = [from, ...rootsWithin(slope, from, to), to];
  const value = (x: number) => valueAt(coefficients, x);
  const scale = (x: number) => valueAt(coefficients.map(Math.abs), x) * 1e-13;
  const found: number[] = [];
  for (let at = 1; at < marks.length; at += 1) {
    const low = marks[at - 1]!;
    const high = marks[at]!;
    // A root that only touches stands at a root of the derivative.
    const root = Math.abs(value(high)) <= scale(high) ? high : crossing(value, low, high);
    if (root !== null && root - (found.at(-1) ?? -1) > 1e-12) found.push(root);
  }
  return found;
}

function crossing(value: (x: number) => number, low: number, high: number): number | null {
  const below = value(low);
  if (below === 0) return low;
  if (Math.sign(below) === Math.sign(value(high))) return null;
  let [a, b] = [low, high];
  for (let step = 0; step < 200 && b - a > Number.EPSILON * b; step += 1) {
    const middle = (a + b) / 2;
    if (Math.sign(value(middle)) === Math.sign(below)) a = middle;
    else b = middle;
  }
  return (a + b) / 2;
}

const valueAt = (coefficients: Cash, x: number): number =>
  coefficients.reduceRight((sum, one) => sum * x + one, 0);

const sumOf = (amounts: Cash): number => amounts.reduce((sum, one) => sum + one, 0);

/** Below this a balance is nothing: what is left of adding numbers that are not exact in binary. */
const tiny = (cash: Cash): number => 1e-9 * cash.reduce((most, one) => Math.max(most, Math.abs(one)), 0);
