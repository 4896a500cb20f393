/**
 * A place in the hoop's own plane, mm. Origin: the centre of the sewing field; x to the right and y away from the
 * person, as the hoop sits in the machine and is seen from the machine's front. These are the machine file's axes (x
 * right, y up on paper = away from the person): a file whose start is the field's centre has xTenths = 10 · xMm and
 * yTenths = 10 · yMm. Angles turn counter-clockwise seen from above, from x towards y.
 */
export interface PointMm {
  readonly xMm: number;
  readonly yMm: number;
}

/**
 * A place in a photo, px: x to the right, y down, after the EXIF orientation has been applied. The centre of the pixel
 * in column c and row r is (c, r), whole numbers; the photo's outer edges lie at −0.5 and width − 0.5.
 */
export interface PointPx {
  readonly xPx: number;
  readonly yPx: number;
}

/** A line through two places or more, as touched. */
export type LineMm = readonly PointMm[];

/**
 * Where a design's start (0, 0) comes to lie in the hoop's plane and how it is turned about it: a design point d goes
 * to (xMm, yMm) + turn(angleRad) · d. Counter-clockwise is positive.
 */
export interface DesignPose {
  readonly xMm: number;
  readonly yMm: number;
  readonly angleRad: number;
}

/** A design point (mm from the design's start, y away from the person) in the hoop's plane. */
export function posed(pose: DesignPose, point: PointMm): PointMm {
  const cos = Math.cos(pose.angleRad);
  const sin = Math.sin(pose.angleRad);
  return {
    xMm: pose.xMm + cos * point.xMm - sin * point.yMm,
    yMm: pose.yMm + sin * point.xMm + cos * point.yMm,
  };
}

/** The same angle in (−π, π]. */
export const wrappedRad = (angleRad: number): number => {
  const turned = angleRad - 2 * Math.PI * Math.round(angleRad / (2 * Math.PI));
  return turned <= -Math.PI ? Math.PI : turned;
};

export const degreesOf = (angleRad: number): number => (angleRad * 180) / Math.PI;
export const radiansOf = (degrees: number): number => (degrees * Math.PI) / 180;
