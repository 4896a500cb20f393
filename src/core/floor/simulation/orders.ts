/**
 * Orders to come, made like those that came: how many a day by weekday and month, and whole orders drawn from the past,
 * so that what belongs together (product, colours, size, several pieces, days until the promise) stays together.
 */
import { invariant } from "#core/base";
import { addDays, type CalendarDate, daysBetween, weekdayOf } from "#core/shop";
import { drawAt, nameNumber } from "./draws";

/** One past order: when it came, and what of. `Piece` is whatever the caller needs to make a job of it. */
export interface PastOrder<Piece> {
  readonly date: CalendarDate;
  readonly secondOfDay: number;
  /** Days from coming in to the promise date; null where none was given. */
  readonly leadDays: number | null;
  readonly pieces: readonly Piece[];
}

export interface OrderHabits<Piece> {
  readonly orders: readonly PastOrder<Piece>[];
  readonly days: number;
  /** Mean orders a day. */
  readonly perDay: number;
  /** Against the mean, Monday first. */
  readonly weekdays: readonly number[];
  /** Against the mean, January first. */
  readonly months: readonly number[];
  /** Variance of a day's orders beyond its mean, as 1 / size of a negative binomial; 0 is Poisson. */
  readonly extraVariance: number;
}

/** Below so many orders a month's own factor says more of chance than of the month: it is drawn towards 1. */
const MONTH_PRIOR = 20;

/** What the past says, from `from` to `to` (both counted), days without orders included. */
export function orderHabits<Piece>(
  orders: readonly PastOrder<Piece>[],
  from: CalendarDate,
  to: CalendarDate,
): OrderHabits<Piece> {
  const days = daysBetween(from, to) + 1;
  invariant(days >= 1, "a past has a first day and a last");
  const counts = new Float64Array(days);
  for (const { date } of orders) {
    const at = daysBetween(from, date);
    if (at >= 0 && at < days) counts[at]!++;
  }
  const dates = Array.from({ length: days }, (_, at) => addDays(from, at));
  const weekday = dates.map((date) => weekdayOf(date) - 1);
  const month = dates.map(monthOf);
  const perDay = counts.reduce((sum, one) => sum + one, 0) / days;
  const weekdays = Array<number>(7).fill(1);
  const months = Array<number>(12).fill(1);
  // The maximum-likelihood factors of a Poisson model by iterated fitting: each in turn makes its own sums right.
  for (let round = 0; round < 40 && perDay > 0; round++) {
    fit(weekdays, weekday, counts, (at) => perDay * months[month[at]!]!, 0);
    fit(months, month, counts, (at) => perDay * weekdays[weekday[at]!]!, MONTH_PRIOR);
  }
  const means = dates.map((_, at) => perDay * weekdays[weekday[at]!]! * months[month[at]!]!);
  return { orders, days, perDay, weekdays, months, extraVariance: extraVariance(counts, means, days) };
}

function fit(
  factors: number[],
  group: readonly number[],
  counts: Float64Array,
  expected: (at: number) => number,
  prior: number,
): void {
  const seen = factors.map(() => prior);
  const meant = factors.map(() => prior);
  counts.forEach((count, at) => {
    seen[group[at]!]! += count;
    meant[group[at]!]! += expected(at);
  });
  factors.forEach((_, one) => (factors[one] = meant[one]! > 0 ? seen[one]! / meant[one]! : 1));
}

/** By moments: Σ((n − m)² − m) / Σ m². */
function extraVariance(counts: Float64Array, means: readonly number[], days: number): number {
  const free = Math.max(1, days - 18);
  let over = 0;
  let squares = 0;
  means.forEach((mean, at) => {
    over += ((counts[at]! - mean) ** 2 * days) / free - mean;
    squares += mean * mean;
  });
  return squares === 0 ? 0 : Math.max(0, over / squares);
}

export interface ComingOrder<Piece> {
  /** The same for the same seed, day and place in the day. */
  readonly id: string;
  readonly date: CalendarDate;
  readonly secondOfDay: number;
  readonly promiseDate: CalendarDate | null;
  readonly pieces: readonly Piece[];
}

export interface ComingAsked {
  readonly from: CalendarDate;
  readonly days: number;
  readonly seed: number;
}

const COUNT = 40;
const SIZE = 41;
const WHICH = 42;

/** Orders of days to come; more orders (`share` 1.2) come on top of the same ones (common random numbers). */
export function comingOrders<Piece>(
  habits: OrderHabits<Piece>,
  { from, days, seed }: ComingAsked,
): readonly ComingOrder<Piece>[] {
  if (habits.orders.length === 0) return [];
  const byMonth = Array.from({ length: 12 }, (_, month) => similarOrders(habits.orders, month));
  return Array.from({ length: days }, (_, at) => addDays(from, at)).flatMap((date) => {
    const name = nameNumber(date);
    const mean = habits.perDay * habits.weekdays[weekdayOf(date) - 1]! * habits.months[monthOf(date)]!;
    const pool = byMonth[monthOf(date)]!;
    const count = dayCount(mean, habits.extraVariance, seed, name);
    return Array.from({ length: count }, (_, nth): ComingOrder<Piece> => {
      const past = pool[Math.floor(drawAt(seed, name, WHICH, nth) * pool.length)]!;
      const { secondOfDay, leadDays, pieces } = past;
      const promiseDate = leadDays === null ? null : addDays(date, leadDays);
      return { id: `${date} ${nth + 1}`, date, secondOfDay, promiseDate, pieces };
    });
  });
}

/** Orders of a month and its neighbours where there are enough of them, else all: what is asked for goes by season. */
function similarOrders<Piece>(
  orders: readonly PastOrder<Piece>[],
  month: number,
): readonly PastOrder<Piece>[] {
  const near = orders.filter(({ date }) => {
    const apart = Math.abs(monthOf(date) - month);
    return Math.min(apart, 12 - apart) <= 1;
  });
  return near.length >= 60 ? near : orders;
}

/** A negative binomial count as a Poisson of a gamma mean; both by inversion of sums of exponentials. */
function dayCount(mean: number, extra: number, seed: number, name: number): number {
  let level = mean;
  if (extra > 1e-9) level = (mean * gammaDraw(1 / extra, seed, name)) / (1 / extra);
  // Arrivals of a Poisson stream within the level: the first so many do not change when the level rises.
  let sum = 0;
  for (let nth = 0; ; nth++) {
    sum -= Math.log(drawAt(seed, name, COUNT, nth));
    if (sum > level) return nth;
  }
}

/** G. Marsaglia, W. W. Tsang, ACM Transactions on Mathematical Software 26 (2000) 363–372; shape below 1 by their boost. */
function gammaDraw(shape: number, seed: number, name: number): number {
  let nth = 0;
  const draw = () => drawAt(seed, name, SIZE, nth++);
  if (shape < 1) return gammaFrom(shape + 1, draw) * draw() ** (1 / shape);
  return gammaFrom(shape, draw);
}

function gammaFrom(shape: number, draw: () => number): number {
  const d = shape - 1 / 3;
  const c = 1 / Math.sqrt(9 * d);
  for (;;) {
    const normal = Math.sqrt(-2 * Math.log(draw())) * Math.cos(2 * Math.PI * draw());
    const v = (1 + c * normal) ** 3;
    if (v > 0 && Math.log(draw()) < 0.5 * normal * normal + d - d * v + d * Math.log(v)) return d * v;
  }
}

/** 0 for January. */
const monthOf = (date: CalendarDate): number => Number(date.slice(5, 7)) - 1;
