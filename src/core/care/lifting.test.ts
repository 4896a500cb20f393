import { describe, expect, it } from "vitest";
import { type Lift, liftCaution, liftingEquation } from ".";

/** The manual's metric equation is the one in inches and pounds with 2.5 cm to the inch and 23 kg to 51 lb, throughout. */
const INCH = 2.5;
const POUND = 23 / 51;
const lift: Lift = {
  loadKg: 10,
  horizontalCm: 25,
  verticalCm: 75,
  travelCm: 25,
  turnDeg: 0,
  liftsPerMinute: 0.2,
  time: "short",
  coupling: "good",
};
const of = (more: Partial<Lift>) => liftingEquation({ ...lift, ...more });

/** Tables 1 to 4 of the Applications Manual, DHHS (NIOSH) 94-110, metric columns. */
const tables = {
  horizontal: [
    [25, 1],
    [28, 0.89],
    [30, 0.83],
    [34, 0.74],
    [40, 0.63],
    [46, 0.54],
    [50, 0.5],
    [56, 0.45],
    [60, 0.42],
    [63, 0.4],
  ],
  vertical: [
    [0, 0.78],
    [20, 0.84],
    [50, 0.93],
    [70, 0.99],
    [80, 0.99],
    [100, 0.93],
    [130, 0.84],
    [150, 0.78],
    [175, 0.7],
  ],
  distance: [
    [25, 1],
    [40, 0.93],
    [55, 0.9],
    [70, 0.88],
    [85, 0.87],
    [100, 0.87],
    [115, 0.86],
    [130, 0.86],
    [175, 0.85],
  ],
  turn: [
    [0, 1],
    [15, 0.95],
    [30, 0.9],
    [45, 0.86],
    [60, 0.81],
    [90, 0.71],
    [120, 0.62],
    [135, 0.57],
  ],
} as const;

describe("the revised lifting equation", () => {
  it("gives the manual's tables of multipliers (94-110, tables 1–4; D = 130 is misprinted there by 0.006)", () => {
    for (const [h, value] of tables.horizontal)
      expect(Math.abs(of({ horizontalCm: h }).multipliers.horizontal - value)).toBeLessThan(0.0051);
    for (const [v, value] of tables.vertical)
      expect(Math.abs(of({ verticalCm: v }).multipliers.vertical - value)).toBeLessThan(0.0051);
    for (const [d, value] of tables.distance)
      expect(Math.abs(of({ travelCm: d }).multipliers.distance - value)).toBeLessThan(0.0101);
    for (const [a, value] of tables.turn)
      expect(Math.abs(of({ turnDeg: a }).multipliers.turn - value)).toBeLessThan(0.0051);
  });

  it("gives the package inspection of the manual (example 4, p. 44–46: 34.9 lb and 0.7 at the beginning, 15.2 lb and 1.7 at the end; worksheets multiply rounded multipliers)", () => {
    const common = { loadKg: 26 * POUND, travelCm: 37 * INCH, liftsPerMinute: 3, coupling: "fair" } as const;
    const begin = of({ ...common, horizontalCm: 10 * INCH, verticalCm: 22 * INCH });
    const end = of({ ...common, horizontalCm: 20 * INCH, verticalCm: 59 * INCH });
    expect(Math.abs(begin.recommendedKg / POUND - 34.9)).toBeLessThan(0.15);
    expect(Math.abs(begin.liftingIndex - 0.7)).toBeLessThan(0.05);
    expect(Math.abs(end.recommendedKg / POUND - 15.2)).toBeLessThan(0.15);
    expect(end.liftingIndex).toBeCloseTo(1.7, 1);
  });

  it("gives the same task in metric: 15.7 kg and 0.76 (a published worked answer)", () => {
    const found = of({ loadKg: 12, verticalCm: 55, travelCm: 95, liftsPerMinute: 3, coupling: "fair" });
    expect(found.recommendedKg).toBeCloseTo(15.7, 1);
    expect(Math.abs(found.liftingIndex - 0.76)).toBeLessThan(0.0061);
    expect(found.multipliers).toMatchObject({ frequency: 0.88, coupling: 0.95 });
  });

  it("gives the frequency-independent limit of a published worked answer: 18.4 lb, cut off from 18.5", () => {
    const found = of({
      horizontalCm: 20 * INCH,
      verticalCm: 6 * INCH,
      travelCm: 16 * INCH,
      coupling: "fair",
    });
    expect(Math.abs(found.recommendedKg / POUND - 18.4)).toBeLessThan(0.15);
  });

  it("reads the manual's frequency table, between its rows in a line, beyond it nothing", () => {
    const at = (liftsPerMinute: number, more: Partial<Lift> = {}) =>
      of({ liftsPerMinute, ...more }).multipliers.frequency;
    expect([
      at(0.1),
      at(3),
      at(9, { time: "long", verticalCm: 75 }),
      at(9, { time: "long", verticalCm: 60 }),
    ]).toEqual([1, 0.88, 0.15, 0]);
    expect(at(5.333, { time: "short" })).toBeCloseTo(0.8 - 0.333 * 0.05, 6);
    expect(at(16)).toBe(0);
  });

  it("recommends no lift out of reach, over head, or far round", () => {
    expect(of({ horizontalCm: 64 })).toMatchObject({ recommendedKg: 0, liftingIndex: Infinity });
    expect(of({ verticalCm: 176 }).recommendedKg).toBe(0);
    expect(of({ turnDeg: 140 }).recommendedKg).toBe(0);
  });
});

describe("the caution at lifting a machine", () => {
  const machine = { weightKg: 24, fromCm: 75, toCm: 70, reachCm: 40 };

  it("tells how many people share the weight, and leaves the word to local rules", () => {
    const found = liftCaution(machine);
    expect(found).toMatchObject({ people: 2 });
    expect(found.alone).toBeGreaterThan(1);
    expect(found.sentence).toBe(
      "24 kg; the revised lifting equation recommends at most 13.5 kg a person for this lift: two people lift it (lifting index 1.8 alone, 0.9 each of two). Local rules on lifting and trained people decide, not this figure.",
    );
  });

  it("of a heavy one asks for more people or an aid", () => {
    expect(liftCaution({ ...machine, weightKg: 38 })).toMatchObject({ people: 3 });
    expect(liftCaution({ ...machine, weightKg: 95 }).people).toBeNull();
    expect(liftCaution({ ...machine, weightKg: 95 }).sentence).toContain("too heavy by hand");
    expect(liftCaution({ ...machine, reachCm: 70 }).sentence).toContain("recommends no lift by hand");
  });

  it("of a light one says so too", () => expect(liftCaution({ ...machine, weightKg: 9 }).people).toBe(1));
});
