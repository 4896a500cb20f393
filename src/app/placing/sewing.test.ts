import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  countStitches,
  JUMP,
  readMachineFile,
  STITCH,
  type Stitches,
  STOP,
  writeMachineFile,
} from "#core/stitch";
import { posedStitches, remainingStitches, roomIn } from "./sewing";

const design = (records: readonly (readonly [number, number, number])[]): Stitches => ({
  kind: Uint8Array.from(records.map(([kind]) => kind)),
  x: Int32Array.from(records.map(([, x]) => x)),
  y: Int32Array.from(records.map(([, , y]) => y)),
});
/** Two parts of ten stitches of 2 mm each, a cut in the second. */
const twoParts = design([
  ...Array.from({ length: 10 }, (_, i) => [STITCH, 20 * (i + 1), 0] as const),
  [STOP, 200, 0],
  ...Array.from({ length: 5 }, (_, i) => [STITCH, 200, 20 * (i + 1)] as const),
  [JUMP, 170, 100],
  [JUMP, 140, 100],
  [JUMP, 100, 100],
  ...Array.from({ length: 5 }, (_, i) => [STITCH, 100 - 20 * (i + 1), 100] as const),
]);
const punctures = ({ kind, x, y }: Stitches): [number, number][] =>
  [...kind].flatMap((one, i) => (one === STITCH ? [[x[i]!, y[i]!] as [number, number]] : []));

describe("a design turned and shifted onto the cloth", () => {
  it("has each stitch within half a tenth of where the pose puts it, a quarter turn exactly", () => {
    const quarter = posedStitches(twoParts, { xMm: 1, yMm: -2, angleRad: Math.PI / 2 });
    punctures(twoParts).forEach(([x, y], i) => expect(punctures(quarter)[i]).toEqual([10 - y + 0, -20 + x]));
    fc.assert(
      fc.property(
        fc.double({ min: -200, max: 200, noNaN: true }),
        fc.double({ min: -3, max: 3, noNaN: true }),
        (shift, turn) => {
          const pose = { xMm: shift, yMm: -shift / 3, angleRad: turn };
          const posed = punctures(posedStitches(twoParts, pose));
          punctures(twoParts).forEach(([x, y], i) => {
            const wanted = [
              10 * pose.xMm + Math.cos(turn) * x - Math.sin(turn) * y,
              10 * pose.yMm + Math.sin(turn) * x + Math.cos(turn) * y,
            ];
            expect(Math.abs(posed[i]![0] - wanted[0]!)).toBeLessThanOrEqual(0.5 + 1e-9);
            expect(Math.abs(posed[i]![1] - wanted[1]!)).toBeLessThanOrEqual(0.5 + 1e-9);
          });
        },
      ),
    );
  });

  it("stays legal: a stitch that is longer than a record after the turn is reached by jumps, not by new holes", () => {
    const long = design([
      [STITCH, 121, 121],
      [STITCH, 0, 0],
    ]);
    const posed = posedStitches(long, { xMm: 0, yMm: 0, angleRad: Math.PI / 4 });
    const read = readMachineFile(writeMachineFile(posed, "PLACED"));
    expect(punctures(read.stitches)).toEqual(punctures(posed));
    expect(read.findings).toEqual([]);
  });
});

describe("what remains of a design", () => {
  it("begins a little before the last good stitch, in the same thread, with a tie-in, and ends as the design ends", () => {
    const rest = remainingStitches(twoParts, 8);
    // 6 mm of sewing back from stitch 8, which is 2 mm long as all are: stitch 5.
    expect(rest).toMatchObject({ lastGoodStitch: 8, fromStitch: 5, firstPart: 0, partStitches: [10, 10] });
    const sewn = punctures(rest.stitches);
    expect(sewn.slice(0, 5)).toEqual([[100, 0], [107, 0], [100, 0], [107, 0], [100, 0]]); // prettier-ignore
    expect(sewn.slice(-16)).toEqual(punctures(twoParts).slice(4));
  });

  it("never reaches back over a stop or a cut, and leaves out parts that are sewn", () => {
    const second = remainingStitches(twoParts, 12);
    expect(second).toMatchObject({ fromStitch: 11, firstPart: 1 });
    expect(countStitches(second.stitches).stops).toBe(0);
    const afterCut = remainingStitches(twoParts, 17);
    expect(afterCut).toMatchObject({ fromStitch: 16, trims: 0 });
    expect(punctures(afterCut.stitches)[0]).toEqual([80, 100]);
  });

  it("has every stitch from there on, whatever the number", () => {
    const all = punctures(twoParts);
    for (let good = 1; good <= 20; good++) {
      const rest = remainingStitches(twoParts, good);
      expect(rest.fromStitch).toBeLessThanOrEqual(good);
      const wanted = all.slice(rest.fromStitch - 1);
      expect(punctures(rest.stitches).slice(-wanted.length)).toEqual(wanted);
    }
  });

  it("is refused for a stitch the design has not", () => {
    expect(() => remainingStitches(twoParts, 21)).toThrowError("There is no stitch 21; the design has 20.");
    expect(() => remainingStitches(twoParts, 0)).toThrowError("no stitch 0");
  });
});

it("the room in a field is told for each side, and is negative where the design leaves it", () => {
  const room = roomIn(twoParts, { widthMm: 50, heightMm: 30, marginMm: 2 })!;
  expect(room).toEqual({ leftMm: 23, rightMm: 3, nearMm: 13, farMm: 3 });
  expect(roomIn(twoParts, { widthMm: 30, heightMm: 30, marginMm: 0 })!.rightMm).toBe(-5);
});
