import { expect, it } from "vitest";
import { seededChance } from "#core/base";
import {
  carefulTotals,
  checkPlan,
  movedJobs,
  type Plan,
  planAsSeen,
  type Problem,
  problemWhileRunning,
  replan,
  type RunningPiece,
  solve,
  withFramesAsTheyAre,
} from "./index";
import { after, happenings, onFloor, standingAt } from "./some-day";
import { anyProblem, job, machine, shop } from "./some-shops";

const faultsOf = (problem: Problem, plan: Plan) =>
  checkPlan(problem, plan).findings.map((finding) => finding.message);

const day = (more: Partial<Problem> = {}): Problem =>
  shop({
    hands: ["ann", "ben"].map((id) => ({ id, shifts: [[0, 14_400], [16_200, 30_600]] })), // prettier-ignore
    hoops: [{ id: "round", count: 4 }],
    machines: [
      machine("m1", { threaded: ["red", null, "sky"] }),
      machine("m2", { loadS: 50 }),
      machine("m3"),
    ],
    jobs: ["a", "b", "c", "d", "e", "f"].map((id, at) =>
      job(id, at % 2 ? ["red", "gold"] : ["sky", "mint", "red"]),
    ),
    ...more,
  });

it("lets what sews go on when the day is worked off as it came", () => {
  const sewing: RunningPiece = { job: "c", machine: "m1", hoop: "round/3", sewnParts: 3, stretchEndsAt: 700 };
  const start = day({ cost: { perLateMinute: 1, perThreading: 1, perMidStop: 1, perFinishMinute: 1 } });
  const [a, b, c, ...others] = start.jobs;
  // All others are due sooner than the piece that sews, and late as it is.
  const jobs = [a!, b!, ...others].map((one) => ({ ...one, dueAt: 0, weight: 0 }));
  const { problem, first } = problemWhileRunning({ ...start, jobs: [...jobs, { ...c!, dueAt: 1000 }] }, [
    sewing,
  ]);
  expect(carefulTotals(problem, { running: first }).cost).toBeLessThan(carefulTotals(problem).cost);
  expect(carefulTotals(problem, { running: first }).lateJobs).toBe(carefulTotals(problem).lateJobs - 1);
});

it("lets what sews go on to its end and plans the rest of its run", () => {
  const running: RunningPiece[] = [
    { job: "c", machine: "m1", hoop: "round/3", sewnParts: 3, stretchEndsAt: 700 },
    { job: "d", machine: "m2", hoop: "round/1", sewnParts: 2, stretchEndsAt: 95 },
  ];
  const { problem, first, shiftS } = problemWhileRunning(day(), running);
  const solved = solve(problem, { evaluations: 400, wishes: { first } });
  const plan = withFramesAsTheyAre(solved, running);
  expect(faultsOf(problem, plan)).toEqual([]);
  for (const piece of running) {
    const run = plan.runs.find((one) => one.job === piece.job)!;
    expect(run.machine).toBe(piece.machine);
    expect(run.hoop).toBe(piece.hoop);
    expect(run.stretches).toHaveLength(1);
    expect(run.stretches[0]).toMatchObject({ start: shiftS, end: shiftS + piece.stretchEndsAt });
    const own = plan.tasks.filter((task) => task.job === piece.job);
    expect(own.filter((task) => shiftS <= task.start).map((task) => task.do)).toEqual([
      "unload",
      "unhoop",
      "finish",
    ]);
  }
  // Nothing else is done before the start.
  for (const task of plan.tasks) {
    if (!running.some((piece) => piece.job === task.job)) expect(task.start).toBeGreaterThanOrEqual(shiftS);
  }
});

it("threads what is still to come of a running piece at its stop", () => {
  const parts = ["red", "sky", "gold", "mint", "plum"].map((colour) => ({ colour, stitches: 700 }));
  const running = [{ job: "a", machine: "m1", hoop: "round/2", sewnParts: 3, stretchEndsAt: 40 }];
  const given = day({
    jobs: [job("a", [], { parts }), job("b", ["red"])],
    machines: [machine("m1", { threaded: ["red", "sky", "gold"] })],
  });
  const { problem, first, shiftS } = problemWhileRunning(given, running);
  const plan = solve(problem, { evaluations: 300, wishes: { first } });
  expect(faultsOf(problem, plan)).toEqual([]);
  const run = plan.runs.find((one) => one.job === "a")!;
  // Two changes of colour, 8 s each, may be missing from the present stretch.
  expect(run.stretches[0]!.end - shiftS).toBeLessThanOrEqual(40);
  expect(run.stretches[0]!.end - shiftS).toBeGreaterThanOrEqual(40 - 16);
  expect(run.stretches[0]!.start).toBeLessThanOrEqual(shiftS);
  expect(
    plan.tasks
      .filter((task) => task.do === "thread" && task.job === "a")
      .map((task) => task.colour)
      .sort(),
  ).toEqual(["mint", "plum"]);
});

it("shows a plan with running pieces in the studio's own terms", () => {
  const parts = ["red", "sky", "gold", "mint", "plum"].map((colour) => ({ colour, stitches: 700 }));
  const running = [
    { job: "a", machine: "m1", hoop: "round/2", sewnParts: 3, stretchEndsAt: 40, begunAt: -150 },
  ];
  const given = day({
    jobs: [job("a", [], { parts }), job("b", ["red"])],
    machines: [machine("m1", { threaded: ["red", "sky", "gold"] })],
  });
  const { problem, first, shiftS } = problemWhileRunning(given, running);
  const solved = withFramesAsTheyAre(solve(problem, { evaluations: 300, wishes: { begun: first } }), running);
  const seen = planAsSeen(given, running, shiftS, solved);
  const run = seen.runs.find((one) => one.job === "a")!;
  expect(run.hoop).toBe("round/2");
  expect(run.needles).toHaveLength(5);
  expect(run.needles.slice(0, 3)).toEqual([1, 2, 3]);
  expect(run.stretches[0]).toMatchObject({ from: 0, to: 2, start: -150 });
  expect(run.stretches.slice(1).at(-1)!.to).toBe(4);
  const hands = new Set(given.hands.map((hand) => hand.id));
  expect(seen.tasks.every((task) => hands.has(task.hand) && task.end > 0)).toBe(true);
  expect(seen.tasks.filter((task) => task.job === "a").map((task) => task.do)).not.toContain("load");
  expect(seen.totals.finishAt).toBe(Math.max(...seen.tasks.map((task) => task.end)));
});

it("leaves a problem as it is when nothing runs, and takes no two pieces on one machine", () => {
  expect(problemWhileRunning(day(), []).problem).toEqual(day());
  const piece = { job: "a", machine: "m1", hoop: null, sewnParts: 1, stretchEndsAt: 5 };
  expect(() => problemWhileRunning(day(), [piece, { ...piece, job: "b" }])).toThrow("one running piece");
});

it("keeps every rule through a day of 200 events, and moves little", () => {
  const chance = seededChance(20_26);
  const colours = ["red", "gold", "mint", "sky", "plum", "navy", "sand"];
  let jobs = 0;
  const anyJob = () =>
    job(
      `j${jobs++}`,
      Array.from({ length: 1 + chance.below(5) }, () => colours[chance.below(colours.length)]!),
      { dueAt: 6000 + chance.below(24_000) },
    );
  let problem: Problem = day({
    jobs: Array.from({ length: 24 }, anyJob),
    chores: [{ id: "oil", machine: "m1", seconds: 240, releaseAt: 9000, dueAt: 20_000, weight: 1 }],
    hands: ["ann", "ben"].map((id) => ({ id, shifts: [[0, 200_000]] })),
    open: [[0, 200_000]],
  });
  let plan = solve(problem, { evaluations: 600 });
  let moved = 0;
  let jobsSeen = 0;
  for (let event = 0; event < 200; event++) {
    const standing = standingAt(problem, plan, 30 + chance.below(400));
    const what =
      standing.problem.jobs.length < 12 ? "rush order" : happenings[chance.below(happenings.length)]!;
    const floor = after(what, standing, chance, anyJob);
    const begun = problemWhileRunning(floor.problem, floor.running);
    const again = replan(
      begun.problem,
      { begun: begun.first, previous: plan },
      { seed: event, evaluations: event % 4 === 0 ? 200 : 60 },
    );
    expect(faultsOf(begun.problem, again), `${event} ${what}`).toEqual([]);
    for (const piece of floor.running) {
      const run = again.runs.find((one) => one.job === piece.job)!;
      expect(run.stretches[0]!.start).toBeLessThanOrEqual(begun.shiftS);
      expect(run.stretches[0]!.end).toBeGreaterThanOrEqual(begun.shiftS + piece.stretchEndsAt - 16);
      expect(run.machine).toBe(piece.machine);
    }
    expect(again.solver["moved"]).toBe(movedJobs(plan, again.runs));
    moved += Number(again.solver["moved"]);
    jobsSeen += again.runs.length;
    ({ problem, plan } = onFloor(floor, begun, again));
  }
  expect(moved).toBeGreaterThan(0);
  // Under one in ten pieces an event.
  expect(moved).toBeLessThan(jobsSeen / 10);
}, 240_000);

it("moves nothing when nothing happens", () => {
  for (let seed = 0; seed < 12; seed++) {
    const problem = anyProblem(seededChance(70_000 + seed));
    const plan = solve(problem, { seed, evaluations: 3000 });
    const again = replan(problem, { previous: plan }, { seed, evaluations: 400 });
    // What it moves all the same must have saved more than it is worth.
    const worth =
      0.25 * (problem.cost.perThreading + problem.cost.perFinishMinute + 0.1 * problem.cost.perLateMinute);
    const saved =
      plan.totals.cost - again.totals.cost + 1e7 * (plan.unplanned.length - again.unplanned.length);
    expect(saved).toBeGreaterThanOrEqual(Number(again.solver["moved"]) * worth - 0.05);
    expect(replan(problem, { previous: again }, { evaluations: 1 }).solver["moved"]).toBe(0);
  }
});
