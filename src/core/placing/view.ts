/**
 * A photo as a measure of the cloth. Markers of the hoop (or its inner edges) give the camera; the cloth lies
 * `clothBelowMm` under them, so that a slanted sight through a marker's plane would miss by clothBelow · tan(tilt): each
 * sight is followed down to the cloth. Wrong markers are found and named: a consensus of markers in pairs (M. A.
 * Fischler, R. C. Bolles, Comm. ACM 24 (1981) 381–395; local optimisation, O. Chum et al., DAGM 2003; all pairs are
 * tried, nothing is drawn), then each marker against what the others foretell.
 */
import { carried, cholesky, forwardSolved, type Matrix, sum, type Vector, zeros } from "./algebra";
import { cameraPlace, type CameraPose, projected, sighted, turnedPose } from "./camera";
import {
  changedLens,
  deletionChance,
  fitView,
  type FittedView,
  type LensBelief,
  residualFreedom,
  VIEW_PARAMETERS,
  VIEW_SCALE,
} from "./fit-view";
import { directHomography, mapped, type Place } from "./homography";
import { type Lens, straighten } from "./lens";
import { degreesOf, type PointMm, type PointPx } from "./points";
import { refusePlacing } from "./refusals";
import { fisherTail } from "./statistics";

/** A marker as found in the photo, its corners in the order in which they were taught. */
export interface SeenMarker {
  readonly id: number;
  readonly cornersPx: readonly PointPx[];
}

/** A marker's corners on the hoop, mm, and the standard deviation of each of their coordinates. */
export interface TaughtMarker {
  readonly id: number;
  readonly cornersMm: readonly PointMm[];
  readonly spreadMm: number;
  /**
   * The part of that by which the whole marker is off: its corners share one shift of this standard deviation each way.
   * Where it was not measured, most of it is (TOGETHER_SHARE).
   */
  readonly togetherMm?: number;
}

/** Of a taught corner's error variance so much is its whole marker's: what moves a view moves all four corners. */
export const TOGETHER_SHARE = 0.75;

/** Standard deviations of a marker's shift and of each corner besides, mm. */
export function taughtParts({ spreadMm, togetherMm }: TaughtMarker): {
  readonly wholeMm: number;
  readonly cornerMm: number;
} {
  const wholeMm = Math.min(spreadMm, togetherMm ?? spreadMm * Math.sqrt(TOGETHER_SHARE));
  return { wholeMm, cornerMm: Math.sqrt(spreadMm ** 2 - wholeMm ** 2) };
}

/** What was taught of one hoop. */
export interface TaughtHoop {
  readonly markers: readonly TaughtMarker[];
  /** How far the cloth lies under the markers' faces, mm, and how well that is known (standard deviation). */
  readonly clothBelowMm: number;
  readonly clothBelowSpreadMm: number;
  /** Standard deviation of the printed grid sheet's scale as a share (0.001 = 1 mm in a metre). */
  readonly printScaleShare: number;
}

export type ErrorSource = "marks" | "taught" | "lens" | "cloth height" | "print scale" | "touch";

/** A part of a covariance that comes from one source; freedom Infinity where its size is known, not estimated. */
export interface SourceSpread {
  readonly source: ErrorSource;
  readonly covariance: Matrix;
  readonly freedom: number;
}

/** The camera over one hoop with its errors: plain numbers, fit to be kept. */
export interface HoopView {
  readonly pose: CameraPose;
  readonly lens: Lens;
  readonly clothBelowMm: number;
  /** Over the view's thirteen parameters: eleven of the camera, the cloth's height, the print's scale. */
  readonly spread: readonly SourceSpread[];
  readonly noisePx: number;
  readonly tiltDeg: number;
  readonly distanceMm: number;
  readonly markersUsed: readonly number[];
  /** Markers that contradict the others, with how far off they stand. */
  readonly wrongMarkers: readonly { readonly id: number; readonly offMm: number }[];
}

export const PARAMETERS = VIEW_PARAMETERS + 2;
export const PARAMETER_SCALE: Vector = [...VIEW_SCALE, 1, 0.01];

/** The worst photo noise that still counts as marks that agree, px. */
const WORST_NOISE_PX = 3;

interface Pair {
  readonly id: number;
  readonly known: readonly Place[];
  readonly seen: readonly Place[];
  readonly straight: readonly Place[];
  readonly wholeMm: number;
  readonly cornerMm: number;
}

/**
 * The view of a hoop from its markers; unknown ids are left out.
 * @throws Refusal placing-too-few-marks, placing-marks-in-line, placing-no-such-view, placing-marks-disagree.
 */
export function viewHoop(hoop: TaughtHoop, seen: readonly SeenMarker[], belief: LensBelief): HoopView {
  const pairs = pairsOf(hoop, seen, belief.lens);
  if (pairs.length === 0)
    throw refusePlacing(
      "placing-too-few-marks",
      `None of the hoop's ${hoop.markers.length} markers is in the photo.`,
    );
  const { fit, used } = agreed(pairs, belief);
  if (fit.noisePx > WORST_NOISE_PX)
    throw refusePlacing(
      "placing-marks-disagree",
      `The markers ${used.map((one) => one.id).join(", ")} lie ${fit.noisePx.toFixed(1)} px off what any camera could see; up to ${WORST_NOISE_PX} px are plausible.`,
    );
  const wrong = pairs.filter((one) => !used.includes(one));
  return viewWith(fit, hoop, {
    markersUsed: used.map((one) => one.id),
    wrongMarkers: wrong.map((one) => ({ id: one.id, offMm: offMm(fit, one) })),
  });
}

export function viewWith(
  fit: FittedView,
  hoop: Omit<TaughtHoop, "markers">,
  named: Pick<HoopView, "markersUsed" | "wrongMarkers">,
): HoopView {
  const { place, tiltRad } = cameraPlace(fit.pose);
  const camera = (covariance: Matrix) => padded(covariance, PARAMETERS);
  const single = (index: number, deviation: number): Matrix => {
    const all = zeros(PARAMETERS, PARAMETERS);
    all[index]![index] = deviation ** 2;
    return all;
  };
  return {
    pose: fit.pose,
    lens: fit.lens,
    clothBelowMm: hoop.clothBelowMm,
    spread: [
      { source: "marks", covariance: camera(fit.marks), freedom: fit.freedom },
      { source: "taught", covariance: camera(fit.taught), freedom: Infinity },
      { source: "lens", covariance: camera(fit.lensSpread), freedom: Infinity },
      { source: "cloth height", covariance: single(11, hoop.clothBelowSpreadMm), freedom: Infinity },
      { source: "print scale", covariance: single(12, hoop.printScaleShare), freedom: Infinity },
    ],
    noisePx: fit.noisePx,
    tiltDeg: degreesOf(tiltRad),
    distanceMm: Math.hypot(...place),
    ...named,
  };
}

const padded = (a: Matrix, size: number): number[][] =>
  zeros(size, size).map((row, i) => row.map((_, j) => a[i]?.[j] ?? 0));

function pairsOf(hoop: TaughtHoop, seen: readonly SeenMarker[], lens: Lens): Pair[] {
  return seen.flatMap((one) => {
    const taught = hoop.markers.find((marker) => marker.id === one.id);
    if (taught === undefined || taught.cornersMm.length !== one.cornersPx.length) return [];
    const place = ({ xPx, yPx }: PointPx): Place => [xPx, yPx];
    return {
      id: one.id,
      known: taught.cornersMm.map(({ xMm, yMm }): Place => [xMm, yMm]),
      seen: one.cornersPx.map(place),
      straight: one.cornersPx.map((corner) => place(straighten(lens, corner))),
      ...taughtParts(taught),
    };
  });
}

const fitOf = (pairs: readonly Pair[], belief: LensBelief): FittedView =>
  fitView({
    known: pairs.flatMap((one) => one.known),
    seen: pairs.flatMap((one) => one.seen),
    taughtMm: pairs.flatMap((one) => one.known.map(() => one.cornerMm)),
    together: pairs.map((one) => ({
      from: cornersBefore(one, pairs),
      to: cornersBefore(one, pairs) + one.known.length,
      mm: one.wholeMm,
    })),
    shape: null,
    belief,
  });

/** A deletion this unlikely, for as many markers as there are, names a marker. */
const WRONG_CHANCE = 0.001;

function agreed(
  pairs: readonly Pair[],
  belief: LensBelief,
): { readonly fit: FittedView; readonly used: readonly Pair[] } {
  let used: readonly Pair[] = pairs.length < 3 ? pairs : consensus(pairs);
  let fit = fitOf(used, belief);
  const tried = new Set<string>();
  while (pairs.length >= 3 && !tried.has(keyOf(used))) {
    tried.add(keyOf(used));
    const next = pairs.filter((one) => agrees(one, used, fit, pairs.length));
    if (next.length < 2 || keyOf(next) === keyOf(used)) break;
    // One marker at a time leaves: a wrong one pulls the others away from their places.
    const gone = used.filter((one) => !next.includes(one));
    const worst = gone.reduce<Pair | null>(
      (far, one) => (far === null || offPx(fit, one) > offPx(fit, far) ? one : far),
      null,
    );
    used = worst === null ? next : used.filter((one) => one !== worst);
    fit = fitOf(used, belief);
  }
  return { fit, used };
}

const keyOf = (pairs: readonly Pair[]): string => pairs.map((one) => one.id).join(" ");

/** Whether a marker stands where the others foretell it, against how well they can (F of its coordinates). */
function agrees(one: Pair, used: readonly Pair[], fit: FittedView, count: number): boolean {
  const chance = used.includes(one)
    ? deletionChance(fit, cornersBefore(one, used), cornersBefore(one, used) + one.known.length)
    : fisherTail(foretoldOff(one, fit), 2 * one.known.length, residualFreedom(fit.squares));
  return chance > WRONG_CHANCE / count;
}

const cornersBefore = (one: Pair, used: readonly Pair[]): number =>
  used.slice(0, used.indexOf(one)).reduce((all, other) => all + other.known.length, 0);

/** Mean square of a marker's misses in units of their foretold spread: noise, teaching, and the others' camera. */
function foretoldOff(one: Pair, fit: FittedView): number {
  const off: number[] = [];
  const rows: number[][] = [];
  for (const [i, [x, y]] of one.known.entries()) {
    const at = projected(fit.pose, fit.lens, [x, y, 0]);
    if (at === null) return Infinity;
    off.push(one.seen[i]![0] - at[0], one.seen[i]![1] - at[1]);
    rows.push(cameraRow(fit, [x, y], 0), cameraRow(fit, [x, y], 1));
  }
  const perMm = fit.lens.focalPx / fit.pose.at[2];
  const own = fit.noisePx ** 2 + (one.cornerMm * perMm) ** 2;
  const covariance = carried(rows, [fit.marks, fit.taught, fit.lensSpread].reduce(sum)).map((row, i) =>
    row.map((value, j) => value + (i === j ? own : 0) + (i % 2 === j % 2 ? (one.wholeMm * perMm) ** 2 : 0)),
  );
  const root = cholesky(covariance);
  if (root === null) return Infinity;
  return forwardSolved(root, off).reduce((all, value) => all + value * value, 0) / off.length;
}

function cameraRow(fit: FittedView, [x, y]: Place, axis: 0 | 1): number[] {
  return VIEW_SCALE.map((scale, i) => {
    const step = scale * 1e-4;
    const moved = (by: number) => {
      const change = VIEW_SCALE.map((_, j) => (i === j ? by : 0));
      return (
        projected(turnedPose(fit.pose, change), changedLens(fit.lens, change.slice(6)), [x, y, 0])?.[axis] ??
        0
      );
    };
    return (moved(step) - moved(-step)) / (2 * step);
  });
}

function offPx(fit: FittedView, one: Pair): number {
  const squares = one.known.map(([x, y], i) => {
    const at = projected(fit.pose, fit.lens, [x, y, 0]);
    return at === null ? Infinity : (at[0] - one.seen[i]![0]) ** 2 + (at[1] - one.seen[i]![1]) ** 2;
  });
  return Math.sqrt(squares.reduce((all, value) => all + value, 0) / squares.length);
}

function offMm(fit: FittedView, one: Pair): number {
  const squares = one.known.map(([x, y], i) => {
    const at = sighted(fit.pose, fit.lens, one.seen[i]!, 0);
    return at === null ? Infinity : (at[0] - x) ** 2 + (at[1] - y) ** 2;
  });
  return Math.sqrt(squares.reduce((all, value) => all + value, 0) / squares.length);
}

/** Markers within this of a pair's homography are with it, px; about 1 mm on a hoop that fills a photo of 12 MP. */
const NEAR_PX = 4;

/** Sum of squared distances in NEAR_PX: a single marker that was 5 px off would alone make more. */
const SMALL_QUARREL = 0.5;

/** The markers that most agree with a homography through two of them, refitted to all that do. */
function consensus(pairs: readonly Pair[]): readonly Pair[] {
  let best: readonly Pair[] = pairs;
  let bestScore = Infinity;
  const judge = (some: readonly Pair[]): readonly Pair[] | null => {
    const offs = offsFrom(some, pairs);
    if (offs === null) return null;
    const score = offs.reduce((all, off) => all + Math.min(1, (off / NEAR_PX) ** 2), 0);
    const near = pairs.filter((_, i) => offs[i]! < NEAR_PX);
    if (score < bestScore && near.length >= 2) [best, bestScore] = [near, score];
    return near;
  };
  judge(pairs);
  // Where none is far from all of them together there is nothing to outvote; smaller quarrels are the tests' after this.
  if (best.length === pairs.length && bestScore < SMALL_QUARREL) return pairs;
  for (let i = 0; i < pairs.length; i++)
    for (let j = i + 1; j < pairs.length; j++) {
      const near = judge([pairs[i]!, pairs[j]!]);
      if (near !== null && near.length > 2) judge(near);
    }
  return best;
}

/** How far each marker is from where the homography of some shows it, px rms; null where those have none. */
function offsFrom(some: readonly Pair[], all: readonly Pair[]): number[] | null {
  try {
    const h = directHomography(
      some.flatMap((one) => one.known),
      some.flatMap((one) => one.straight),
    );
    return all.map((one) => {
      const squares = one.known.map((place, i) => {
        const [x, y] = mapped(h, place);
        return (x - one.straight[i]![0]) ** 2 + (y - one.straight[i]![1]) ** 2;
      });
      return Math.sqrt(squares.reduce((sum, value) => sum + value, 0) / squares.length);
    });
  } catch {
    return null;
  }
}

/**
 * A photo place on the cloth, mm in the hoop's plane.
 * @throws Refusal placing-lens-range beyond the lens model's reach or over the horizon.
 */
export function placeOnCloth(view: HoopView, at: PointPx): PointMm {
  const place = clothPlace(view, at, NO_CHANGE);
  if (place === null)
    throw refusePlacing(
      "placing-lens-range",
      `The place ${Math.round(at.xPx)}, ${Math.round(at.yPx)} px shows no cloth of this hoop.`,
    );
  return { xMm: place[0], yMm: place[1] };
}

const NO_CHANGE: Vector = new Array<number>(PARAMETERS).fill(0);

/** The same with the view's parameters changed, for the spread of places; null where nothing is met. */
export function clothPlace(view: HoopView, { xPx, yPx }: PointPx, change: Vector): Place | null {
  const pose = turnedPose(view.pose, change);
  const found = sighted(
    pose,
    changedLens(view.lens, change.slice(6, 11)),
    [xPx, yPx],
    -(view.clothBelowMm + change[11]!),
  );
  return found === null ? null : [found[0] * (1 + change[12]!), found[1] * (1 + change[12]!)];
}

/** Where the photo shows a place of the cloth, px; null where it does not. For drawing the design on the photo. */
export function placeInPhoto(view: HoopView, at: PointMm): PointPx | null {
  const seen = projected(view.pose, view.lens, [at.xMm, at.yMm, -view.clothBelowMm]);
  return seen === null ? null : { xPx: seen[0], yPx: seen[1] };
}
