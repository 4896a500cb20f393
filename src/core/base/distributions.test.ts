import { describe, expect, it } from "vitest";
import {
  atLeast,
  chiSquareQuantile,
  gammaQuantile,
  gammaShare,
  lnGamma,
  normalQuantile,
  normalShare,
  studentQuantile,
} from ".";

describe("distribution functions", () => {
  it("give the normal quantiles of the tables (from memory; four decimals)", () => {
    const tables = { 0.9: 1.2816, 0.95: 1.6449, 0.975: 1.96, 0.98: 2.0537, 0.99: 2.3263, 0.999: 3.0902 };
    for (const [p, z] of Object.entries(tables)) expect(normalQuantile(Number(p))).toBeCloseTo(z, 3.9);
    expect(normalQuantile(0.025)).toBeCloseTo(-1.959964, 6);
  });

  it("give the chi-square values of the tables (NIST/SEMATECH e-Handbook 1.3.6.7.4, from memory)", () => {
    const tables = [
      [0.95, 1, 3.841],
      [0.95, 4, 9.488],
      [0.95, 10, 18.307],
      [0.05, 2, 0.103],
      [0.05, 10, 3.94],
      [0.975, 20, 34.17],
      [0.025, 20, 9.591],
      [0.99, 100, 135.807],
    ] as const;
    for (const [p, degrees, value] of tables)
      expect(Math.abs(chiSquareQuantile(p, degrees) - value)).toBeLessThan(6e-4);
  });

  it("give Student's t of the tables (NIST/SEMATECH e-Handbook 1.3.6.7.2, from memory)", () => {
    const tables = [
      [0.95, 1, 6.314],
      [0.975, 4, 2.776],
      [0.95, 10, 1.812],
      [0.975, 30, 2.042],
      [0.95, 120, 1.658],
    ] as const;
    for (const [p, degrees, value] of tables) expect(studentQuantile(p, degrees)).toBeCloseTo(value, 3);
    expect(studentQuantile(0.05, 10)).toBeCloseTo(-1.812, 3);
  });

  it("agree with closed forms: Γ(n + 1) = n!, Γ(½) = √π, a gamma of shape 1 is exponential, Poisson sums", () => {
    expect(Math.exp(lnGamma(11))).toBeCloseTo(3_628_800, 4);
    expect(lnGamma(0.5)).toBeCloseTo(Math.log(Math.sqrt(Math.PI)), 13);
    expect(gammaShare(1, 2.5)).toBeCloseTo(1 - Math.exp(-2.5), 13);
    expect(gammaQuantile(0.3, 1, 2)).toBeCloseTo(-Math.log(0.7) / 2, 12);
    expect(atLeast(3, 1.7)).toBeCloseTo(1 - Math.exp(-1.7) * (1 + 1.7 + 1.7 ** 2 / 2), 13);
    expect(atLeast(0, 1.7)).toBe(1);
  });

  it("turn back into the probability asked for", () => {
    for (const p of [1e-4, 0.02, 0.5, 0.93, 0.9999]) {
      expect(normalShare(normalQuantile(p))).toBeCloseTo(p, 12);
      for (const shape of [0.3, 2, 77.5])
        expect(gammaShare(shape, gammaQuantile(p, shape, 1))).toBeCloseTo(p, 10);
    }
  });
});
