import { describe, expect, it } from "vitest";
import { JUMP, STITCH, STOP } from "./stitches";
import { recordsAt, stitchesOn, timelineOf } from "./timeline";

const pace = { stitchesPerMinute: 600, colourChangeS: 8, trimS: 6 };
const kinds = Uint8Array.of(STITCH, STITCH, JUMP, JUMP, JUMP, STITCH, STOP, JUMP, STITCH);

describe("sewing along a machine's time", () => {
  it("adds stitches, a trim at the third jump and a colour change at a stop", () => {
    const { totalS, secondsAt } = timelineOf(kinds, pace);
    // CONTRACT.md: 60 · stitches / speed + colour changes + trims.
    expect(totalS).toBeCloseTo((60 * 4) / 600 + 8 + 6, 9);
    expect(Array.from(secondsAt, (s) => Math.round(s * 10) / 10)).toEqual([
      0, 0.1, 0.2, 0.2, 0.2, 6.2, 6.3, 14.3, 14.3, 14.4,
    ]);
  });

  it("takes nothing for a stop between parts of one thread", () => {
    expect(timelineOf(kinds, pace, () => true).totalS).toBeCloseTo(6.4, 9);
  });

  it("stands still while the machine changes colour", () => {
    const timeline = timelineOf(kinds, pace);
    expect(recordsAt(timeline, 0)).toBe(0);
    expect(recordsAt(timeline, 7)).toBe(6);
    expect(recordsAt(timeline, 14)).toBe(6);
    expect(recordsAt(timeline, 99)).toBe(9);
  });

  it("steps from stitch to stitch over jumps and stops", () => {
    expect(stitchesOn(kinds, 2, 1)).toBe(6);
    expect(stitchesOn(kinds, 6, 1)).toBe(9);
    expect(stitchesOn(kinds, 9, 1)).toBe(9);
    expect(stitchesOn(kinds, 6, -1)).toBe(2);
    expect(stitchesOn(kinds, 1, -1)).toBe(0);
  });
});
