/**
 * Pictures as plain arrays and the light their values stand for. Values are sRGB-coded bytes; edges and means are
 * right only in linear light. Source: IEC 61966-2-1:1999 (transfer function), ITU-R BT.709 (luma weights).
 */

/** A grey picture, rows from the top; sRGB-coded bytes. The centre of a pixel is a whole number. */
export interface GreyPicture {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly data: Uint8Array | Uint8ClampedArray;
}

/** Four bytes a pixel (red, green, blue, opacity), as a canvas gives them. */
export interface RgbaPicture {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly data: Uint8Array | Uint8ClampedArray;
}

/** Coded value in [0, 1] → linear light in [0, 1]. */
export const linearOfCoded = (coded: number): number =>
  coded <= 0.04045 ? coded / 12.92 : ((coded + 0.055) / 1.055) ** 2.4;

/** Linear light in [0, 1] → coded value in [0, 1]. */
export const codedOfLinear = (linear: number): number =>
  linear <= 0.0031308 ? linear * 12.92 : 1.055 * linear ** (1 / 2.4) - 0.055;

/** Linear light of each byte. */
export const LINEAR_OF_BYTE: Float32Array = Float32Array.from({ length: 256 }, (_, byte) =>
  linearOfCoded(byte / 255),
);

const FINENESS = 8191;
const BYTE_OF_LINEAR = Uint8Array.from({ length: FINENESS + 1 }, (_, step) =>
  Math.round(255 * codedOfLinear(step / FINENESS)),
);

/** The byte of a linear value; outside [0, 1] it is clipped, as a camera clips. */
export const byteOfLinear = (linear: number): number =>
  linear <= 0 ? 0 : linear >= 1 ? 255 : BYTE_OF_LINEAR[(linear * FINENESS + 0.5) | 0]!;

/** The grey of a colour picture: luma of the coded values, a byte a pixel. */
export function greyOf(rgba: RgbaPicture): GreyPicture {
  const { data, widthPx, heightPx } = rgba;
  const grey = new Uint8Array(widthPx * heightPx);
  // 0.2126, 0.7152, 0.0722 in 65536ths.
  for (let i = 0, j = 0; i < grey.length; i++, j += 4)
    grey[i] = (13933 * data[j]! + 46871 * data[j + 1]! + 4732 * data[j + 2]! + 32768) >>> 16;
  return { widthPx, heightPx, data: grey };
}

/** Means over squares of `times` pixels a side; what does not fill a square at the right and bottom is dropped. */
export function shrunk(grey: GreyPicture, times: number): GreyPicture {
  if (times === 1) return grey;
  const widthPx = Math.floor(grey.widthPx / times);
  const heightPx = Math.floor(grey.heightPx / times);
  const data = new Uint8Array(widthPx * heightPx);
  const sums = new Uint32Array(widthPx);
  const half = (times * times) >> 1;
  for (let y = 0; y < heightPx; y++) {
    sums.fill(half);
    for (let dy = 0; dy < times; dy++) {
      let from = (y * times + dy) * grey.widthPx;
      for (let x = 0; x < widthPx; x++)
        for (let dx = 0; dx < times; dx++) sums[x] = sums[x]! + grey.data[from++]!;
    }
    for (let x = 0; x < widthPx; x++) data[y * widthPx + x] = sums[x]! / (times * times);
  }
  return { widthPx, heightPx, data };
}
