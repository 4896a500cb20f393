import { describe, expect, it } from "vitest";
import { seededChance } from "#core/base";
import { zeros } from "./algebra";
import { judgeError, mustBeSureEnough, placeFromPhoto } from "./expected-error";
import { lensFromExif } from "./grid-sheet";
import { viewEdges } from "./hoop-edges";
import type { PointMm } from "./points";
import {
  between,
  drawnLens,
  inPhoto,
  someBelief,
  someHoop,
  someMarkers,
  SOME_LENS,
  somePose,
} from "./some-views";
import { placeInPhoto, placeOnCloth, type SeenMarker, viewHoop } from "./view";

const field = [[-180, -100], [180, -100], [180, 100], [-180, 100], [0, 0]].map(([xMm, yMm]): PointMm => ({ xMm: xMm!, yMm: yMm! })); // prettier-ignore
const apart = (a: PointMm, b: PointMm) => Math.hypot(a.xMm - b.xMm, a.yMm - b.yMm);
const exact = { lens: SOME_LENS, covariance: zeros(5, 5) };
const still = someHoop({ clothBelowSpreadMm: 0, printScaleShare: 0 });
const perfect = { ...still, markers: still.markers.map((one) => ({ ...one, spreadMm: 0 })) };

describe("a photo of a hoop", () => {
  it("without noise measures the cloth exactly, from every side and tilt", () => {
    const chance = seededChance(41);
    for (const tilt of [0, 40]) {
      const pose = somePose(chance, tilt, 450);
      const view = viewHoop(
        perfect,
        someMarkers(chance, perfect, { pose, lens: SOME_LENS, noisePx: 0 }),
        exact,
      );
      for (const at of field) {
        const photo = inPhoto(pose, SOME_LENS, at, -5);
        expect(apart(placeOnCloth(view, photo), at)).toBeLessThan(0.002);
        const back = placeInPhoto(view, at)!;
        expect(Math.hypot(back.xPx - photo.xPx, back.yPx - photo.yPx)).toBeLessThan(0.02);
      }
      expect(view.tiltDeg).toBeCloseTo(tilt, 1);
    }
  });

  it("would be wrong by height times the tangent of the sight if the cloth were taken for the markers' plane", () => {
    const pose = somePose(seededChance(42), 35, 450);
    const seen = someMarkers(seededChance(1), perfect, { pose, lens: SOME_LENS, noisePx: 0 });
    const flat = viewHoop({ ...perfect, clothBelowMm: 0 }, seen, exact);
    const middle = { xMm: 0, yMm: 0 };
    const off = apart(placeOnCloth(flat, inPhoto(pose, SOME_LENS, middle, -5)), middle);
    expect(off).toBeGreaterThan(2);
    expect(off).toBeCloseTo(5 * Math.tan((35 * Math.PI) / 180), 0);
  });

  it("measures within 0.3 mm rms from 0.4 px of noise at up to 40°", () => {
    const chance = seededChance(43);
    const bare = someHoop({ clothBelowSpreadMm: 0, printScaleShare: 0 });
    let squares = 0;
    const rounds = 10;
    for (let k = 0; k < rounds; k++) {
      const belief = someBelief(SOME_LENS);
      const lens = drawnLens(chance, belief);
      const pose = somePose(chance, between(chance, 0, 40), between(chance, 380, 600));
      const view = viewHoop(bare, someMarkers(chance, bare, { pose, lens, noisePx: 0.4 }), belief);
      for (const at of field) squares += apart(placeOnCloth(view, inPhoto(pose, lens, at, -5)), at) ** 2;
    }
    expect(Math.sqrt(squares / rounds / field.length)).toBeLessThan(0.3);
  });

  it("names the marker that was moved, and does without it and without covered ones", () => {
    const chance = seededChance(44);
    let named = 0;
    const rounds = 8;
    for (let k = 0; k < rounds; k++) {
      const pose = somePose(chance, between(chance, 0, 40), 450);
      const seen = someMarkers(chance, still, { pose, lens: SOME_LENS, noisePx: 0.3 }).filter(
        (one) => one.id !== 6,
      );
      const bad = seen[chance.below(7)]!;
      const moved: SeenMarker = {
        id: bad.id,
        cornersPx: bad.cornersPx.map(({ xPx, yPx }) => ({ xPx: xPx + 9, yPx: yPx - 5 })),
      };
      const view = viewHoop(still, [...seen.filter((one) => one !== bad), moved], exact);
      if (view.wrongMarkers.length === 1 && view.wrongMarkers[0]!.id === bad.id) named++;
      expect(apart(placeOnCloth(view, inPhoto(pose, SOME_LENS, field[0]!, -5)), field[0]!)).toBeLessThan(0.5);
    }
    expect(named).toBe(rounds);
  });

  it("is less sure of markers that were taught off as a whole than of corners that were off each by itself", () => {
    const pose = somePose(seededChance(46), 10, 450);
    const [whole, corners, unsaid] = [0.2, 0, undefined].map((togetherMm) => {
      const hoop = { ...still, markers: still.markers.map((one) => ({ ...one, spreadMm: 0.2, ...(togetherMm === undefined ? {} : { togetherMm }) })) }; // prettier-ignore
      const seen = someMarkers(seededChance(47), perfect, { pose, lens: SOME_LENS, noisePx: 0.05 });
      const { spread } = viewHoop(hoop, seen, exact);
      // How well the camera is known along x, mm. A bare shift by 8 markers or 32 corners: √(32 / 8); turns take a part.
      return Math.sqrt(spread.find((one) => one.source === "taught")!.covariance[3]![3]!);
    }) as [number, number, number];
    expect(whole / corners).toBeGreaterThan(1.4);
    expect(whole / corners).toBeLessThan(2.05);
    expect(unsaid).toBeGreaterThan(0.8 * whole);
  });

  it("is refused mirrored, without markers, and with markers that were taken for one another", () => {
    const chance = seededChance(45);
    const pose = somePose(chance, 15, 450);
    const seen = someMarkers(chance, still, { pose, lens: SOME_LENS, noisePx: 0.2 });
    const mirrored = seen.map((one) => ({
      ...one,
      cornersPx: one.cornersPx.map(({ xPx, yPx }) => ({ xPx: 4031 - xPx, yPx })),
    }));
    expect(() => viewHoop(still, mirrored, exact)).toThrowError(/mirrored/);
    expect(() => viewHoop(still, [{ ...seen[0]!, id: 99 }], exact)).toThrowError(
      /None of the hoop's 8 markers/,
    );
    const swapped = [
      { ...seen[0]!, id: 4 },
      { ...seen[4]!, id: 0 },
    ];
    expect(() => viewHoop(still, swapped, exact)).toThrowError();
  });

  it("of an unmeasured phone says a larger error than of a measured one, and is refused with what would help where that is too much", () => {
    const chance = seededChance(46);
    const pose = somePose(chance, 30, 450);
    const seen = someMarkers(chance, still, { pose, lens: SOME_LENS, noisePx: 0.3 });
    const outline = field.slice(0, 4);
    const stated = [exact, lensFromExif({ widthPx: 4032, heightPx: 3024, filmFocalMm: null })].map(
      (belief) => {
        const view = viewHoop(still, seen, belief);
        const marks = [
          {
            kind: "centre line" as const,
            pointsPx: [
              inPhoto(pose, SOME_LENS, { xMm: 0, yMm: 80 }, -5),
              inPhoto(pose, SOME_LENS, { xMm: 0, yMm: -80 }, -5),
            ],
          },
          { kind: "place" as const, pointsPx: [inPhoto(pose, SOME_LENS, { xMm: 0, yMm: 0 }, -5)] },
        ];
        const rule = { rule: "at place", anchor: "middle", turnDeg: 0 } as const;
        const placed = placeFromPhoto({ view, marks, rule, top: "away", outline, touchMm: 0.2 });
        expect(Math.hypot(placed.pose.xMm, placed.pose.yMm)).toBeLessThan(1);
        return { placed, error: judgeError(placed, outline, { mm: 2, degrees: 1 }).expected };
      },
    );
    expect(stated[1]!.error.mm).toBeGreaterThan(stated[0]!.error.mm);
    const tight = () => mustBeSureEnough(stated[0]!.placed, outline, { mm: 0.1, degrees: 1 });
    expect(tight).toThrowError(/allows ±0.1 mm.*touching the marks further apart/);
  });
});

describe("a hoop without markers", () => {
  it("is measured by lines over its inner edges, the less surely the rougher they are laid", () => {
    const chance = seededChance(47);
    const pose = somePose(chance, 25, 450);
    const edge = (ends: readonly (readonly number[])[], rough: number) =>
      [0, 0.25, 0.75, 1].map((share) => {
        const [from, to] = [ends[0]!, ends[1]!];
        const at = {
          xMm: from[0]! + (to[0]! - from[0]!) * share,
          yMm: from[1]! + (to[1]! - from[1]!) * share,
        };
        const seen = inPhoto(pose, SOME_LENS, at, 0);
        return {
          xPx: seen.xPx + between(chance, -rough, rough),
          yPx: seen.yPx + between(chance, -rough, rough),
        };
      });
    const viewed = (rough: number, touchPx: number) =>
      viewEdges(
        {
          edgesPx: {
            left: edge([[-190, -90], [-190, 90]], rough), // prettier-ignore
            far: edge([[-170, 110], [170, 110]], rough), // prettier-ignore
            right: edge([[190, -90], [190, 90]], rough), // prettier-ignore
            near: edge([[-170, -110], [170, -110]], rough), // prettier-ignore
          },
          innerWidthMm: 380,
          innerHeightMm: 220,
          innerSpreadMm: 0.1,
          touchPx,
          clothBelowMm: 3,
          clothBelowSpreadMm: 0.2,
          printScaleShare: 0,
        },
        exact,
      );
    const fine = viewed(0, 0.5);
    for (const at of field)
      expect(apart(placeOnCloth(fine, inPhoto(pose, SOME_LENS, at, -3)), at)).toBeLessThan(0.01);
    const marks = (view: typeof fine) =>
      view.spread.find((one) => one.source === "marks")!.covariance[3]![3]!;
    expect(marks(viewed(3, 2))).toBeGreaterThan(4 * marks(fine));
  });
});
