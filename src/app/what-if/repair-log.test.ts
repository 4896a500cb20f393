import { expect, it } from "vitest";
import { seededChance } from "#core/base";
import { fittedRepairs, meanRepairCents, type RepairLog } from "./repair-log";

const log = (atHours: readonly number[], own: Partial<RepairLog> = {}): RepairLog => ({
  format: "spoolwright/repair-log@1",
  machine: "Gull",
  fromHours: 0,
  meterHours: 1000,
  repairs: atHours.map((hours) => ({
    atHours: hours,
    on: "2026-01-05",
    what: "hook timing",
    costCents: null,
  })),
  ...own,
});

// One machine from new: shape N / Σ ln(T / t), the closed form of the power law's likelihood (NIST/SEMATECH e-Handbook
// 8.1.7.2, from memory); scale T / N^(1 / shape).
it("gives the closed form's shape and scale for one machine watched from new", () => {
  const at = [200, 410, 620, 790, 930, 980];
  const { wear, count } = fittedRepairs([log(at)])!;
  const shape = at.length / at.reduce((sum, hours) => sum + Math.log(1000 / hours), 0);
  expect(count).toBe(6);
  expect(wear.shape).toBeCloseTo(shape, 8);
  expect(wear.scaleHours).toBeCloseTo(1000 / 6 ** (1 / shape), 5);
});

it("finds the wear that repairs were drawn from, of machines watched from different hours on", () => {
  const truth = { shape: 1.8, scaleHours: 600 };
  const chance = seededChance(5);
  const logs = Array.from({ length: 60 }, (_, nth) => {
    const [from, to] = [(nth % 4) * 700, (nth % 4) * 700 + 3000];
    const at: number[] = [];
    // Unit exponentials on the scale of expected repairs.
    for (let sum = (from / 600) ** 1.8; ;) {
      sum -= Math.log(1 - chance.next());
      const hours = truth.scaleHours * sum ** (1 / truth.shape);
      if (hours > to) break;
      at.push(hours);
    }
    return log(at, { fromHours: from, meterHours: to });
  });
  const { wear, count } = fittedRepairs(logs)!;
  // The standard error of a shape is about shape / √count.
  expect(Math.abs(wear.shape - truth.shape)).toBeLessThan((3 * truth.shape) / Math.sqrt(count) + 0.05);
  expect(wear.scaleHours).toBeGreaterThan(450);
  expect(wear.scaleHours).toBeLessThan(800);
});

it("says nothing of wear from few repairs, and nothing at all from none", () => {
  expect(fittedRepairs([log([])])).toBeNull();
  const { wear, isShapeFitted } = fittedRepairs([log([500, 800])])!;
  expect([wear.shape, isShapeFitted]).toEqual([1.5, false]);
  // Two are expected by 1000 hours, as many as there were.
  expect((1000 / wear.scaleHours) ** wear.shape).toBeCloseTo(2, 9);
  expect(meanRepairCents([log([500])])).toBeNull();
});
