/**
 * Turning stored rows upright (Exif orientation, CIPA DC-008 §4.6.4, tag 0112H). A browser that decodes a picture
 * with `imageOrientation: "from-image"` (its usual way) has turned it already; `alreadyTurned` tells by the size.
 */
import type { Orientation } from "./exif";
import type { GreyPicture } from "./pixels";

/** Orientations 5 to 8 swap width and height. */
export const swapsSides = (orientation: Orientation): boolean => orientation >= 5;

/** The orientation that undoes one: only the two quarter turns undo each other. */
export const undoing = (orientation: Orientation): Orientation =>
  orientation === 6 ? 8 : orientation === 8 ? 6 : orientation;

/** Where a stored pixel lies upright. Sizes as stored; whole pixels, columns and rows from 0. */
export function uprightPlace(
  orientation: Orientation,
  stored: { readonly widthPx: number; readonly heightPx: number },
  column: number,
  row: number,
): readonly [column: number, row: number] {
  const right = stored.widthPx - 1 - column;
  const below = stored.heightPx - 1 - row;
  switch (orientation) {
    case 1:
      return [column, row];
    case 2:
      return [right, row];
    case 3:
      return [right, below];
    case 4:
      return [column, below];
    case 5:
      return [row, column];
    case 6:
      return [below, column];
    case 7:
      return [below, right];
    case 8:
      return [row, right];
  }
}

/** The picture turned upright; grey or four bytes a pixel, by how long its data is. */
export function turnedUpright(picture: GreyPicture, orientation: Orientation): GreyPicture {
  if (orientation === 1) return picture;
  const { widthPx, heightPx, data } = picture;
  const depth = data.length / (widthPx * heightPx);
  const upright = swapsSides(orientation) ? { widthPx: heightPx, heightPx: widthPx } : { widthPx, heightPx };
  const turned = data instanceof Uint8ClampedArray ? new Uint8ClampedArray(data.length) : new Uint8Array(data.length); // prettier-ignore
  for (let row = 0; row < heightPx; row++)
    for (let column = 0; column < widthPx; column++) {
      const [x, y] = uprightPlace(orientation, picture, column, row);
      const from = depth * (row * widthPx + column);
      const to = depth * (y * upright.widthPx + x);
      for (let k = 0; k < depth; k++) turned[to + k] = data[from + k]!;
    }
  return { ...upright, data: turned };
}

/**
 * Whether decoded pixels are upright already. The sizes tell where the orientation swaps them ("turned", "stored");
 * for 1 there is nothing to do ("turned"); for 2, 3, 4 and square pictures sizes do not tell ("unknown"): decode with
 * `imageOrientation: "from-image"` and take that as turned, or with "none" and turn.
 */
export function alreadyTurned(
  stored: {
    readonly widthPx: number | null;
    readonly heightPx: number | null;
    readonly orientation: Orientation;
  },
  decoded: { readonly widthPx: number; readonly heightPx: number },
): "turned" | "stored" | "unknown" {
  if (stored.orientation === 1) return "turned";
  if (!swapsSides(stored.orientation) || stored.widthPx === null || stored.heightPx === null)
    return "unknown";
  if (stored.widthPx === stored.heightPx) return "unknown";
  const wider = stored.widthPx > stored.heightPx;
  return wider === decoded.widthPx > decoded.heightPx ? "stored" : "turned";
}
