import { describe, expect, it } from "vitest";
import type { FilledArea, Making } from "./making";
import { allowedOrder, changedPart, partNames, partsBeneath } from "./parts";

const square = (x: number, y: number, side: number): FilledArea => ({
  sew: "fill",
  rings: [
    [
      [x, y],
      [x + side, y],
      [x + side, y + side],
      [x, y + side],
    ],
  ],
  lines: "rows",
  angleDeg: 20,
});
const making: Making = {
  cloth: "woven",
  parts: [
    { colour: "#ff0000", objects: [square(0, 0, 20)] },
    { colour: "#0000ff", objects: [square(5, 5, 5)] },
    { colour: "#ff0000", objects: [square(40, 0, 5), square(6, 6, 2)] },
  ],
};

describe("parts of a making", () => {
  it("are named by colour, and by the time it is sewn", () => {
    expect(partNames(making)).toEqual(["#ff0000", "#0000ff", "#ff0000/2"]);
  });
  it("lie on the earlier ones they share ground with", () => {
    expect(partsBeneath(making)).toEqual([[], [0], [0, 1]]);
    expect(partsBeneath({ ...making, parts: [making.parts[0]!, { colour: "#00ff00", objects: [square(30, 0, 5)] }] })).toEqual([[], []]); // prettier-ignore
  });
  it("change their filled areas and nothing else", () => {
    const run = { sew: "run", lines: [], passes: 2 } as const;
    const changed = changedPart({ colour: "#ff0000", objects: [square(0, 0, 5), run] }, { angleDeg: 70, underlay: "none" }); // prettier-ignore
    expect(changed.objects[0]).toMatchObject({ angleDeg: 70, underlay: "none", lines: "rows" });
    expect(changed.objects[1]).toEqual(run);
  });
});

describe("an order a person wants", () => {
  const beneath = [[], [0], [0], []];
  it("is kept where nothing lies on another", () => {
    expect(allowedOrder([3, 0, 2, 1], beneath)).toEqual([3, 0, 2, 1]);
  });
  it("waits for what lies beneath, and keeps what it does not name", () => {
    expect(allowedOrder([1, 0, 3], beneath)).toEqual([0, 1, 3, 2]);
    expect(allowedOrder([7, 3], beneath)).toEqual([3, 0, 1, 2]);
  });
});
