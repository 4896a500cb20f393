import { seededChance } from "#core/base";
import jpeg from "jpeg-js";
import { describe, expect, it } from "vitest";
import { findMarkers } from "./find-markers";
import { MARKER_COUNT } from "./marker-code";
import { greyOf } from "./pixels";
import { NOTHING_KINDS, pictureWithoutMarkers } from "./some-nothing";
import { type PhotoAsk, renderPhoto } from "./some-photos";
import { LENS_KINDS, someLens, someScene, someView } from "./some-views";

/** One marker in the middle of a photo twice and a half as wide, its side about as long as asked. */
function oneMarker(id: number, sidePx: number, change: Partial<PhotoAsk> = {}, tiltDegrees = 0): PhotoAsk {
  const widthPx = Math.round(2.5 * sidePx) + 30;
  const heightPx = Math.round(2 * sidePx) + 30;
  const lens = { ...someLens("none", widthPx, heightPx), focalPx: 500 };
  const scene = someScene(seededChance(id + 1), "plain");
  return {
    widthPx,
    heightPx,
    lens,
    pose: {
      aim: { xMm: 0, yMm: 0 },
      distanceMm: (500 * 18) / sidePx,
      tiltRad: (tiltDegrees * Math.PI) / 180,
      towardsRad: id,
      rollRad: 0.7 * id,
    },
    scene: {
      ...scene,
      inner: { xMm: 0, yMm: 0 },
      outer: { xMm: 900, yMm: 900 },
      markers: [{ id, centre: { xMm: 1, yMm: -0.5 }, sideMm: 18, angleRad: 0 }],
      // On a black rim a margin of two pixels is not enough; from 24 px a side it is.
      rimLight: sidePx < 24 ? 0.75 : scene.rimLight,
      inkSpreadMm: 0,
    },
    light: { falling: 0.2, fallingRad: 1, shadow: null, glare: [] },
    blurPx: 0.5,
    motion: null,
    shot: 0.0005,
    read: 0.002,
    ...change,
  };
}

/** The worst corner's error in px, and that only the one marker was found, once. */
function foundError(ask: PhotoAsk): number {
  const photo = renderPhoto(ask);
  const found = findMarkers(photo.grey, { lens: ask.lens });
  expect(found.map((one) => one.id)).toEqual(ask.scene.markers.map((one) => one.id));
  const truth = photo.cornersPx.get(found[0]!.id)!;
  return Math.max(
    ...found[0]!.cornersPx.map(({ xPx, yPx }, i) => Math.hypot(xPx - truth[i]!.xPx, yPx - truth[i]!.yPx)),
  );
}

describe("markers in a photo", () => {
  it("is found, told apart and lies the right way round (every ninth of them)", () => {
    for (let id = 0; id < MARKER_COUNT; id += 9)
      expect(foundError(oneMarker(id, 40)), `${id}`).toBeLessThan(0.15);
  });

  it.each([20, 26, 40, 150, 300])("with a side of %d px", (side) => {
    expect(foundError(oneMarker(7, side))).toBeLessThan(side < 30 ? 0.3 : 0.12);
  });

  it.each([15, 30, 40])("tilted by %d°", (tilt) => {
    for (let id = 0; id < 3; id++) expect(foundError(oneMarker(id, 50, {}, tilt))).toBeLessThan(0.15);
  });

  it("under a blur of two pixels, and moved while it was taken", () => {
    for (let id = 10; id < 13; id++) {
      expect(foundError(oneMarker(id, 80, { blurPx: 2 }))).toBeLessThan(0.4);
      expect(foundError(oneMarker(id, 80, { motion: { lengthPx: 4, angleRad: id } }))).toBeLessThan(0.4);
    }
  });

  it("with a shadow's edge right across and light shining off it", () => {
    for (let id = 20; id < 23; id++) {
      const shadow = { xPx: 118, yPx: 95, normalRad: id, softPx: 12, stays: 0.3 };
      const light = { falling: 0.5, fallingRad: 2, shadow, glare: [] };
      expect(foundError(oneMarker(id, 80, { light }))).toBeLessThan(0.3);
      const glare = [{ xPx: 105, yPx: 80, radiusPx: 30, strength: 0.45 }];
      expect(foundError(oneMarker(id, 80, { light: { ...light, shadow: null, glare } }))).toBeLessThan(0.3);
    }
  });

  it("ink that spreads or shrinks by a tenth of a millimetre does not move the corners", () => {
    for (const inkSpreadMm of [-0.1, 0.1]) {
      const ask = oneMarker(31, 90);
      expect(foundError({ ...ask, scene: { ...ask.scene, inkSpreadMm } })).toBeLessThan(0.12);
    }
  });

  it.each([60, 85])("out of a JPEG of quality %d", (quality) => {
    const ask = oneMarker(33, 70);
    const photo = renderPhoto(ask);
    const data = new Uint8Array(4 * photo.grey.data.length);
    photo.grey.data.forEach((grey, i) => data.set([grey, grey, grey, 255], 4 * i));
    const decoded = jpeg.decode(
      jpeg.encode({ width: ask.widthPx, height: ask.heightPx, data }, quality).data,
    );
    const found = findMarkers(greyOf({ widthPx: ask.widthPx, heightPx: ask.heightPx, data: decoded.data }));
    expect(found.map((one) => one.id)).toEqual([33]);
    const truth = photo.cornersPx.get(33)!;
    found[0]!.cornersPx.forEach(({ xPx, yPx }, i) =>
      expect(Math.hypot(xPx - truth[i]!.xPx, yPx - truth[i]!.yPx)).toBeLessThan(0.2),
    );
  });

  it("half under a finger it is not found rather than found wrong", () => {
    const ask = oneMarker(12, 80);
    const covers = [{ at: { xMm: 6, yMm: 3 }, radiusMm: 9, light: 0.3 }];
    expect(findMarkers(renderPhoto({ ...ask, scene: { ...ask.scene, covers } }).grey)).toEqual([]);
  });

  it("whole hoops through three lenses, one marker covered: all others, none besides, a seventh of a pixel", () => {
    let squares = 0;
    let count = 0;
    for (let seed = 1; seed < 3; seed++) {
      const ask = {
        widthPx: 1600,
        heightPx: 1200,
        blurPx: 0.6,
        lensKind: LENS_KINDS[seed % 3]!,
        hidden: "one",
      } as const;
      const view = someView(seededChance(300 + seed), ask);
      const photo = renderPhoto(view);
      const found = findMarkers(photo.grey, { lens: view.lens });
      expect(found.length).toBe(7);
      for (const one of found)
        one.cornersPx.forEach(({ xPx, yPx }, i) => {
          const truth = photo.cornersPx.get(one.id)![i]!;
          squares += (xPx - truth.xPx) ** 2 + (yPx - truth.yPx) ** 2;
          count += 2;
        });
    }
    expect(Math.sqrt(squares / count)).toBeLessThan(0.15);
  });

  it("no marker in pictures without any (the bench looks at ten thousand)", () => {
    for (let seed = 0; seed < 64; seed++) {
      const kind = NOTHING_KINDS[seed % NOTHING_KINDS.length]!;
      const picture = pictureWithoutMarkers(seededChance(50_000 + seed), kind, 240, 180);
      expect(findMarkers(picture), `${kind} ${seed}`).toEqual([]);
    }
    expect(findMarkers({ widthPx: 0, heightPx: 0, data: new Uint8Array() })).toEqual([]);
    expect(findMarkers({ widthPx: 3, heightPx: 2, data: Uint8Array.of(0, 255, 0, 255, 0, 255) })).toEqual([]);
  });
});
