import { existsSync, readFileSync } from "node:fs";
import path from "node:path";
import fc from "fast-check";
import { expect, it } from "vitest";
import { seededChance, shuffled } from "#core/base";
import { checkPlan } from "../check";
import { runRound } from "../round";
import { createSearch } from "../search";
import type { Problem } from "../problem";
import { solve } from "../solve";
import { exactCount } from "./exact";
import { lineOf } from "./line";

const machine = { id: "m", fixed: [], hoops: [], down: [], stitchesPerMinute: 60, colourChangeS: 0, trimS: 0, loadS: 0, unloadS: 0 }; // prettier-ignore
const job = { trims: 0, hoop: null, machines: null, releaseAt: 0, hoopS: 0, unhoopS: 0, finishS: 0 };
const shop = { format: "spoolwright/problem@1" as const, hands: [{ id: "h", shifts: [[0, 1e6] as const] }], open: [[0, 1e6] as const], hoops: [], chores: [] }; // prettier-ignore

/** Nothing but threadings costs: designs as sets of colours on one machine with empty needles. */
function toolSwitching(sets: readonly (readonly number[])[], needles: number): Problem {
  return {
    ...shop,
    machines: [{ ...machine, needles, threaded: Array<null>(needles).fill(null), threadS: 1 }],
    jobs: sets.map((own, j) => ({ ...job, id: `j${j}`, dueAt: null, weight: 1, parts: own.map((colour) => ({ colour: `c${colour}`, stitches: 1 })) })), // prettier-ignore
    cost: { perLateMinute: 0, perThreading: 1, perMidStop: 1000, perFinishMinute: 0 },
  };
}

/** Nothing but lateness costs, a second late weighs 1: every thread is on its needle. */
function weightedTardiness(jobs: readonly { p: number; w: number; d: number }[]): Problem {
  return {
    ...shop,
    machines: [{ ...machine, needles: 1, threaded: ["c"], threadS: 1 }],
    jobs: jobs.map(({ p, w, d }, j) => ({ ...job, id: `j${j}`, dueAt: d, weight: w, parts: [{ colour: "c", stitches: p }] })), // prettier-ignore
    cost: { perLateMinute: 60, perThreading: 0, perMidStop: 0, perFinishMinute: 0 },
  };
}

it("plans small days of one machine with the fewest threadings, and says that it is proven", () => {
  fc.assert(
    fc.property(fc.integer(), fc.integer({ min: 2, max: 5 }), (seed, needles) => {
      const chance = seededChance(seed);
      const sets = Array.from({ length: 2 + chance.below(8) }, () =>
        shuffled([...Array(12).keys()], chance).slice(0, 1 + chance.below(needles)),
      );
      const problem = toolSwitching(sets, needles);
      const plan = solve(problem, { seed: 1 });
      const { atLeast } = exactCount(lineOf(sets, needles, []), 1e6);
      expect(plan.totals.threadings).toBe(atLeast);
      expect(plan.bounds.cost).toBeCloseTo(plan.totals.cost, 9);
      expect(checkPlan(problem, plan).findings).toEqual([]);
    }),
    { numRuns: 12, seed: 11 },
  );
});

it("gives the same plan whoever does the rounds", () => {
  const chance = seededChance(4);
  const sets = Array.from({ length: 18 }, () => shuffled([...Array(40).keys()], chance).slice(0, 4 + chance.below(6))); // prettier-ignore
  const problem = toolSwitching(sets, 10);
  const alone = createSearch(problem, 1);
  const [leader, helper] = [createSearch(problem, 1), createSearch(problem, 9)];
  for (let round = 0; round < 2; round++) {
    alone.absorb(alone.nextRound().map((task) => runRound(alone.bench, task)));
    const tasks = leader.nextRound().map((task) => structuredClone(task));
    leader.absorb(tasks.map((task, i) => runRound(i === 0 ? leader.bench : helper.bench, task)).reverse());
  }
  expect(leader.bestScore()).toBe(alone.bestScore());
  expect([...leader.best().order]).toEqual([...alone.best().order]);
});

it("finds the least weighted tardiness of small days, due times missed or not", () => {
  // By hand: 3 + 2·0 + …: jobs of 4, 2 and 3 s due at 4, 3 and 9 with weights 1, 2 and 1; 2–4–3 costs 0 + 2 + 0.
  const plan = solve(weightedTardiness([{ p: 4, w: 1, d: 4 }, { p: 2, w: 2, d: 3 }, { p: 3, w: 1, d: 9 }]), { seed: 1 }); // prettier-ignore
  expect(plan.totals.cost).toBeCloseTo(2, 9);
});

const shared = path.join(import.meta.dirname, "../../../../../shared/benchmarks");
const withShared = existsSync(path.join(shared, "tool-switching/REFERENCE.txt")) ? it : it.skip;
const numbers = (file: string) =>
  readFileSync(path.join(shared, file), "utf8").trim().split(/\s+/).map(Number);

withShared(
  "reaches the published optima (sets lie in ../shared; left out where they are not at hand)",
  () => {
    // D. Catanzaro, L. Gouveia, M. Labbé, European J. Operational Research 244 (2015) 766–777; values of REFERENCE.txt.
    const reference = new Map(readFileSync(path.join(shared, "tool-switching/REFERENCE.txt"), "utf8").split("\n").map((line) => [line.split(" ")[0], Number(line.split(" ")[1])])); // prettier-ignore
    for (const name of ["A1-1", "A4-3", "B1-2", "B3-5"]) {
      const [jobs, colours, needles, ...cells] = numbers(`tool-switching/catanzaro/${name}.txt`);
      const sets = Array.from({ length: jobs! }, (_, j) => [...Array(colours).keys()].filter((c) => cells[c * jobs! + j] === 1)); // prettier-ignore
      const { totals } = solve(toolSwitching(sets, needles!), { seed: 1, evaluations: 4000 });
      expect([name, totals.threadings - needles!]).toEqual([name, reference.get(name)]);
    }
    // OR-Library, wt40, instances 1 and 51 (J. E. Beasley, J. Operational Research Society 41 (1990) 1069–1072).
    const all = numbers("weighted-tardiness/wt40.txt");
    const optima = numbers("weighted-tardiness/wtopt40.txt");
    for (const k of [0, 50]) {
      const own = all.slice(k * 120, k * 120 + 120);
      const jobs = Array.from({ length: 40 }, (_, j) => ({ p: own[j]!, w: own[40 + j]!, d: own[80 + j]! }));
      const { totals } = solve(weightedTardiness(jobs), { seed: 1, evaluations: 1500 });
      expect([k, Math.round(totals.cost)]).toEqual([k, optima[k]]);
    }
  },
);
