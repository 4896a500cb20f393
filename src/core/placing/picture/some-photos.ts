/**
 * A camera of our own for tests and benches: it renders a hoop with markers on its rim and cloth some millimetres
 * below, as a phone would see it, with the truth known. Pinhole and radial lens; area sampling by sixteen samples a
 * pixel where an edge may lie (one elsewhere); Gaussian and motion blur, shot and read noise in linear light; sRGB
 * bytes. Tilted views, uneven light, a soft shadow, glare, covered markers. Everything follows from the seed.
 */
import { bend, type Lens, straighten } from "../lens";
import type { PointMm, PointPx } from "../points";
import { type Cloth, clothLight, strokeAt, unevenness } from "./some-cloth";
import { blurred, exposed, type Motion } from "./some-exposure";
import { MARGIN_CELLS, MARKER_CELLS, markerCells } from "./marker-code";
import { type LaidMarker, markerCornersMm, stickerSideMm } from "./marker-sheets";
import type { GreyPicture } from "./pixels";

/** Where the camera is: it looks at `aim` from `distanceMm`, `tiltRad` off the vertical towards `towardsRad`. */
export interface Pose {
  readonly aim: PointMm;
  readonly distanceMm: number;
  readonly tiltRad: number;
  readonly towardsRad: number;
  readonly rollRad: number;
}

/** A disc that covers what lies under it (a finger, a fold), in the rim's plane. */
export interface Cover {
  readonly at: PointMm;
  readonly radiusMm: number;
  readonly light: number;
}

export interface Scene {
  /** Middle of the hoop is the origin. Half sizes of the rim's inner and outer edge. */
  readonly inner: PointMm;
  readonly outer: PointMm;
  readonly markers: readonly LaidMarker[];
  readonly covers: readonly Cover[];
  readonly rimLight: number;
  readonly cloth: Cloth;
  readonly clothBelowMarkersMm: number;
  /** Ink that spreads: the dark ring grows by so much on both edges. */
  readonly inkSpreadMm: number;
}

export interface LightFall {
  /** Brightest to darkest over the photo, and its direction. */
  readonly falling: number;
  readonly fallingRad: number;
  /** A shadow's edge through a place in the photo: its normal, softness, what light stays. */
  readonly shadow: { readonly xPx: number; readonly yPx: number; readonly normalRad: number; readonly softPx: number; readonly stays: number } | null; // prettier-ignore
  readonly glare: readonly { readonly xPx: number; readonly yPx: number; readonly radiusPx: number; readonly strength: number }[]; // prettier-ignore
}

export interface PhotoAsk {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly lens: Lens;
  readonly pose: Pose;
  readonly scene: Scene;
  readonly light: LightFall;
  readonly blurPx: number;
  readonly motion: Motion | null;
  /** Linear noise: shot share (variance per light) and read σ. */
  readonly shot: number;
  readonly read: number;
}

export interface Photo {
  readonly grey: GreyPicture;
  /** Homographies mm → straightened px, row-major: the markers' plane and the cloth's. */
  readonly toPx: Float64Array;
  readonly clothToPx: Float64Array;
  /** Corners of each marker as `findMarkers` gives them, in the photo. */
  readonly cornersPx: ReadonlyMap<number, readonly PointPx[]>;
}

/** The homography mm → straightened px of the plane at height `zMm` (towards the camera is up). */
export function planeToPx(pose: Pose, lens: Lens, zMm: number): Float64Array {
  const { tiltRad: t, towardsRad: a, rollRad: r } = pose;
  // Camera axes in the world (x right, y away, z up): `down` looks at the aim.
  const back = [Math.sin(t) * Math.cos(a), Math.sin(t) * Math.sin(a), Math.cos(t)] as const;
  const side0 = [Math.cos(t) * Math.cos(a), Math.cos(t) * Math.sin(a), -Math.sin(t)] as const;
  const side1 = [-Math.sin(a), Math.cos(a), 0] as const;
  // Without tilt and roll the photo's x is the world's x and its y is the world's −y.
  const cos = Math.cos(r - a);
  const sin = Math.sin(r - a);
  const right = side0.map((one, k) => cos * one + sin * side1[k]!);
  const up = side0.map((one, k) => -sin * one + cos * side1[k]!);
  const rows = [right, up.map((one) => -one), back.map((one) => -one)];
  const eye = [
    pose.aim.xMm + back[0] * pose.distanceMm,
    pose.aim.yMm + back[1] * pose.distanceMm,
    back[2] * pose.distanceMm,
  ];
  const shifted = rows.map((row) => [
    row[0]!,
    row[1]!,
    row[2]! * zMm - (row[0]! * eye[0]! + row[1]! * eye[1]! + row[2]! * eye[2]!),
  ]);
  const [x, y, w] = shifted as [number[], number[], number[]];
  return Float64Array.from([
    ...x.map((one, k) => lens.focalPx * one + lens.centreXPx * w[k]!),
    ...y.map((one, k) => lens.focalPx * one + lens.centreYPx * w[k]!),
    ...w,
  ]);
}

export function through(h: Float64Array, x: number, y: number): readonly [number, number] {
  const w = h[6]! * x + h[7]! * y + h[8]!;
  return [(h[0]! * x + h[1]! * y + h[2]!) / w, (h[3]! * x + h[4]! * y + h[5]!) / w];
}

export function inverseOf(h: Float64Array): Float64Array {
  const [a, b, c, d, e, f, g, i, j] = h as unknown as [number, number, number, number, number, number, number, number, number]; // prettier-ignore
  return Float64Array.of(
    e * j - f * i, c * i - b * j, b * f - c * e,
    f * g - d * j, a * j - c * g, c * d - a * f,
    d * i - e * g, b * g - a * i, a * e - b * d,
  ); // prettier-ignore
}

/** Sixteen places in a pixel, each in a row and a column of its own, from −½ to ½. */
const ROOKS = [5, 12, 1, 8, 15, 4, 11, 0, 7, 14, 3, 10, 13, 2, 9, 6].map(
  (column, row) => [(column + 0.5) / 16 - 0.5, (row + 0.5) / 16 - 0.5] as const,
);
const TILE = 16;

interface LaidCells {
  readonly marker: LaidMarker;
  readonly cells: Uint8Array;
  readonly cos: number;
  readonly sin: number;
  readonly reachMm: number;
}

/** Light the marker's sticker gives back at a place; −1 beside it. */
function stickerLight(laid: LaidCells, xMm: number, yMm: number, spreadMm: number): number {
  const dx = xMm - laid.marker.centre.xMm;
  const dy = yMm - laid.marker.centre.yMm;
  const cell = laid.marker.sideMm / MARKER_CELLS;
  const u = (dx * laid.cos + dy * laid.sin) / cell + MARKER_CELLS / 2;
  const v = MARKER_CELLS / 2 - (-dx * laid.sin + dy * laid.cos) / cell;
  if (!(-MARGIN_CELLS <= u && u < MARKER_CELLS + MARGIN_CELLS)) return -1;
  if (!(-MARGIN_CELLS <= v && v < MARKER_CELLS + MARGIN_CELLS)) return -1;
  const off = Math.max(Math.abs(u - MARKER_CELLS / 2), Math.abs(v - MARKER_CELLS / 2));
  const spread = spreadMm / cell;
  if (off >= MARKER_CELLS / 2 - 2)
    return MARKER_CELLS / 2 - 1 - spread <= off && off < MARKER_CELLS / 2 + spread ? 0.05 : 0.85;
  return laid.cells[Math.floor(v) * MARKER_CELLS + Math.floor(u)] === 1 ? 0.05 : 0.85;
}

/** Renders the photo. About a second or two for 12 megapixels. */
export function renderPhoto(ask: PhotoAsk): Photo {
  const { widthPx, heightPx, lens, scene } = ask;
  const toPx = planeToPx(ask.pose, lens, 0);
  const clothToPx = planeToPx(ask.pose, lens, -scene.clothBelowMarkersMm);
  const top = inverseOf(toPx);
  const low = inverseOf(clothToPx);
  const laid = scene.markers.map((marker): LaidCells => ({
    marker,
    cells: markerCells(marker.id),
    cos: Math.cos(marker.angleRad),
    sin: Math.sin(marker.angleRad),
    reachMm: stickerSideMm(marker.sideMm) * 0.75,
  }));
  const dotMm = ask.pose.distanceMm / lens.focalPx;
  const light = new Float32Array(widthPx * heightPx);
  const nodes = straightNodes(ask);
  const across = Math.ceil(widthPx / TILE) + 1;

  const sampleAt = (
    sx: number,
    sy: number,
    near: readonly LaidCells[],
    strokes: Cloth["strokes"],
  ): number => {
    const [x, y] = through(top, sx, sy);
    const ax = Math.abs(x);
    const ay = Math.abs(y);
    if (ax <= scene.outer.xMm && ay <= scene.outer.yMm && (ax >= scene.inner.xMm || ay >= scene.inner.yMm)) {
      for (const cover of scene.covers)
        if ((x - cover.at.xMm) ** 2 + (y - cover.at.yMm) ** 2 < cover.radiusMm ** 2) return cover.light;
      for (const one of near) {
        const sticker = stickerLight(one, x, y, scene.inkSpreadMm);
        if (sticker >= 0) return sticker;
      }
      return scene.rimLight;
    }
    const [cx, cy] = through(low, sx, sy);
    if (ax > scene.outer.xMm || ay > scene.outer.yMm) return 0.25 + 0.15 * unevenness(cx * 0.03, cy * 0.6, 7);
    const stroke = strokes.length === 0 ? null : strokeAt(strokes, cx, cy);
    return stroke ? stroke.light : clothLight(scene.cloth, cx, cy, dotMm);
  };

  for (let ty = 0; ty * TILE < heightPx; ty++)
    for (let tx = 0; tx * TILE < widthPx; tx++) {
      const at = 4 * (ty * across + tx);
      const corner = [nodes.subarray(at, at + 4), nodes.subarray(at + 4, at + 8)];
      const below = 4 * ((ty + 1) * across + tx);
      corner.push(nodes.subarray(below, below + 4), nodes.subarray(below + 4, below + 8));
      const [n00, n10, n01, n11] = corner as [Float64Array, Float64Array, Float64Array, Float64Array];
      const [mx, my] = through(top, (n00[0]! + n11[0]!) / 2, (n00[1]! + n11[1]!) / 2);
      const [ex, ey] = through(top, n00[0]!, n00[1]!);
      const reach = 1.3 * Math.hypot(ex - mx, ey - my) + 0.5;
      const near = laid.filter(
        ({ marker, reachMm }) => Math.hypot(marker.centre.xMm - mx, marker.centre.yMm - my) < reachMm + reach,
      );
      const [lx, ly] = through(low, (n00[0]! + n11[0]!) / 2, (n00[1]! + n11[1]!) / 2);
      const strokes = scene.cloth.strokes.filter((one) => nearStroke(one, lx, ly, reach));
      const edge = (value: number, limit: number) => Math.abs(Math.abs(value) - limit) < reach;
      const plain =
        near.length === 0 &&
        strokes.length === 0 &&
        !edge(mx, scene.inner.xMm) &&
        !edge(my, scene.inner.yMm) &&
        !edge(mx, scene.outer.xMm) &&
        !edge(my, scene.outer.yMm);
      const endX = Math.min(TILE, widthPx - tx * TILE);
      const endY = Math.min(TILE, heightPx - ty * TILE);
      for (let j = 0; j < endY; j++)
        for (let i = 0; i < endX; i++) {
          // Nodes stand at the tile's outer corners: pixel i has its centre at (i + ½) / TILE.
          let sum = 0;
          const count = plain ? 1 : ROOKS.length;
          for (let k = 0; k < count; k++) {
            const fx = (i + 0.5 + (plain ? 0 : ROOKS[k]![0])) / TILE;
            const fy = (j + 0.5 + (plain ? 0 : ROOKS[k]![1])) / TILE;
            const w11 = fx * fy;
            const w10 = fx - w11;
            const w01 = fy - w11;
            const w00 = 1 - fx - w01;
            sum += sampleAt(
              n00[0]! * w00 + n10[0]! * w10 + n01[0]! * w01 + n11[0]! * w11,
              n00[1]! * w00 + n10[1]! * w10 + n01[1]! * w01 + n11[1]! * w11,
              near,
              strokes,
            );
          }
          const fx = (i + 0.5) / TILE;
          const fy = (j + 0.5) / TILE;
          const shade =
            (n00[2]! * (1 - fx) + n10[2]! * fx) * (1 - fy) + (n01[2]! * (1 - fx) + n11[2]! * fx) * fy;
          const glare =
            (n00[3]! * (1 - fx) + n10[3]! * fx) * (1 - fy) + (n01[3]! * (1 - fx) + n11[3]! * fx) * fy;
          light[(ty * TILE + j) * widthPx + tx * TILE + i] = (sum / count) * shade + glare;
        }
    }
  blurred(light, widthPx, heightPx, ask.blurPx, ask.motion);
  const grey = { widthPx, heightPx, data: exposed(light, ask.shot, ask.read, scene.cloth.seed) };
  return { grey, toPx, clothToPx, cornersPx: trueCorners(scene.markers, toPx, lens) };
}

/** At each tile's corner: straightened x and y, the share of light that falls there, the glare. */
function straightNodes({ widthPx, heightPx, lens, light }: PhotoAsk): Float64Array {
  const across = Math.ceil(widthPx / TILE) + 1;
  const down = Math.ceil(heightPx / TILE) + 1;
  const nodes = new Float64Array(4 * across * down);
  const cos = Math.cos(light.fallingRad) / Math.max(widthPx, heightPx);
  const sin = Math.sin(light.fallingRad) / Math.max(widthPx, heightPx);
  for (let row = 0; row < down; row++)
    for (let column = 0; column < across; column++) {
      const xPx = column * TILE - 0.5;
      const yPx = row * TILE - 0.5;
      const straight = straighten(lens, { xPx, yPx });
      let shade = 1 - light.falling * (0.5 + (xPx - widthPx / 2) * cos + (yPx - heightPx / 2) * sin);
      if (light.shadow) {
        const { normalRad, softPx, stays } = light.shadow;
        const off =
          (xPx - light.shadow.xPx) * Math.cos(normalRad) + (yPx - light.shadow.yPx) * Math.sin(normalRad);
        shade *= stays + (1 - stays) / (1 + Math.exp((4 * off) / softPx));
      }
      let glare = 0;
      for (const spot of light.glare)
        glare +=
          spot.strength *
          Math.exp(-((xPx - spot.xPx) ** 2 + (yPx - spot.yPx) ** 2) / (2 * spot.radiusPx ** 2));
      nodes.set([straight.xPx, straight.yPx, Math.max(0.05, shade), glare], 4 * (row * across + column));
    }
  return nodes;
}

function nearStroke(one: Cloth["strokes"][number], x: number, y: number, reach: number): boolean {
  const dx = one.toXMm - one.fromXMm;
  const dy = one.toYMm - one.fromYMm;
  const t = ((x - one.fromXMm) * dx + (y - one.fromYMm) * dy) / (dx * dx + dy * dy);
  const s = Math.max(0, Math.min(1, t));
  return Math.hypot(x - one.fromXMm - s * dx, y - one.fromYMm - s * dy) < reach + one.widthMm;
}

function trueCorners(markers: readonly LaidMarker[], toPx: Float64Array, lens: Lens): Photo["cornersPx"] {
  return new Map(
    markers.map((marker) => [
      marker.id,
      markerCornersMm(marker).map(({ xMm, yMm }) => {
        const [xPx, yPx] = through(toPx, xMm, yMm);
        return bend(lens, { xPx, yPx });
      }),
    ]),
  );
}
