import fc from "fast-check";
import { expect, it } from "vitest";
import { createTardyKernel } from "./tardiness";

/** The least weighted tardiness over all orders, by sets of jobs done (M. Held, R. M. Karp 1962). */
function byAllOrders(seconds: readonly number[], weight: readonly number[], due: readonly number[]): number {
  const n = seconds.length;
  const least = new Float64Array(1 << n).fill(Infinity);
  least[0] = 0;
  for (let done = 0; done < 1 << n; done++) {
    const clock = seconds.reduce((sum, s, j) => (done & (1 << j) ? sum + s : sum), 0);
    for (let j = 0; j < n; j++) {
      if (done & (1 << j)) continue;
      const cost = least[done]! + weight[j]! * Math.max(0, clock + seconds[j]! - due[j]!);
      const next = done | (1 << j);
      if (cost < least[next]!) least[next] = cost;
    }
  }
  return least[(1 << n) - 1]!;
}

it("finds the least weighted tardiness of up to nine jobs", () => {
  const job = fc.record({
    seconds: fc.integer({ min: 1, max: 100 }),
    weight: fc.integer({ min: 1, max: 10 }),
    due: fc.integer({ min: 0, max: 300 }),
  });
  fc.assert(
    fc.property(fc.array(job, { minLength: 1, maxLength: 9 }), (jobs) => {
      const seconds = jobs.map((own) => own.seconds);
      const weight = jobs.map((own) => own.weight);
      const due = jobs.map((own) => own.due);
      const kernel = createTardyKernel({
        seconds: Float64Array.from(seconds),
        weight: Float64Array.from(weight),
        due: Float64Array.from(due),
      });
      const found = kernel.search(kernel.start(Int32Array.from(jobs.keys())), 300, 1);
      expect(found.bestTardiness).toBe(byAllOrders(seconds, weight, due));
      expect(kernel.tardiness(found.best)).toBe(found.bestTardiness);
    }),
    { numRuns: 300, seed: 5 },
  );
});
