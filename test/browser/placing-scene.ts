import { encode } from "jpeg-js";
import { seededChance } from "#core/base";
import type { PointMm } from "#core/placing";
import {
  CLOTH_BELOW_MM,
  INNER,
  MARKERS_OVER_MM,
  PHOTO,
  seenEdges,
  seenGrid,
  seenStickers,
  someShot,
  stickerCorners,
} from "#test/some-placing";
import { turnedUpright } from "../../src/core/placing/picture/orientation";
import { strokesThrough } from "../../src/core/placing/picture/some-cloth";
import { type PhotoAsk, type Pose, renderPhoto } from "../../src/core/placing/picture/some-photos";
import { SOME_LENS } from "../../src/core/placing/some-views";

/** A studio whose phone and hoop were measured, and a photo of hooped cloth as that phone takes it; truth is known. */

type Ask = <T>(method: "GET" | "POST" | "PUT", where: string, body?: unknown) => Promise<T>;

/** Measures a phone and teaches one hoop of a kind, as from photos of the grid sheet. */
export async function measuredStudio(ask: Ask, hoopId: string) {
  const chance = seededChance(7);
  const phone = await ask<{ id: string }>("POST", "/api/placing/phones", { name: "Workroom phone" });
  const sheets = [0, 33, 25].map((tilt) => {
    const shot = someShot(chance, tilt, 420);
    return { photo: PHOTO, markers: seenGrid(shot, { xMm: 0, yMm: 0, turnRad: 0.1 }) };
  });
  await ask("POST", `/api/placing/phones/${phone.id}/lens`, { photos: sheets });
  const hoop = await ask<{ id: string; markerIds: number[] }>("POST", "/api/placing/hoops", {
    hoopId,
    label: "Broad 1",
  });
  await ask("POST", `/api/placing/hoops/${hoop.id}/teach`, {
    phoneId: phone.id,
    photos: [5, 20, 30].map((tilt) => {
      const shot = someShot(chance, tilt);
      return {
        photo: PHOTO,
        markers: [
          ...seenStickers(shot, hoop.markerIds),
          ...seenGrid(shot, { xMm: 4, yMm: -3, turnRad: 1.5 }),
        ],
        edges: seenEdges(shot),
      };
    }),
    markersOverSheetMm: MARKERS_OVER_MM,
    edgesOverSheetMm: 0,
    clothBelowMm: CLOTH_BELOW_MM,
    clothBelowSpreadMm: 0.3,
  });
  return { phoneId: phone.id, hoop };
}

/** The side of a sticker's dark ring whose middle line some-placing's corners lie on (8 of its 9 cells). */
const RING_MM = (16 * 9) / 8;

const centreOf = (place: number): PointMm => {
  const [a, , c] = stickerCorners(place);
  return { xMm: (a!.xMm + c!.xMm) / 2, yMm: (a!.yMm + c!.yMm) / 2 };
};

const SHRUNK = 2;

const POSE: Pose = {
  aim: { xMm: 4, yMm: -6 },
  distanceMm: 430,
  tiltRad: (14 * Math.PI) / 180,
  towardsRad: 2.2,
  rollRad: 0.12,
};

/**
 * A photo of hooped cloth with a chalk line through `on`, `leanDeg` off straight up. `hidden`: stickers under a finger.
 */
export function chalkPhoto(given: {
  readonly markerIds: readonly number[];
  readonly on: PointMm;
  readonly leanDeg: number;
  readonly hidden?: readonly number[];
  readonly clothKind?: "plain" | "striped";
}) {
  // Half the phone's size each way: its lens scales, and it is rendered in a quarter of the time.
  const [widthPx, heightPx] = [PHOTO.widthPx / SHRUNK, PHOTO.heightPx / SHRUNK];
  const lens = {
    ...SOME_LENS,
    focalPx: SOME_LENS.focalPx / SHRUNK,
    centreXPx: (SOME_LENS.centreXPx + 0.5) / SHRUNK - 0.5,
    centreYPx: (SOME_LENS.centreYPx + 0.5) / SHRUNK - 0.5,
  };
  const lean = (given.leanDeg * Math.PI) / 180;
  const way = { x: -Math.sin(lean), y: Math.cos(lean) };
  const along = (by: number): [number, number] => [given.on.xMm + way.x * by, given.on.yMm + way.y * by];
  const across = (by: number): [number, number] => [given.on.xMm + way.y * by, given.on.yMm - way.x * by];
  const asked: PhotoAsk = {
    widthPx,
    heightPx,
    lens,
    pose: POSE,
    scene: {
      inner: { xMm: INNER.widthMm / 2, yMm: INNER.heightMm / 2 },
      outer: { xMm: INNER.widthMm / 2 + 26, yMm: INNER.heightMm / 2 + 26 },
      markers: given.markerIds.map((id, place) => ({
        id,
        centre: centreOf(place),
        sideMm: RING_MM,
        angleRad: 0,
      })),
      covers: (given.hidden ?? []).map((place) => ({ at: centreOf(place), radiusMm: 11, light: 0.35 })),
      rimLight: 0.3,
      cloth: {
        kind: given.clothKind ?? "plain",
        angleRad: lean,
        periodMm: 8,
        light: 0.3,
        otherLight: 0.2,
        seed: 5,
        strokes: [
          ...strokesThrough([along(-62), along(62)], 0.9, 0.85),
          ...strokesThrough([across(-6), across(6)], 0.9, 0.85),
        ],
      },
      clothBelowMarkersMm: CLOTH_BELOW_MM,
      inkSpreadMm: 0.02,
    },
    light: { falling: 0.25, fallingRad: 0.8, shadow: null, glare: [] },
    blurPx: 0.8,
    motion: null,
    shot: 0.0004,
    read: 0.002,
  };
  return renderPhoto(asked).grey;
}

/**
 * The picture as a phone held upright stores it: rows a quarter turn off, and the notes that say so (Exif orientation 6,
 * CIPA DC-008 §4.6.4).
 */
export function asPhoneStores(grey: { widthPx: number; heightPx: number; data: ArrayLike<number> }): Buffer {
  const upright = { widthPx: grey.widthPx, heightPx: grey.heightPx, data: Uint8Array.from(grey.data) };
  const stored = turnedUpright(upright, 8);
  const rgba = new Uint8Array(4 * stored.widthPx * stored.heightPx);
  for (let i = 0; i < stored.data.length; i++) rgba.fill(stored.data[i]!, 4 * i, 4 * i + 3);
  const { data } = encode({ width: stored.widthPx, height: stored.heightPx, data: rgba }, 90);
  return Buffer.concat([data.subarray(0, 2), exifTurned(6), data.subarray(2)]);
}

/** An APP1 segment with one entry: the orientation. */
function exifTurned(orientation: number): Buffer {
  const tiff = Buffer.alloc(26);
  tiff.write("MM", 0);
  tiff.writeUInt16BE(42, 2);
  tiff.writeUInt32BE(8, 4);
  tiff.writeUInt16BE(1, 8);
  tiff.writeUInt16BE(0x0112, 10);
  tiff.writeUInt16BE(3, 12);
  tiff.writeUInt32BE(1, 14);
  tiff.writeUInt16BE(orientation, 18);
  const head = Buffer.from([0xff, 0xe1, 0, 2 + 6 + tiff.length]);
  return Buffer.concat([head, Buffer.from("Exif\0\0", "latin1"), tiff]);
}
