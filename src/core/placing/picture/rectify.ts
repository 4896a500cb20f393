/**
 * The photo as the hoop's plane at true scale. Each pixel of the result is looked up in the photo: mm → straightened
 * px by the homography → bent by the lens; light is averaged in linear light over what the pixel covers, so that
 * shrinking does not make stripes of its own. The lookup is exact at nodes 16 pixels apart and straight between.
 */
import type { Lens } from "../lens";
import { byteOfLinear, LINEAR_OF_BYTE, type RgbaPicture } from "./pixels";
import { bentPlace } from "./refine";

/** A box of the plane, mm: x right, y away from the person (up in the result). */
export interface AreaMm {
  readonly leftMm: number;
  readonly rightMm: number;
  readonly bottomMm: number;
  readonly topMm: number;
}

export interface RectifyAsk {
  /** mm → straightened px, row-major [a b c; d e f; g h i]. */
  readonly homography: Float64Array;
  readonly lens: Lens | null;
  readonly areaMm: AreaMm;
  readonly pxPerMm: number;
  /** Only these rows of the result (from, to: half-open): several workers can share one picture. */
  readonly rows?: { readonly from: number; readonly to: number };
}

/** The whole result's size. Pixel (c, r) covers x from left + c / pxPerMm and y down from top − r / pxPerMm. */
export const rectifiedSize = ({ areaMm, pxPerMm }: Pick<RectifyAsk, "areaMm" | "pxPerMm">) => ({
  widthPx: Math.max(1, Math.round((areaMm.rightMm - areaMm.leftMm) * pxPerMm)),
  heightPx: Math.max(1, Math.round((areaMm.topMm - areaMm.bottomMm) * pxPerMm)),
});

const NODE = 16;
/** More taps than this each way are not taken: the photo is then finer than anybody looks. */
const MOST_TAPS = 6;

/** The straightened picture, or the asked rows of it. Places the photo does not show are left clear (opacity 0). */
export function rectify(photo: RgbaPicture, ask: RectifyAsk): RgbaPicture {
  const { widthPx, heightPx } = rectifiedSize(ask);
  const { from, to } = ask.rows ?? { from: 0, to: heightPx };
  const data = new Uint8ClampedArray(4 * widthPx * (to - from));
  for (let top = from; top < to; top += NODE)
    for (let left = 0; left < widthPx; left += NODE)
      fillTile(photo, ask, data, {
        left,
        top,
        width: Math.min(NODE, widthPx - left),
        height: Math.min(NODE, to - top),
        at: (top - from) * widthPx + left,
        stride: widthPx,
      });
  return { widthPx, heightPx: to - from, data };
}

interface Tile {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  readonly at: number;
  readonly stride: number;
}

/** Where the photo shows the outer corner of a result pixel. */
function photoPlace({ homography: h, lens, areaMm, pxPerMm }: RectifyAsk, column: number, row: number) {
  const x = areaMm.leftMm + column / pxPerMm;
  const y = areaMm.topMm - row / pxPerMm;
  const w = h[6]! * x + h[7]! * y + h[8]!;
  // Behind the camera, or as good as: nowhere in the photo.
  if (!(w * h[8]! > 0)) return { xPx: NaN, yPx: NaN };
  return bentPlace(lens, {
    xPx: (h[0]! * x + h[1]! * y + h[2]!) / w,
    yPx: (h[3]! * x + h[4]! * y + h[5]!) / w,
  });
}

function fillTile(photo: RgbaPicture, ask: RectifyAsk, into: Uint8ClampedArray, tile: Tile): void {
  const { data, widthPx, heightPx } = photo;
  const p00 = photoPlace(ask, tile.left, tile.top);
  const p10 = photoPlace(ask, tile.left + NODE, tile.top);
  const p01 = photoPlace(ask, tile.left, tile.top + NODE);
  const p11 = photoPlace(ask, tile.left + NODE, tile.top + NODE);
  const ax = (p10.xPx - p00.xPx) / NODE;
  const ay = (p10.yPx - p00.yPx) / NODE;
  const bx = (p01.xPx - p00.xPx) / NODE;
  const by = (p01.yPx - p00.yPx) / NODE;
  const twistX = (p11.xPx - p10.xPx - p01.xPx + p00.xPx) / (NODE * NODE);
  const twistY = (p11.yPx - p10.yPx - p01.yPx + p00.yPx) / (NODE * NODE);
  // Photo pixels under one result pixel; up to 1.25 a single look between four pixels is enough.
  const cover = Math.max(Math.hypot(ax, ay), Math.hypot(bx, by));
  if (!Number.isFinite(cover)) return;
  const taps = Math.min(MOST_TAPS, Math.max(1, Math.ceil(cover - 0.25)));
  const share = 1 / (taps * taps);
  for (let j = 0; j < tile.height; j++)
    for (let i = 0; i < tile.width; i++) {
      let red = 0;
      let green = 0;
      let blue = 0;
      let seen = 0;
      for (let k = 0; k < taps * taps; k++) {
        const u = i + ((k % taps) + 0.5) / taps;
        const v = j + (((k / taps) | 0) + 0.5) / taps;
        const x = p00.xPx + ax * u + bx * v + twistX * u * v;
        const y = p00.yPx + ay * u + by * v + twistY * u * v;
        if (!(0 <= x && x <= widthPx - 1 && 0 <= y && y <= heightPx - 1)) continue;
        const left = x < widthPx - 1 ? x | 0 : widthPx - 2;
        const top = y < heightPx - 1 ? y | 0 : heightPx - 2;
        const fx = x - left;
        const fy = y - top;
        const w11 = fx * fy;
        const w10 = fx - w11;
        const w01 = fy - w11;
        const w00 = 1 - fx - w01;
        const a = 4 * (top * widthPx + left);
        const c = a + 4 * widthPx;
        red += w00 * LINEAR_OF_BYTE[data[a]!]! + w10 * LINEAR_OF_BYTE[data[a + 4]!]! + w01 * LINEAR_OF_BYTE[data[c]!]! + w11 * LINEAR_OF_BYTE[data[c + 4]!]!; // prettier-ignore
        green += w00 * LINEAR_OF_BYTE[data[a + 1]!]! + w10 * LINEAR_OF_BYTE[data[a + 5]!]! + w01 * LINEAR_OF_BYTE[data[c + 1]!]! + w11 * LINEAR_OF_BYTE[data[c + 5]!]!; // prettier-ignore
        blue += w00 * LINEAR_OF_BYTE[data[a + 2]!]! + w10 * LINEAR_OF_BYTE[data[a + 6]!]! + w01 * LINEAR_OF_BYTE[data[c + 2]!]! + w11 * LINEAR_OF_BYTE[data[c + 6]!]!; // prettier-ignore
        seen += share;
      }
      // A pixel of which the photo shows less than half is left clear.
      if (seen < 0.5) continue;
      const at = 4 * (tile.at + j * tile.stride + i);
      const scale = share / seen;
      into[at] = byteOfLinear(red * scale);
      into[at + 1] = byteOfLinear(green * scale);
      into[at + 2] = byteOfLinear(blue * scale);
      into[at + 3] = 255;
    }
}
