import { describe, expect, it } from "vitest";
import { posed } from "#core/placing";
import {
  areaOf,
  errorWords,
  fieldOf,
  freshMarks,
  fromCentreWords,
  isComplete,
  type Known,
  missArrow,
  nextMark,
  overWords,
  shiftWords,
  turnWords,
} from "./marks";

const rule = {
  touch: [
    { oneOf: ["collar seam"], leastPoints: 2, optional: false, words: "Touch the collar seam." },
    { oneOf: ["centre line"], leastPoints: 2, optional: true, words: "Touch the centre line." },
  ],
} as unknown as Known["rule"];
const at = (xMm: number, yMm: number) => ({ xMm, yMm });

describe("what is to be touched", () => {
  it("comes in the rule's order; what only sharpens may be left out, but not half done", () => {
    const none = freshMarks(rule);
    expect(nextMark(none, new Set())).toBe(0);
    const seam = [{ ...none[0]!, points: [at(-40, 30), at(40, 31)] }, none[1]!];
    expect(nextMark(seam, new Set())).toBe(1);
    expect(nextMark(seam, new Set([1]))).toBeNull();
    expect(isComplete(seam)).toBe(true);
    expect(isComplete([seam[0]!, { ...none[1]!, points: [at(0, 0)] }])).toBe(false);
  });
});

describe("words at the machine", () => {
  it("name the sides where the design leaves the field", () => {
    expect(overWords({ leftMm: -0.84, rightMm: 12, nearMm: 3, farMm: -2 })).toEqual([
      "0.8 mm over on the left",
      "2.0 mm over on the far side",
    ]);
  });
  it("say shift and turn as a person does them", () => {
    expect(shiftWords(-3.2, 1)).toBe("3.2 mm to the left, 1.0 mm away from you");
    expect(shiftWords(0.04, -0.04)).toBe("no shift");
    expect(fromCentreWords(0.02, 0)).toBe("on the field’s centre");
    expect(fromCentreWords(0.02, -7)).toBe("7.0 mm towards you from the field’s centre");
    expect(turnWords(-1.8)).toBe("1.8° to the right");
    expect(turnWords(0)).toBe("no turn");
    expect(errorWords(0.62, 0.304)).toEqual(["±0.6 mm", "±0.30°"]);
  });
});

describe("the picture's arrows and edges", () => {
  it("an arrow ends where the fit puts the design's place, drawn longer", () => {
    const pose = { xMm: 3, yMm: -2, deg: 30 };
    const design = at(10, 5);
    const there = posed({ xMm: 3, yMm: -2, angleRad: Math.PI / 6 }, design);
    const [from, to] = missArrow(at(there.xMm - 0.5, there.yMm), design, pose, 10);
    expect(to.xMm - from.xMm).toBeCloseTo(5, 9);
    expect(to.yMm - from.yMm).toBeCloseTo(0, 9);
  });
  it("the field is the least of the machine's and the hoop's", () => {
    const machine = { fieldWidthMm: 360, fieldHeightMm: 120 } as Known["machines"][number];
    const hoop = { widthMm: 200, heightMm: 140 } as Known["hoop"];
    expect(fieldOf(machine, hoop)).toEqual({ widthMm: 200, heightMm: 120 });
    expect(areaOf({ widthMm: 200, heightMm: 120 }).rightMm).toBe(112);
  });
});
