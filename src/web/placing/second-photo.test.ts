import { describe, expect, it } from "vitest";
import type { HoopView } from "#core/placing";
import { fromPicture, toPicture } from "./geometry";
import type { Mark, Result } from "./marks";
import type { ClothPicture, OpenedPhoto } from "./photo-messages";
import { trueScaleOf } from "./scale";
import {
  heightWords,
  OWN_PLACE,
  pairsInBoth,
  placesOfMarks,
  sidesOf,
  sightsApartDeg,
  wantsSecond,
  withFresh,
} from "./second-photo";

/** A camera 400 mm from the hoop's middle, leaning so far that it stands on the right (positive) or left. */
function viewFrom(rightDeg: number, clothBelowMm = 5): HoopView {
  const [c, s] = [Math.cos((rightDeg * Math.PI) / 180), Math.sin((rightDeg * Math.PI) / 180)];
  // Rows: the camera's right, down and forward in the hoop's axes.
  const rotation = [[c, 0, -s], [0, -1, 0], [-s, 0, -c]]; // prettier-ignore
  const lens = { centreXPx: 500, centreYPx: 400, focalPx: 900, k1: 0, k2: 0 };
  return { pose: { rotation, at: [0, 0, 400] }, lens, clothBelowMm, tiltDeg: Math.abs(rightDeg) } as unknown as HoopView; // prettier-ignore
}

const at = (xMm: number, yMm: number) => ({ xMm, yMm });
const mark = (kind: Mark["kind"], ...points: Mark["points"]): Mark => ({
  asked: { oneOf: [kind], leastPoints: 1, optional: false, words: "" },
  kind,
  points,
  touched: null,
  found: null,
});

describe("places for a second photo", () => {
  it("are those of the first, points before lines, for along a line nothing is found again", () => {
    const places = placesOfMarks([mark("centre line", at(0, -50), at(0, 50)), mark("place", at(5, 6))]);
    expect(places.map((one) => one.words)).toEqual(["place of the design", "centre line, place 1", "centre line, place 2"]); // prettier-ignore
    expect(places.every((one) => one.second === null)).toBe(true);
  });
  it("stay when they were touched; what was touched since comes to them, what was moved makes way", () => {
    const fresh = placesOfMarks([mark("area", at(0, 0), at(10, 0), at(10, 10))]);
    const own = { first: at(40, 40), second: null, words: OWN_PLACE };
    const kept = [{ ...fresh[0]!, second: at(1, 0) }, { ...fresh[1]!, first: at(11, 0) }, own];
    expect(withFresh(kept, fresh)).toEqual([kept[0], own, fresh[1], fresh[2]]);
  });
  it("travel as the pixels of each photo, those touched in both only", () => {
    const [first, second] = [viewFrom(-30), viewFrom(30)];
    const photo = {
      opened: {} as OpenedPhoto,
      cloth: { view: second } as ClothPicture,
      places: [
        { first: at(0, 0), second: at(0, 0), words: "" },
        { first: at(9, 9), second: null, words: "" },
      ],
    };
    const pairs = pairsInBoth(first, photo);
    expect(pairs).toHaveLength(1);
    // 5 mm under the place both cameras look at: seen 5 · sin 30° to the side at 400 + 5 · cos 30° mm.
    const off = (900 * 5 * 0.5) / (400 + 5 * Math.cos(Math.PI / 6));
    expect(pairs[0]!.first.xPx).toBeCloseTo(500 - off, 6);
    expect(pairs[0]!.second.xPx).toBeCloseTo(500 + off, 6);
  });
});

describe("the sides photos are taken from", () => {
  it("are named by where the camera stands, and not from straight above", () => {
    expect(sidesOf(viewFrom(30))).toEqual(["right", "left"]);
    expect(sidesOf(viewFrom(-30))).toEqual(["left", "right"]);
    expect(sidesOf(viewFrom(3))).toBeNull();
    expect(sightsApartDeg(viewFrom(-30), viewFrom(35))).toBeCloseTo(65, 9);
  });
});

describe("what is said of the height", () => {
  const error = (share: number) => ({ mm: 1, degrees: 1, shares: [{ source: "cloth height", share }] });
  it("is worth a second photo where it is most of the error, or some of one that is too large", () => {
    const result = (share: number, sure: boolean) => ({ error: error(share), sure }) as unknown as Result;
    expect(wantsSecond(result(0.6, true))).toBe(true);
    expect(wantsSecond(result(0.3, true))).toBe(false);
    expect(wantsSecond(result(0.3, false))).toBe(true);
    expect(wantsSecond(result(0.02, false))).toBe(false);
  });
  it("stands in plain words", () => {
    const height = { clothBelowMm: 1.44, plusMinusMm: 0.12 } as NonNullable<Result["height"]>;
    expect(heightWords(height)).toBe("The cloth lies 1.4 mm under the markers, ±0.1 mm.");
  });
  it("moves the design in a picture that was laid flat at the height believed, to where it shows the true place", () => {
    const view = viewFrom(35);
    const cloth = { view, areaMm: { leftMm: -60, rightMm: 60, bottomMm: -40, topMm: 40 }, pxPerMm: 5 } as ClothPicture; // prettier-ignore
    const field = { widthMm: 100, heightMm: 60 };
    const told = { state: "told", clothBelowMm: 6 } as Result["height"];
    const pose = { xMm: 0, yMm: 0, deg: 0 };
    expect(trueScaleOf({ cloth, field }, { pose, height: null })).toBe(cloth);
    const { x, y } = toPicture(trueScaleOf({ cloth, field }, { pose, height: told }), pose);
    // Seen from the right, a place 1 mm deeper shows 1 · tan of its sight's slant further to the left.
    const [shown, eye] = [fromPicture(cloth, x, y), { x: 400 * Math.sin((35 * Math.PI) / 180), z: 400 * Math.cos((35 * Math.PI) / 180) }]; // prettier-ignore
    expect(shown.xMm).toBeCloseTo(eye.x / (eye.z + 6), 3);
    expect(shown.yMm).toBeCloseTo(0, 9);
  });
});
