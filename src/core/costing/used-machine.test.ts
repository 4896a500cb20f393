import { describe, expect, it } from "vitest";
import { evenHours, evenPrice, failuresBetween, machineYear, wearLimits } from "./used-machine";

const fresh = { priceCents: 10_000, hours: 0, resaleCents: 2000 };
const use = { hoursAYear: 1000, years: 5, rate: 0, wear: { shape: 2, scaleHours: 1000 }, failureCents: 0 };

describe("failures by hours run", () => {
  it("are the power law's: by hand, one in the first thousand hours and three in the next", () => {
    const wear = { shape: 2, scaleHours: 1000 };
    expect(failuresBetween(wear, 0, 1000)).toBeCloseTo(1, 12);
    expect(failuresBetween(wear, 1000, 2000)).toBeCloseTo(3, 12);
  });

  it("do not ask for the meter where they are exponential", () => {
    const wear = { shape: 1, scaleHours: 500 };
    expect(failuresBetween(wear, 0, 1000)).toBeCloseTo(failuresBetween(wear, 7000, 8000), 9);
  });

  it("are known within exact limits of a Poisson count", () => {
    // Of 4 events: 1.366 and 9.154 (Garwood's limits, two-sided 90 %; standard tables, from memory).
    const { mild, hard } = wearLimits({ shape: 1, scaleHours: 1000 }, 4);
    expect(4000 / mild.scaleHours).toBeCloseTo(1.366, 2);
    expect(4000 / hard.scaleHours).toBeCloseTo(9.154, 2);
  });
});

describe("a machine's year", () => {
  it("is what it loses in worth, shared out, where it never fails and money costs nothing", () => {
    expect(machineYear(fresh, use)).toBeCloseTo(1600, 9);
  });

  it("is an annuity where money costs something", () => {
    // 10,000 over 5 years at 9 %: 10,000 × 0.09 / (1 − 1.09⁻⁵) = 2570.92 a year (OpenStax, Principles of Finance 2e, annuities).
    expect(machineYear({ ...fresh, resaleCents: 0 }, { ...use, rate: 0.09 })).toBeCloseTo(2570.92, 2);
  });
});

describe("used against new", () => {
  const failing = { ...use, rate: 0.05, failureCents: 300 };
  const used = { priceCents: 4000, hours: 3000, resaleCents: 0 };

  it("costs as much a year at the even price, and at the even hours", () => {
    const target = machineYear(fresh, failing);
    const price = evenPrice(used, fresh, failing);
    expect(machineYear({ ...used, priceCents: price }, failing)).toBeCloseTo(target, 6);
    const cheap = { ...used, priceCents: 2000 };
    const hours = evenHours(cheap, fresh, failing);
    expect(hours).toBeGreaterThan(0);
    expect(machineYear({ ...cheap, hours }, failing) / target).toBeCloseTo(1, 3);
  });

  it("is better whatever its hours where machines do not wear, and never where it is dearer", () => {
    const steady = { ...failing, wear: { shape: 1, scaleHours: 1000 } };
    expect(evenHours({ ...used, priceCents: 100 }, fresh, steady)).toBe(Infinity);
    expect(evenHours({ ...used, priceCents: 50_000 }, fresh, failing)).toBe(0);
  });
});
