import { describe, expect, it } from "vitest";
import { acceleratedShares, byUse, decliningBalance, straightLine } from ".";

describe("a screen-printing machine (OpenStax, Principles of Finance 2e, depreciation example)", () => {
  const machine = { cost: 58_000, salvage: 10_000, years: 5 };

  it("loses 9,600 a year by equal parts", () => expect(straightLine(machine)).toEqual(Array(5).fill(9600)));

  it("loses 9,000 for 180,000 of 960,000 prints, and never more than its worth", () => {
    expect(byUse(machine, 960_000, [180_000])).toEqual([9000]);
    const all = byUse(machine, 960_000, [180_000, 700_000, 200_000, 50_000]);
    expect(all.reduce((sum, one) => sum + one, 0)).toBeCloseTo(48_000, 9);
    expect(all[3]).toBe(0);
  });

  it("loses 40 % of what is left each year, down to the salvage", () => {
    const amounts = decliningBalance(machine);
    [23_200, 13_920, 8352, 2528, 0].forEach((one, at) => expect(amounts[at]).toBeCloseTo(one, 6));
  });
});

describe("accelerated recovery (IRS Publication 946, Appendix A)", () => {
  const table: readonly (readonly [3 | 5 | 7 | 10 | 15, "half-year" | 1 | 4, readonly number[]])[] = [
    [3, "half-year", [33.33, 44.45, 14.81, 7.41]],
    [5, "half-year", [20, 32, 19.2, 11.52, 11.52, 5.76]],
    [7, "half-year", [14.29, 24.49, 17.49, 12.49, 8.93, 8.92, 8.93, 4.46]],
    [10, "half-year", [10, 18, 14.4, 11.52, 9.22, 7.37, 6.55, 6.55, 6.56, 6.55, 3.28]],
    [15, "half-year", [5, 9.5, 8.55, 7.7, 6.93, 6.23, 5.9, 5.9, 5.91, 5.9, 5.91, 5.9, 5.91, 5.9, 5.91, 2.95]],
    [5, 1, [35, 26, 15.6, 11.01, 11.01, 1.38]],
    [7, 1, [25, 21.43, 15.31, 10.93, 8.75, 8.74, 8.75, 1.09]],
    [5, 4, [5, 38, 22.8, 13.68, 10.94, 9.58]],
    [7, 4, [3.57, 27.55, 19.68, 14.06, 10.04, 8.73, 8.73, 7.64]],
  ];
  it.each(table)("%i years, bought at %s, agrees with the printed table", (years, convention, printed) => {
    const shares = acceleratedShares(years, convention);
    expect(shares).toHaveLength(printed.length);
    // The printed shares are rounded so that they add up to 100.
    shares.forEach((share, at) => expect(Math.abs(share - printed[at]!)).toBeLessThan(0.011));
    expect(shares.reduce((sum, one) => sum + one, 0)).toBeCloseTo(100, 9);
  });
});
