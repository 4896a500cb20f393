/**
 * What error to expect of a placed design, and whether a product allows it. The covariance of (x, y, angle) comes by
 * source; errors are small, so they are carried through derivatives (error propagation; R. Hartley, A. Zisserman,
 * Multiple View Geometry, 2nd ed. (2004) §5.2). Stated is the radius within which every point of the design's outline
 * lies with 95 %, and the angle's 95 % range.
 */
import { normalQuantile, studentQuantile } from "#core/base";
import { carried, cholesky, type Matrix, product, sum, type Vector, zeros } from "./algebra";
import { derivatives } from "./least-squares";
import { type ClothMark, placementPose, type PlacementAsked } from "./placement-rule";
import { degreesOf, type DesignPose, type PointMm, type PointPx } from "./points";
import { refusePlacing } from "./refusals";
import { largestWithin } from "./statistics";
import { clothPlace, type ErrorSource, type HoopView, PARAMETER_SCALE, type SourceSpread } from "./view";

/** A pose with its errors: covariances over (x mm, y mm, angle rad), one a source. */
export interface UncertainPose {
  readonly pose: DesignPose;
  readonly spread: readonly SourceSpread[];
}

/** What was touched in the photo. */
export interface PhotoMark {
  readonly kind: ClothMark["kind"];
  readonly pointsPx: readonly PointPx[];
}

export interface PhotoPlacement extends Omit<PlacementAsked, "marks"> {
  readonly view: HoopView;
  readonly marks: readonly PhotoMark[];
  /** Standard deviation of one touch, mm on the cloth, each direction. */
  readonly touchMm: number;
}

/** A turn and shift by hand on top of the rule, in the hoop's axes about the design's start. */
export interface Nudge {
  readonly xMm: number;
  readonly yMm: number;
  readonly turnRad: number;
}

export const nudged = ({ pose, spread }: UncertainPose, { xMm, yMm, turnRad }: Nudge): UncertainPose => ({
  pose: { xMm: pose.xMm + xMm, yMm: pose.yMm + yMm, angleRad: pose.angleRad + turnRad },
  spread,
});

/**
 * Where the design goes, from touches in a photo.
 * @throws Refusal placing-rule-needs-mark, placing-lens-range.
 */
export function placeFromPhoto(asked: PhotoPlacement): UncertainPose {
  const { view, marks, touchMm } = asked;
  const touches = marks.flatMap((mark) => mark.pointsPx);
  const onCloth = (change: Vector): Vector | null => {
    const out: number[] = [];
    for (const touch of touches) {
      const place = clothPlace(view, touch, change);
      if (place === null) return null;
      out.push(place[0], place[1]);
    }
    return out;
  };
  const start = onCloth(PARAMETER_SCALE.map(() => 0));
  if (start === null)
    throw refusePlacing("placing-lens-range", "A touched place shows no cloth of this hoop.");
  const kinds = marks.map((mark) => ({ kind: mark.kind, count: mark.pointsPx.length }));
  const placed = placeFromMarks({ ...asked, places: start, kinds, covariance: [] });
  const byView = derivatives(
    onCloth,
    PARAMETER_SCALE.map(() => 0),
    PARAMETER_SCALE,
  );
  if (byView === null)
    throw refusePlacing("placing-lens-range", "A touched place lies at the edge of what the photo shows.");
  const whole = product(placed.byPlaces, byView);
  const touch = carried(placed.byPlaces, zeros(start.length, start.length).map((row, i) => row.map((_, j) => (i === j ? touchMm ** 2 : 0)))); // prettier-ignore
  return {
    pose: placed.pose,
    spread: [
      ...view.spread.map(({ source, covariance, freedom }) => ({
        source,
        covariance: carried(whole, covariance),
        freedom,
      })),
      { source: "touch", covariance: touch, freedom: Infinity },
    ],
  };
}

interface MarkPlaces extends Omit<PlacementAsked, "marks"> {
  readonly kinds: readonly { readonly kind: ClothMark["kind"]; readonly count: number }[];
  /** x and y of all marks' places, one after the other. */
  readonly places: Vector;
  readonly covariance: readonly { readonly source: ErrorSource; readonly matrix: Matrix }[];
}

/** The rule's pose from places on the cloth, its derivatives by them, and its spread where theirs is given. */
export function placeFromMarks(asked: MarkPlaces): UncertainPose & { readonly byPlaces: Matrix } {
  const pose = (places: Vector): DesignPose =>
    placementPose({ ...asked, marks: marksOf(asked.kinds, places) });
  const start = pose(asked.places);
  const byPlaces = derivatives(
    (places) => {
      const { xMm, yMm, angleRad } = pose(places);
      // Differences of the angle, so that no half turn falls between two values.
      return [xMm, yMm, Math.sin(angleRad - start.angleRad)];
    },
    asked.places,
    asked.places.map(() => 1),
  )!;
  return {
    pose: start,
    byPlaces,
    spread: asked.covariance.map(({ source, matrix }) => ({
      source,
      covariance: carried(byPlaces, matrix),
      freedom: Infinity,
    })),
  };
}

function marksOf(kinds: MarkPlaces["kinds"], places: Vector): ClothMark[] {
  let next = 0;
  return kinds.map(({ kind, count }) => {
    const points = Array.from({ length: count }, (_, i) => ({
      xMm: places[next + 2 * i]!,
      yMm: places[next + 2 * i + 1]!,
    }));
    next += 2 * count;
    return { kind, points };
  });
}

/** What to expect: 95 % of all such placings have every point of the design within `mm`, and the angle within `degrees`. */
export interface ExpectedError {
  readonly mm: number;
  readonly degrees: number;
  /** Each source's share of the mean squared error over the outline, largest first; they add up to 1. */
  readonly shares: readonly { readonly source: ErrorSource; readonly share: number }[];
}

export const STATED_CHANCE = 0.95;

/** The error to expect over the points of an outline (mm from the design's start). */
export function expectedError({ pose, spread }: UncertainPose, outline: readonly PointMm[]): ExpectedError {
  const maps = outlineMaps(pose, outline);
  const total = spread.map((one) => one.covariance).reduce(sum, zeros(3, 3));
  const meanSquare = (covariance: Matrix): number => {
    const all = carried(maps, covariance);
    return all.reduce((whole, row, i) => whole + row[i]!, 0) / outline.length;
  };
  const parts = spread.map((one) => ({
    source: one.source,
    part: meanSquare(one.covariance),
    freedom: one.freedom,
  }));
  const whole = parts.reduce((all, one) => all + one.part, 0);
  const freedom = effectiveFreedom(parts.map((one) => ({ part: one.part, freedom: one.freedom })));
  const turn = effectiveFreedom(
    spread.map((one) => ({ part: one.covariance[2]![2]!, freedom: one.freedom })),
  );
  const angle = Math.sqrt(total[2]![2]!);
  const quantile =
    turn > 1e6 ? normalQuantile(0.5 + STATED_CHANCE / 2) : studentQuantile(0.5 + STATED_CHANCE / 2, turn);
  return {
    mm: largestWithin(product(maps, rootOf(total)), STATED_CHANCE, freedom),
    degrees: degreesOf(quantile * angle),
    shares: parts
      .map(({ source, part }) => ({ source, share: whole > 0 ? part / whole : 0 }))
      .sort((a, b) => b.share - a.share),
  };
}

/** Freedom of a sum of estimated variances (F. E. Satterthwaite, Biometrics Bulletin 2 (1946) 110–114). */
function effectiveFreedom(parts: readonly { readonly part: number; readonly freedom: number }[]): number {
  const whole = parts.reduce((all, one) => all + one.part, 0);
  const lower = parts.reduce((all, one) => all + (one.part * one.part) / one.freedom, 0);
  return lower > 0 ? Math.max(1, (whole * whole) / lower) : Infinity;
}

/** Rows x, y of each outline point's error by errors of (x, y, angle). */
function outlineMaps({ angleRad }: DesignPose, outline: readonly PointMm[]): number[][] {
  const [cos, sin] = [Math.cos(angleRad), Math.sin(angleRad)];
  return outline.flatMap(({ xMm, yMm }) => [
    [1, 0, -(sin * xMm + cos * yMm)],
    [0, 1, cos * xMm - sin * yMm],
  ]);
}

/** A root of a covariance that may be singular. */
function rootOf(covariance: Matrix): number[][] {
  const scale = covariance.map((row, i) => Math.sqrt(row[i]!) || 1e-12);
  const lifted = covariance.map((row, i) =>
    row.map((value, j) => value / (scale[i]! * scale[j]!) + (i === j ? 1e-10 : 0)),
  );
  return (cholesky(lifted) ?? zeros(3, 3)).map((row, i) => row.map((value) => value * scale[i]!));
}

/** What a product allows. */
export interface PlacingTolerance {
  readonly mm: number;
  readonly degrees: number;
}

/** Whether the place is known well enough, and what would make it so, worked out source by source. */
export interface SureEnough {
  readonly enough: boolean;
  readonly expected: ExpectedError;
  /** Empty when it is enough; otherwise the most helpful first. */
  readonly advice: readonly string[];
}

const HELP: Readonly<Record<ErrorSource, string>> = {
  marks: "a sharper photo from nearer by, with more markers uncovered",
  taught: "teaching this hoop's markers again, with more photos",
  lens: "measuring this phone's lens on the grid sheet, and a squarer photo",
  "cloth height":
    "a second photo from the other side, which measures how far the cloth lies under the markers, or a squarer one",
  "print scale": "printing the grid sheet again and measuring its ruler",
  touch: "touching the marks further apart, at more places, with the loupe",
};

/** Judges an expected error by what the product allows. */
export function judgeError(
  placed: UncertainPose,
  outline: readonly PointMm[],
  allowed: PlacingTolerance,
): SureEnough {
  const expected = expectedError(placed, outline);
  const fits = ({ mm, degrees }: ExpectedError) => mm <= allowed.mm && degrees <= allowed.degrees;
  if (fits(expected)) return { enough: true, expected, advice: [] };
  const without = placed.spread
    .filter((one) => one.covariance[0]![0]! + one.covariance[1]![1]! + one.covariance[2]![2]! > 0)
    .map(({ source }) => ({
      source,
      left: expectedError(
        { ...placed, spread: placed.spread.filter((one) => one.source !== source) },
        outline,
      ),
    }))
    .sort((a, b) => worst(a.left, allowed) - worst(b.left, allowed));
  const advice = without
    .filter(({ left }) => worst(left, allowed) < 0.9 * worst(expected, allowed))
    .map(
      ({ source, left }) =>
        `${HELP[source]} (at best ±${left.mm.toFixed(1)} mm, ±${left.degrees.toFixed(2)}°)`,
    );
  const enough = without.some(({ left }) => fits(left));
  return {
    enough: false,
    expected,
    advice: enough
      ? advice
      : [...advice, "none of these alone is enough: more than one, or hooping it again"],
  };
}

const worst = (error: ExpectedError, allowed: PlacingTolerance): number =>
  Math.max(error.mm / allowed.mm, error.degrees / allowed.degrees);

/**
 * The same as a gate before a machine is told anything.
 * @throws Refusal placing-not-sure-enough with both numbers and what would help.
 */
export function mustBeSureEnough(
  placed: UncertainPose,
  outline: readonly PointMm[],
  allowed: PlacingTolerance,
): ExpectedError {
  const { enough, expected, advice } = judgeError(placed, outline, allowed);
  if (!enough)
    throw refusePlacing(
      "placing-not-sure-enough",
      `The place is known to ±${expected.mm.toFixed(1)} mm and ±${expected.degrees.toFixed(2)}°; this product allows ±${allowed.mm} mm and ±${allowed.degrees}°. What helps: ${advice.join("; ")}.`,
      [
        { field: "mm", found: expected.mm.toFixed(2), expected: String(allowed.mm) },
        { field: "degrees", found: expected.degrees.toFixed(3), expected: String(allowed.degrees) },
      ],
      { advice },
    );
  return expected;
}
