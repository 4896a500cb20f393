/**
 * Dark or light, against the mean of the neighbourhood (an integral image, F. C. Crow, SIGGRAPH 1984): a pixel is dark
 * where it is clearly darker than what lies round it, so that uneven light and shadow do not matter.
 */
import type { GreyPicture } from "./pixels";

/** 1 where dark, with a border of one light pixel all round: row stride `widthPx` + 2. */
export interface DarkMask {
  readonly stride: number;
  readonly rows: number;
  readonly data: Int8Array;
}

/** Darker than the mean by this share and by this many steps of 255 is dark. */
const BELOW_SHARE = 0.12;
const BELOW_STEPS = 5;

/** Sums of all pixels above and to the left; (width + 1) × (height + 1), row 0 and column 0 are 0. */
export function integralOf({ widthPx, heightPx, data }: GreyPicture): Uint32Array {
  const stride = widthPx + 1;
  const sums = new Uint32Array(stride * (heightPx + 1));
  for (let y = 0; y < heightPx; y++) {
    let row = 0;
    const from = y * widthPx;
    const to = (y + 1) * stride + 1;
    const above = y * stride + 1;
    for (let x = 0; x < widthPx; x++) {
      row += data[from + x]!;
      sums[to + x] = sums[above + x]! + row;
    }
  }
  return sums;
}

/** The dark pixels, against the mean over a square that reaches `reachPx` each way (cut at the picture's edge). */
export function darkMask(grey: GreyPicture, reachPx: number): DarkMask {
  const { widthPx, heightPx, data } = grey;
  const sums = integralOf(grey);
  const wide = widthPx + 1;
  const stride = widthPx + 2;
  const mask = new Int8Array(stride * (heightPx + 2));
  for (let y = 0; y < heightPx; y++) {
    const top = Math.max(0, y - reachPx) * wide;
    const bottom = Math.min(heightPx, y + reachPx + 1) * wide;
    const rows = (bottom - top) / wide;
    const from = y * widthPx;
    const to = (y + 1) * stride + 1;
    for (let x = 0; x < widthPx; x++) {
      const left = x < reachPx ? 0 : x - reachPx;
      const right = x + reachPx + 1 > widthPx ? widthPx : x + reachPx + 1;
      const sum = sums[bottom + right]! - sums[bottom + left]! - sums[top + right]! + sums[top + left]!;
      const area = rows * (right - left);
      if ((data[from + x]! + BELOW_STEPS) * area < sum * (1 - BELOW_SHARE)) mask[to + x] = 1;
    }
  }
  return { stride, rows: heightPx + 2, data: mask };
}
