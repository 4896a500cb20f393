/**
 * The turn and shift that takes points of a design to where they were touched: without scale or mirror (S. Umeyama, IEEE
 * TPAMI 13 (1991) 376–380; in the plane θ = atan2(Σ cross, Σ dot) of the centred points), with its spread. The error
 * elsewhere: J. M. Fitzpatrick, J. B. West, C. R. Maurer, IEEE Trans. Medical Imaging 17 (1998) 694–702 (2-D form, from
 * memory).
 */
import { type Matrix, product, spdInverse, transposed } from "./algebra";
import { type DesignPose, type PointMm, posed } from "./points";

/** A point of the design (mm from its start) and where it was touched on the cloth in the hoop's plane. */
export interface TouchedPoint {
  readonly design: PointMm;
  readonly touched: PointMm;
}

/** The rigid fit, without scale or mirror. Needs two points that are not one. */
export function rigidFit(points: readonly TouchedPoint[]): DesignPose {
  const [from, to] = [middleOf(points.map((one) => one.design)), middleOf(points.map((one) => one.touched))];
  let [across, along] = [0, 0];
  for (const { design, touched } of points) {
    const [x, y] = [design.xMm - from.xMm, design.yMm - from.yMm];
    const [u, v] = [touched.xMm - to.xMm, touched.yMm - to.yMm];
    along += x * u + y * v;
    across += x * v - y * u;
  }
  const angleRad = Math.atan2(across, along);
  const moved = posed({ xMm: 0, yMm: 0, angleRad }, from);
  return { xMm: to.xMm - moved.xMm, yMm: to.yMm - moved.yMm, angleRad };
}

/** Rotation, scale and shift (Umeyama's similarity): rows of R, scale, shift, and Σ|residual|². */
export function similarityFit(points: readonly TouchedPoint[]): {
  readonly scale: number;
  readonly pose: DesignPose;
  readonly squares: number;
} {
  const pose = rigidFit(points);
  const [from, to] = [middleOf(points.map((one) => one.design)), middleOf(points.map((one) => one.touched))];
  let [along, size] = [0, 0];
  for (const { design, touched } of points) {
    const turned = posed(
      { xMm: 0, yMm: 0, angleRad: pose.angleRad },
      { xMm: design.xMm - from.xMm, yMm: design.yMm - from.yMm },
    );
    along += turned.xMm * (touched.xMm - to.xMm) + turned.yMm * (touched.yMm - to.yMm);
    size += turned.xMm ** 2 + turned.yMm ** 2;
  }
  const scale = along / size;
  const moved = posed(
    { xMm: 0, yMm: 0, angleRad: pose.angleRad },
    { xMm: from.xMm * scale, yMm: from.yMm * scale },
  );
  const scaled = { xMm: to.xMm - moved.xMm, yMm: to.yMm - moved.yMm, angleRad: pose.angleRad };
  const squares = points.reduce((all, { design, touched }) => {
    const at = posed(scaled, { xMm: design.xMm * scale, yMm: design.yMm * scale });
    return all + (at.xMm - touched.xMm) ** 2 + (at.yMm - touched.yMm) ** 2;
  }, 0);
  return { scale, pose: scaled, squares };
}

export const middleOf = (points: readonly PointMm[]): PointMm => ({
  xMm: points.reduce((all, one) => all + one.xMm, 0) / points.length,
  yMm: points.reduce((all, one) => all + one.yMm, 0) / points.length,
});

export const missOf = (pose: DesignPose, { design, touched }: TouchedPoint): PointMm => {
  const at = posed(pose, design);
  return { xMm: touched.xMm - at.xMm, yMm: touched.yMm - at.yMm };
};

export const squaresOf = (pose: DesignPose, points: readonly TouchedPoint[]): number =>
  points.reduce((all, point) => {
    const miss = missOf(pose, point);
    return all + miss.xMm ** 2 + miss.yMm ** 2;
  }, 0);

/** Σ|r|² about the middle, mm². */
export function spreadOf(points: readonly PointMm[]): number {
  const middle = middleOf(points);
  return points.reduce((all, one) => all + (one.xMm - middle.xMm) ** 2 + (one.yMm - middle.yMm) ** 2, 0);
}

/**
 * The error to expect at a place by rigid registration, root mean square of both directions together, mm: for errors of
 * `sigmaMm` in each coordinate of the touches.
 */
export function targetError(points: readonly PointMm[], sigmaMm: number, at: PointMm): number {
  const middle = middleOf(points);
  const far = (at.xMm - middle.xMm) ** 2 + (at.yMm - middle.yMm) ** 2;
  return sigmaMm * Math.sqrt(2 / points.length + far / spreadOf(points));
}

/** Covariance of (x, y, angle) of a rigid fit for touches with that deviation in each direction. */
export function poseCovariance(points: readonly TouchedPoint[], pose: DesignPose, sigmaMm: number): Matrix {
  const rows = points.flatMap(({ design }) => {
    const at = posed({ xMm: 0, yMm: 0, angleRad: pose.angleRad }, design);
    return [
      [1, 0, -at.yMm],
      [0, 1, at.xMm],
    ];
  });
  return spdInverse(product(transposed(rows), rows))!.map((row) => row.map((value) => value * sigmaMm ** 2));
}
