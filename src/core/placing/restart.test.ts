import { describe, expect, it } from "vitest";
import { remainingNeedles, restartBefore, stitchesAt } from "./restart";

/** Records as [kind, x, y] in tenths. */
const design = (records: readonly (readonly [number, number, number])[]) => ({
  kind: records.map((one) => one[0]),
  x: records.map((one) => one[1]),
  y: records.map((one) => one[2]),
});
const row = (y: number, count: number): [number, number, number][] =>
  Array.from({ length: count }, (_, i) => [0, i * 25, y]);

// Tie, a row of 2.5 mm stitches, a jump, a second row; a stop; a third row that crosses over the first.
const tie: [number, number, number][] = [[0, 0, 0], [0, 5, 0], [0, 0, 0], [0, 5, 0]]; // prettier-ignore
const work = design([...tie, ...row(0, 21).slice(1), [1, 0, 100], ...row(100, 21), [2, 500, 100], [1, 250, -60], ...[-50, -25, 0, 25, 50].map((y): [number, number, number] => [0, 250, y])]); // prettier-ignore

describe("the last good stitch", () => {
  it("is the nearest; where layers cross, the upper comes first and the lower is told", () => {
    const found = stitchesAt(work, { xMm: 25, yMm: 0.2 }, work.kind.length);
    expect(found.map((one) => one.part)).toEqual([1, 0]);
    expect(found[0]!.offMm).toBeCloseTo(0.2, 9);
    expect(stitchesAt(work, { xMm: 25, yMm: 10 }, work.kind.length)).toHaveLength(1);
  });

  it("is never among those not sewn yet, and refused when nothing is", () => {
    expect(stitchesAt(work, { xMm: 25, yMm: 0.2 }, 30).map((one) => one.part)).toEqual([0]);
    expect(() => stitchesAt(work, { xMm: 0, yMm: 0 }, 0)).toThrowError(/Nothing/);
  });
});

describe("a restart", () => {
  it("goes back along the path so far, with a tie-in on the line", () => {
    // Stitch 20 is record 19: 4 of the tie, then 16 of the row: x = 40 mm.
    const at = restartBefore(work, { stitch: 20, backMm: 6 });
    expect(work.x[at.record]).toBe(400 - 75);
    expect(at.backMm).toBeCloseTo(7.5, 9);
    expect(at.stitch).toBe(17);
    expect(at.tieIn.map((one) => one.xTenths)).toEqual([325, 332, 325, 332]);
    expect(at.remaining).toEqual([{ part: 0, stitches: 24 - 16 + 21 }, { part: 1, stitches: 5 }]); // prettier-ignore
  });

  it("does not go back over a jump or a stop", () => {
    const second = restartBefore(work, { stitch: 26, backMm: 30 });
    expect(work.kind[second.record - 1]).toBe(1);
    expect(work.y[second.record]).toBe(100);
    const third = restartBefore(work, { stitch: 47, backMm: 30 });
    expect(third.part).toBe(1);
    expect(remainingNeedles(third, [4, 7])).toEqual([{ part: 1, needle: 7 }]);
  });

  it("does not begin inside a tie but before it, where the file ties by itself", () => {
    const at = restartBefore(work, { stitch: 5, backMm: 2.2 });
    expect(at.record).toBe(0);
    expect(at.tieIn).toEqual([]);
  });

  it("is refused outside the design", () => {
    expect(() => restartBefore(work, { stitch: 500, backMm: 3 })).toThrowError(
      /no stitch 500; the design has 50/,
    );
  });
});
