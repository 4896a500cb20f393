import { changedShop, type Chances, type Change, compileShop, comingOrders, dispatch, initialTransient, type Measures, measuresOf, type OrderHabits, play, type RunCare, type Season, type SimulatedShop, type Size } from "#core/floor"; // prettier-ignore
import type { Job } from "#core/planning";
import { addDays, type CalendarDate, daysBetween } from "#core/shop";
import { type MoneyPlayed, moneyPlayed, type Prices } from "./prices";

/**
 * A season of the shop as it stood when it was asked about. Pure: the same basis, changes and season give the same
 * outcome in any thread, process or year. Seconds count from `startsOn` 00:00 by the studio's clock. The first
 * `warmDays` fill the shop and are not counted.
 */

/** A run as the past had it, without its dates. */
export type RunKind = Omit<Job, "id" | "releaseAt" | "dueAt" | "weight"> & { readonly sizeMm?: Size };

/** A piece as the past had it: its runs on machines, and the sewing by hand where it is sewn goods. */
export interface PieceKind {
  readonly runs: readonly RunKind[];
  readonly sewS: number;
  /** Its product, a place in the prices' list. */
  readonly product: number;
}

export interface Basis {
  /** The first day on which orders come in. */
  readonly startsOn: CalendarDate;
  /** Days that come before those that are counted. */
  readonly warmDays: number;
  /** Days that are counted. */
  readonly days: number;
  /** Days of those on which the shop is open. */
  readonly workingDays: number;
  /** Second at which each day's orders are there: when the shop opens, or the day begins where it stays shut. */
  readonly ordersAt: readonly number[];
  /** Second by which a piece of each ship-by day must be done. */
  readonly dueAt: readonly number[];
  /** Seconds between which is counted. */
  readonly counted: readonly [fromS: number, untilS: number];
  readonly problem: SimulatedShop["problem"];
  readonly chances: Chances;
  readonly care: readonly RunCare[];
  readonly orders: "like-those-that-came" | "those-that-came";
  /** Past orders, their pieces as places in `kinds`. */
  readonly habits: OrderHabits<number>;
  readonly kinds: readonly PieceKind[];
  /** What time and goods cost and pieces bring; null while figures are missing on Costs. */
  readonly prices: Prices | null;
}

/** What a season came to, as it is kept. */
export interface Outcome {
  readonly measures: Measures;
  readonly pieces: number;
  readonly done: number;
  readonly impossible: number;
  readonly money: MoneyPlayed | null;
  /** Days the empty start was felt, by MSER-5; null where the season is too short to tell. */
  readonly transientDays: number | null;
}

/** The shop with a season's orders, and the product of each run and each sewing by its id. */
export interface SeasonShop {
  readonly shop: SimulatedShop;
  readonly products: ReadonlyMap<string, ProductShare>;
}

/** A piece of several runs brings its price once: each run stands for a share of it. */
export interface ProductShare {
  readonly product: number;
  readonly share: number;
}

/** Season numbers from 0; each has a luck of its own. */
export function seasonShop(basis: Basis, season: number): SeasonShop {
  const jobs: Job[] = [];
  const chores = [...basis.problem.chores];
  const products = new Map<string, ProductShare>();
  for (const order of ordersOf(basis, season)) {
    const day = daysBetween(basis.startsOn, order.date);
    const releaseAt = basis.ordersAt[day]!;
    const due = order.promiseDate === null ? null : daysBetween(basis.startsOn, order.promiseDate);
    const dueAt = due === null ? null : (basis.dueAt[Math.min(due, basis.dueAt.length - 1)] ?? null);
    order.pieces.forEach((kind, at) => {
      const { runs, sewS, product } = basis.kinds[kind]!;
      const share = { product, share: 1 / (runs.length + (sewS > 0 ? 1 : 0)) };
      runs.forEach((run, nth) => {
        const id = `${order.id} ${at} ${nth}`;
        products.set(id, share);
        jobs.push({ ...run, id, releaseAt, dueAt, weight: 1 });
      });
      if (sewS === 0) return;
      const id = `${order.id} ${at} sewn`;
      products.set(id, share);
      chores.push({ id, machine: null, seconds: sewS, releaseAt, dueAt, weight: 1 });
    });
  }
  return {
    shop: { problem: { ...basis.problem, jobs, chores }, chances: basis.chances, care: basis.care },
    products,
  };
}

interface SeasonOrder {
  readonly id: string;
  readonly date: CalendarDate;
  readonly promiseDate: CalendarDate | null;
  readonly pieces: readonly number[];
}

function ordersOf(
  { orders, habits, startsOn, warmDays, days }: Basis,
  season: number,
): readonly SeasonOrder[] {
  if (orders === "like-those-that-came")
    return comingOrders(habits, { from: startsOn, days: warmDays + days, seed: season + 1 });
  const last = addDays(startsOn, warmDays + days - 1);
  return habits.orders
    .filter(({ date }) => startsOn <= date && date <= last)
    .map(({ date, leadDays, pieces }, at) => ({
      id: `past ${at + 1}`,
      date,
      promiseDate: leadDays === null ? null : addDays(date, leadDays),
      pieces,
    }));
}

/** Plays seasons of a shop. The orders of the season played last are kept: its next candidate meets the same. */
export function createSeasons(basis: Basis): (changes: readonly Change[], season: number) => Outcome {
  let known: { season: number; made: SeasonShop } | null = null;
  return (changes, season) => {
    if (known?.season !== season) known = { season, made: seasonShop(basis, season) };
    return outcomeOf(basis, known.made, changes, season);
  };
}

/** Plays one season of the changed shop. */
export const playSeason = (basis: Basis, changes: readonly Change[], season: number): Outcome =>
  createSeasons(basis)(changes, season);

function outcomeOf(basis: Basis, made: SeasonShop, changes: readonly Change[], season: number): Outcome {
  const shop = changedShop(made.shop, changes, season + 1);
  const { counted, prices } = basis;
  const played = play(compileShop(shop), { seed: season + 1, counted }, dispatch());
  return {
    measures: measuresOf(played, basis.workingDays),
    pieces: played.pieces,
    done: played.done,
    impossible: played.impossible,
    money: prices && moneyPlayed(prices, { shop, played, counted, products: made.products }),
    transientDays: transientOf(basis, shop, played),
  };
}

/** Of the mean time from order to done, day by day on which orders came in. */
function transientOf(
  { ordersAt, warmDays, days }: Basis,
  { problem }: SimulatedShop,
  { endOf }: Season,
): number | null {
  const sums = new Map<number, { sum: number; count: number }>();
  problem.jobs.forEach(({ releaseAt }, at) => {
    if (endOf[at]! < 0) return;
    const day = sums.get(releaseAt) ?? { sum: 0, count: 0 };
    sums.set(releaseAt, { sum: day.sum + endOf[at]! - releaseAt, count: day.count + 1 });
  });
  const daysWithOrders = ordersAt
    .slice(0, warmDays + days)
    .flatMap((releaseAt, day) => (sums.has(releaseAt) ? [{ day, ...sums.get(releaseAt)! }] : []));
  const left = initialTransient(daysWithOrders.map(({ sum, count }) => sum / count));
  return left === null ? null : left === 0 ? 0 : daysWithOrders[left]!.day;
}
