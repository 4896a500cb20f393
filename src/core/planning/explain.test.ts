import { expect, it } from "vitest";
import { explainPlan, type Plan, type Problem, solve } from "./index";
import { differences, inOrder, onMachine, replayOf } from "./elsewhere";
import { copyCandidate } from "./candidate";
import { job, machine, shop } from "./some-shops";

const late = (problem: Problem): { plan: Plan; said: ReadonlyMap<string, string> } => {
  const plan = solve(problem, { evaluations: 500 });
  return { plan, said: explainPlan(problem, plan).late };
};

it("says what a job's place would cost elsewhere, as decoding it there gives", () => {
  const problem = shop({
    machines: [
      machine("m1", { threaded: ["red", "sky", null] }),
      machine("m2", { threaded: ["gold", null, null] }),
    ],
    jobs: [job("a", ["red", "sky"]), job("b", ["red", "sky"]), job("c", ["gold"]), job("d", ["gold"])],
  });
  const plan = solve(problem, { evaluations: 1500 });
  expect(plan.totals.threadings).toBe(0);
  const { whys } = explainPlan(problem, plan);
  const first = plan.runs.find((run) => run.machine === "m1")!.job;
  // On m2 both its threads must be put on needles.
  expect(whys.get(first)).toMatch(/on m2 instead: 2 more threadings/);
  const gold = plan.runs.find((run) => run.machine === "m2")!.job;
  expect(whys.get(gold)).toMatch(/First on its machine, where its thread is on already; nothing is threaded/);
  expect(whys.get(gold)).toMatch(/on m1 instead: 1 more threading/);

  const replay = replayOf(problem, plan)!;
  const index = problem.jobs.findIndex((one) => one.id === first);
  const said = differences(replay).bestOf(onMachine(replay, index, 1))!;
  const costs = [...onMachine(replay, index, 1)].map((change) => {
    const trial = copyCandidate(replay.candidate);
    change(trial);
    return replay.decoder.decode(trial, Infinity).cost;
  });
  expect(said.cost).toBeCloseTo(Math.min(...costs) - plan.totals.cost, 6);
  expect(inOrder(replay, index, "sooner")).toBeNull();
});

it("tells a late piece that waits for hands from one that waits for its machine", () => {
  // One person, two machines: hooping and finishing by hand take longer than sewing.
  const hands = late(
    shop({
      machines: [
        machine("m1", { threaded: ["red", null, null] }),
        machine("m2", { threaded: ["red", null, null] }),
      ],
      hoops: [{ id: "round", count: 6 }],
      jobs: ["a", "b", "c", "d"].map((id) =>
        job(id, ["red"], { hoopS: 600, finishS: 600, dueAt: 3000, parts: [{ colour: "red", stitches: 70 }] }),
      ),
    }),
  );
  expect(hands.plan.totals.lateJobs).toBeGreaterThan(0);
  for (const words of hands.said.values()) expect(words).toMatch(/^It waits for hands: .* (on time|only)\.$/);

  // Three people, one machine that sews half an hour a piece.
  const busy = late(
    shop({
      hands: ["ann", "ben", "cat"].map((id) => ({ id, shifts: [[0, 30_000]] })),
      hoops: [{ id: "round", count: 6 }],
      machines: [machine("m1", { threaded: ["red", null, null] })],
      jobs: ["a", "b", "c"].map((id) =>
        job(id, ["red"], { dueAt: 4000, parts: [{ colour: "red", stitches: 21_000 }] }),
      ),
    }),
  );
  expect([...busy.said.values()].some((words) => /^It waits for m1, which sews/.test(words))).toBe(true);
});

it("tells a frame, a release, the hours, a down machine and too much work apart", () => {
  const long = { parts: [{ colour: "red", stitches: 14_000 }], finishS: 30 };
  const people = ["ann", "ben", "cat"].map((id) => ({ id, shifts: [[0, 30_000]] as [number, number][] }));
  const red = (id: string, more = {}) => machine(id, { threaded: ["red", null, null], ...more });
  const frame = late(
    shop({
      hands: people,
      hoops: [{ id: "round", count: 1 }],
      machines: [red("m1"), red("m2")],
      jobs: [job("a", ["red"], { ...long, dueAt: 1800 }), job("b", ["red"], { ...long, dueAt: 1800 })],
    }),
  );
  expect([...frame.said.values()]).toEqual([
    expect.stringMatching(/^It waits for a frame round: with more of them/),
  ]);

  const release = late(
    shop({
      hands: people,
      machines: [red("m1")],
      jobs: [job("a", ["red"], { ...long, releaseAt: 3000, dueAt: 3000 })],
    }),
  );
  expect(release.said.get("a")).toMatch(/could not begin sooner|too long/);

  const hours = late(
    shop({
      hands: [{ id: "ann", shifts: [[0, 600], [7200, 20_000]] }], // prettier-ignore
      open: [[0, 20_000]],
      machines: [red("m1")],
      jobs: [job("a", ["red"], { ...long, dueAt: 2400 })],
    }),
  );
  expect(hours.said.get("a")).toMatch(/^The hours bind it: worked without a break/);

  const down = late(
    shop({
      hands: people,
      open: [[0, 30_000]],
      machines: [red("m1", { down: [[0, 3600]] })],
      jobs: [job("a", ["red"], { ...long, dueAt: 2400 })],
    }),
  );
  expect(down.said.get("a")).toMatch(/^m1 is away for a while before it: were it not, it would be on time/);

  const work = late(
    shop({ hands: people, machines: [red("m1")], jobs: [job("a", ["red"], { ...long, dueAt: 600 })] }),
  );
  expect(work.said.get("a")).toMatch(/^Its own work is too long/);
});
