import { describe, expect, it } from "vitest";
import { seededChance } from "#core/base";
import {
  changedShop,
  compared,
  compileShop,
  dispatch,
  estimateOf,
  kneeOf,
  measuresOf,
  type Pair,
  play,
  type SimulatedShop,
} from ".";
import { someSeason, variedSeason } from "./some-shops";

const DAYS = 10;
const season = (shop: SimulatedShop, seed: number) => play(compileShop(shop), { seed }, dispatch());
const measured = (shop: SimulatedShop, seed: number) => measuresOf(season(shop, seed), DAYS);
const shopOf = (seed: number, pieces = 300) => someSeason(seededChance(seed), pieces, 60);

describe("limits of a mean", () => {
  it("are those of the handbook (NIST/SEMATECH e-Handbook 7.2.2.1: mean 9.261460, sd 0.022789, 195 values)", () => {
    // The handbook's ZARR13 data are known here by their sums: two values a pair apart give the same mean and deviation.
    const half = 0.022789 * Math.sqrt(194 / 195);
    const values = Array.from(
      { length: 194 },
      (_, at) => 9.26146 + (at % 2 === 0 ? half : -half) * Math.sqrt(195 / 194),
    );
    const { mean, low, high, count } = estimateOf([...values, 9.26146]);
    expect(count).toBe(195);
    expect(mean).toBeCloseTo(9.26146, 5);
    expect(low).toBeCloseTo(9.258242, 4);
    expect(high).toBeCloseTo(9.264679, 4);
  });

  it("hold the truth as often as they say, on a shop whose truth is known", () => {
    // Threads break by a Poisson stream of stitches, so the truth is stitches × (1/10,000 − 1/20,000).
    const shop = someSeason(seededChance(4), 8, 60);
    const often = { ...shop, chances: { ...shop.chances, breakEveryStitches: 10_000, spoiledShare: 0 } };
    const seldom = { ...often, chances: { ...often.chances, breakEveryStitches: 20_000 } };
    const stitches = shop.problem.jobs.reduce(
      (sum, job) => sum + job.parts.reduce((all, part) => all + part.stitches, 0),
      0,
    );
    const truth = stitches * (1 / 10_000 - 1 / 20_000);
    const [a, b] = [compileShop(often), compileShop(seldom)];
    let held = 0;
    for (let round = 0; round < 400; round++) {
      const differences = Array.from({ length: 8 }, (_, at) => {
        const seed = 8 * round + at;
        return play(a, { seed }, dispatch()).breaks - play(b, { seed }, dispatch()).breaks;
      });
      const { low, high } = estimateOf(differences);
      if (low <= truth && truth <= high) held++;
    }
    expect(held / 400).toBeGreaterThanOrEqual(0.93);
    expect(held / 400).toBeLessThanOrEqual(0.97);
  });
});

describe("a change, on the same luck", () => {
  it("tells the difference of frames at least five times more surely than on two lucks", () => {
    // Each luck has its own orders and its own times.
    const more = (seed: number) =>
      changedShop(variedSeason(seed, 26), [{ change: "hoops", hoop: "small", more: 1 }], seed);
    const seeds = Array.from({ length: 14 }, (_, at) => at + 1);
    const variance = (differences: readonly number[]) => {
      const mean = differences.reduce((sum, one) => sum + one, 0) / differences.length;
      return differences.reduce((sum, one) => sum + (one - mean) ** 2, 0) / (differences.length - 1);
    };
    const today = seeds.map((seed) => measured(variedSeason(seed, 26), seed));
    const changed = seeds.map((seed) => measured(more(seed), seed));
    for (const measure of ["onTimeShare", "throughHours"] as const) {
      const same = variance(changed.map((one, at) => one[measure] - today[at]![measure]));
      const apart = variance(
        changed.map((one, at) => one[measure] - today[(at + 1) % seeds.length]![measure]),
      );
      expect(apart / same).toBeGreaterThan(5);
    }
  });

  it("of nothing is nothing, exactly", () => {
    const shop = shopOf(2, 120);
    const pairs: Pair[] = [1, 2, 3].map((seed) => ({
      today: measured(shop, seed),
      changed: measured(changedShop(shop, [], seed), seed),
    }));
    const { piecesADay, onTimeShare } = compared(pairs);
    expect([piecesADay.difference.mean, onTimeShare.difference.high, piecesADay.isPlain]).toEqual([
      0,
      0,
      false,
    ]);
  });

  it("is told plainly where it is plain: half a person more serves the machines sooner", () => {
    const shop = shopOf(5);
    const hand = { ...shop.problem.hands[1]!, id: "neva" };
    const pairs: Pair[] = [1, 2, 3, 4].map((seed) => ({
      today: measured(shop, seed),
      changed: measured(changedShop(shop, [{ change: "hand-added", hand }], seed), seed),
    }));
    const { waitingHandsHoursADay } = compared(pairs);
    expect(waitingHandsHoursADay.isPlain).toBe(true);
    expect(waitingHandsHoursADay.difference.high).toBeLessThan(0);
  });
});

describe("the shop with changes", () => {
  const shop = shopOf(3, 200);
  const count = (one: SimulatedShop) => one.problem.jobs.length;

  it("has more orders on top of the same ones, and fewer of the same ones", () => {
    const more = changedShop(shop, [{ change: "orders", factor: 1.2 }], 5);
    const yetMore = changedShop(shop, [{ change: "orders", factor: 1.4 }], 5);
    const fewer = changedShop(shop, [{ change: "orders", factor: 0.7 }], 5);
    expect(count(more) / 200).toBeCloseTo(1.2, 1);
    expect(count(fewer) / 200).toBeCloseTo(0.7, 0.5);
    const ids = (one: SimulatedShop) => new Set(one.problem.jobs.map(({ id }) => id));
    for (const id of ids(more)) expect(ids(yetMore).has(id)).toBe(true);
    for (const id of ids(fewer)) expect(ids(shop).has(id)).toBe(true);
  });

  it("has its day end later, but not its lunch", () => {
    const { hands, open } = changedShop(shop, [{ change: "day-length", moreS: 1800 }], 1).problem;
    expect(hands[0]!.shifts.slice(0, 2)).toEqual([
      [0, 14_400],
      [16_200, 32_400],
    ]);
    expect(open[0]).toEqual([0, 34_200]);
  });

  it("keeps the commonest threads on a machine, and a needle free", () => {
    const { machines } = changedShop(
      shop,
      [{ change: "fixed-threads", machine: "six", count: 9 }],
      1,
    ).problem;
    expect(machines[0]!.fixed).toEqual([1, 2, 3, 4, 5]);
    expect(new Set(machines[0]!.threaded.slice(0, 5)).size).toBe(5);
  });

  it("sends pieces bound to one machine to its like as well, and forgets a sold machine's chores", () => {
    const six = shop.problem.machines[0]!;
    const bound = {
      ...shop,
      problem: { ...shop.problem, jobs: shop.problem.jobs.map((job) => ({ ...job, machines: ["six"] })) },
    };
    const added = changedShop(
      bound,
      [{ change: "machine-added", machine: { ...six, id: "six b" }, like: "six" }],
      1,
    );
    expect(added.problem.jobs[0]!.machines).toEqual(["six", "six b"]);
    const sold = changedShop(shop, [{ change: "machine-removed", machine: "ten" }], 1);
    expect(sold.care.map(({ machine }) => machine)).toEqual(["six", "ten b"]);
  });

  it("refuses a change of what is not there", () => {
    expect(() => changedShop(shop, [{ change: "hoops", hoop: "huge", more: 1 }], 1)).toThrow(/huge/);
  });
});

describe("the knee of a curve", () => {
  it("is where it bends, and none where it does not", () => {
    expect(kneeOf([100, 40, 15, 12, 11, 10])).toBe(2);
    expect(kneeOf([50, 40, 30, 20, 10])).toBe(-1);
    expect(kneeOf([5, 5, 5])).toBe(-1);
  });
});
