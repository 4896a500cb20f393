import { z } from "zod";
import { atMs, finding, id, name } from "../values";

/** Small shapes of placing. Axes and units as in core/placing: mm in the hoop's plane, px in the photo turned upright. */

/** Hoops and cloth are smaller, photos too: what is beyond was never measured. */
const MOST_MM = 3000;
const MOST_PX = 30_000;

export const mm = z.number().min(-MOST_MM).max(MOST_MM);
export const deg = z.number().min(-360).max(360);
export const pointMm = z.strictObject({ xMm: mm, yMm: mm });
const px = z.number().min(-MOST_PX).max(MOST_PX);
export const pointPx = z.strictObject({ xPx: px, yPx: px });
export const markerId = z.int().min(0).max(255);

/** A marker as found in the photo: its corners from the top left as printed, clockwise. */
export const seenMarker = z.strictObject({ id: markerId, cornersPx: z.array(pointPx).length(4) });
export const seenMarkers = z
  .array(seenMarker)
  .max(200)
  .refine((all) => new Set(all.map((one) => one.id)).size === all.length, "a marker may stand once only");

export const photoSize = z.strictObject({
  widthPx: z.int().min(64).max(MOST_PX),
  heightPx: z.int().min(64).max(MOST_PX),
});

export const lens = z.strictObject({
  centreXPx: px,
  centreYPx: px,
  focalPx: z.number().min(50).max(100_000),
  k1: z.number().min(-2).max(2),
  k2: z.number().min(-2).max(2),
});

/** A lens as it was measured: at which photo size, how exactly, when. */
export const measuredLens = z.object({
  lens,
  photo: photoSize,
  /** Covariance of [ln focal, k1, k2, centre x px, centre y px]. */
  covariance: z.array(z.array(z.number())).readonly(),
  /** Distortion terms the photos bear out. */
  terms: z.int(),
  /** How far the grid's marks lay off what the lens foretells, px rms. */
  leftPx: z.number(),
  photos: z.int(),
  atMs,
  findings: z.array(finding),
});

export const phone = z.object({
  id,
  version: z.int(),
  archived: z.boolean(),
  name,
  /** Null until it was measured: a lens of a usual phone is taken, with wide errors. */
  lens: measuredLens.nullable(),
});

const taughtMarker = z.object({
  id: markerId,
  cornersMm: z.array(pointMm).readonly(),
  /** Standard deviation of each coordinate. */
  spreadMm: z.number(),
  /** Of it, what the whole marker is off by together; not known of markers taught earlier. */
  togetherMm: z.number().optional(),
});

/** What was taught of a hoop; `markers` in its plane. */
export const taught = z.object({
  markers: z.array(taughtMarker).readonly(),
  /** How far the cloth lies under the markers' faces. */
  clothBelowMm: z.number(),
  clothBelowSpreadMm: z.number(),
  printScaleShare: z.number(),
  /** The inner opening as its touched edges have it. */
  innerWidthMm: z.number(),
  innerHeightMm: z.number(),
  photos: z.int(),
  atMs,
  findings: z.array(finding),
});

export const taughtHoop = z.object({
  id,
  version: z.int(),
  archived: z.boolean(),
  hoopId: id,
  /** Which of the hoops of this kind, such as "Large 1". */
  label: name,
  markerIds: z.array(markerId).readonly(),
  /** Null while the markers have been printed but not taught. */
  taught: taught.nullable(),
});

/** What a machine can be told beside a file; null where it knows no such thing. */
export const machineSteps = z.strictObject({
  angleStepDeg: z.number().gt(0).max(90).nullable(),
  shiftStepMm: z.number().gt(0).max(50).nullable(),
  /** Room to keep between the needle and the field's edge for the presser foot, over what the field itself leaves. */
  footMarginMm: z.number().min(0).max(50),
  /** How well a laser cross can be set on a mark, mm (standard deviation). */
  laserSpreadMm: z.number().gt(0).max(10),
});
