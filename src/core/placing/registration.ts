/**
 * Back onto a piece: the turn and shift that takes points of the design to where they were touched on the cloth. A wrong
 * touch is named and left out, and what stays doubtful of that counts in the stated error (wrong-touch.ts). Stretched
 * cloth is noticed, never corrected, since stitches keep their length.
 */
import type { Finding } from "#core/base";
import { singular } from "./algebra";
import type { UncertainPose } from "./expected-error";
import type { PointMm } from "./points";
import { refusePlacing } from "./refusals";
import {
  middleOf,
  missOf,
  rigidFit,
  similarityFit,
  spreadOf,
  squaresOf,
  type TouchedPoint,
} from "./rigid-fit";
import { fisherTail } from "./statistics";
import { judgedTouches, LEAST_SPREAD, USUAL_FREEDOM } from "./wrong-touch";

export interface Registration extends UncertainPose {
  /** Each touch less where the fit puts it, mm, in the points' order. */
  readonly misses: readonly PointMm[];
  /** The touch that contradicts the others and was left out of the fit; null when none does. */
  readonly wrongTouch: { readonly index: number; readonly offMm: number } | null;
  /** Standard deviation of one touch in each direction, mm, from residuals and what is usual. */
  readonly touchMm: number;
  readonly findings: readonly Finding[];
}

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
  if (
    spreadOf(points.map((one) => one.design)) < LEAST_SPREAD ||
    spreadOf(points.map((one) => one.touched)) < LEAST_SPREAD
  )
    throw refusePlacing(
      "placing-marks-in-line",
      "The touched points lie within 5 mm of each other; take points at the design's ends.",
    );
  const { wrong, pose, touchMm, covariance, freedom } = judgedTouches(points, usualTouchMm);
  const kept = points.filter((_, i) => i !== wrong);
  const misses = points.map((point) => missOf(pose, point));
  const off =
    wrong === null ? null : { index: wrong, offMm: Math.hypot(misses[wrong]!.xMm, misses[wrong]!.yMm) };
  return {
    pose,
    misses,
    wrongTouch: off,
    touchMm,
    spread: [{ source: "touch", covariance, freedom }],
    findings: [...countFindings(points, off), ...stretchFindings(kept, usualTouchMm)],
  };
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
