import { describe, expect, it } from "vitest";
import { seededChance } from "#core/base";
import {
  bestOf,
  bestWithin,
  equalAnnual,
  internalRates,
  judged,
  modifiedRate,
  netPresentValue,
  payback,
  presentValues,
  profitabilityIndex,
  repeatedValue,
} from ".";

// OpenStax, Principles of Finance 2e, chapter 16: an embroidery machine, a heavier one, and other purchases.
const machine = [-16_000, 2000, 4000, 5000, 5000, 5000, 5000];
const heavier = [-25_000, 2000, 4000, 8000, 9000, 9000, 9000];

describe("a purchase over its life (OpenStax, Principles of Finance 2e, 16.1 to 16.4)", () => {
  it("has each amount's present value, and their sum", () => {
    const printed = [1834.86, 3366.72, 3860.92, 3542.13, 3249.66, 2981.34];
    presentValues(machine, 0.09)
      .slice(1)
      .forEach((value, at) => expect(value).toBeCloseTo(printed[at]!, 2));
    expect(netPresentValue(machine, 0.09)).toBeCloseTo(2835.63, 1);
  });

  it("has its money back after four years, discounted after 5.05", () => {
    expect(payback(machine)).toBeCloseTo(4, 9);
    expect(payback(machine, 0.09)).toBeCloseTo(5.05, 2);
  });

  it("earns 14.09 % and 12 % modified, with an index of 1.18", () => {
    expect(internalRates(machine)).toHaveLength(1);
    expect(100 * internalRates(machine)[0]!).toBeCloseTo(14.09, 1);
    expect(profitabilityIndex(machine, 0.09)).toBeCloseTo(1.18, 2);
    const modified = modifiedRate(machine, 0.09)!;
    // The book's terminal value (31,595.22) is a misprint: its own addends give this one.
    expect(modified.terminal).toBeCloseTo(31_589.22, 1);
    expect(100 * modified.rate).toBeCloseTo(12, 1);
  });

  it.each([
    [0, 10_000],
    [3, 7231],
    [9, 2836],
    [12, 1081],
    [14, 42],
    [15, -442],
    [18, -1773],
    [21, -2939],
  ])("is worth at %i %% what the profile prints (16.2)", (percent, printed) => {
    expect(Math.abs(netPresentValue(machine, percent / 100) - printed)).toBeLessThan(0.6);
  });

  it("holds for the section's other purchases (16.2, 16.6)", () => {
    const bigger = [-30_000, 6000, 8000, 10_000, 12_000, 14_000, 16_000, 18_000];
    expect(Math.abs(netPresentValue(bigger, 0.09) - 26_946.9)).toBeLessThan(0.5);
    expect(100 * internalRates(bigger)[0]!).toBeCloseTo(27.7, 1);
    const solar = [-800_000, ...Array.from({ length: 10 }, () => 150_000)];
    expect(Math.abs(netPresentValue(solar, 0.1) - 121_685)).toBeLessThan(0.6);
    expect(100 * internalRates(solar)[0]!).toBeCloseTo(13.43, 2);
  });
});

describe("more than one rate, or none", () => {
  it("gives both rates where money goes out again, and warns (16.3)", () => {
    const { internalRates: rates, warnings } = judged([-350, 950, -620], 0.1);
    expect(rates.map((rate) => 100 * rate)).toEqual([expect.closeTo(9.18, 2), expect.closeTo(62.249, 2)]);
    expect(warnings[0]).toContain("2 internal rates (9.2 % and 62.2 %)");
  });

  it("gives none where nothing ever comes back, and says so", () => {
    const { internalRates: rates, payback: back, pays, warnings } = judged([-100, 0, -5], 0.1);
    expect([rates, back, pays]).toEqual([[], null, false]);
    expect(warnings[0]).toContain("no internal rate");
  });

  it("finds a rate at which the value only touches nothing", () => {
    // (1 + r − 1.1)² = 0 as money: 1.21, −2.2, 1.
    expect(internalRates([1.21, -2.2, 1].map((one) => -one))[0]).toBeCloseTo(-1 / 11, 5);
  });

  it("finds every rate that was put in, and only those", () => {
    const chance = seededChance(41);
    for (let round = 0; round < 300; round += 1) {
      const factors = [0.55, 0.8, 0.95, 1.1]
        .filter(() => chance.next() < 0.6)
        .map((one) => one + 0.04 * chance.next());
      // The product of (x − factor) is nothing at exactly those factors, x being 1 / (1 + rate).
      const cash = factors.reduce<number[]>(
        (poly, root) => [...poly, 0].map((_, at) => (poly[at - 1] ?? 0) - root * (poly[at] ?? 0)),
        [1],
      );
      const expected = factors.map((one) => 1 / one - 1).sort((a, b) => a - b);
      const found = internalRates(cash);
      expect(found.length).toBe(expected.length);
      found.forEach((rate, at) => expect(rate).toBeCloseTo(expected[at]!, 7));
    }
  });

  it("counts a payback only where it lasts", () => {
    expect(payback([-100, 150, -100, 120])).toBeCloseTo(2 + 50 / 120, 9);
    expect(payback([-100, 60])).toBeNull();
  });
});

describe("which of several", () => {
  it("takes the heavier machine by its value, though its rate is lower (16.5)", () => {
    expect(netPresentValue(heavier, 0.09)).toBeCloseTo(3970.67, 1);
    expect(100 * internalRates(heavier)[0]!).toBeCloseTo(13.2, 1);
    expect(internalRates(machine)[0]!).toBeGreaterThan(internalRates(heavier)[0]!);
    const both = [
      { id: "light", cash: machine },
      { id: "heavy", cash: heavier },
    ];
    expect(bestOf(both, 0.09)?.id).toBe("heavy");
  });

  it("compares unequal lives by the equal annual amount (16.5)", () => {
    const short = [-50_000, 40_000, 40_000, 40_000];
    const long = [-50_000, ...Array.from({ length: 6 }, () => 30_000)];
    const shortValue = netPresentValue(short, 0.1);
    expect(Math.abs(shortValue - 49_474)).toBeLessThan(1);
    expect(Math.abs(netPresentValue(long, 0.1) - 80_658)).toBeLessThan(1);
    expect(Math.abs(equalAnnual(shortValue, 0.1, 3) - 19_894)).toBeLessThan(1);
    expect(Math.abs(equalAnnual(netPresentValue(long, 0.1), 0.1, 6) - 18_520)).toBeLessThan(1);
    expect(Math.abs(repeatedValue(shortValue, 0.1, 3, 2) - 86_644.69)).toBeLessThan(1);
    const both = [
      { id: "long", cash: long },
      { id: "short", cash: short },
    ];
    expect(bestOf(both, 0.1)?.id).toBe("short");
  });

  it("buys nothing where nothing pays", () => {
    expect(bestOf([{ id: "a", cash: [-10, 1] }], 0.1)).toBeNull();
  });

  it("spends a limited budget best (16.5: A, E and F of seven)", () => {
    const projects = {
      A: [60, 150],
      B: [25, 100],
      C: [10, 70],
      D: [15, 50],
      E: [11, 30],
      F: [7, 20],
      G: [2, 10],
    };
    const wishes = Object.entries(projects).map(([id, [value, outlay]]) => ({
      id,
      value: value!,
      outlay: outlay!,
    }));
    expect(bestWithin(wishes, 200)).toEqual(["A", "E", "F"]);
  });

  it("is worth as much as the best of all sets", () => {
    const chance = seededChance(7);
    for (let round = 0; round < 200; round += 1) {
      const wishes = Array.from({ length: 9 }, (_, at) => ({
        id: `${at}`,
        outlay: chance.below(30),
        value: chance.below(50) - 10,
      }));
      const worth = (ids: readonly string[]) =>
        wishes.filter(({ id }) => ids.includes(id)).reduce((sum, { value }) => sum + value, 0);
      let best = 0;
      for (let set = 0; set < 512; set += 1) {
        const taken = wishes.filter((_, at) => (set >> at) % 2 === 1);
        if (taken.reduce((sum, { outlay }) => sum + outlay, 0) <= 60)
          best = Math.max(best, worth(taken.map(({ id }) => id)));
      }
      expect(worth(bestWithin(wishes, 60))).toBe(best);
    }
  });
});
