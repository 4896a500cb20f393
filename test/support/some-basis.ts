import type { Basis } from "../../src/app/what-if/season";
import { orderHabits, type PastOrder } from "#core/floor";
import type { Interval } from "#core/planning";
import { addDays } from "#core/shop";

/** What time, goods and pieces are worth in that shop. Invented. */
export const somePrices: NonNullable<Basis["prices"]> = {
  products: [
    { name: "towel", netCents: 2000, goodsCents: 600, sewingCents: 0 },
    { name: "robe", netCents: 4000, goodsCents: 1500, sewingCents: 0 },
  ],
  added: {},
  handCents: 1800,
  paidShare: 1.15,
  machineCents: { gull: 240, tern: 300 },
  overhead: { key: "per-piece", rate: 150 },
};

/**
 * A small shop to be played: two machines of six needles, one person, open on weekdays from 8:00 to 16:00 by a clock
 * without summer time; thirty past days with four orders of a piece or two each weekday. Invented.
 */
export function someBasis(own: Partial<Basis> = {}): Basis {
  const startsOn = "2026-03-02";
  const days = own.days ?? 14;
  const all = Array.from({ length: days + 28 }, (_, at) => at);
  const weekdays = all.filter((at) => at % 7 < 5);
  const open = weekdays.map((at): Interval => [at * 86_400 + 28_800, at * 86_400 + 57_600]);
  const machine = (id: string) => ({
    id, needles: 6, threaded: Array<null>(6).fill(null), fixed: [], hoops: ["side"], down: [], stitchesPerMinute: 700,
    colourChangeS: 8, trimS: 6, threadS: 60, loadS: 85, unloadS: 30,
  }); // prettier-ignore
  const from = "2026-01-26";
  const orders = Array.from({ length: 35 }, (_, day) => day)
    .filter((day) => day % 7 < 5)
    .flatMap((day) =>
      Array.from({ length: 4 }, (_, nth): PastOrder<number> => ({
        date: addDays(from, day),
        secondOfDay: 0,
        leadDays: 2 + (nth % 3),
        pieces: nth % 2 === 0 ? [nth % 3] : [nth % 3, (nth + day) % 3],
      })),
    );
  const run = (colours: readonly string[], stitches: number) => ({
    parts: colours.map((colour) => ({ colour, stitches })), trims: 4, hoop: "side", machines: ["gull", "tern"],
    hoopS: 150, unhoopS: 120, finishS: 180,
  }); // prettier-ignore
  return {
    startsOn,
    warmDays: 0,
    days,
    counted: [0, days * 86_400],
    workingDays: weekdays.filter((at) => at < days).length,
    ordersAt: all.map((at) => at * 86_400 + (at % 7 < 5 ? 28_800 : 0)),
    dueAt: all.map((at) => at * 86_400 + 57_600),
    problem: {
      hands: [{ id: "mara", shifts: open }],
      open,
      hoops: [{ id: "side", count: 1 }],
      machines: [machine("gull"), machine("tern")],
      jobs: [],
      chores: [],
    },
    chances: {
      handTimes: { kind: "lognormal", spread: 0.25 },
      sewing: { kind: "lognormal", spread: 0.08 },
      breakEveryStitches: 20_000,
      mendS: 90,
      bobbinEveryStitches: 30_000,
      bobbinS: 40,
      spoiledShare: 0.01,
    },
    care: [{ machine: "gull", everySewingS: 14_400, seconds: 300 }],
    orders: "like-those-that-came",
    habits: orderHabits(orders, from, addDays(from, 34)),
    kinds: [
      { runs: [run(["ink", "sand"], 4000)], sewS: 0, product: 0 },
      { runs: [run(["ink", "tide", "moss"], 3000)], sewS: 0, product: 0 },
      { runs: [run(["coral"], 9000), run(["ink"], 1500)], sewS: 0, product: 1 },
    ],
    prices: null,
    ...own,
  };
}
