import { expect, it } from "vitest";
import { seededChance, shuffled } from "#core/base";
import { createBench, evaluate } from "../bench";
import { job, machine, shop } from "../some-shops";
import { greedyCandidates } from "../starts";
import { polish } from "./polish";

it("leaves jobs on their machines, makes nothing worse, and often saves", () => {
  let saved = 0;
  for (let seed = 1; seed <= 40; seed++) {
    const chance = seededChance(seed);
    const colours = ["a", "b", "c", "d", "e", "f", "g", "h"];
    const some = () => shuffled(colours, chance).slice(0, 1 + chance.below(3));
    const problem = shop({
      machines: [machine("m1"), machine("m2", { needles: 4, threaded: ["a", null, null, null] })],
      jobs: Array.from({ length: 14 }, (_, j) =>
        job(`j${j}`, some(), { dueAt: 3600 * (1 + chance.below(8)) }),
      ),
    });
    const bench = createBench(problem);
    const candidate = greedyCandidates(bench.compiled)[0]!;
    const score = evaluate(bench, candidate, Infinity);
    const judge = (one: typeof candidate, limit: number) => evaluate(bench, one, limit);
    const done = polish(bench.compiled, { candidate, score }, 30, judge);
    expect(done.score).toBeLessThanOrEqual(score);
    expect([...done.candidate.order].sort()).toEqual([...candidate.order].sort());
    expect(done.candidate.machine).toEqual(candidate.machine);
    expect(evaluate(bench, done.candidate, Infinity)).toBeCloseTo(done.score, 6);
    expect(done.evaluations).toBeLessThanOrEqual(40);
    if (done.score < score) saved++;
  }
  expect(saved).toBeGreaterThan(5);
});
