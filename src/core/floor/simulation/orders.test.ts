import { describe, expect, it } from "vitest";
import { addDays, daysBetween, weekdayOf } from "#core/shop";
import { comingOrders, orderHabits, type OrderHabits, type PastOrder } from ".";

// Orders of a shop whose habits are known: made by them, they are to be found again.
const months = [0.7, 0.7, 0.8, 0.9, 1, 1.1, 1.3, 1.2, 0.9, 0.8, 1.2, 1.4];
const some: readonly PastOrder<string>[] = Array.from({ length: 720 }, (_, at) => ({
  date: addDays("2023-01-01", at),
  secondOfDay: 3600 * (at % 24),
  leadDays: at % 9 === 0 ? null : 5 + (at % 6),
  pieces: at % 10 === 0 ? ["robe", "robe", "towel"] : ["towel"],
}));
const truth: OrderHabits<string> = {
  orders: some,
  days: 1461,
  perDay: 12,
  weekdays: [1.3, 1.1, 1, 1, 1, 0.6, 1],
  months,
  extraVariance: 0.05,
};
const year = { from: "2022-01-01", days: 1461, seed: 8 };
const made = comingOrders(truth, year);
const past = made.map((order): PastOrder<string> => ({
  ...order,
  leadDays: order.promiseDate === null ? null : daysBetween(order.date, order.promiseDate),
}));
const found = orderHabits(past, year.from, addDays(year.from, year.days - 1));

describe("orders like those that came", () => {
  it("come as often, by weekday and month, and as unevenly", () => {
    expect(found.perDay / 12).toBeGreaterThan(0.94);
    expect(found.perDay / 12).toBeLessThan(1.06);
    const scale = found.weekdays[2]!;
    truth.weekdays.forEach((factor, at) =>
      expect(Math.abs(found.weekdays[at]! / scale - factor)).toBeLessThan(0.09),
    );
    const monthScale = found.months[4]! / months[4]!;
    months.forEach((factor, at) =>
      expect(Math.abs(found.months[at]! / monthScale - factor)).toBeLessThan(0.12),
    );
    // The standard error of this moment estimate is near 0.006 at 1,461 days of 12.
    expect(Math.abs(found.extraVariance - 0.05)).toBeLessThan(0.02);
  });

  it("keep together what belongs together", () => {
    const threes = made.filter(({ pieces }) => pieces.length === 3).length / made.length;
    expect(Math.abs(threes - 0.1)).toBeLessThan(0.01);
    for (const { date, promiseDate } of made.slice(0, 500))
      if (promiseDate !== null) expect([5, 6, 7, 8, 9, 10]).toContain(daysBetween(date, promiseDate));
  });

  it("are the same for the same seed, and others for another", () => {
    const asked = { from: "2026-03-02", days: 30, seed: 3 };
    expect(comingOrders(found, asked)).toEqual(comingOrders(found, asked));
    expect(comingOrders(found, { ...asked, seed: 4 })).not.toEqual(comingOrders(found, asked));
    // A longer time begins with the shorter one.
    const longer = comingOrders(found, { ...asked, days: 60 });
    expect(longer.slice(0, 50)).toEqual(comingOrders(found, asked).slice(0, 50));
  });

  it("are none where there were none, and on days without any", () => {
    expect(
      comingOrders(orderHabits([], "2026-01-01", "2026-03-01"), { from: "2026-04-01", days: 30, seed: 1 }),
    ).toEqual([]);
    const weekdaysOnly = orderHabits(
      past.filter(({ date }) => weekdayOf(date) <= 5),
      year.from,
      addDays(year.from, year.days - 1),
    );
    const coming = comingOrders(weekdaysOnly, { from: "2026-01-01", days: 200, seed: 1 });
    expect(coming.filter(({ date }) => weekdayOf(date) > 5)).toEqual([]);
  });
});
