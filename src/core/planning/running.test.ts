import { expect, it } from "vitest";
import { seededChance } from "#core/base";
import {
  checkPlan,
  type Plan,
  type Problem,
  problemWhileRunning,
  type RunningPiece,
  solve,
  withFramesAsTheyAre,
} from "./index";
import { job, machine, shop } from "./some-shops";

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

it("leaves a problem as it is when nothing runs, and takes no two pieces on one machine", () => {
  expect(problemWhileRunning(day(), []).problem).toEqual(day());
  const piece = { job: "a", machine: "m1", hoop: null, sewnParts: 1, stretchEndsAt: 5 };
  expect(() => problemWhileRunning(day(), [piece, { ...piece, job: "b" }])).toThrow("one running piece");
});

/** What the floor knows at a time of a plan that is carried out as it stands, and what is left to plan then. */
function standingAt(
  problem: Problem,
  plan: Plan,
  nowS: number,
): { problem: Problem; running: RunningPiece[] } {
  const ended = (id: string, what: string) =>
    plan.tasks.some((task) => task.job === id && task.do === what && task.end <= nowS);
  const begun = (id: string, what: string) =>
    plan.tasks.some((task) => task.job === id && task.do === what && task.start < nowS);
  const running: RunningPiece[] = [];
  for (const run of plan.runs) {
    if (!begun(run.job, "load") || ended(run.job, "unload")) continue;
    const stretch = run.stretches.filter((one) => one.start <= nowS).at(-1) ?? run.stretches[0]!;
    running.push({
      job: run.job,
      machine: run.machine,
      hoop: run.hoop,
      sewnParts: stretch.to + 1,
      stretchEndsAt: Math.max(0, stretch.end - nowS),
    });
  }
  const back = (intervals: readonly (readonly [number, number])[]) =>
    intervals.map(([from, to]) => [Math.max(0, from - nowS), to - nowS] as const).filter(([, to]) => to > 0);
  const machines = problem.machines.map((own) => {
    const threaded = [...own.threaded];
    for (const task of plan.tasks)
      if (task.do === "thread" && task.machine === own.id && task.end <= nowS)
        threaded[task.needle! - 1] = task.colour!;
    return { ...own, threaded, down: back(own.down) };
  });
  const later = <T extends { releaseAt: number; dueAt: number | null }>(one: T): T => ({
    ...one,
    releaseAt: Math.max(0, one.releaseAt - nowS),
    dueAt: one.dueAt === null ? null : one.dueAt - nowS,
  });
  return {
    running,
    problem: {
      ...problem,
      machines,
      hands: problem.hands.map((hand) => ({ ...hand, shifts: back(hand.shifts) })),
      open: back(problem.open),
      jobs: problem.jobs.filter((one) => !ended(one.id, "unload")).map(later),
      chores: problem.chores
        .filter((one) => !plan.tasks.some((task) => task.chore === one.id && task.start < nowS))
        .map(later),
    },
  };
}

it("keeps every rule through a day of 200 events", () => {
  const chance = seededChance(20_26);
  const colours = ["red", "gold", "mint", "sky", "plum", "navy", "sand"];
  const anyJob = (id: string) =>
    job(
      id,
      Array.from({ length: 1 + chance.below(5) }, () => colours[chance.below(colours.length)]!),
      { dueAt: 6000 + chance.below(24_000) },
    );
  let problem: Problem = day({
    jobs: Array.from({ length: 24 }, (_, j) => anyJob(`j${j}`)),
    chores: [{ id: "oil", machine: "m1", seconds: 240, releaseAt: 9000, dueAt: 20_000, weight: 1 }],
    hands: ["ann", "ben"].map((id) => ({ id, shifts: [[0, 200_000]] })),
    open: [[0, 200_000]],
  });
  let plan = solve(problem, { evaluations: 600 });
  let moved = 0;
  for (let event = 0; event < 200; event++) {
    const standing = standingAt(problem, plan, 30 + chance.below(400));
    problem = standing.problem;
    const idle = problem.machines.filter(
      (own) => !standing.running.some((piece) => piece.machine === own.id),
    );
    const kind = chance.below(6);
    if (kind === 0 || problem.jobs.length < 8)
      problem = { ...problem, jobs: [...problem.jobs, anyJob(`rush ${event}`)] };
    else if (kind === 1 && idle.length > 0) {
      const stopped = idle[chance.below(idle.length)]!.id;
      problem = {
        ...problem,
        machines: problem.machines.map((own) => (own.id === stopped ? { ...own, down: [[0, 3600]] } : own)),
      };
    } else if (kind === 2) {
      const gone = problem.hands[chance.below(2)]!.id;
      problem = {
        ...problem,
        hands: problem.hands.map((hand) =>
          hand.id === gone ? { ...hand, shifts: [[2400, hand.shifts.at(-1)![1]]] } : hand,
        ),
      };
    } else if (kind === 3) {
      // A piece is spoiled: it is sewn from the beginning, in a frame of its own choosing.
      const piece = standing.running.pop();
      if (piece)
        problem = {
          ...problem,
          jobs: problem.jobs.map((one) => (one.id === piece.job ? { ...one, id: `${one.id} again` } : one)),
        };
    } else if (kind === 4)
      standing.running.forEach(
        (piece, at) =>
          (standing.running[at] = { ...piece, stretchEndsAt: Math.round(piece.stretchEndsAt * 1.3) }),
      );
    const known = plan;
    const begun = problemWhileRunning(problem, standing.running);
    plan = solve(begun.problem, {
      seed: event,
      evaluations: event % 4 === 0 ? 60 : 1,
      bounds: "quick",
      wishes: { first: begun.first, previous: known },
    });
    expect(faultsOf(begun.problem, plan)).toEqual([]);
    for (const piece of standing.running) {
      const run = plan.runs.find((one) => one.job === piece.job)!;
      expect(run.stretches[0]!.start).toBeLessThanOrEqual(begun.shiftS);
      expect(run.stretches[0]!.end).toBeGreaterThanOrEqual(begun.shiftS + piece.stretchEndsAt - 16);
      expect(run.machine).toBe(piece.machine);
    }
    moved += Number(plan.solver["moved"]);
    // The floor's clock: the plan and the problem without what was before.
    const cut = -begun.shiftS;
    plan = {
      ...plan,
      runs: plan.runs.map((run) => ({
        ...run,
        stretches: run.stretches.map((one) => ({ ...one, start: one.start + cut, end: one.end + cut })),
      })),
      tasks: plan.tasks.map((task) => ({ ...task, start: task.start + cut, end: task.end + cut })),
    };
    const runs = new Map(
      standing.running.map((piece) => [piece.job, begun.problem.jobs.find((one) => one.id === piece.job)!]),
    );
    problem = {
      ...problem,
      jobs: problem.jobs.map((one) =>
        runs.has(one.id) ? { ...one, parts: runs.get(one.id)!.parts, trims: runs.get(one.id)!.trims } : one,
      ),
    };
  }
  expect(moved).toBeGreaterThan(0);
}, 240_000);
