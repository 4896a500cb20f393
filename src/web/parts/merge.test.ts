import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { mergeThreeWays, same, valueAt, withValueAt } from "./merge";

const machine = {
  name: "Heron",
  stitchesPerMinute: 700,
  needles: [
    { threadId: "n11", sizeNm: 75 },
    { threadId: null, sizeNm: 75 },
  ],
  hoopIds: ["a"],
};

describe("two people change one record", () => {
  it("keeps both changes where they touch different needles", () => {
    const mine = withValueAt(machine, "needles.0.threadId", "r03");
    const theirs = withValueAt(machine, "needles.1.threadId", "g05");
    const { merged, clashes, taken } = mergeThreeWays(machine, mine, theirs);
    expect(merged.needles.map((needle) => needle.threadId)).toEqual(["r03", "g05"]);
    expect(clashes).toEqual([]);
    expect(taken).toEqual(["needles.1.threadId"]);
  });

  it("asks where both changed the same field, and keeps what was typed until then", () => {
    const { merged, clashes } = mergeThreeWays(
      machine,
      { ...machine, name: "Hern" },
      { ...machine, name: "Grey heron" },
    );
    expect(merged.name).toBe("Hern");
    expect(clashes).toEqual(["name"]);
  });

  it("does not ask where both typed the same", () => {
    const both = { ...machine, stitchesPerMinute: 650 };
    expect(mergeThreeWays(machine, both, { ...both }).clashes).toEqual([]);
  });

  it("asks about a whole list where one took a row away and the other changed one", () => {
    const { clashes } = mergeThreeWays(
      machine,
      { ...machine, needles: machine.needles.slice(0, 1) },
      withValueAt(machine, "needles.1.sizeNm", 65),
    );
    expect(clashes).toEqual(["needles"]);
  });

  it("gives back the one changed copy when the other was left alone, whatever the record", () => {
    fc.assert(
      fc.property(fc.jsonValue(), fc.jsonValue(), (base, changed) => {
        expect(same(mergeThreeWays(base, changed, base).merged, changed)).toBe(true);
        expect(same(mergeThreeWays(base, base, changed).merged, changed)).toBe(true);
        expect(mergeThreeWays(base, changed, base).clashes).toEqual([]);
      }),
    );
  });

  it("reads what it wrote at a path", () => {
    expect(valueAt(withValueAt(machine, "needles.1.sizeNm", 65), "needles.1.sizeNm")).toBe(65);
    expect(valueAt(machine, "needles.9.sizeNm")).toBeUndefined();
  });
});
