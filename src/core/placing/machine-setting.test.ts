import { describe, expect, it } from "vitest";
import { seededChance } from "#core/base";
import { rotateStitches, shiftStitches, type Stitches } from "#core/stitch";
import { designOutline, findablePoints } from "./design-points";
import { enteredSetting, fieldRoom, laserSetting, remadeFile } from "./machine-setting";
import { type DesignPose, type PointMm, posed, radiansOf } from "./points";
import { between } from "./some-views";

const outline = [[-40, -10], [40, -10], [40, 30], [-40, 30]].map(([xMm, yMm]): PointMm => ({ xMm: xMm!, yMm: yMm! })); // prettier-ignore

describe("a re-made file", () => {
  it("has every stitch within half a tenth of where the pose puts it, whatever the turn", () => {
    const chance = seededChance(51);
    const count = 400;
    const design: Stitches = {
      kind: new Uint8Array(count),
      x: Int32Array.from({ length: count }, () => chance.below(3000) - 1500),
      y: Int32Array.from({ length: count }, () => chance.below(2000) - 1000),
    };
    for (const angleDeg of [0, 1e-7, 0.003, 1.8, -7, 90, 179.99, -180]) {
      const pose: DesignPose = {
        xMm: between(chance, -30, 30),
        yMm: between(chance, -30, 30),
        angleRad: radiansOf(angleDeg),
      };
      const change = remadeFile(pose);
      const made =
        change.how === "turn"
          ? rotateStitches(design, change.degrees, change.about)
          : shiftStitches(design, change.dxTenths, change.dyTenths);
      for (let i = 0; i < count; i++) {
        const at = posed(pose, { xMm: design.x[i]! / 10, yMm: design.y[i]! / 10 });
        expect(Math.abs(made.x[i]! - at.xMm * 10)).toBeLessThanOrEqual(0.5 + 1e-4);
        expect(Math.abs(made.y[i]! - at.yMm * 10)).toBeLessThanOrEqual(0.5 + 1e-4);
      }
    }
  });
});

describe("what a machine is told", () => {
  const pose: DesignPose = { xMm: 3.37, yMm: -8.21, angleRad: radiansOf(2.3) };

  it("is rounded to its steps, with what that leaves", () => {
    const set = enteredSetting(pose, outline, { angleDeg: 1, shiftMm: 0.1 });
    expect(set.angleDeg).toBe(2);
    expect(set.leftOver.degrees).toBeCloseTo(0.3, 9);
    // Turned about the middle, a corner 44.7 mm off misses by 0.3° · 44.7 mm, and the shift's rounding at most.
    expect(set.leftOver.mm).toBeGreaterThan(radiansOf(0.3) * 44.7 - 0.08);
    expect(set.leftOver.mm).toBeLessThan(radiansOf(0.3) * 44.8 + 0.08);
    const straight = enteredSetting(pose, outline, { angleDeg: 0, shiftMm: 0.1 });
    expect(straight.angleDeg).toBe(0);
    expect(straight.leftOver.degrees).toBeCloseTo(2.3, 9);
    expect(() => enteredSetting(pose, outline, { angleDeg: 1, shiftMm: 0 })).toThrowError(/steps/i);
  });

  it("is two places for a laser cross, the second at the longest lever", () => {
    const set = laserSetting(pose, outline, 0.25);
    expect(set.start).toEqual({ xMm: 3.37, yMm: -8.21 });
    expect(set.leverMm).toBeCloseTo(50, 9);
    expect(Math.hypot(set.check.xMm - set.start.xMm, set.check.yMm - set.start.yMm)).toBeCloseTo(50, 9);
    expect(set.angleDeg).toBeCloseTo((((0.25 * Math.SQRT2) / 50) * 1.96 * 180) / Math.PI, 3);
  });

  it("tells the room on each side and by how much which side is passed", () => {
    const room = fieldRoom({
      pose: { xMm: 60, yMm: 0, angleRad: 0 },
      outline,
      fieldWidthMm: 200,
      fieldHeightMm: 100,
      footMm: 5,
    });
    expect(room.roomMm).toEqual({ left: 115, right: -5, near: 35, far: 15 });
    expect(room.findings.map((one) => one.message)).toEqual([
      expect.stringMatching(/5\.0 mm too far on the right/),
    ]);
    const inside = fieldRoom({
      pose: { xMm: 0, yMm: 0, angleRad: 0 },
      outline,
      fieldWidthMm: 200,
      fieldHeightMm: 100,
      footMm: 5,
    });
    expect(inside.findings).toEqual([]);
  });
});

describe("a design's points", () => {
  // A triangle as an outline of running stitches, and a short bar inside, reached by a jump.
  const path = [[0, 0], [200, 0], [400, 0], [600, 0], [300, 500], [0, 0]] as const; // prettier-ignore
  const bar = [[250, 150], [300, 150], [350, 150]] as const; // prettier-ignore
  const design = {
    kind: [0, 0, 0, 0, 0, 0, 1, 0, 0],
    x: [...path, ...bar].map((one) => one[0]),
    y: [...path, ...bar].map((one) => one[1]),
  };

  it("have the convex hull of the penetrations as outline", () => {
    expect(designOutline(design)).toEqual([{ xMm: 0, yMm: 0 }, { xMm: 60, yMm: 0 }, { xMm: 30, yMm: 50 }]); // prettier-ignore
  });

  it("worth touching are the corners first, far apart; only what has been sewn", () => {
    const found = findablePoints(design, { upTo: 9, count: 3 }).map((one) => one.at);
    expect(found).toHaveLength(3);
    for (const corner of designOutline(design)) expect(found).toContainEqual(corner);
    expect(findablePoints(design, { upTo: 4, count: 5 }).every((one) => one.at.yMm === 0)).toBe(true);
    expect(findablePoints(design, { upTo: 0, count: 3 })).toEqual([]);
  });
});
