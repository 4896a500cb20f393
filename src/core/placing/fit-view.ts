/**
 * The camera over the hoop from places known on the hoop and seen in the photo: pose, and what of the lens is not
 * known, by one least-squares fit in which what is believed of the lens counts like a measurement. The errors of the
 * result come by source: photo noise, how well the marks were taught, the lens. Photo noise is estimated from the
 * residuals, held up by what is usual where few marks leave little to estimate it from (inverse gamma prior).
 */
import {
  applied,
  carried,
  cholesky,
  forwardSolved,
  type Matrix,
  product,
  sum,
  symmetricEigen,
  transposed,
  type Vector,
  zeros,
} from "./algebra";
import { type CameraPose, oppositePose, poseFromHomography, projectedPlane, turnedPose } from "./camera";
import { leastSquares, type SquaresFit } from "./least-squares";
import { fitHomography, type Place } from "./homography";
import { type Lens, straighten } from "./lens";
import { refusePlacing } from "./refusals";
import { fisherTail } from "./statistics";

/** What is believed of a lens: its values and the covariance of [ln focal, k1, k2, centre x px, centre y px]. */
export interface LensBelief {
  readonly lens: Lens;
  readonly covariance: Matrix;
}

export interface ViewAsked {
  readonly known: readonly Place[];
  readonly seen: readonly Place[];
  /** Standard deviation of each known place's coordinates, mm, each by itself. */
  readonly taughtMm: Vector;
  /** Places from `from` to before `to` that are off together besides, by one shift of this standard deviation each way. */
  readonly together?: readonly { readonly from: number; readonly to: number; readonly mm: number }[];
  /** Covariance of all seen coordinates for photo noise 1 px; null: each by itself. */
  readonly shape: Matrix | null;
  readonly belief: LensBelief;
  /** What one coordinate's photo noise usually is, px; a found marker corner's where nothing is said. */
  readonly usualNoisePx?: number;
  /** Degrees of freedom that this weighs beside the residuals. */
  readonly usualFreedom?: number;
}

/** Parameters: [turn 3, move 3 mm, ln focal change, k1, k2, centre x, centre y], all as changes from `pose` and `lens`. */
export const VIEW_PARAMETERS = 11;

export interface FittedView {
  readonly pose: CameraPose;
  readonly lens: Lens;
  readonly noisePx: number;
  /** Degrees of freedom the noise was estimated with, the prior's among them. */
  readonly freedom: number;
  /** Covariance of the eleven parameters from photo noise, taught places, lens. */
  readonly marks: Matrix;
  readonly taught: Matrix;
  readonly lensSpread: Matrix;
  /** The fit itself in units of the estimated noise: its residuals begin with x, y of each mark. */
  readonly squares: SquaresFit;
}

/** Usual photo noise of a corner, px, and the degrees of freedom it weighs (our own pictures; 0.1–0.4 px). */
const USUAL_NOISE_PX = 0.25;
const USUAL_FREEDOM = 2;
const NOISE_FLOOR_PX = 0.05;
export const VIEW_SCALE = [0.01, 0.01, 0.01, 1, 1, 1, 0.01, 0.01, 0.01, 10, 10];

export function changedLens(lens: Lens, change: Vector): Lens {
  return {
    focalPx: lens.focalPx * Math.exp(change[0]!),
    k1: lens.k1 + change[1]!,
    k2: lens.k2 + change[2]!,
    centreXPx: lens.centreXPx + change[3]!,
    centreYPx: lens.centreYPx + change[4]!,
  };
}

/** Directions in which the lens may move and how far: columns are standard deviations along them. */
function freeDirections(covariance: Matrix): number[][] {
  const { values, vectors } = symmetricEigen(covariance);
  const largest = values.at(-1) ?? 0;
  return vectors
    .map((vector, i) => vector.map((value) => value * Math.sqrt(Math.max(0, values[i]!))))
    .filter((_, i) => values[i]! > 1e-14 * largest && values[i]! > 0);
}

/** @throws Refusal as fitHomography, and placing-no-such-view where only a camera under the hoop could see it so. */
export function fitView(asked: ViewAsked): FittedView {
  const start = startPose(asked);
  const first = settled(asked, start);
  // The pose tilted the opposite way is a second valley where the view is nearly without perspective; few steps show.
  const other = oppositePose(start);
  const second = first === null || nearAs(asked, other, first) ? settled(asked, other) : null;
  const best = first === null || (second !== null && second.cost < first.cost) ? second : first;
  if (best === null)
    throw refusePlacing("placing-no-such-view", "No place of the camera over the hoop explains the marks.");
  return best.view;
}

interface Settled {
  readonly view: FittedView;
  readonly cost: number;
}

/** Whether a few steps from a pose come near the photo as well as the view found, or nearly. */
function nearAs(asked: ViewAsked, pose: CameraPose, { view }: Settled): boolean {
  const model = modelOf(asked, pose);
  const still = [...VIEW_SCALE.slice(0, 6), ...model.directions.map(() => 1)];
  const weights = weightsAt(asked, model, still.map(() => 0), view.noisePx); // prettier-ignore
  if (weights === null) return false;
  const residuals = (to: Vector) => whitened(asked, model, weights, to);
  const fit = leastSquares({ start: still.map(() => 0), scale: still, residuals, steps: 6 });
  return fit !== null && fit.cost < 4 * view.squares.cost + 20;
}

function startPose({ known, seen, belief }: ViewAsked): CameraPose {
  const straight = seen.map(([xPx, yPx]): Place => {
    const at = straighten(belief.lens, { xPx, yPx });
    return [at.xPx, at.yPx];
  });
  const pose = poseFromHomography(fitHomography(known, straight), belief.lens);
  if (pose === null)
    throw refusePlacing(
      "placing-no-such-view",
      "The marks stand mirrored: they were taken for one another, or the photo is mirrored.",
    );
  return pose;
}

interface Model {
  readonly pose: CameraPose;
  readonly directions: readonly Vector[];
  readonly project: (at: Vector) => number[] | null;
}

function modelOf({ known, belief }: ViewAsked, pose: CameraPose): Model {
  const directions = freeDirections(belief.covariance);
  const lensAt = (at: Vector): Lens =>
    changedLens(
      belief.lens,
      [0, 1, 2, 3, 4].map((i) => directions.reduce((all, one, k) => all + one[i]! * at[6 + k]!, 0)),
    );
  const project = (at: Vector): number[] | null => projectedPlane(turnedPose(pose, at), lensAt(at), known);
  return { pose, directions, project };
}

/** Fits with a photo noise that fits the residuals: a few rounds, each of which changes the weights. */
function settled(asked: ViewAsked, start: CameraPose): Settled | null {
  let model = modelOf(asked, start);
  const scale = [...VIEW_SCALE.slice(0, 6), ...model.directions.map(() => 1)];
  let at: Vector = scale.map(() => 0);
  const usualPx = asked.usualNoisePx ?? USUAL_NOISE_PX;
  const usualFreedom = asked.usualFreedom ?? USUAL_FREEDOM;
  let noise = usualPx;
  const freedom = 2 * asked.known.length - 6;
  for (let round = 0; ; round++) {
    const weights = weightsAt(asked, model, at, noise);
    if (weights === null) return null;
    const residuals = (to: Vector) => whitened(asked, model, weights, to);
    const fit = leastSquares({ start: at, scale, residuals, steps: round === 0 ? 60 : 8 });
    if (fit === null || fit.covariance === null) return null;
    const usual = usualFreedom * (usualPx / noise) ** 2;
    const next = Math.max(NOISE_FLOOR_PX, noise * Math.sqrt((fit.cost + usual) / (freedom + usualFreedom)));
    // The cost as −2 ln of the likelihood, so that two poses with a noise of their own can be compared.
    if (round > 0 && (Math.abs(next / noise - 1) < 0.01 || round === 9))
      return {
        view: viewOf(asked, model, weights, fit, { used: noise, found: next }),
        cost: fit.cost + 2 * freedom * Math.log(noise),
      };
    noise = next;
    // Turns are counted from the pose found, so that they stay small and their spread is what it says.
    model = modelOf(asked, turnedPose(model.pose, fit.at));
    at = fit.at.map((value, i) => (i < 6 ? 0 : value));
  }
}

interface Weights {
  /** Lower triangle of the covariance of the seen coordinates. */
  readonly root: Matrix;
  readonly photo: Matrix;
  readonly taught: Matrix;
  /** Of each coordinate the first one on which it depends. */
  readonly since: readonly number[];
}

function weightsAt(
  { known, taughtMm, shape, together = [] }: ViewAsked,
  model: Model,
  at: Vector,
  noise: number,
): Weights | null {
  const size = 2 * known.length;
  const photo = zeros(size, size);
  const taught = zeros(size, size);
  const local = localScales(known, model, at);
  if (local === null) return null;
  for (let i = 0; i < size; i++)
    for (let j = 0; j < size; j++)
      photo[i]![j] = noise * noise * (shape === null ? Number(i === j) : shape[i]![j]!);
  const share = (i: number, j: number, variance: number): void => {
    for (const row of [0, 1] as const)
      for (const column of [0, 1] as const)
        taught[2 * i + row]![2 * j + column]! +=
          variance *
          (local[i]![2 * row]! * local[j]![2 * column]! +
            local[i]![2 * row + 1]! * local[j]![2 * column + 1]!);
  };
  known.forEach((_, i) => share(i, i, taughtMm[i]! ** 2));
  const since = Array.from({ length: size }, (_, i) => (shape === null ? i - (i % 2) : 0));
  for (const { from, to, mm } of together)
    for (let i = from; i < to; i++) {
      for (let j = from; j < to; j++) share(i, j, mm * mm);
      for (const k of [2 * i, 2 * i + 1]) since[k] = Math.min(since[k]!, 2 * from);
    }
  const root = cholesky(
    sum(photo, taught).map((row, i) => row.map((value, j) => value + (i === j ? 1e-9 : 0))),
  );
  return root === null ? null : { root, photo, taught, since };
}

/** Derivatives of the photo place by the hoop place, px per mm, row by row, at each mark. */
function localScales(
  known: readonly Place[],
  model: Model,
  at: Vector,
): (readonly [number, number, number, number])[] | null {
  // Moving the hoop under the camera moves each mark the same way: differences along the hoop's axes in camera axes.
  const { rotation } = turnedPose(model.pose, at);
  const shifted = (axis: 0 | 1, by: number): number[] | null =>
    model.project(at.map((value, i) => (3 <= i && i < 6 ? value + by * rotation[i - 3]![axis]! : value)));
  const [xMore, xLess, yMore, yLess] = [
    shifted(0, 0.01),
    shifted(0, -0.01),
    shifted(1, 0.01),
    shifted(1, -0.01),
  ];
  if (xMore === null || xLess === null || yMore === null || yLess === null) return null;
  return known.map((_, i) => {
    const by = (more: number[], less: number[], k: number) => (more[2 * i + k]! - less[2 * i + k]!) / 0.02;
    return [by(xMore, xLess, 0), by(yMore, yLess, 0), by(xMore, xLess, 1), by(yMore, yLess, 1)] as const;
  });
}

function whitened({ seen }: ViewAsked, model: Model, { root, since }: Weights, at: Vector): number[] | null {
  const places = model.project(at);
  if (places === null) return null;
  const off = places.map((value, i) => value - seen[i >> 1]![(i & 1) as 0 | 1]);
  return [...blocksSolved(root, off, since), ...at.slice(6)];
}

/** As forwardSolved where each coordinate depends on those from `since` on only. */
function blocksSolved(root: Matrix, off: Vector, since: readonly number[]): number[] {
  const x = [...off];
  for (let i = 0; i < x.length; i++) {
    let rest = x[i]!;
    const row = root[i]!;
    for (let k = since[i]!; k < i; k++) rest -= row[k]! * x[k]!;
    x[i] = rest / row[i]!;
  }
  return x;
}

function viewOf(
  asked: ViewAsked,
  model: Model,
  weights: Weights,
  fit: SquaresFit,
  noise: { readonly used: number; readonly found: number },
): FittedView {
  // gain = (JᵀJ)⁻¹Jᵀ L⁻¹ takes errors of what was seen into errors of the parameters.
  const gain = product(fit.covariance!, transposed(fit.jacobian));
  const size = 2 * asked.known.length;
  const seenGain = rowsOver(
    weights.root,
    gain.map((row) => row.slice(0, size)),
  );
  const beliefGain = gain.map((row) => row.slice(size));
  const lift = liftOf(model.directions);
  const lifted = (covariance: Matrix): Matrix => carried(lift, covariance);
  const change = applied(lift, fit.at);
  return {
    pose: turnedPose(model.pose, change),
    lens: changedLens(asked.belief.lens, change.slice(6)),
    noisePx: noise.found,
    freedom: noiseFreedom(asked, weights),
    // The last round's estimate, a percent or so from the one that gave the weights.
    marks: lifted(carried(seenGain, weights.photo)).map((row) =>
      row.map((value) => value * (noise.found / noise.used) ** 2),
    ),
    taught: lifted(carried(seenGain, weights.taught)),
    lensSpread: lifted(product(beliefGain, transposed(beliefGain))),
    squares: fit,
  };
}

/**
 * Degrees of freedom of the photo noise's estimate. Residuals are made of noise and of taught places' errors, whose size
 * is known; the larger those are, the less the residuals tell of the noise.
 */
function noiseFreedom(
  { known, usualFreedom = USUAL_FREEDOM }: ViewAsked,
  { photo, taught }: Weights,
): number {
  const told =
    photo.reduce((all, row, i) => all + (row[i]! / (row[i]! + taught[i]![i]!)) ** 2, 0) / photo.length;
  return (2 * known.length - 6) * told + usualFreedom;
}

/** Each row g as g L⁻¹, L lower. */
function rowsOver(root: Matrix, rows: Matrix): number[][] {
  return rows.map((row) => {
    const x = [...row];
    for (let i = root.length - 1; i >= 0; i--) {
      x[i]! /= root[i]![i]!;
      for (let k = 0; k < i; k++) x[k]! -= root[i]![k]! * x[i]!;
    }
    return x;
  });
}

/** From the fit's parameters to the eleven of a view. */
function liftOf(directions: readonly Vector[]): number[][] {
  const lift = zeros(VIEW_PARAMETERS, 6 + directions.length);
  for (let i = 0; i < 6; i++) lift[i]![i] = 1;
  directions.forEach((direction, k) => direction.forEach((value, i) => (lift[6 + i]![6 + k] = value)));
  return lift;
}

/** Degrees of freedom of all that the residuals are made of. */
export const residualFreedom = ({ residuals, at }: SquaresFit): number =>
  residuals.length - at.length + USUAL_FREEDOM;

/**
 * How unlikely the marks from `from` to `to` (exclusive) would be if the others were right: the F test of leaving them
 * out, from the fit with them (R. D. Cook, S. Weisberg, Residuals and Influence in Regression (1982) §2.2). 1 where the
 * others are too few to say.
 */
export function deletionChance({ squares }: FittedView, from: number, to: number): number {
  const rows = squares.jacobian.slice(2 * from, 2 * to);
  const off = squares.residuals.slice(2 * from, 2 * to);
  const hat = carried(rows, squares.covariance!);
  const free = hat.map((row, i) => row.map((value, j) => (i === j ? 1 : 0) - value));
  const root = cholesky(free);
  const left = residualFreedom(squares) - off.length;
  if (root === null || left < 2) return 1;
  const part = forwardSolved(root, off);
  const gone = part.reduce((all, one) => all + one * one, 0);
  // The whole cost is its freedom where the noise was estimated from it.
  const variance = Math.max(0.05, (squares.cost - gone + USUAL_FREEDOM) / left);
  return fisherTail(gone / off.length / variance, off.length, left);
}
