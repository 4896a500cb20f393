/**
 * A hoop with markers, its grid sheet and a phone, as photos would show them: made by core/placing's camera with known
 * truth, so that what the program answers can be held against where things are.
 */
import type { Chance } from "#core/base";
import {
  gridSheet,
  MARKER_COUNT,
  markerCornersMm,
  type PointMm,
  type PointPx,
  SHEET_FIRST_ID,
} from "#core/placing";
import { inPhoto, normal, SOME_LENS, somePose } from "../../src/core/placing/some-views";
import type { CameraPose } from "../../src/core/placing/camera";

export const PHOTO = { widthPx: 4032, heightPx: 3024 };
/** Markers' faces over the sheet or table, and the cloth under the faces. */
export const MARKERS_OVER_MM = 6;
export const CLOTH_BELOW_MM = 5;
export const INNER = { widthMm: 200, heightMm: 140 };
const NOISE_PX = 0.15;
const STICKER_MM = 16;

/** Where four stickers are on the rim, in the hoop's plane. */
const stickers: readonly PointMm[] = [
  { xMm: -112, yMm: 78 },
  { xMm: 111, yMm: 79 },
  { xMm: 113, yMm: -77 },
  { xMm: -110, yMm: -80 },
];

export const stickerCorners = (place: number): PointMm[] =>
  [
    [-1, 1],
    [1, 1],
    [1, -1],
    [-1, -1],
  ].map(([x, y]) => ({
    xMm: stickers[place]!.xMm + (x! * STICKER_MM) / 2,
    yMm: stickers[place]!.yMm + (y! * STICKER_MM) / 2,
  }));

export interface Shot {
  readonly pose: CameraPose;
  /** A place of the hoop's plane (height over the markers' faces) as this photo shows it, with noise. */
  readonly see: (at: PointMm, heightMm: number) => PointPx;
}

export function someShot(chance: Chance, tiltDeg: number, distanceMm = 480): Shot {
  const pose = somePose(chance, tiltDeg, distanceMm);
  const noisy = (at: PointPx): PointPx => ({
    xPx: at.xPx + NOISE_PX * normal(chance),
    yPx: at.yPx + NOISE_PX * normal(chance),
  });
  return { pose, see: (at, heightMm) => noisy(inPhoto(pose, SOME_LENS, at, heightMm)) };
}

const inside = ({ xPx, yPx }: PointPx): boolean =>
  0 <= xPx && xPx < PHOTO.widthPx && 0 <= yPx && yPx < PHOTO.heightPx;

export const seenStickers = (shot: Shot, ids: readonly number[], hidden: readonly number[] = []) =>
  ids
    .map((id, place) => ({ id, cornersPx: stickerCorners(place).map((corner) => shot.see(corner, 0)) }))
    .filter(({ id }) => !hidden.includes(id));

const a4 = gridSheet({
  widthMm: 210,
  heightMm: 297,
  freeMm: 6,
  firstId: SHEET_FIRST_ID,
  count: MARKER_COUNT - SHEET_FIRST_ID,
});

/** The A4 grid sheet as it lies under the hoop, turned and shifted; its plane is under the markers' faces. */
export function seenGrid(
  shot: Shot,
  laid: { readonly xMm: number; readonly yMm: number; readonly turnRad: number },
) {
  const [cos, sin] = [Math.cos(laid.turnRad), Math.sin(laid.turnRad)];
  return a4.markers
    .map((marker) => ({
      id: marker.id,
      cornersPx: markerCornersMm(marker).map(({ xMm, yMm }) =>
        shot.see(
          { xMm: laid.xMm + cos * xMm - sin * yMm, yMm: laid.yMm + sin * xMm + cos * yMm },
          -MARKERS_OVER_MM,
        ),
      ),
    }))
    .filter(({ cornersPx }) => cornersPx.every(inside));
}

/** The inner edges, touched at two places each, on the sheet's height. */
export function seenEdges(shot: Shot) {
  const [x, y] = [INNER.widthMm / 2, INNER.heightMm / 2];
  const edge = (from: readonly [number, number], to: readonly [number, number]) =>
    [0.1, 0.5, 0.9].map((share) =>
      shot.see(
        { xMm: from[0] + (to[0] - from[0]) * share, yMm: from[1] + (to[1] - from[1]) * share },
        -MARKERS_OVER_MM,
      ),
    );
  return {
    left: edge([-x, -y], [-x, y]),
    right: edge([x, -y], [x, y]),
    near: edge([-x, -y], [x, -y]),
    far: edge([-x, y], [x, y]),
  };
}

/** Places on the cloth as touched in the photo, each with a touch's error on the cloth. */
export const touchedOn = (shot: Shot, chance: Chance, points: readonly PointMm[], errorMm = 0.3): PointPx[] =>
  points.map(({ xMm, yMm }) =>
    shot.see({ xMm: xMm + errorMm * normal(chance), yMm: yMm + errorMm * normal(chance) }, -CLOTH_BELOW_MM),
  );
