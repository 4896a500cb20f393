import { describe, expect, it } from "vitest";
import { type Chance, seededChance } from "#core/base";
import { aidValues, type PlacingKept, plainHabits } from "./habits";
import { normal } from "./some-views";

const placings = (
  chance: Chance,
  count: number,
  change: Partial<PlacingKept> & { readonly lean?: number },
): PlacingKept[] =>
  Array.from({ length: count }, () => ({
    personId: "P1",
    productId: "A",
    hoopId: "H1",
    aid: null,
    xMm: 4 * normal(chance),
    yMm: 4 * normal(chance),
    ...change,
    angleDeg: (change.lean ?? 0) + 2 * normal(chance),
  }));

describe("hooping habits", () => {
  it("are told when plain, with person, product, hoop and how many placings were looked at", () => {
    const found = plainHabits(placings(seededChance(71), 45, { lean: 1.8 }));
    expect(found).toHaveLength(1);
    expect(found[0]).toMatchObject({ personId: "P1", hoopId: "H1", measure: "angleDeg", count: 40 });
    expect(Math.abs(found[0]!.mean - 1.8)).toBeLessThan(found[0]!.plusMinus * 2);
  });

  it("are seldom seen where there are none, though looked for after every piece in many groups", () => {
    const chance = seededChance(72);
    let shops = 0;
    for (let shop = 0; shop < 150; shop++) {
      const kept: PlacingKept[] = [];
      let alarmed = false;
      const groups = ["A", "B", "C", "D"].map((productId) => placings(chance, 80, { productId }));
      for (let day = 9; day < 80; day += 1) {
        if (![10, 11, 20, 40, 60, 79].includes(day)) continue;
        kept.length = 0;
        for (const group of groups) kept.push(...group.slice(0, day + 1));
        alarmed ||= plainHabits(kept).length > 0;
      }
      if (alarmed) shops++;
    }
    expect(shops / 150).toBeLessThan(0.08);
  });

  it("need ten placings, and the value of an aid five on each side", () => {
    expect(plainHabits(placings(seededChance(73), 9, { lean: 30 }))).toEqual([]);
    const bare = placings(seededChance(74), 60, { lean: 3 });
    expect(aidValues([...bare, ...placings(seededChance(75), 4, { aid: "board" })])).toEqual([]);
    const [board] = aidValues([...bare, ...placings(seededChance(76), 60, { aid: "board" })]);
    expect(board!.lowDeg).toBeGreaterThan(0);
    expect(board).toMatchObject({ aid: "board", withAid: 60, without: 60 });
  });
});
