import fc from "fast-check";
import { expect, it } from "vitest";
import { seededChance, shuffled } from "#core/base";
import { createCounter } from "./count";
import { exactCount } from "./exact";
import { lineOf } from "./line";
import { searchOrder, startOrder } from "./order";

function* allOrders(jobs: number[]): Generator<number[]> {
  if (jobs.length < 2) yield jobs;
  for (const job of jobs)
    for (const rest of allOrders(jobs.filter((other) => other !== job))) yield [job, ...rest];
}

const shop = fc
  .record({
    needles: fc.integer({ min: 1, max: 4 }),
    jobs: fc.integer({ min: 1, max: 6 }),
    threaded: fc.boolean(),
    seed: fc.integer(),
  })
  .map(({ needles, jobs, threaded, seed }) => {
    const chance = seededChance(seed);
    const some = () => shuffled([1, 2, 3, 4, 5, 6, 7, 8], chance).slice(0, chance.below(needles + 1));
    return lineOf(
      Array.from({ length: jobs }, some),
      needles,
      threaded ? shuffled([1, 2, 3, 4, 5, 6], chance).slice(0, needles) : [],
    );
  });

it("proves what trying every order finds, and the search finds it", () => {
  fc.assert(
    fc.property(shop, (line) => {
      const counter = createCounter(line);
      const jobs = [...Array(line.jobs).keys()];
      let least = Infinity;
      for (const order of allOrders(jobs)) least = Math.min(least, counter.count(Int32Array.from(order)));
      const exact = exactCount(line, 1e6);
      expect([exact.atLeast, exact.proven]).toEqual([least, true]);
      expect(counter.count(exact.order!)).toBe(least);
      expect(exactCount(line, 1e6, least)).toEqual({ atLeast: least, proven: true, order: null });
      expect(exactCount(line, 2).atLeast).toBeLessThanOrEqual(least);
      expect(searchOrder(counter, startOrder(counter, Int32Array.from(jobs)), 3000, 1).bestCount).toBe(least);
    }),
    { numRuns: 400, seed: 3 },
  );
});

it("agrees with the shared worked examples that stand here in words", () => {
  // Three designs on two needles, 4; five designs of three colours from six on three needles, 7 (shared examples
  // "toy" and "5x6", found by three unrelated exact methods).
  const toy = [[1, 2], [2, 3], [3, 4]]; // prettier-ignore
  const five = [[1, 2, 4], [1, 3], [3, 4, 5], [2, 3, 5], [1, 4, 6]]; // prettier-ignore
  expect(exactCount(lineOf(toy, 2, []), 1000).atLeast).toBe(4);
  expect(exactCount(lineOf(five, 3, []), 1000)).toMatchObject({ atLeast: 7, proven: true });
});
