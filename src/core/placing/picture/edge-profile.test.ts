import { describe, expect, it } from "vitest";
import { fitBar, normalShareOf } from "./edge-profile";

describe("a blurred bar", () => {
  it("the normal distribution by table is that of scipy.special.ndtr", () => {
    const known = [
      [-2.5, 0.006209665325776132],
      [-1, 0.15865525393145707],
      [0, 0.5],
      [0.3, 0.6179114221889526],
      [1, 0.8413447460685429],
      [2, 0.9772498680518208],
      [3.7, 0.9998922002665226],
    ] as const;
    for (const [t, share] of known) expect(Math.abs(normalShareOf(t) - share), `${t}`).toBeLessThan(2e-6);
    expect(normalShareOf(-9)).toBe(0);
    expect(normalShareOf(9)).toBe(1);
  });

  it("has its edges found where scipy put them", () => {
    // A bar from 8.3 to 14.6 px between 0.8 and 0.7, light 0.05: drawn 200 times finer, scipy.ndimage.gaussian_filter1d
    // with σ = 1.4 px, means over each pixel (scipy 1.17.1, numpy 2.4.6).
    const samples = Float64Array.of(
      0.8, 0.8, 0.8, 0.79992, 0.79902, 0.79215, 0.75964, 0.6638, 0.48732, 0.28419, 0.13832, 0.07591, 0.07601,
      0.13588, 0.26932, 0.44661, 0.59357, 0.66972, 0.69436, 0.69933, 0.69995, 0.7, 0.7, 0.7,
    ); // prettier-ignore
    const ask = { from: 0, step: 1, count: 24, darkBehind: 0, open: 1, blur: "free" } as const;
    const fit = fitBar(samples, ask, { first: 7.6, second: 15.2, blur: 1, beyond: 1 })!;
    expect(fit.first).toBeCloseTo(8.3, 2);
    expect(fit.second).toBeCloseTo(14.6, 2);
    // The pixel's own width adds 1/12 to the square of the blur.
    expect(fit.blur).toBeCloseTo(Math.sqrt(1.4 ** 2 + 1 / 12), 2);
    expect(fit.dark).toBeCloseTo(0.05, 2);
  });

  it("there is no bar in even or rising light", () => {
    const ask = { from: 0, step: 1, count: 24, darkBehind: 0, open: 1, blur: "free" } as const;
    const start = { first: 8, second: 15, blur: 1, beyond: 1 };
    expect(fitBar(new Float64Array(24).fill(0.5), ask, start)).toBeNull();
    expect(
      fitBar(
        Float64Array.from({ length: 24 }, (_, i) => i / 24),
        ask,
        start,
      ),
    ).toBeNull();
  });
});
