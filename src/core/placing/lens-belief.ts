/**
 * What is believed of the lens a photo was taken with: as it was measured on the grid sheet, scaled to the photo's
 * size; else what the photo's EXIF tells, with errors as wide as phones differ.
 */
import type { LensBelief } from "./fit-view";
import { lensFromExif } from "./grid-sheet";
import type { Lens } from "./lens";

interface Size {
  readonly widthPx: number;
  readonly heightPx: number;
}

/** A lens as it was measured once: at which photo size, and its covariance as in LensBelief. */
export interface KnownLens {
  readonly lens: Lens;
  readonly photo: Size;
  readonly covariance: LensBelief["covariance"];
}

/** `measured` is null for a phone that was never measured, `focal35Mm` where the photo's EXIF tells no focal length. */
export function lensBelief(asked: {
  readonly measured: KnownLens | null;
  readonly photo: Size;
  readonly focal35Mm: number | null;
}): LensBelief {
  const { measured, photo, focal35Mm } = asked;
  const factor = measured === null ? null : sameCamera(measured.photo, photo);
  return measured !== null && factor !== null
    ? scaledBelief(measured, factor, photo)
    : lensFromExif({ ...photo, filmFocalMm: focal35Mm });
}
/** By how much a photo is larger than the one measured; null where its form is another (cropped, another camera). */
function sameCamera(measured: Size, photo: Size): number | null {
  const [long, short] = [Math.max(photo.widthPx, photo.heightPx), Math.min(photo.widthPx, photo.heightPx)];
  const factor = long / Math.max(measured.widthPx, measured.heightPx);
  return Math.abs(short / (factor * Math.min(measured.widthPx, measured.heightPx)) - 1) < 0.01
    ? factor
    : null;
}

function scaledBelief(
  { lens, photo: measured, covariance }: KnownLens,
  factor: number,
  photo: Size,
): LensBelief {
  const isTurned = measured.widthPx > measured.heightPx !== photo.widthPx > photo.heightPx;
  const scale = [1, 1, 1, factor, factor];
  const scaled = covariance.map((row, i) => row.map((value, j) => value * scale[i]! * scale[j]!));
  const middle = { x: (photo.widthPx - 1) / 2, y: (photo.heightPx - 1) / 2 };
  const off = {
    x: factor * (lens.centreXPx - (measured.widthPx - 1) / 2),
    y: factor * (lens.centreYPx - (measured.heightPx - 1) / 2),
  };
  const inner = { focalPx: lens.focalPx * factor, k1: lens.k1, k2: lens.k2 };
  if (!isTurned)
    return {
      lens: { ...inner, centreXPx: middle.x + off.x, centreYPx: middle.y + off.y },
      covariance: scaled,
    };
  // Held the other way it was turned left or right, nobody knows: its centre is the photo's, as far off as it was.
  const turned = [0, 1, 2, 4, 3];
  return {
    lens: { ...inner, centreXPx: middle.x, centreYPx: middle.y },
    covariance: turned.map((i, row) =>
      turned.map((j, column) => {
        const own = row === column ? (row === 3 ? off.y ** 2 : row === 4 ? off.x ** 2 : 0) : 0;
        const mixes = row >= 3 !== column >= 3;
        return (mixes ? 0 : scaled[i]![j]!) + own;
      }),
    ),
  };
}
