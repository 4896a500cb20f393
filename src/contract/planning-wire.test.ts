import { expect, it } from "vitest";
import type { Refusal } from "#core/base";
import { parseProblem } from "./planning-wire";

const small = {
  format: "spoolwright/problem@1",
  hands: [{ id: "ann", shifts: [[0, 100]] }],
  open: [[0, 100]],
  hoops: [{ id: "round", count: 1 }],
  machines: [
    { id: "m1", needles: 2, threaded: ["red", null], hoops: ["round"], stitchesPerMinute: 700, colourChangeS: 8, trimS: 6, threadS: 60, loadS: 85, unloadS: 30 },
  ], // prettier-ignore
  jobs: [{ id: "a", parts: [{ colour: "red", stitches: 10 }], trims: 0, hoop: null, releaseAt: 0, dueAt: null, weight: 1, hoopS: 1, unhoopS: 1, finishS: 1 }], // prettier-ignore
  chores: [],
  cost: { perLateMinute: 2, perThreading: 1.5, perMidStop: 4, perFinishMinute: 0.5 },
};

function faults(value: unknown) {
  try {
    parseProblem(value);
    return [];
  } catch (refusal) {
    return (refusal as Refusal).details.map(
      ({ field, found, expected }) => `${field}: ${found}; ${expected}`,
    );
  }
}

it("fills in what may be left out, null or absent", () => {
  const read = parseProblem({ ...small, machines: [{ ...small.machines[0], down: null }] });
  expect(read.machines[0]).toMatchObject({ fixed: [], down: [] });
  expect(read.jobs[0]).toMatchObject({ machines: null, dueAt: null });
});

it("names the field, what was found and what was expected", () => {
  expect(faults({ ...small, format: "other" })).toEqual(['format: "other"; "spoolwright/problem@1"']);
  expect(faults({ ...small, machines: [{ ...small.machines[0], threaded: ["red"] }] })).toEqual([
    "machines[0].threaded: 1 entries; one entry for each of 2 needles",
  ]);
  expect(faults({ ...small, surprise: 1 })).toEqual(["surprise: a field of that name; no such field"]);
  expect(faults({ ...small, hands: [{ id: "ann", shifts: [[9, 2]] }] })[0]).toContain(
    "hands[0].shifts[0]: [9,2]",
  );
  expect(faults({ ...small, jobs: [...small.jobs, ...small.jobs] })[0]).toContain("jobs[1].id");
  expect(faults({ ...small, jobs: [{ ...small.jobs[0], machines: ["m9"] }] })[0]).toContain(
    "jobs[0].machines[0]",
  );
  expect(faults({ ...small, machines: [7] })).toEqual(["machines[0]: 7; an object"]);
  expect(faults({ ...small, open: 7 })).toEqual(["open: 7; a list"]);
  expect(faults({ ...small, hands: [{ id: 7, shifts: [] }] })).toEqual(["hands[0].id: 7; a text"]);
  expect(faults(7)).toEqual(["the document: 7; an object"]);
});
