import { type Chance, pick, seededChance } from "#core/base";
import type { Problem } from "#core/planning";
import { daysBetween } from "#core/shop";
import { comingOrders, type OrderHabits, type PastOrder } from "./orders";
import { certain, type SimulatedShop } from "./shop";

/** Shops for the simulation's tests and benches. */
type Machine = Problem["machines"][number];
type Job = Problem["jobs"][number];

const colours = Array.from({ length: 18 }, (_, at) => `thread ${at + 1}`);

const machine = (id: string, needles: number, more: Partial<Machine> = {}): Machine => ({
  id, needles, threaded: Array<null>(needles).fill(null), fixed: [], hoops: ["small", "large"], down: [],
  stitchesPerMinute: 700, colourChangeS: 8, trimS: 6, threadS: 60, loadS: 85, unloadS: 30, ...more,
}); // prettier-ignore

function job(id: string, chance: Chance, more: Partial<Job> = {}): Job {
  const parts = Array.from({ length: 1 + chance.below(6) }, () => ({
    colour: pick(colours, chance),
    stitches: 300 + chance.below(2500),
  }));
  return {
    id, parts, trims: chance.below(12), hoop: chance.below(3) === 0 ? "large" : "small", machines: null, releaseAt: 0,
    dueAt: null, weight: 1, hoopS: 45 + chance.below(60), unhoopS: 60, finishS: 120 + chance.below(120), ...more,
  }; // prettier-ignore
}

/** A day of two machines, two people with a break, care, a repair, and a bigger design now and then. */
export function someDay(chance: Chance): Problem {
  const noon: [number, number] = [14_400, 16_200];
  const jobs = Array.from({ length: 5 + chance.below(12) }, (_, at) => {
    const one = job(`p${at}`, chance, { releaseAt: chance.below(4) === 0 ? chance.below(7200) : 0 });
    return chance.below(3) === 0 ? { ...one, dueAt: 10_000 + chance.below(40_000), machines: ["six"] } : one;
  });
  return {
    format: "spoolwright/problem@1",
    hands: [
      { id: "mara", shifts: [[0, noon[0]], [noon[1], 30_600], [86_400, 117_000]] },
      { id: "tove", shifts: [[3600, 25_200], [90_000, 110_000]] },
    ],
    open: [[0, 32_400], [86_400, 118_800]],
    hoops: [{ id: "small", count: 2 + chance.below(2) }, { id: "large", count: 1 + chance.below(2) }],
    machines: [
      machine("six", 6, { down: chance.below(2) === 0 ? [[9000, 12_600]] : [] }),
      machine("ten", 10, { stitchesPerMinute: 820, fixed: [1], threaded: ["thread 1", ...Array<null>(9).fill(null)] }),
    ],
    jobs,
    chores: [
      { id: "oil", machine: "six", seconds: 300, releaseAt: 3600, dueAt: 14_400, weight: 1 },
      { id: "hems", machine: null, seconds: 2400, releaseAt: 0, dueAt: null, weight: 1 },
    ],
    cost: { perLateMinute: 2, perThreading: 1.5, perMidStop: 4, perFinishMinute: 0.5 },
  }; // prettier-ignore
}

/** Stitches and seconds of a mean run at 60 stitches a minute. */
export const MEAN_RUN_S = 60_000;

/** Machines that run for a mean time of 1 and then need one of some hands for a mean time of `ratio`, for ever. */
export function interferenceShop(
  asked: { readonly machines: number; readonly hands: number; readonly ratio: number },
  pieces: number,
  service: "exponential" | "none" = "exponential",
): SimulatedShop {
  const run = MEAN_RUN_S;
  return {
    problem: {
      hands: Array.from({ length: asked.hands }, (_, at) => ({
        id: `hand ${at}`,
        shifts: [[0, 1e15]] as const,
      })),
      open: [[0, 1e15]],
      hoops: [],
      machines: Array.from({ length: asked.machines }, (_, at) =>
        machine(`m${at}`, 1, {
          threaded: ["thread 1"], stitchesPerMinute: 60, colourChangeS: 0, trimS: 0, loadS: asked.ratio * run, unloadS: 0,
        }),
      ), // prettier-ignore
      jobs: plainJobs(pieces, run, () => 0),
      chores: [],
    },
    chances: { ...certain, sewing: { kind: "exponential" }, handTimes: { kind: service } },
    care: [],
  };
}

/** Pieces that need no hands: a machine is a server, an order a customer. */
export function queueShop(
  asked: { readonly machines: number; readonly serviceS: number; readonly gapS: number },
  pieces: number,
  chance: Chance,
): SimulatedShop {
  let at = 0;
  const comes = () => (at -= Math.log(1 - chance.next()) * asked.gapS);
  return {
    problem: {
      hands: [],
      open: [[0, 1e15]],
      hoops: [],
      machines: Array.from({ length: asked.machines }, (_, at) =>
        machine(`m${at}`, 1, {
          threaded: ["thread 1"], stitchesPerMinute: 60, colourChangeS: 0, trimS: 0, threadS: 0, loadS: 0, unloadS: 0,
        }),
      ), // prettier-ignore
      jobs: plainJobs(pieces, asked.serviceS, comes),
      chores: [],
    },
    chances: { ...certain, sewing: { kind: "exponential" } },
    care: [],
  };
}

const plainJobs = (count: number, stitches: number, releaseAt: () => number): Job[] =>
  Array.from({ length: count }, (_, at) => ({
    id: `p${at}`, parts: [{ colour: "thread 1", stitches }], trims: 0, hoop: null, machines: null, releaseAt: releaseAt(),
    dueAt: null, weight: 1, hoopS: 0, unhoopS: 0, finishS: 0,
  })); // prettier-ignore

/** A season of a studio's kind: three machines, two people, working days of eight and a half hours, pieces over all days. */
export function someSeason(chance: Chance, pieces: number, perDay: number): SimulatedShop {
  const days = Math.ceil(pieces / perDay) + 15;
  const week = Array.from({ length: days }, (_, day) => day).filter((day) => day % 7 < 5);
  const hours = (from: number, to: number) =>
    week.map((day) => [day * 86_400 + from, day * 86_400 + to] as const);
  const jobs = Array.from({ length: pieces }, (_, at) => {
    const releaseAt = Math.floor((at / perDay) * 86_400);
    return job(`p${at}`, chance, { releaseAt, dueAt: releaseAt + (3 + chance.below(6)) * 86_400 });
  });
  return {
    problem: {
      hands: [
        { id: "mara", shifts: [...hours(0, 14_400), ...hours(16_200, 30_600)].sort((a, b) => a[0] - b[0]) },
        { id: "tove", shifts: hours(3600, 25_200) },
      ],
      open: hours(0, 32_400),
      hoops: [
        { id: "small", count: 4 },
        { id: "large", count: 2 },
      ],
      machines: [machine("six", 6), machine("ten", 10, { stitchesPerMinute: 820 }), machine("ten b", 10)],
      jobs,
      chores: [],
    },
    chances: {
      handTimes: { kind: "lognormal", spread: 0.3 },
      sewing: { kind: "lognormal", spread: 0.05 },
      breakEveryStitches: 20_000,
      mendS: 90,
      bobbinEveryStitches: 30_000,
      bobbinS: 40,
      spoiledShare: 0.01,
    },
    care: [
      { machine: "six", everySewingS: 14_400, seconds: 180 },
      { machine: "ten", everySewingS: 14_400, seconds: 180 },
      { machine: "ten b", everySewingS: 14_400, seconds: 180 },
    ],
  };
}

const from = "2026-03-02";
const habits: OrderHabits<number> = {
  orders: Array.from({ length: 400 }, (_, at): PastOrder<number> => ({
    date: from,
    secondOfDay: (at * 977) % 36_000,
    leadDays: 2 + (at % 5),
    // Now and then a school or a club orders for all its people.
    pieces: Array.from({ length: at % 40 === 0 ? 18 : 1 + (at % 3) }, (_, nth) => 7 * at + nth),
  })),
  days: 60,
  perDay: 26,
  weekdays: [1.5, 1.1, 1, 1, 1, 0.7, 0.7],
  months: Array<number>(12).fill(1),
  extraVariance: 0.1,
};

/** As `someSeason`, with the orders of a luck: how many, which, how big. */
export function variedSeason(seed: number, days: number): SimulatedShop {
  const shop = someSeason(seededChance(1), 1, 1 / (days + 14));
  const jobs = comingOrders(habits, { from, days, seed }).flatMap((order) => {
    const releaseAt = daysBetween(from, order.date) * 86_400 + order.secondOfDay;
    const dueAt = daysBetween(from, order.promiseDate!) * 86_400 + 30_600;
    return order.pieces.map((piece, at) =>
      job(`${order.id}.${at}`, seededChance(piece), { releaseAt, dueAt }),
    );
  });
  return { ...shop, problem: { ...shop.problem, jobs } };
}
