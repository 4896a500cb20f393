import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { seededChance } from "#core/base";
import {
  carefulPerson,
  checkPlan,
  describePlan,
  explainJob,
  createBench,
  firstPlan,
  type Plan,
  type Problem,
  solve,
} from "./index";
import { anyProblem, job, machine, shop } from "./some-shops";

const faultsOf = (problem: Problem, plan: Plan) =>
  checkPlan(problem, plan).findings.map((finding) => finding.message);

/** The fields a problem may leave out, filled in. */
function filled(raw: Problem): Problem {
  return {
    ...raw,
    machines: raw.machines.map((one) => ({ ...one, fixed: one.fixed ?? [], down: one.down ?? [] })),
    jobs: raw.jobs.map((one) => ({ ...one, machines: one.machines ?? null })),
  };
}

it("keeps every rule on whatever shop it is given, and no bound lies above the plan", () => {
  fc.assert(
    fc.property(fc.integer({ min: 0, max: 2 ** 31 - 1 }), (seed) => {
      const problem = anyProblem(seededChance(seed));
      const plan = solve(problem, { seed, evaluations: 400 });
      expect(faultsOf(problem, plan)).toEqual([]);
      expect(faultsOf(problem, carefulPerson(problem))).toEqual([]);
    }),
    { numRuns: 400, seed: 11 },
  );
}, 240_000);

it("has a first plan at once that keeps every rule, also from a plan people know", () => {
  for (let seed = 0; seed < 60; seed++) {
    const problem = anyProblem(seededChance(seed));
    const first = firstPlan(createBench(problem));
    expect(faultsOf(problem, first)).toEqual([]);
    expect(faultsOf(problem, firstPlan(createBench(problem, { previous: first })))).toEqual([]);
  }
});

it("proves nothing that a plan made for another end breaks", () => {
  // The same shop planned for fewest threadings, for the earliest end, for least lateness: each against all bounds.
  const none = { perLateMinute: 0, perThreading: 0, perMidStop: 0, perFinishMinute: 0 };
  const leftOut = (plan: Plan) =>
    JSON.stringify(plan.unplanned.map((entry) => entry.job ?? entry.chore).sort());
  for (let seed = 0; seed < 40; seed++) {
    const problem = anyProblem(seededChance(990_000 + seed));
    const costs = [
      problem.cost,
      { ...none, perThreading: 1 },
      { ...none, perFinishMinute: 1 },
      { ...none, perLateMinute: 1 },
    ];
    const plans = costs.map((own) => solve({ ...problem, cost: own }, { seed, evaluations: 300 }));
    for (const [index, { bounds, ...plan }] of plans.entries()) {
      for (const other of plans.filter((one) => leftOut(one) === leftOut({ bounds, ...plan }))) {
        expect(bounds.threadings).toBeLessThanOrEqual(other.totals.threadings);
        expect(bounds.finishAt).toBeLessThanOrEqual(other.totals.finishAt);
        const { totals } = checkPlan({ ...problem, cost: costs[index]! }, other);
        expect(bounds.cost).toBeLessThanOrEqual(totals.cost + 1e-6);
      }
    }
  }
});

it("gives the same plan for the same seed and number of evaluations", () => {
  const problem = anyProblem(seededChance(5));
  expect(solve(problem, { seed: 3, evaluations: 900 })).toEqual(
    solve(problem, { seed: 3, evaluations: 900 }),
  );
});

it("finds the order that spares threadings", () => {
  // Two colour families in turn on two needles: sorted by family 4 threadings do, in the order given 8.
  const problem = shop({
    machines: [machine("m1", { needles: 2, threaded: [null, null] })],
    jobs: [
      job("a", ["red", "sky"]),
      job("b", ["gold", "mint"]),
      job("c", ["red", "sky"]),
      job("d", ["gold", "mint"]),
    ],
  });
  expect(solve(problem, { evaluations: 1500 }).totals.threadings).toBe(4);
});

it("hoops the next piece while the machine sews", () => {
  const plan = solve(shop({ jobs: [job("a", ["red"]), job("b", ["red"])] }), { evaluations: 300 });
  const [first, second] = plan.runs;
  const hooped = plan.tasks.find((task) => task.do === "hoop" && task.job === second!.job)!;
  expect(hooped.start).toBeLessThan(first!.stretches[0]!.end);
});

it("never uses a frame for two pieces at once", () => {
  const jobs = ["a", "b", "c", "d"].map((id) => job(id, ["red"]));
  const problem = shop({
    hoops: [{ id: "round", count: 1 }],
    machines: [machine("m1"), machine("m2")],
    jobs,
  });
  const plan = solve(problem, { evaluations: 400 });
  expect(faultsOf(problem, plan)).toEqual([]);
  expect(new Set(plan.runs.map((run) => run.hoop))).toEqual(new Set(["round/1"]));
});

it("sews what is pulled first before all else on its machine", () => {
  const jobs = ["a", "b", "c", "d", "e"].map((id, at) =>
    job(id, at % 2 ? ["red"] : ["gold", "mint"], { dueAt: 2000 + 500 * at }),
  );
  const problem = shop({ jobs });
  const plan = solve(problem, { evaluations: 800, wishes: { first: ["e", "d"] } });
  expect(faultsOf(problem, plan)).toEqual([]);
  expect(
    plan.runs
      .slice(0, 2)
      .map((run) => run.job)
      .sort(),
  ).toEqual(["d", "e"]);
});

it("keeps people's plan among equals", () => {
  const jobs = ["a", "b", "c", "d", "e", "f"].map((id) => job(id, ["red"]));
  const problem = shop({ jobs, hoops: [{ id: "round", count: 6 }] });
  const known = solve(problem, { seed: 1, evaluations: 3000 });
  const again = solve(problem, { seed: 99, evaluations: 3000, wishes: { previous: known } });
  expect(again.totals.cost).toBeLessThanOrEqual(known.totals.cost);
  expect(again.runs.map((run) => run.job)).toEqual(known.runs.map((run) => run.job));
});

describe("what cannot be done is left out with its reason", () => {
  const why = (more: Partial<Problem>) =>
    solve(shop(more), { evaluations: 50 }).unplanned.map((entry) => entry.why);
  it("when the shop has no such frame", () => {
    expect(why({ jobs: [job("a", ["red"], { hoop: "giant" })] })).toEqual(["the shop has no frame giant"]);
  });
  it("when no machine takes the frame", () => {
    const hoops = [{ id: "cap", count: 1 }];
    expect(why({ hoops, jobs: [job("a", ["red"], { hoop: "cap" })] })).toEqual([
      "no machine can sew it: m1: does not take the frame cap",
    ]);
  });
  it("when no shift is long enough", () => {
    expect(why({ jobs: [job("a", ["red"], { hoopS: 20_000 })] })).toEqual([
      "hooping takes 20000 s and the longest shift has 14400 s",
    ]);
  });
  it("when a part sews longer than the shop is open", () => {
    const parts = [{ colour: "red", stitches: 700_000 }];
    expect(why({ jobs: [job("a", [], { parts })] })[0]).toContain(
      "sews longer than any open interval there (30600 s)",
    );
  });
  it("when all needles are fixed on other threads", () => {
    const machines = [machine("m1", { needles: 1, threaded: ["gold"], fixed: [1] })];
    expect(why({ machines, jobs: [job("a", ["red"])] })[0]).toContain(
      "all its needles are fixed and none holds red",
    );
  });
  it("when the shifts end before it could be done", () => {
    const jobs = ["a", "b", "c"].map((id) =>
      job(id, [], { parts: [{ colour: "red", stitches: 700 * 60 * 4 }] }),
    );
    const [only] = why({ jobs, hands: [{ id: "ann", shifts: [[0, 30_600]] }], open: [[0, 30_600]] });
    expect(only).toContain("does not fit into the shifts");
  });
});

it("cuts a design that sews longer than the shop is open at a stop for threading", () => {
  const parts = [0, 1].map((part) => ({ colour: part ? "gold" : "red", stitches: 700 * 60 * 5 }));
  const open: [number, number][] = [[0, 20_000], [20_000, 40_000]]; // prettier-ignore
  const problem = shop({
    open,
    hands: [{ id: "ann", shifts: [[0, 40_000]] }],
    jobs: [job("a", [], { parts })],
  });
  const plan = solve(problem, { evaluations: 50 });
  expect(faultsOf(problem, plan)).toEqual([]);
  expect(plan.runs[0]!.stretches).toHaveLength(2);
});

describe("the checker", () => {
  const problem = shop({
    machines: [machine("m1", { down: [[2000, 2600]] }), machine("m2")],
    jobs: ["a", "b", "c", "d"].map((id) => job(id, ["red", "gold"], { dueAt: 9000 })),
    chores: [{ id: "oil", machine: "m1", seconds: 240, releaseAt: 0, dueAt: null, weight: 1 }],
  });
  const sound = solve(problem, { evaluations: 300 });
  const codes = (broken: Partial<Plan>) =>
    new Set(checkPlan(problem, { ...sound, ...broken }).findings.map((finding) => finding.code));
  const withTask = (kind: string, change: (task: Plan["tasks"][number]) => Plan["tasks"][number]) => {
    const at = sound.tasks.findIndex((task) => task.do === kind);
    return { tasks: sound.tasks.map((task, index) => (index === at ? change(task) : task)) };
  };

  it("finds no fault in a sound plan", () => expect(faultsOf(problem, sound)).toEqual([]));
  it("sees a run that is missing", () =>
    expect(codes({ runs: sound.runs.slice(1) })).toContain("job-not-once"));
  it("sees a task outside the shifts", () =>
    expect(codes(withTask("finish", (task) => ({ ...task, start: 15_000, end: 15_090 })))).toContain(
      "outside-shift",
    ));
  it("sees two tasks of one hand at once", () =>
    expect(
      codes(
        withTask("finish", (task) => ({
          ...task,
          start: sound.tasks[0]!.start,
          end: sound.tasks[0]!.start + 90,
        })),
      ),
    ).toContain("hand-overlap"));
  it("sees a threading left out", () => {
    const at = sound.tasks.findIndex((task) => task.do === "thread");
    expect(codes({ tasks: sound.tasks.filter((_, index) => index !== at) })).toContain("wrong-colour");
  });
  it("sees a chore left out", () =>
    expect(codes({ tasks: sound.tasks.filter((task) => task.do !== "chore") })).toContain("chore-not-once"));
  it("sees a machine worked on while down", () =>
    expect(codes(withTask("chore", (task) => ({ ...task, start: 2100, end: 2340 })))).toContain(
      "while-down",
    ));
  it("sees a wrong frame", () =>
    expect(codes({ runs: sound.runs.map((run) => ({ ...run, hoop: "round/9" })) })).toContain("frame-wrong"));
  it("sees a frame used twice at once", () =>
    expect(codes({ runs: sound.runs.map((run) => ({ ...run, hoop: "round/1" })) })).toContain(
      "frame-overlap",
    ));
  it("sees a stretch of the wrong length", () => {
    const runs = sound.runs.map((run) => ({
      ...run,
      stretches: run.stretches.map((stretch) => ({ ...stretch, end: stretch.end + 1 })),
    }));
    expect(codes({ runs })).toContain("stretch-length");
  });
  it("sees untrue totals and broken bounds", () => {
    const seen = codes({ totals: { ...sound.totals, cost: 1 }, bounds: { ...sound.bounds, finishAt: 1e6 } });
    expect(seen).toContain("totals-untrue");
    expect(seen).toContain("bound-broken");
  });
});

it("says why a job stands where it stands, and the figures of the headline", () => {
  const problem = shop({
    machines: [machine("m1"), machine("m2", { hoops: [] })],
    jobs: [job("a", ["red", "gold"], { dueAt: 3000 }), job("b", ["red", "mint"], { dueAt: 9000 })],
  });
  const plan = solve(problem, { evaluations: 400 });
  const names = { jobs: new Map([["a", "Ola's robe"]]), machines: new Map([["m1", "Brisk"]]) };
  const said = explainJob(problem, plan, "b", { names });
  expect(said).toContain("Brisk is the only machine that takes its frame round");
  expect(said).toContain("Shares 1 of its 2 threads with Ola's robe before it");
  const headline = describePlan(problem, plan);
  expect(headline.late).toEqual([]);
  expect(headline.tightest?.id).toBe("a");
});

it("finds the best order of one machine by weighted tardiness, and its bound lies not above", () => {
  // Weighted tardiness on one machine: the optimum by trying all orders (sewing time alone, no handling).
  const chance = seededChance(21);
  for (let round = 0; round < 12; round++) {
    const times = Array.from({ length: 6 }, () => ({
      p: 1 + chance.below(100),
      w: 1 + chance.below(10),
      d: chance.below(250),
    }));
    const problem = shop({
      hands: [{ id: "ann", shifts: [[0, 5000]] }], open: [[0, 5000]],
      machines: [machine("m1", { threaded: ["red", null, null], stitchesPerMinute: 60, loadS: 0, unloadS: 0, threadS: 0 })],
      jobs: times.map(({ p, w, d }, at) =>
        job(`j${at}`, [], { parts: [{ colour: "red", stitches: p }], hoop: null, dueAt: d, weight: w, hoopS: 0, unhoopS: 0, finishS: 0 })),
      cost: { perLateMinute: 60, perThreading: 0, perMidStop: 0, perFinishMinute: 0 },
    }); // prettier-ignore
    let best = Infinity;
    const tryAll = (done: number, used: number, sum: number): void => {
      if (sum >= best) return;
      if (used === 63) best = sum;
      times.forEach(
        ({ p, w, d }, at) =>
          used & (1 << at) || tryAll(done + p, used | (1 << at), sum + w * Math.max(0, done + p - d)),
      );
    };
    tryAll(0, 0, 0);
    const plan = solve(problem, { evaluations: 3000 });
    expect(plan.totals.cost).toBeCloseTo(best, 6);
    expect(plan.bounds.cost).toBeLessThanOrEqual(best + 1e-6);
  }
});

describe("the judge's referee and problems", () => {
  const shared = join(import.meta.dirname, "../../../../shared");
  const problems = join(shared, "benchmarks/problems");
  const names = existsSync(problems) ? readdirSync(problems).filter((name) => name.endsWith(".json")) : [];
  it.skipIf(names.length === 0)(
    "accept every plan, and none costs as much as the careful person's (skipped without ../shared)",
    () => {
      const folder = mkdtempSync(join(tmpdir(), "plans-"));
      const careful = JSON.parse(readFileSync(join(problems, "CAREFUL-PERSON.txt"), "utf8")) as Record<
        string,
        { cost: number }
      >;
      try {
        for (const name of names) {
          const problem = filled(JSON.parse(readFileSync(join(problems, name), "utf8")) as Problem);
          const plan = solve(problem, { evaluations: name.startsWith("shop") ? 200 : 4000 });
          const file = join(folder, name);
          writeFileSync(file, JSON.stringify(plan));
          const said = JSON.parse(
            execFileSync("python3", [join(shared, "referee/plan_referee.py"), join(problems, name), file], {
              encoding: "utf8",
            }),
          ) as { errors: string[] };
          expect(said.errors).toEqual([]);
          expect(plan.unplanned).toEqual([]);
          expect(plan.totals.cost).toBeLessThan(careful[name.replace(".json", "")]!.cost);
        }
      } finally {
        rmSync(folder, { recursive: true, force: true });
      }
    },
    240_000,
  );
});
