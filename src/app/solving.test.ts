import { expect, it } from "vitest";
import { checkPlan, planBounds, type Problem, solve } from "#core/planning";
import { seededDay } from "../../bench/quality/seeded-day";
import { solveInWorkers } from "./solving";

const day = seededDay({ jobs: 14, machines: 2, hands: 1, seed: 4 });

it("finds on two threads the plan that one finds in as many evaluations", async () => {
  const alone = solve(day, { seed: 5, evaluations: 6000 });
  const together = await solveInWorkers(day, { seconds: 120, seed: 5, threads: 2, evaluations: 6000 });
  expect({ ...together, solver: null }).toEqual({ ...alone, solver: null });
  expect(together.solver.evaluations).toBe(alone.solver.evaluations);
});

it("proves more beside a longer search than the bounds alone do, and nothing that a plan breaks", async () => {
  const hard = seededDay({ jobs: 20, machines: 3, hands: 2, seed: 1 });
  const plan = await solveInWorkers(hard, { seconds: 6, seed: 1, threads: 1 });
  const { cost } = planBounds(hard, plan);
  expect(plan.unplanned).toEqual([]);
  expect(plan.bounds.cost).toBeGreaterThan(cost + 0.01);
  expect(plan.bounds.cost).toBeLessThanOrEqual(plan.totals.cost + 1e-9);
});

it("answers with the best so far when it is stopped", async () => {
  const stopping = new AbortController();
  const plan = await solveInWorkers(day, {
    seconds: 600,
    seed: 1,
    threads: 1,
    signal: stopping.signal,
    onProgress: () => stopping.abort(),
  });
  expect(checkPlan(day, plan).findings).toEqual([]);
  expect(plan.runs).toHaveLength(14);
});

it("throws what broke the thread when no plan was told of", async () => {
  const broken = { ...day, jobs: null } as unknown as Problem;
  await expect(solveInWorkers(broken, { seconds: 5, seed: 1, threads: 1 })).rejects.toThrow();
});
