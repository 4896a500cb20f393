import loadHighs from "highs";
import { expect, it } from "vitest";
import { type Chance, seededChance } from "#core/base";
import { boundsOf } from "./bounds";
import { compile } from "./compile";
import { checkPlan, type Problem, proofModel, solve } from "./index";
import { anyProblem, cost, job, machine, shop } from "./some-shops";

/** Fewest threadings of any plan, hours aside: every job on every machine, every order, a stop before every part. */
function fewestThreadings(problem: Problem): number {
  const { jobs, machines } = problem;
  const onOne = machines.map((own) => {
    const cache = new Map<number, number>();
    return (set: number): number => {
      const known = cache.get(set);
      if (known !== undefined) return known;
      let best = Infinity;
      const walk = (left: number, colours: string[]): void => {
        if (left === 0) best = Math.min(best, loads(own, colours));
        jobs.forEach((one, j) => {
          if (left & (1 << j)) walk(left & ~(1 << j), [...colours, ...one.parts.map((part) => part.colour)]);
        });
      };
      walk(set, []);
      cache.set(set, best);
      return best;
    };
  });
  let best = Infinity;
  const share = (j: number, sets: number[]): void => {
    if (j === jobs.length) {
      best = Math.min(
        best,
        sets.reduce((sum, set, m) => sum + (set === 0 ? 0 : onOne[m]!(set)), 0),
      );
      return;
    }
    machines.forEach((own, m) => {
      if (jobs[j]!.machines?.includes(own.id) === false) return;
      share(
        j + 1,
        sets.map((set, k) => (k === m ? set | (1 << j) : set)),
      );
    });
  };
  share(
    0,
    machines.map(() => 0),
  );
  return best;
}

/** Loads of single requests by the rule of L. A. Belady (1966): whatever is asked for furthest in the future goes. */
function loads(own: Problem["machines"][number], colours: readonly string[]): number {
  const fixed = own.threaded.filter((colour, n) => colour !== null && own.fixed.includes(n + 1));
  const free = own.threaded.filter((_, n) => !own.fixed.includes(n + 1));
  let count = 0;
  colours.forEach((colour, at) => {
    if (fixed.includes(colour) || free.includes(colour)) return;
    if (free.length === 0) {
      count = Infinity;
      return;
    }
    const again = free.map((held, n) => {
      const next = colours.indexOf(held ?? "", at);
      return held === null || next < 0 || free.indexOf(held) < n ? Infinity : next;
    });
    free[again.indexOf(Math.max(...again))] = colour;
    count++;
  });
  return count;
}

it("bounds threadings by no more than the fewest of all assignments, orders and stops", () => {
  let tight = 0;
  let all = 0;
  for (let seed = 0; seed < 120; seed++) {
    const chance = seededChance(880_000 + seed);
    const names = ["a", "b", "c", "d", "e"];
    const some = () => names[chance.below(names.length)]!;
    const problem = shop({
      machines: Array.from({ length: 1 + chance.below(2) }, (_, m) => {
        const needles = 1 + chance.below(3);
        const threaded = Array.from({ length: needles }, () => (chance.below(3) === 0 ? some() : null));
        return machine(`m${m}`, {
          needles,
          threaded,
          fixed: needles > 1 && chance.below(4) === 0 ? [1] : [],
        });
      }),
      jobs: Array.from({ length: 1 + chance.below(4) }, (_, j) =>
        job(
          `j${j}`,
          Array.from({ length: 1 + chance.below(4) }, some),
          chance.below(4) === 0 ? { machines: ["m0"] } : {},
        ),
      ),
    });
    const { threadings } = boundsOf(compile(problem), new Set());
    const fewest = fewestThreadings(problem);
    expect(threadings).toBeLessThanOrEqual(fewest);
    all++;
    if (threadings === fewest) tight++;
  }
  expect(tight).toBeGreaterThan(all / 2);
});

it("sees that two machines must both be threaded when one cannot sew all in the hours there are", () => {
  // Eight like designs of three colours, 40 min each, in three hours: two machines at least, three threads on each.
  const parts = ["red", "gold", "mint"].map((colour) => ({ colour, stitches: 9_000 }));
  const problem = shop({
    hands: ["ann", "ben"].map((id) => ({ id, shifts: [[0, 10_900]] })),
    open: [[0, 10_900]],
    hoops: [{ id: "round", count: 8 }],
    machines: [machine("m1"), machine("m2")],
    jobs: Array.from({ length: 8 }, (_, j) => job(`j${j}`, [], { parts })),
  });
  const { threadings } = boundsOf(compile(problem), new Set());
  expect(threadings).toBe(6);
  expect(solve(problem, { evaluations: 400 }).totals.threadings).toBe(6);
});

it("knows that nothing ends while nobody is there", () => {
  // Sewing ends in the break from 14 400 to 16 200 s: unloading, unhooping and finishing come after it.
  const parts = [{ colour: "red", stitches: 700 * 240 }];
  const problem = shop({ jobs: [job("a", [], { parts })] });
  const { finishAt } = boundsOf(compile(problem), new Set());
  expect(finishAt).toBe(16_200 + 30 + 30 + 90);
  expect(solve(problem, { evaluations: 50 }).totals.finishAt).toBe(finishAt);
});

it("knows that a loaded machine may begin to sew in a break, once it is up again", () => {
  // Loaded before it goes down at 200 s; up again at 1200 s, amid the break from 900 to 1700 s; sews 600 s.
  const problem = shop({
    hands: [
      {
        id: "ann",
        shifts: [
          [0, 900],
          [1700, 30_600],
        ],
      },
    ],
    machines: [machine("m1", { threaded: ["red", null, null], down: [[200, 1200]] })],
    jobs: [job("a", [], { parts: [{ colour: "red", stitches: 7000 }] })],
  });
  const { finishAt } = boundsOf(compile(problem), new Set());
  const { totals } = solve(problem, { evaluations: 50 });
  expect(totals.finishAt).toBe(1800 + 30 + 30 + 90);
  expect(finishAt).toBeLessThanOrEqual(totals.finishAt);
  expect(finishAt).toBeGreaterThan(1700);
});

it("proves no cost that plans for other weights undercut", () => {
  for (let seed = 0; seed < 60; seed++) {
    const chance = seededChance(770_000 + seed);
    const problem = { ...anyProblem(chance), cost };
    const bounds = boundsOf(compile(problem), new Set());
    for (const perThreading of [0, 1.5, 30]) {
      const plan = solve({ ...problem, cost: { ...cost, perThreading } }, { seed, evaluations: 250 });
      const jobsLeft = plan.unplanned.filter((entry) => entry.job ?? entry.chore).length;
      if (jobsLeft > 0) continue;
      const { totals } = checkPlan(problem, plan);
      expect(bounds.cost).toBeLessThanOrEqual(totals.cost + 1e-6);
      expect(bounds.threadings).toBeLessThanOrEqual(totals.threadings);
      expect(bounds.finishAt).toBeLessThanOrEqual(totals.finishAt);
    }
  }
});

/** Few hands, several machines, long handling, breaks and down times: where machines wait, and stops may pay. */
function busyShop(chance: Chance): Problem {
  const colours = ["a", "b", "c", "d", "e", "f", "g", "h"];
  const some = () => colours[chance.below(colours.length)]!;
  const goes = 600 + chance.below(4000);
  const back = goes + chance.below(2) * (200 + chance.below(1200));
  const down = (): [number, number][] => {
    const from = 100 + chance.below(3000);
    return chance.below(3) === 0 ? [[from, from + 300 + chance.below(1500)]] : [];
  };
  const machines = Array.from({ length: 1 + chance.below(4) }, (_, m) => {
    const needles = 2 + chance.below(4);
    const threaded = Array.from({ length: needles }, () => (chance.below(3) > 0 ? null : some()));
    return machine(`m${m}`, {
      needles,
      threaded,
      down: down(),
      threadS: 20 + chance.below(100),
      loadS: 20 + chance.below(120),
      unloadS: 10 + chance.below(60),
    });
  });
  return shop({
    hands: Array.from({ length: 1 + chance.below(2) }, (_, h) => ({
      id: `h${h}`,
      shifts: [
        [0, goes],
        [back, 60_000],
      ],
    })),
    open: [[0, 60_000]],
    hoops: [{ id: "round", count: 1 + chance.below(8) }],
    machines,
    jobs: Array.from({ length: 1 + chance.below(9) }, (_, j) =>
      job(`j${j}`, [], {
        parts: Array.from({ length: 1 + chance.below(4) }, () => ({
          colour: some(),
          stitches: 300 + chance.below(chance.below(3) > 0 ? 3000 : 12_000),
        })),
        hoopS: 20 + chance.below(200),
        unhoopS: 10 + chance.below(60),
        finishS: 20 + chance.below(200),
        releaseAt: chance.below(3) > 0 ? 0 : chance.below(2000),
        machines: chance.below(3) > 0 ? null : ["m0"],
      }),
    ),
    chores: Array.from({ length: chance.below(3) }, (_, c) => ({
      id: `c${c}`,
      machine: chance.below(2) > 0 ? null : `m${chance.below(machines.length)}`,
      seconds: 50 + chance.below(900),
      releaseAt: chance.below(2000),
      dueAt: null,
      weight: 1,
    })),
    cost: {
      perLateMinute: 0,
      perThreading: chance.below(4),
      perMidStop: chance.below(6),
      perFinishMinute: chance.below(3) / 2,
    },
  });
}

it("lies above no plan of busy shops where machines wait for hands, and nor does the solver's model", async () => {
  const highs = await loadHighs();
  let tight = 0;
  for (let seed = 0; seed < 100; seed++) {
    const problem = busyShop(seededChance(550_000 + seed));
    const { totals, bounds, unplanned } = solve(problem, { seed, evaluations: 1000 });
    expect(bounds.cost).toBeLessThanOrEqual(totals.cost + 1e-6);
    expect(bounds.threadings).toBeLessThanOrEqual(totals.threadings);
    expect(bounds.finishAt).toBeLessThanOrEqual(totals.finishAt);
    if (bounds.cost > totals.cost - 1e-6) tight++;
    if (seed % 4 > 0 || unplanned.length > 0) continue;
    const model = proofModel(problem);
    const exact = highs.solve(model.text, { mip_rel_gap: 0 });
    expect(exact.Status).toBe("Optimal");
    expect(model.proven(exact.ObjectiveValue)).toBeLessThanOrEqual(totals.cost);
  }
  expect(tight).toBeGreaterThan(15);
});

it("counts the waiting of machines that one person hoops, loads and closes for", () => {
  // Two machines, one person, two like designs of 600 s: hoop 60, load 85, sew, unload 30, unhoop 30, finish 90.
  const parts = [{ colour: "red", stitches: 7000 }];
  const threaded = ["red", null, null];
  const problem = shop({
    machines: [machine("m1", { threaded }), machine("m2", { threaded })],
    jobs: [job("a", [], { parts }), job("b", [], { parts })],
  });
  // Standing still before: 60 + 205 s; after, with the closing of both: 150 + 2 · 120 s; at work: 715 s each. So
  // 2 · end ≥ 265 + 390 + 1430, end ≥ 1042.5 s. By hand: unloading the first keeps the second waiting, end 1045 s.
  const { cost } = boundsOf(compile(problem), new Set());
  expect(cost).toBeCloseTo((0.5 * 1042.5) / 60, 1);
  expect(cost).toBeLessThanOrEqual((0.5 * 1042.5) / 60);
  const { totals } = solve(problem, { evaluations: 300 });
  expect(totals.finishAt).toBe(1045);
  expect(cost).toBeLessThanOrEqual(totals.cost);
});
