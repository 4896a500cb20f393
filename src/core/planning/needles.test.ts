import fc from "fast-check";
import { expect, it } from "vitest";
import { compile } from "./compile";
import { chooseNeedles, emptyNeedlePlan, needleRoom, type NeedleRule } from "./needles";
import type { Problem } from "./problem";

interface Asked {
  readonly threaded: readonly (string | null)[];
  readonly fixed?: readonly number[];
  readonly jobs: readonly (readonly string[])[];
  readonly rule?: NeedleRule;
}

function problemOf({ threaded, fixed = [], jobs }: Asked): Problem {
  return {
    format: "spoolwright/problem@1",
    hands: [{ id: "h", shifts: [[0, 100_000]] }],
    open: [[0, 100_000]],
    hoops: [],
    machines: [
      { id: "m", needles: threaded.length, threaded, fixed, hoops: [], down: [], stitchesPerMinute: 60, colourChangeS: 0, trimS: 0, threadS: 1, loadS: 0, unloadS: 0 },
    ], // prettier-ignore
    jobs: jobs.map((colours, j) => ({
      id: `j${j}`, parts: colours.map((colour) => ({ colour, stitches: 1 })), trims: 0, hoop: null, machines: null,
      releaseAt: 0, dueAt: null, weight: 1, hoopS: 0, unhoopS: 0, finishS: 0,
    })), // prettier-ignore
    chores: [],
    cost: { perLateMinute: 0, perThreading: 1, perMidStop: 1, perFinishMinute: 0 },
  };
}

/** Threadings and stops of the jobs sewn in the order given. */
function count(asked: Asked): { threadings: number; midStops: number } {
  const compiled = compile(problemOf(asked));
  const plan = emptyNeedlePlan(compiled);
  plan.length = asked.jobs.length;
  asked.jobs.forEach((_, j) => (plan.key[j] = j << 4));
  chooseNeedles(needleRoom(compiled), 0, plan, asked.rule ?? "look-ahead");
  return { threadings: plan.threadings, midStops: plan.midStops };
}

/** Fewest threadings by trying every choice of needle: the colours of each job on needles at once. */
function byTryingAll(
  threaded: readonly (string | null)[],
  fixed: readonly number[],
  jobs: readonly (readonly string[])[],
): number {
  let states = new Map<string, { on: (string | null)[]; count: number }>([
    ["", { on: [...threaded], count: 0 }],
  ]);
  for (const colours of jobs) {
    const next = new Map<string, { on: (string | null)[]; count: number }>();
    const extend = (on: (string | null)[], done: number, touched: ReadonlySet<number>): void => {
      const missing = colours.find((colour) => !on.includes(colour));
      if (missing === undefined) {
        const key = JSON.stringify(on);
        const known = next.get(key);
        if (!known || done < known.count) next.set(key, { on, count: done });
        return;
      }
      on.forEach((_, n) => {
        if (fixed.includes(n + 1) || touched.has(n)) return;
        extend(
          on.map((colour, i) => (i === n ? missing : colour)),
          done + 1,
          new Set([...touched, n]),
        );
      });
    };
    for (const { on, count: done } of states.values()) extend(on, done, new Set());
    states = next;
  }
  return Math.min(...[...states.values()].map((state) => state.count));
}

const empty = (needles: number): null[] => Array<null>(needles).fill(null);

it("needs 4 threadings for the toy of three designs on two needles", () => {
  // Shared worked example "toy": jobs {1,2} {2,3} {3,4}, two needles, empty start.
  expect(count({ threaded: empty(2), jobs: [["1", "2"], ["2", "3"], ["3", "4"]] }).threadings).toBe(4); // prettier-ignore
});

it("re-threads as rarely as optimal paging on the published strings", () => {
  // The strings of the paging literature; loads by L. A. Belady's rule (IBM Systems Journal 5 (1966) 78–101).
  const strings = [
    {
      string: "7 0 1 2 0 3 0 4 2 3 0 3 2 1 2 0 1 7 0 1",
      loads: [20, 13, 9, 8, 7, 6, 6],
      recent: [20, 17, 12, 8, 7, 6, 6],
    },
    { string: "1 2 3 4 1 2 5 1 2 3 4 5", loads: [12, 9, 7, 6, 5], recent: null },
  ];
  for (const { string, loads, recent } of strings) {
    const jobs = string.split(" ").map((page) => [page]);
    loads.forEach((expected, k) => expect(count({ threaded: empty(k + 1), jobs }).threadings).toBe(expected));
    recent?.forEach((expected, k) =>
      expect(count({ threaded: empty(k + 1), jobs, rule: "least-recently-used" }).threadings).toBe(expected),
    );
  }
});

it("needs as few threadings as the best of all choices, with threads on, doubled and fixed", () => {
  const colour = fc.constantFrom("a", "b", "c", "d", "e");
  const needle = fc.option(colour, { nil: null });
  fc.assert(
    fc.property(
      fc.array(needle, { minLength: 2, maxLength: 3 }),
      fc.boolean(),
      fc.array(fc.uniqueArray(colour, { minLength: 1, maxLength: 2 }), { minLength: 1, maxLength: 6 }),
      (threaded, firstIsFixed, jobs) => {
        const fixed = firstIsFixed && threaded.length === 3 ? [1] : [];
        const asked = { threaded, fixed, jobs };
        expect(count(asked)).toEqual({ threadings: byTryingAll(threaded, fixed, jobs), midStops: 0 });
      },
    ),
    { numRuns: 300, seed: 7 },
  );
});

it("stops inside a design no oftener than its colours ask for", () => {
  // Three needles, parts a b c d a b: after c the fourth colour asks for a stop; d, a, b then fit together.
  const asked = { threaded: empty(3), jobs: [["a", "b", "c", "d", "a", "b"]] };
  expect(count(asked)).toEqual({ threadings: 4, midStops: 1 });
});
