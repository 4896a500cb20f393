import { describe, expect, it } from "vitest";
import { seededChance } from "#core/base";
import { type Plan, type Problem, solve } from "#core/planning";
import { certain, compileShop, followPlan, play, type Told } from ".";
import { CHORE, FINISH, HOOP, LOAD, THREAD, UNHOOP, UNLOAD } from "./floor";
import { someDay } from "./some-shops";

const words = new Map([
  [HOOP, "hoop"],
  [THREAD, "thread"],
  [LOAD, "load"],
  [UNLOAD, "unload"],
  [UNHOOP, "unhoop"],
  [FINISH, "finish"],
  [CHORE, "chore"],
]);

/** Every task and stretch with its start and end, in one order. */
function played(problem: Problem, plan: Plan): string[] {
  const steps: Told[] = [];
  const compiled = compileShop({ problem, chances: certain, care: [] });
  play(compiled, { seed: 1, tell: (step) => steps.push(step) }, followPlan(plan));
  return steps
    .map(({ what, kind, item, hand, start, end }) => {
      const of = kind === CHORE ? problem.chores[item]!.id : problem.jobs[item]!.id;
      return what === "sewing"
        ? `sew ${of} ${start} ${end}`
        : `${words.get(kind)} ${of} ${problem.hands[hand]!.id} ${start} ${end}`;
    })
    .sort();
}

const planned = (plan: Plan): string[] =>
  [
    ...plan.tasks.map(
      (task) => `${task.do} ${task.job ?? task.chore} ${task.hand} ${task.start} ${task.end}`,
    ),
    ...plan.runs.flatMap((run) => run.stretches.map(({ start, end }) => `sew ${run.job} ${start} ${end}`)),
  ].sort();

describe("a day in which nothing is left to chance", () => {
  it("is the planner's schedule to the second", () => {
    const chance = seededChance(20);
    for (let day = 0; day < 25; day++) {
      const problem = someDay(chance);
      const plan = solve(problem, { evaluations: 60, seed: day, bounds: "quick" });
      expect(plan.unplanned).toEqual([]);
      expect(played(problem, plan)).toEqual(planned(plan));
    }
  });
});
