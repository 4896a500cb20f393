import fc from "fast-check";
import { expect, it } from "vitest";
import { shuffled, seededChance } from "#core/base";
import { createCounter, TOO_MANY } from "./count";
import { type Line, lineOf } from "./line";

/** Keeping the colour needed soonest, written plainly (C. S. Tang, E. V. Denardo 1988). */
function plainly(sets: readonly (readonly number[])[], needles: number, on: readonly number[]): number {
  let threadings = 0;
  let magazine = [...new Set(on)];
  sets.forEach((own, at) => {
    const nextUse = (colour: number): number => {
      const next = sets.findIndex((later, place) => place > at && later.includes(colour));
      return next < 0 ? Infinity : next;
    };
    const missing = own.filter((colour) => !magazine.includes(colour));
    threadings += missing.length;
    const others = magazine.filter((colour) => !own.includes(colour)).sort((a, b) => nextUse(a) - nextUse(b));
    magazine = [...own, ...others.slice(0, needles - own.length)];
  });
  return threadings;
}

const ordered = (sets: readonly (readonly number[])[], order: Int32Array) => [...order].map((j) => sets[j]!);

/** Some sets of colours for a machine; `spread` colours in all. */
const shop = (spread: number, mostJobs: number) =>
  fc
    .record({
      needles: fc.integer({ min: 1, max: 12 }),
      seed: fc.integer(),
      jobs: fc.integer({ min: 1, max: mostJobs }),
      threaded: fc.boolean(),
    })
    .map(({ needles, seed, jobs, threaded }) => {
      const chance = seededChance(seed);
      const some = (most: number) =>
        shuffled(
          Array.from({ length: spread }, (_, colour) => colour),
          chance,
        ).slice(0, chance.below(Math.min(most, spread) + 1));
      const sets = Array.from({ length: jobs }, () => some(needles));
      return { sets, needles, on: threaded ? some(needles) : [], chance };
    });

function same(line: Line, sets: number[][], needles: number, on: number[], order: Int32Array): void {
  expect(createCounter(line).count(order)).toBe(plainly(ordered(sets, order), needles, on));
}

it("counts as many threadings as keeping the colour needed soonest: few colours, many, more than two words", () => {
  for (const [spread, runs] of [
    [7, 3000],
    [40, 800],
    [64, 400],
    [90, 400],
  ] as const) {
    fc.assert(
      fc.property(shop(spread, 14), ({ sets, needles, on }) => {
        const order = Int32Array.from(sets.keys());
        same(lineOf(sets, needles, on), sets, needles, on, order);
      }),
      { numRuns: runs, seed: spread },
    );
  }
});

it("goes on from the order kept to the same count, and gives up only above the limit", () => {
  for (const spread of [6, 12, 50]) {
    fc.assert(
      fc.property(shop(spread, 12), ({ sets, needles, on, chance }) => {
        const counter = createCounter(lineOf(sets, needles, on));
        let order = Int32Array.from(sets.keys());
        expect(counter.keep(order, 0)).toBe(plainly(sets, needles, on));
        for (let n = 0; n < 12; n++) {
          const [a, b] = [chance.below(sets.length), chance.below(sets.length)];
          const [from, to] = [Math.min(a, b), Math.max(a, b)];
          const trial = order.slice();
          if (chance.below(2) === 0) trial.subarray(from, to + 1).reverse();
          else trial.set([...order.subarray(from + 1, to + 1), order[from]!], from);
          const exact = plainly(ordered(sets, trial), needles, on);
          const limit = exact - 2 + chance.below(4);
          expect(counter.test(trial, from, to, limit)).toBe(exact > limit ? TOO_MANY : exact);
          if (chance.below(3) > 0) continue;
          order = trial;
          expect(counter.keep(order, from)).toBe(exact);
        }
      }),
      { numRuns: 250, seed: spread },
    );
  }
});
