import { describe, expect, it } from "vitest";
import { type Chance, seededChance } from "#core/base";
import { type GridPoint, lensFromExif, markersOnSheet, measureLens, teachMarkers } from "./grid-sheet";
import type { Lens } from "./lens";
import { type PointMm, posed } from "./points";
import { between, inPhoto, normal, someHoop, SOME_LENS, somePose } from "./some-views";

const start = lensFromExif({ widthPx: 4032, heightPx: 3024, filmFocalMm: 26 });

function gridPhoto(chance: Chance, lens: Lens, tiltDeg: number, noisePx: number) {
  const pose = somePose(chance, tiltDeg, between(chance, 400, 480));
  const grid: GridPoint[] = [];
  for (let x = -150; x <= 150; x += 25)
    for (let y = -100; y <= 100; y += 25) {
      const at = inPhoto(pose, lens, { xMm: x, yMm: y }, 0);
      const photo = { xPx: at.xPx + noisePx * normal(chance), yPx: at.yPx + noisePx * normal(chance) };
      grid.push({ sheet: { xMm: x, yMm: y }, photo });
    }
  return { pose, grid };
}

describe("a phone's lens from the grid sheet", () => {
  it("comes out within its own stated errors", () => {
    const chance = seededChance(61);
    const photos = [30, 35, 30, 10].map((tilt) => gridPhoto(chance, SOME_LENS, tilt, 0.15).grid);
    const { belief, terms, leftPx, findings } = measureLens(photos, start);
    const off = [
      Math.log(belief.lens.focalPx / SOME_LENS.focalPx),
      belief.lens.k1 - SOME_LENS.k1,
      belief.lens.k2 - SOME_LENS.k2,
    ];
    off.forEach((one, i) => expect(Math.abs(one)).toBeLessThan(3.5 * Math.sqrt(belief.covariance[i]![i]!)));
    expect(Math.abs(off[0]!)).toBeLessThan(0.01);
    expect(terms).toBe(2);
    expect(leftPx).toBeCloseTo(0.15 * Math.SQRT2, 1);
    expect(findings).toEqual([]);
  });

  it("takes no distortion terms that the photos do not bear out", () => {
    const chance = seededChance(62);
    const plain = { ...SOME_LENS, k1: 0, k2: 0 };
    const one = { ...SOME_LENS, k1: -0.08, k2: 0 };
    const measured = (lens: Lens) =>
      measureLens(
        [30, 35].map((tilt) => gridPhoto(chance, lens, tilt, 0.2).grid),
        start,
      ).terms;
    expect(measured(plain)).toBe(0);
    expect(measured(one)).toBe(1);
  });

  it("says when photos from straight above leave the focal length open", () => {
    const chance = seededChance(63);
    const { findings, belief } = measureLens([gridPhoto(chance, SOME_LENS, 1, 0.2).grid], start);
    expect(findings.map((one) => one.code)).toEqual(["placing-focal-unsure"]);
    expect(belief.covariance[0]![0]!).toBeGreaterThan(0.01 ** 2);
  });

  it("is refused from too few crossings", () => {
    expect(() =>
      measureLens([gridPhoto(seededChance(1), SOME_LENS, 20, 0).grid.slice(0, 12)], start),
    ).toThrowError(/12 crossings/);
    expect(() => measureLens([], start)).toThrowError(/No photo/);
  });
});

describe("an unmeasured phone", () => {
  it("is believed from the EXIF focal length by the film's diagonal", () => {
    // 26 mm on film of 43.267 mm diagonal; 4032 × 3024 px have 5040 px: 26 / 43.267 · 5040 = 3028.7 px.
    expect(start.lens.focalPx).toBeCloseTo(3028.7, 0);
    expect(start.lens.centreXPx).toBe(2015.5);
    const unknown = lensFromExif({ widthPx: 4032, heightPx: 3024, filmFocalMm: null });
    expect(unknown.covariance[0]![0]!).toBeGreaterThan(start.covariance[0]![0]!);
    expect(() => lensFromExif({ widthPx: 4032, heightPx: 3024, filmFocalMm: 0 })).toThrowError(
      /focal length/,
    );
  });
});

describe("teaching a hoop", () => {
  const hoop = someHoop();
  const sheetPhoto = (chance: Chance, laid: { xMm: number; yMm: number; angleRad: number }) => {
    const { pose, grid } = gridPhoto(chance, SOME_LENS, between(chance, 5, 30), 0.15);
    const markers = hoop.markers.map(({ id, cornersMm }) => ({
      id,
      cornersPx: cornersMm.map((corner) => {
        const at = inPhoto(pose, SOME_LENS, posed(laid, corner), 12);
        return { xPx: at.xPx + 0.15 * normal(chance), yPx: at.yPx + 0.15 * normal(chance) };
      }),
    }));
    return { grid, markers };
  };
  const exact = {
    lens: SOME_LENS,
    covariance: Array.from({ length: 5 }, () => new Array<number>(5).fill(0)),
  };
  const apart = (a: PointMm, b: PointMm) => Math.hypot(a.xMm - b.xMm, a.yMm - b.yMm);

  it("finds the markers 12 mm over the sheet, photo after photo, however the hoop lies", () => {
    const chance = seededChance(64);
    const lays = [0, 1, 2, 3].map((k) =>
      k === 0
        ? { xMm: 0, yMm: 0, angleRad: 0 }
        : { xMm: between(chance, -8, 8), yMm: between(chance, -8, 8), angleRad: between(chance, -0.1, 0.1) },
    );
    const measured = lays.map((laid) => markersOnSheet(sheetPhoto(chance, laid), exact, 12));
    const { markers, counts, findings } = teachMarkers(measured);
    expect(counts).toEqual(hoop.markers.map(() => 4));
    expect(findings).toEqual([]);
    for (const { id, cornersMm, spreadMm } of markers) {
      cornersMm.forEach((corner, i) =>
        expect(apart(corner, hoop.markers[id]!.cornersMm[i]!)).toBeLessThan(0.25),
      );
      expect(spreadMm).toBeLessThan(0.1);
    }
  });

  it("tells by how much whole markers were off from how much corners were", () => {
    const chance = seededChance(66);
    // Five measurements; each marker as a whole off by 0.15 mm, each corner besides by 0.05 mm, each way.
    const measured = Array.from({ length: 5 }, () =>
      hoop.markers.map(({ id, cornersMm }) => {
        const [x, y] = [0.15 * normal(chance), 0.15 * normal(chance)];
        return { id, cornersMm: cornersMm.map(({ xMm, yMm }) => ({ xMm: xMm + x + 0.05 * normal(chance), yMm: yMm + y + 0.05 * normal(chance) })) }; // prettier-ignore
      }),
    );
    const { markers } = teachMarkers(measured);
    const mean = (of: (one: (typeof markers)[number]) => number) =>
      Math.sqrt((markers.reduce((all, one) => all + of(one), 0) / markers.length) * 5);
    // Held up by what is usual, 0.07 and 0.04 mm, which weighs as much as three photos.
    expect(mean((one) => one.togetherMm! ** 2)).toBeCloseTo(0.125, 1.4);
    expect(mean((one) => one.spreadMm ** 2 - one.togetherMm! ** 2)).toBeCloseTo(0.05, 1.4);
  });

  it("tells a loose marker, and one photo that says nothing of the spread", () => {
    const chance = seededChance(65);
    const still = { xMm: 0, yMm: 0, angleRad: 0 };
    const measured = [0, 1, 2].map((k) =>
      markersOnSheet(sheetPhoto(chance, still), exact, 12).map((one) =>
        one.id === 3
          ? { ...one, cornersMm: one.cornersMm.map(({ xMm, yMm }) => ({ xMm: xMm + 2 * k, yMm })) }
          : one,
      ),
    );
    expect(teachMarkers(measured).findings.map((one) => one.message)).toEqual([
      expect.stringMatching(/Marker 3/),
    ]);
    const once = teachMarkers(measured.slice(0, 1));
    expect(once.findings.map((one) => one.code)).toEqual(hoop.markers.map(() => "placing-marker-once"));
    expect(() => teachMarkers([])).toThrowError(/No marker/);
  });
});
