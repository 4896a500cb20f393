import { describe, expect, it } from "vitest";
import { areaOfRings } from "../rings";
import type { FilledArea, MakingPart, RunLines, SatinStrokes } from "./making";
import { boxOfObject, changedObject, changedObjects, nearestBox } from "./objects";

const square: FilledArea = { sew: "fill", rings: [[[10, 0], [14, 0], [14, 2], [10, 2]]], lines: "rows", angleDeg: 20 }; // prettier-ignore
const satin: SatinStrokes = { sew: "satin", strokes: [{ places: [[0, 0], [10, 0]], closed: false, halfMm: 1.5 }] }; // prettier-ignore
const run: RunLines = { sew: "run", lines: [{ places: [[0, 5], [6, 9]], closed: false }], passes: 2 }; // prettier-ignore
const still = { shiftMm: [0, 0], turnDeg: 0, factor: 1, leaveOut: false } as const;

describe("one object of a part", () => {
  it("turns about its own middle, rows with it, and keeps its area", () => {
    const turned = changedObject(square, { ...still, turnDeg: 90 }) as FilledArea;
    const box = boxOfObject(turned);
    expect([box.left, box.right, box.bottom, box.top].map((mm) => Math.round(mm * 1e6) / 1e6)).toEqual([11, 13, -1, 3]); // prettier-ignore
    expect(turned.angleDeg).toBe(110);
    expect(areaOfRings(turned.rings)).toBeCloseTo(8, 6);
  });
  it("grows with the square of its size in area, and in the width of its satin", () => {
    const large = changedObject(square, { ...still, factor: 1.5 }) as FilledArea;
    expect(areaOfRings(large.rings)).toBeCloseTo(8 * 1.5 ** 2, 6);
    expect((changedObject(satin, { ...still, factor: 2 }) as SatinStrokes).strokes[0]!.halfMm).toBe(3);
  });
  it("is shifted, while the others stay as they are", () => {
    const part: MakingPart = { colour: "#000000", objects: [square, satin, run] };
    const changed = changedObjects(part, new Map([[2, { ...still, shiftMm: [3, -1] }]]));
    expect(changed.objects[0]).toBe(square);
    expect(boxOfObject(changed.objects[2]!)).toEqual({ left: 3, right: 9, bottom: 4, top: 8 });
  });
  it("is left out", () => {
    const part: MakingPart = { colour: "#000000", objects: [square, satin] };
    expect(changedObjects(part, new Map([[0, { ...still, leaveOut: true }]])).objects).toEqual([satin]);
  });
});

describe("an object that is meant", () => {
  const boxes = [square, satin, run].map(boxOfObject);
  it("is found again when it came out a little otherwise", () => {
    expect(nearestBox(boxes, { left: 10.2, right: 14.1, bottom: -0.1, top: 2 }, 0.5)).toBe(0);
  });
  it("is none where none lies near, so that a change never goes to another one", () => {
    expect(nearestBox(boxes, { left: 12, right: 16, bottom: 0, top: 2 }, 0.5)).toBe(-1);
  });
});
