import { changedShop, type Chances, type Change, compileShop, comingOrders, dispatch, type Measures, measuresOf, type OrderHabits, play, type RunCare, type SimulatedShop } from "#core/floor"; // prettier-ignore
import type { Job } from "#core/planning";
import { addDays, type CalendarDate, daysBetween } from "#core/shop";

/**
 * A season of the shop as it stood when it was asked about. Pure: the same basis, changes and season give the same
 * outcome in any thread, process or year. Seconds count from `startsOn` 00:00 by the studio's clock.
 */

/** A run as the past had it, without its dates. */
export type RunKind = Omit<Job, "id" | "releaseAt" | "dueAt" | "weight">;

/** A piece as the past had it: its runs on machines, and the sewing by hand where it is sewn goods. */
export interface PieceKind {
  readonly runs: readonly RunKind[];
  readonly sewS: number;
}

export interface Basis {
  readonly startsOn: CalendarDate;
  /** Days on which orders come in. */
  readonly days: number;
  /** Days of those on which the shop is open. */
  readonly workingDays: number;
  /** Second at which each day's orders are there: when the shop opens, or the day begins where it stays shut. */
  readonly ordersAt: readonly number[];
  /** Second by which a piece of each ship-by day must be done. */
  readonly dueAt: readonly number[];
  readonly problem: SimulatedShop["problem"];
  readonly chances: Chances;
  readonly care: readonly RunCare[];
  readonly orders: "like-those-that-came" | "those-that-came";
  /** Past orders, their pieces as places in `kinds`. */
  readonly habits: OrderHabits<number>;
  readonly kinds: readonly PieceKind[];
}

/** What a season came to, as it is kept. */
export interface Outcome {
  readonly measures: Measures;
  readonly pieces: number;
  readonly done: number;
  readonly impossible: number;
}

/** The shop with a season's orders. Season numbers from 0; each has a luck of its own. */
export function seasonShop(basis: Basis, season: number): SimulatedShop {
  const jobs: Job[] = [];
  const chores = [...basis.problem.chores];
  for (const order of ordersOf(basis, season)) {
    const day = daysBetween(basis.startsOn, order.date);
    const releaseAt = basis.ordersAt[day]!;
    const due = order.promiseDate === null ? null : daysBetween(basis.startsOn, order.promiseDate);
    const dueAt = due === null ? null : (basis.dueAt[Math.min(due, basis.dueAt.length - 1)] ?? null);
    order.pieces.forEach((kind, at) => {
      const { runs, sewS } = basis.kinds[kind]!;
      runs.forEach((run, nth) =>
        jobs.push({ ...run, id: `${order.id} ${at} ${nth}`, releaseAt, dueAt, weight: 1 }),
      );
      if (sewS > 0)
        chores.push({
          id: `${order.id} ${at} sewn`,
          machine: null,
          seconds: sewS,
          releaseAt,
          dueAt,
          weight: 1,
        });
    });
  }
  return { problem: { ...basis.problem, jobs, chores }, chances: basis.chances, care: basis.care };
}

interface SeasonOrder {
  readonly id: string;
  readonly date: CalendarDate;
  readonly promiseDate: CalendarDate | null;
  readonly pieces: readonly number[];
}

function ordersOf({ orders, habits, startsOn, days }: Basis, season: number): readonly SeasonOrder[] {
  if (orders === "like-those-that-came")
    return comingOrders(habits, { from: startsOn, days, seed: season + 1 });
  const last = addDays(startsOn, days - 1);
  return habits.orders
    .filter(({ date }) => startsOn <= date && date <= last)
    .map(({ date, leadDays, pieces }, at) => ({
      id: `past ${at + 1}`,
      date,
      promiseDate: leadDays === null ? null : addDays(date, leadDays),
      pieces,
    }));
}

/** Plays one season of the changed shop. */
export function playSeason(basis: Basis, changes: readonly Change[], season: number): Outcome {
  const shop = changedShop(seasonShop(basis, season), changes, season + 1);
  const played = play(compileShop(shop), { seed: season + 1 }, dispatch());
  return {
    measures: measuresOf(played, basis.workingDays),
    pieces: played.pieces,
    done: played.done,
    impossible: played.impossible,
  };
}
