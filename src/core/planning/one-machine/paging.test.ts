import { expect, it } from "vitest";
import { seededChance } from "#core/base";
import { fewestLoads } from "./paging";

/** Loads of single requests by the rule of L. A. Belady (1966): whatever is asked for furthest in the future goes. */
function loads(needles: number, start: readonly number[], colours: readonly number[]): number {
  const on: number[] = [...start];
  let count = 0;
  colours.forEach((colour, at) => {
    if (on.includes(colour)) return;
    count++;
    if (on.length < needles) on.push(colour);
    else {
      const again = on.map((held) => (colours.includes(held, at) ? colours.indexOf(held, at) : Infinity));
      on[again.indexOf(Math.max(...again))] = colour;
    }
  });
  return count;
}

function leastOfAllOrders(needles: number, start: readonly number[], jobs: readonly number[][]): number {
  const walk = (left: readonly number[][], before: readonly number[]): number =>
    left.length === 0
      ? loads(needles, start, before)
      : Math.min(
          ...left.map((job, j) =>
            walk(
              left.filter((_, k) => k !== j),
              [...before, ...job],
            ),
          ),
        );
  return walk(jobs, []);
}

it("counts the paging strings as published", () => {
  // ../shared/PLANNING.md: 7 0 1 2 … needs these loads for k = 1…7, and 1 2 3 4 1 2 5 … those for k = 1…5.
  const long = [7, 0, 1, 2, 0, 3, 0, 4, 2, 3, 0, 3, 2, 1, 2, 0, 1, 7, 0, 1];
  const short = [1, 2, 3, 4, 1, 2, 5, 1, 2, 3, 4, 5];
  const count = (job: number[]) => (needles: number) => fewestLoads({ needles, start: [], jobs: [job] }, 100);
  expect([1, 2, 3, 4, 5, 6, 7].map(count(long))).toEqual([20, 13, 9, 8, 7, 6, 6]);
  expect([1, 2, 3, 4, 5].map(count(short))).toEqual([12, 9, 7, 6, 5]);
});

it("finds the fewest of all orders, and never more when stopped early", () => {
  for (let seed = 0; seed < 600; seed++) {
    const chance = seededChance(660_000 + seed);
    const needles = 1 + chance.below(4);
    const colours = 2 + chance.below(7);
    const start = Array.from({ length: chance.below(needles + 1) }, (_, at) => (at * 2 + seed) % 9);
    const jobs = Array.from({ length: 1 + chance.below(5) }, () =>
      Array.from({ length: 1 + chance.below(6) }, () => chance.below(colours)),
    );
    const own = [...new Set(start)];
    const fewest = leastOfAllOrders(needles, own, jobs);
    expect(fewestLoads({ needles, start: own, jobs }, 1e6)).toBe(fewest);
    expect(fewestLoads({ needles, start: own, jobs }, chance.below(5))).toBeLessThanOrEqual(fewest);
  }
});
