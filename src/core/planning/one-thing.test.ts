import { expect, it } from "vitest";
import { seededChance } from "#core/base";
import { checkPlan, explainPlan, type OneThing, type Plan, type Problem, replan, solve } from "./index";
import { createDecoder } from "./decode";
import { compile } from "./compile";
import { newCandidate } from "./candidate";
import { anyProblem, job, machine, shop } from "./some-shops";

/** From hooping to the end of finishing, per job. */
function spansOf(plan: Plan): Map<string, [number, number]> {
  const spans = new Map<string, [number, number]>();
  for (const { job, do: kind, start, end } of plan.tasks) {
    if (job === undefined || kind === "thread") continue;
    const [from, to] = spans.get(job) ?? [start, end];
    spans.set(job, [Math.min(from, start), Math.max(to, end)]);
  }
  return spans;
}

function expectApart(plan: Plan, oneThing: OneThing): void {
  const spans = spansOf(plan);
  for (const jobs of oneThing) {
    const placed = jobs.flatMap((id) => (spans.has(id) ? [spans.get(id)!] : [])).sort((a, b) => a[0] - b[0]);
    for (let at = 1; at < placed.length; at++)
      expect(placed[at]![0]).toBeGreaterThanOrEqual(placed[at - 1]![1]);
  }
}

/** Jobs of a problem in lists of two or three. */
function listsOf(problem: Problem, size: number): string[][] {
  const ids = problem.jobs.map((one) => one.id);
  return Array.from({ length: Math.floor(ids.length / size) }, (_, at) =>
    ids.slice(size * at, size * at + size),
  );
}

/** A robe with a name on the back and a badge on the chest, on two free machines. */
const robe = shop({
  hands: [
    { id: "ann", shifts: [[0, 30_600]] },
    { id: "bob", shifts: [[0, 30_600]] },
  ],
  machines: [machine("m1"), machine("m2")],
  hoops: [{ id: "round", count: 4 }],
  jobs: [job("back", ["red"], { machines: ["m1"] }), job("chest", ["red"], { machines: ["m2"] })],
});
const oneRobe: OneThing = [["back", "chest"]];

it("has a thing in one frame at a time, in any shop, and the plan stays right and repeatable", () => {
  const chance = seededChance(31);
  let shared = 0;
  for (let n = 0; n < 150; n++) {
    const problem = anyProblem(chance);
    const oneThing = listsOf(problem, 2 + (n % 2));
    const wishes = { oneThing };
    const plan = solve(problem, { evaluations: 120, seed: n, wishes });
    expect(checkPlan(problem, plan).findings).toEqual([]);
    expectApart(plan, oneThing);
    const followed = replan(problem, { ...wishes, previous: plan }, { evaluations: 60 });
    expect(checkPlan(problem, followed).findings).toEqual([]);
    expectApart(followed, oneThing);
    expect(followed.totals.cost).toBeLessThanOrEqual(plan.totals.cost + 1e-6 + 1e9 * plan.unplanned.length);
    if (oneThing.some((jobs) => plan.runs.filter((run) => jobs.includes(run.job)).length > 1)) shared++;
  }
  expect(shared).toBeGreaterThan(30);
});

it("goes on from a kept state to the same day as from the beginning", () => {
  const chance = seededChance(32);
  for (let n = 0; n < 60; n++) {
    const problem = anyProblem(chance);
    const compiled = compile(problem, listsOf(problem, 2));
    if (compiled.doable.length < 3) continue;
    const [again, anew] = [createDecoder(compiled), createDecoder(compiled)];
    const candidate = newCandidate(compiled, compiled.doable);
    for (let step = 0; step < 40; step++) {
      const { order } = candidate;
      const [a, b] = [chance.below(order.length), chance.below(order.length)];
      [order[a], order[b]] = [order[b]!, order[a]!];
      const job = chance.below(compiled.jobs || 1);
      if (compiled.jobs > 0) candidate.patience[job] = chance.below(4);
      const { score } = again.decodeAgain(candidate, Infinity);
      expect(score).toBeCloseTo(anew.decode(candidate, Infinity).score, 6);
      again.keep(candidate);
    }
  }
});

it("sews two placements of a robe one after the other, though two machines are free", () => {
  const apart = spansOf(solve(robe, { evaluations: 400, wishes: { oneThing: oneRobe } }));
  const [first, second] = [...apart.values()].sort((a, b) => a[0] - b[0]);
  expect(second![0]).toBeGreaterThanOrEqual(first![1]);
  // Two robes with one placement each are hooped at once.
  const beside = [...spansOf(solve(robe, { evaluations: 400 })).values()].sort((a, b) => a[0] - b[0]);
  expect(beside[1]![0]).toBeLessThan(beside[0]![1]);
});

it("says that a late placement waits for its piece", () => {
  const problem = {
    ...robe,
    jobs: robe.jobs.map((one) => ({ ...one, dueAt: 480 })),
  };
  const plan = solve(problem, { evaluations: 400, wishes: { oneThing: oneRobe } });
  expect(plan.totals.lateJobs).toBe(1);
  const { late } = explainPlan(problem, plan, { oneThing: oneRobe });
  expect([...late.values()]).toEqual([
    "It waits until its piece is out of another hoop: with the piece at hand it would be on time.",
  ]);
});
