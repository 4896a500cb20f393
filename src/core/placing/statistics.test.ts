import { describe, expect, it } from "vitest";
import { chiSquareQuantile, seededChance, studentQuantile } from "#core/base";
import { normal } from "./some-views";
import { fisherTail, largestWithin, studentWithin, withinThree } from "./statistics";

describe("distributions", () => {
  it("Student's law agrees with its quantiles and the handbook's table", () => {
    // M. Abramowitz, I. A. Stegun (1964), Table 26.10: t for A = 0.95: ν = 1 12.706, 5 2.571, 10 2.228, 30 2.042 (from memory).
    for (const [freedom, t] of [[1, 12.706], [5, 2.571], [10, 2.228], [30, 2.042]] as const) expect(studentWithin(t, freedom)).toBeCloseTo(0.95, 4); // prettier-ignore
    for (const freedom of [3.5, 17.2, 500])
      expect(studentWithin(studentQuantile(0.99, freedom), freedom)).toBeCloseTo(0.98, 3);
  });

  it("F's tail is near the tables'", () => {
    // Upper 5 % and 1 % points of F (A&S Table 26.9, from memory): F(2, 10) 4.10, 7.56; F(8, 20) 2.45, 3.56; F(3, 15) 3.29, 5.42.
    for (const [upper, lower, five, one] of [
      [2, 10, 4.1028, 7.5594],
      [8, 20, 2.4471, 3.5644],
      [3, 15, 3.2874, 5.417],
    ] as const) {
      // prettier-ignore
      expect(fisherTail(five, upper, lower)).toBeCloseTo(0.05, 2.5);
      expect(fisherTail(one, upper, lower)).toBeCloseTo(0.01, 2.7);
    }
  });

  it("the circle of three parameters is chi's where the noise is known", () => {
    expect(withinThree(Math.sqrt(chiSquareQuantile(0.95, 3)), Infinity)).toBeCloseTo(0.95, 9);
    // Root of a multivariate t: r²/3 is F(3, ν); F(3, 15) upper 5 % is 3.2874.
    expect(withinThree(Math.sqrt(3 * 3.2874), 15)).toBeCloseTo(0.95, 4);
  });

  it("the radius for the worst of several places holds as drawn", () => {
    const chance = seededChance(31);
    const maps = [[0.3, 0, -0.4], [0, 0.2, 0.7], [0.3, 0.1, 0.4], [0, 0.2, -0.7]]; // prettier-ignore
    const radius = largestWithin(maps, 0.95, Infinity);
    let held = 0;
    for (let k = 0; k < 40_000; k++) {
      const z = [normal(chance), normal(chance), normal(chance)];
      const at = maps.map((row) => row.reduce((all, one, i) => all + one * z[i]!, 0));
      if (Math.max(Math.hypot(at[0]!, at[1]!), Math.hypot(at[2]!, at[3]!)) <= radius) held++;
    }
    expect(held / 40_000).toBeCloseTo(0.95, 2.2);
  });
});
