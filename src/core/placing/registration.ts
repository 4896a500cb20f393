/**
 * Back onto a piece: the turn and shift that takes points of the design to where they were touched on the cloth, without
 * scale or mirror (S. Umeyama, IEEE TPAMI 13 (1991) 376–380; in the plane θ = atan2(Σ cross, Σ dot) of the centred
 * points). A wrong touch is found by leaving each out in turn; stretched cloth is noticed, never corrected, since
 * stitches keep their length. The error elsewhere: J. M. Fitzpatrick, J. B. West, C. R. Maurer, IEEE Trans. Medical
 * Imaging 17 (1998) 694–702 (2-D form, from memory).
 */
import type { Finding } from "#core/base";
import { applied, type Matrix, product, singular, spdInverse, transposed } from "./algebra";
import type { UncertainPose } from "./expected-error";
import { type DesignPose, type PointMm, posed } from "./points";
import { refusePlacing } from "./refusals";
import { fisherTail } from "./statistics";

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

const middleOf = (points: readonly PointMm[]): PointMm => ({
  xMm: points.reduce((all, one) => all + one.xMm, 0) / points.length,
  yMm: points.reduce((all, one) => all + one.yMm, 0) / points.length,
});

const missOf = (pose: DesignPose, { design, touched }: TouchedPoint): PointMm => {
  const at = posed(pose, design);
  return { xMm: touched.xMm - at.xMm, yMm: touched.yMm - at.yMm };
};

const squaresOf = (pose: DesignPose, points: readonly TouchedPoint[]): number =>
  points.reduce((all, point) => {
    const miss = missOf(pose, point);
    return all + miss.xMm ** 2 + miss.yMm ** 2;
  }, 0);

/** Σ|r|² about the middle, mm². */
function spreadOf(points: readonly PointMm[]): number {
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

export interface Registration extends UncertainPose {
  /** Each touch less where the fit puts it, mm, in the points' order. */
  readonly misses: readonly PointMm[];
  /** The touch that contradicts the others and was left out of the fit; null when none does. */
  readonly wrongTouch: { readonly index: number; readonly offMm: number } | null;
  /** Standard deviation of one touch in each direction, mm, from residuals and what is usual. */
  readonly touchMm: number;
  readonly findings: readonly Finding[];
}

/** Degrees of freedom that the usual touch error weighs, next to what few residuals can tell. */
const USUAL_FREEDOM = 16;
/** Shared among the touches. Their tests depend on each other: measured are about 5 false alarms in 100, not 9. */
const WRONG_CHANCE = 0.09;
const STRETCH_CHANCE = 0.01;

/**
 * The design's pose from touched points. `usualTouchMm` is one touch's usual standard deviation in each direction.
 * @throws Refusal placing-too-few-marks under two points, placing-marks-in-line where they lie at one place.
 */
export function registerPiece(points: readonly TouchedPoint[], usualTouchMm: number): Registration {
  if (points.length < 2)
    throw refusePlacing(
      "placing-too-few-marks",
      `Two touched points are needed, three or more are better; here ${points.length === 1 ? "is one" : "are none"}.`,
    );
  if (spreadOf(points.map((one) => one.design)) < 25 || spreadOf(points.map((one) => one.touched)) < 25)
    throw refusePlacing(
      "placing-marks-in-line",
      "The touched points lie within 5 mm of each other; take points at the design's ends.",
    );
  const wrong = wrongTouch(points, usualTouchMm);
  const kept = wrong === null ? points : points.filter((_, i) => i !== wrong);
  const pose = rigidFit(kept);
  const freedom = 2 * kept.length - 3 + USUAL_FREEDOM;
  const touchMm = Math.sqrt((squaresOf(pose, kept) + USUAL_FREEDOM * usualTouchMm ** 2) / freedom);
  const misses = points.map((point) => missOf(pose, point));
  const off =
    wrong === null ? null : { index: wrong, offMm: Math.hypot(misses[wrong]!.xMm, misses[wrong]!.yMm) };
  return {
    pose,
    misses,
    wrongTouch: off,
    touchMm,
    spread: [{ source: "touch", covariance: poseCovariance(kept, pose, touchMm), freedom }],
    findings: [...countFindings(points, off), ...stretchFindings(kept, usualTouchMm)],
  };
}

/** Covariance of (x, y, angle) of a rigid fit for touches with that deviation in each direction. */
function poseCovariance(points: readonly TouchedPoint[], pose: DesignPose, sigmaMm: number): Matrix {
  const rows = points.flatMap(({ design }) => {
    const at = posed({ xMm: 0, yMm: 0, angleRad: pose.angleRad }, design);
    return [
      [1, 0, -at.yMm],
      [0, 1, at.xMm],
    ];
  });
  return spdInverse(product(transposed(rows), rows))!.map((row) => row.map((value) => value * sigmaMm ** 2));
}

/**
 * The touch whose leaving out helps more than chance would: each touch against where the others foretell it, the noise
 * from those others and from what is usual, with the chance shared among the touches (C. E. Bonferroni). With three
 * points a wrong one is seen but cannot be named, so four are needed.
 */
function wrongTouch(points: readonly TouchedPoint[], usualTouchMm: number): number | null {
  if (points.length < 4) return null;
  let worst: { readonly index: number; readonly chance: number } | null = null;
  points.forEach((point, index) => {
    const others = points.filter((_, i) => i !== index);
    if (spreadOf(others.map((one) => one.design)) < 25) return;
    const pose = rigidFit(others);
    const freedom = 2 * others.length - 3 + USUAL_FREEDOM;
    const variance = (squaresOf(pose, others) + USUAL_FREEDOM * usualTouchMm ** 2) / freedom;
    const chance = fisherTail(foretoldSquare(point, others, pose) / (2 * variance), 2, freedom);
    if (worst === null || chance < worst.chance) worst = { index, chance };
  });
  const found = worst as { readonly index: number; readonly chance: number } | null;
  return found !== null && found.chance < WRONG_CHANCE / points.length ? found.index : null;
}

/** A touch's squared distance from its foretold place in units of (its own + the others') variance 1. */
function foretoldSquare(point: TouchedPoint, others: readonly TouchedPoint[], pose: DesignPose): number {
  const covariance = poseCovariance(others, pose, 1);
  const turned = posed({ xMm: 0, yMm: 0, angleRad: pose.angleRad }, point.design);
  const map = [
    [1, 0, -turned.yMm],
    [0, 1, turned.xMm],
  ];
  const total = product(product(map, covariance), transposed(map)).map((row, i) =>
    row.map((value, j) => value + (i === j ? 1 : 0)),
  );
  const miss = missOf(pose, point);
  const solved = applied(spdInverse(total)!, [miss.xMm, miss.yMm]);
  return miss.xMm * solved[0]! + miss.yMm * solved[1]!;
}

function countFindings(points: readonly TouchedPoint[], wrong: Registration["wrongTouch"]): Finding[] {
  if (wrong !== null)
    return [
      {
        code: "placing-touch-wrong",
        level: "warning",
        message: `Touch ${wrong.index + 1} is ${wrong.offMm.toFixed(1)} mm from where the others put it; it was left out.`,
        advice: "Look at it with the loupe: it may be another corner. Touch it again or leave it out.",
        at: { row: wrong.index },
      },
    ];
  if (points.length > 3) return [];
  const message =
    points.length === 2
      ? "Two points fit however wrongly they are touched: nothing shows a mistake."
      : "With three points a wrong touch shows in the misses, but it cannot be told which one it is.";
  return [{ code: "placing-few-touches", level: "note", message, advice: "Touch four points or more." }];
}

/** Stretch: a scale of its own, or an affine change, that explains more than touch errors would. */
function stretchFindings(points: readonly TouchedPoint[], usualTouchMm: number): Finding[] {
  const rigid = squaresOf(rigidFit(points), points);
  const similarity = similarityFit(points);
  const tail = (less: number, parameters: number): number => {
    const freedom = 2 * points.length - 3 - parameters + USUAL_FREEDOM;
    const variance = (less + USUAL_FREEDOM * usualTouchMm ** 2) / freedom;
    return fisherTail((rigid - less) / parameters / variance, parameters, freedom);
  };
  const affine = points.length >= 4 ? affineSquares(points) : rigid;
  const one = points.length >= 3 ? tail(similarity.squares, 1) : 1;
  const all = points.length >= 4 ? tail(affine, 3) : 1;
  if (Math.min(one, all) >= STRETCH_CHANCE / 2) return [];
  const percent = Math.abs(similarity.scale - 1) * 100;
  return [
    {
      code: "placing-cloth-stretched",
      level: "warning",
      message:
        one <= all
          ? `The sewn part is ${percent.toFixed(1)} % ${similarity.scale > 1 ? "larger" : "smaller"} than in the design, more than touches explain: the cloth is hooped ${similarity.scale > 1 ? "tighter" : "looser"} than before.`
          : "The sewn part is pulled out of shape against the design, more than touches explain.",
      advice:
        "Hoop it again with the tension it had, or accept that the parts meet less well at the ends. The stitches are not scaled.",
    },
  ];
}

/** Σ|residual|² of the best affine map: six parameters by least squares. */
function affineSquares(points: readonly TouchedPoint[]): number {
  const middle = middleOf(points.map((one) => one.design));
  const rows = points.map(({ design }) => [design.xMm - middle.xMm, design.yMm - middle.yMm, 1]);
  const { values, left } = singular(rows);
  const used = left.filter((_, i) => values[i]! > 1e-9 * values[0]!);
  const rest = (to: readonly number[]): number =>
    to.reduce((all, one) => all + one * one, 0) -
    used.reduce((all, way) => all + way.reduce((part, one, i) => part + one * to[i]!, 0) ** 2, 0);
  const target = middleOf(points.map((one) => one.touched));
  return Math.max(0, rest(points.map((one) => one.touched.xMm - target.xMm)) + rest(points.map((one) => one.touched.yMm - target.yMm))); // prettier-ignore
}
