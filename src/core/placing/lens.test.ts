import { describe, expect, it } from "vitest";
import { seededChance } from "#core/base";
import { bend, type Lens, reachOf, straighten } from "./lens";

const lens: Lens = { centreXPx: 2015.5, centreYPx: 1511.5, focalPx: 2912, k1: 0.06, k2: -0.08 };

describe("a lens", () => {
  it("bends as the formula says", () => {
    // By hand: normalised (0.3, 0.4), r² = 0.25, factor 1 + 0.06 · 0.25 − 0.08 · 0.0625 = 1.01.
    const at = bend(lens, { xPx: 2015.5 + 0.3 * 2912, yPx: 1511.5 + 0.4 * 2912 });
    expect(at.xPx).toBeCloseTo(2015.5 + 0.303 * 2912, 9);
    expect(at.yPx).toBeCloseTo(1511.5 + 0.404 * 2912, 9);
  });

  it("is turned round everywhere in its range, for barrels and cushions", () => {
    const chance = seededChance(5);
    for (let k = 0; k < 3000; k++) {
      const some = { ...lens, k1: chance.next() - 0.5, k2: (chance.next() - 0.5) * 0.6 };
      const reach = Math.min(1.2, 0.98 * reachOf(some)) * chance.next();
      const angle = chance.next() * 7;
      const straight = {
        xPx: some.centreXPx + reach * Math.cos(angle) * some.focalPx,
        yPx: some.centreYPx + reach * Math.sin(angle) * some.focalPx,
      };
      const back = straighten(some, bend(some, straight));
      expect(Math.hypot(back.xPx - straight.xPx, back.yPx - straight.yPx)).toBeLessThan(1e-6);
    }
  });

  it("refuses what lies beyond where the model still grows", () => {
    const barrel = { ...lens, k1: -0.3, k2: 0 };
    // r (1 − 0.3 r²) grows to r = √(1/0.9) and reaches ⅔ of that.
    expect(reachOf(barrel)).toBeCloseTo(Math.sqrt(1 / 0.9), 12);
    expect(() => straighten(barrel, { xPx: 2015.5 + 0.71 * 2912, yPx: 1511.5 })).toThrowError(
      /focal lengths/,
    );
    expect(() => bend(barrel, { xPx: 2015.5 + 1.06 * 2912, yPx: 1511.5 })).toThrowError(/focal lengths/);
    expect(straighten(barrel, { xPx: 2015.5 + 0.6 * 2912, yPx: 1511.5 }).xPx).toBeGreaterThan(
      2015.5 + 0.6 * 2912,
    );
  });
});
