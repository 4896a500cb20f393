/**
 * Which touch, if any, went to a wrong corner, and what not knowing that for certain adds to the error. Each touch is
 * held against where the others foretell it; a test names one. Beside the test stands the chance of each case by Bayes'
 * rule: none is wrong, or one of them is, whose miss then comes from a wide law (of all misses of a gross touch half are
 * within √3 · GROSS_WIDTH touches' deviations: Cauchy's law in the plane). The stated covariance is that of the mixture
 * about the pose that is used: Σ chance · (C + d dᵀ), d from that pose to the case's own (law of total variance).
 */
import { applied, type Matrix, product, spdInverse, sum, transposed, zeros } from "./algebra";
import { type DesignPose, posed } from "./points";
import { missOf, poseCovariance, rigidFit, spreadOf, squaresOf, type TouchedPoint } from "./rigid-fit";
import { fisherTail } from "./statistics";

/** Degrees of freedom that the usual touch error weighs, next to what few residuals can tell. */
export const USUAL_FREEDOM = 16;
/** Shared among the touches. Their tests depend on each other: measured are about 5 false alarms in 100, not 9. */
const WRONG_CHANCE = 0.09;
/** One touch in so many goes to a wrong corner, and how wide such misses are, in a touch's usual deviations. */
const GROSS_SHARE = 0.02;
const GROSS_WIDTH = 6;
/** Points that lie nearer together than this (Σ|r|² about the middle, mm²) give no turn. */
export const LEAST_SPREAD = 25;

/** A case: all touches right (`left` null), or one left out. */
interface Case {
  readonly left: number | null;
  readonly pose: DesignPose;
  /** Covariance of (x, y, angle) of the fit to the touches that count. */
  readonly covariance: Matrix;
  /** The chance of a miss like this or a larger one if the touch were right; 1 where none is left out. */
  readonly missChance: number;
  /** ln of how much likelier the touches are than if all were right. */
  readonly lnOdds: number;
}

export interface JudgedTouches {
  /** The touch that the test names. */
  readonly wrong: number | null;
  readonly pose: DesignPose;
  /** One touch's deviation in each direction, mm, by residuals and what is usual. */
  readonly touchMm: number;
  readonly freedom: number;
  readonly covariance: Matrix;
  /** The chance that the pose used rests on a wrong touch or leaves out a right one. */
  readonly doubt: number;
}

const noiseOf = (kept: readonly TouchedPoint[], pose: DesignPose, usualMm: number) => {
  const freedom = 2 * kept.length - 3 + USUAL_FREEDOM;
  return { freedom, variance: (squaresOf(pose, kept) + USUAL_FREEDOM * usualMm ** 2) / freedom };
};

/** The pose from touches of which one may be wrong. Two points or more, spread over more than LEAST_SPREAD. */
export function judgedTouches(points: readonly TouchedPoint[], usualMm: number): JudgedTouches {
  const cases = [allRight(points, usualMm), ...points.flatMap((_, i) => oneWrong(points, i, usualMm))];
  const used = cases[namedCase(points, cases)]!;
  const kept = points.filter((_, i) => i !== used.left);
  const { freedom, variance } = noiseOf(kept, used.pose, usualMm);
  const most = Math.max(...cases.map((one) => one.lnOdds));
  const weights = cases.map((one) => Math.exp(one.lnOdds - most));
  const whole = weights.reduce((all, one) => all + one, 0);
  const mixed = cases.map((one, i) =>
    sum(one.covariance, apart(one.pose, used.pose)).map((row) =>
      row.map((value) => (value * weights[i]!) / whole),
    ),
  );
  return {
    wrong: used.left,
    pose: used.pose,
    touchMm: Math.sqrt(variance),
    freedom,
    covariance: mixed.reduce(sum, zeros(3, 3)),
    doubt: 1 - weights[cases.indexOf(used)]! / whole,
  };
}

/** The case that is used: the worst touch's if the test names it. Of three touches none can be named. */
function namedCase(points: readonly TouchedPoint[], cases: readonly Case[]): number {
  if (points.length < 4) return 0;
  const worst = cases.reduce((best, one, i) => (one.missChance < cases[best]!.missChance ? i : best), 0);
  return cases[worst]!.missChance < WRONG_CHANCE / points.length ? worst : 0;
}

function allRight(points: readonly TouchedPoint[], usualMm: number): Case {
  const pose = rigidFit(points);
  const { variance } = noiseOf(points, pose, usualMm);
  const covariance = poseCovariance(points, pose, Math.sqrt(variance));
  return { left: null, pose, covariance, missChance: 1, lnOdds: Math.log1p(-points.length * GROSS_SHARE) };
}

/**
 * The touch left out, against where the others foretell it: with the others' noise estimated, its miss follows a
 * two-dimensional t law, density (1 + q/ν)^(−ν/2 − 1) / (2π √|C|), q = missᵀ C⁻¹ miss (E. T. Jaynes, Probability Theory
 * (2003), ch. 17; from memory). Nothing for two touches, and where the others lie at one spot.
 */
function oneWrong(points: readonly TouchedPoint[], left: number, usualMm: number): Case[] {
  const others = points.filter((_, i) => i !== left);
  if (others.length < 2 || spreadOf(others.map((one) => one.design)) < LEAST_SPREAD) return [];
  const pose = rigidFit(others);
  const { freedom, variance } = noiseOf(others, pose, usualMm);
  const { square, root, miss } = foretold(points[left]!, others, pose);
  const q = square / variance;
  const lnRight = -Math.log(2 * Math.PI * variance * root) - (freedom / 2 + 1) * Math.log1p(q / freedom);
  const width = GROSS_WIDTH * usualMm;
  const lnWrong = Math.log(width / (2 * Math.PI)) - 1.5 * Math.log(miss ** 2 + width ** 2);
  return [
    {
      left,
      pose,
      covariance: poseCovariance(others, pose, Math.sqrt(variance)),
      missChance: fisherTail(q / 2, 2, freedom),
      lnOdds: Math.log(GROSS_SHARE) + lnWrong - lnRight,
    },
  ];
}

/** A touch's squared distance from its foretold place in units of (its own + the others') variance 1, and √|C| of it. */
function foretold(point: TouchedPoint, others: readonly TouchedPoint[], pose: DesignPose) {
  const turned = posed({ xMm: 0, yMm: 0, angleRad: pose.angleRad }, point.design);
  const map = [
    [1, 0, -turned.yMm],
    [0, 1, turned.xMm],
  ];
  const total = product(product(map, poseCovariance(others, pose, 1)), transposed(map)).map((row, i) =>
    row.map((value, j) => value + (i === j ? 1 : 0)),
  );
  const miss = missOf(pose, point);
  const solved = applied(spdInverse(total)!, [miss.xMm, miss.yMm]);
  return {
    square: miss.xMm * solved[0]! + miss.yMm * solved[1]!,
    root: Math.sqrt(total[0]![0]! * total[1]![1]! - total[0]![1]! * total[1]![0]!),
    miss: Math.hypot(miss.xMm, miss.yMm),
  };
}

/** d dᵀ of two poses' difference in (x, y, angle). */
function apart(one: DesignPose, other: DesignPose): Matrix {
  const d = [one.xMm - other.xMm, one.yMm - other.yMm, Math.sin(one.angleRad - other.angleRad)];
  return d.map((a) => d.map((b) => a * b));
}
