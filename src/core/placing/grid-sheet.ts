/**
 * The printed grid sheet: what it tells of a phone's lens, and where a hoop's markers are. Lens: one least-squares fit
 * over all photos of focal length, middle, distortion and each photo's pose (Z. Zhang, IEEE TPAMI 22 (2000) 1330–1334);
 * how many distortion terms there are is chosen by Schwarz's criterion n ln(RSS/n) + p ln n (G. Schwarz, Annals of
 * Statistics 6 (1978) 461–464). Standard errors from the Jacobian. Hoop: each photo's camera from the grid, each corner
 * followed down to the markers' height, repeat measurements laid over each other by turn and shift.
 */
import type { Finding } from "#core/base";
import { diagonal, type Matrix, type Vector, zeros } from "./algebra";
import { type CameraPose, poseFromHomography, projected, sighted, turnedPose } from "./camera";
import { changedLens, fitView, type LensBelief } from "./fit-view";
import { fitHomography, type Place } from "./homography";
import { leastSquares, type SquaresFit } from "./least-squares";
import type { Lens } from "./lens";
import { type PointMm, type PointPx, posed } from "./points";
import { refusePlacing } from "./refusals";
import { rigidFit } from "./rigid-fit";
import { type SeenMarker, type TaughtMarker, TOGETHER_SHARE } from "./view";

/** A crossing of the printed grid, mm on the sheet, and where the photo shows it. */
export interface GridPoint {
  readonly sheet: PointMm;
  readonly photo: PointPx;
}

export interface MeasuredLens {
  readonly belief: LensBelief;
  /** Distortion terms the photos bear out. */
  readonly terms: 0 | 1 | 2;
  /** Root mean square distance left, px. */
  readonly leftPx: number;
  readonly findings: readonly Finding[];
}

/** Film of 36 × 24 mm has this diagonal, mm; "35 mm equivalent" focal lengths are told by it (EXIF 2.32 tag 0xA405; from memory). */
const FILM_DIAGONAL_MM = Math.hypot(36, 24);
/** Usual of phones: a 27 mm equivalent, give or take a quarter. Common practice, no source. */
const USUAL_FILM_MM = 27;

/**
 * What to believe of a phone that was never measured: its focal length from the photo's EXIF "35 mm equivalent" (mm;
 * null where there is none), give or take 4 %, and no distortion give or take 0.05.
 */
export function lensFromExif(photo: {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly filmFocalMm: number | null;
}): LensBelief {
  const diagonalPx = Math.hypot(photo.widthPx, photo.heightPx);
  const focalPx = ((photo.filmFocalMm ?? USUAL_FILM_MM) / FILM_DIAGONAL_MM) * diagonalPx;
  if (!(focalPx > 0 && Number.isFinite(focalPx)))
    throw refusePlacing(
      "placing-value-invalid",
      `A photo of ${photo.widthPx} × ${photo.heightPx} px with a focal length of ${photo.filmFocalMm} mm is none.`,
    );
  const centre = 0.006 * diagonalPx;
  const deviations = [photo.filmFocalMm === null ? 0.25 : 0.04, 0.05, 0.05, centre, centre];
  return {
    lens: { centreXPx: (photo.widthPx - 1) / 2, centreYPx: (photo.heightPx - 1) / 2, focalPx, k1: 0, k2: 0 },
    covariance: diagonal(deviations.map((one) => one * one)),
  };
}

/** Focal lengths known worse than this make slanted photos doubtful. */
const FOCAL_SURE = 0.01;
const SCALE = [0.01, 0.01, 0.01, 1, 1, 1];
const LENS_SCALE = [0.01, 0.01, 0.01, 10, 10];

/**
 * A phone's lens from photos of the grid sheet; `start` is what was believed before (lensFromExif), of which only the
 * middle's spread counts in the fit.
 * @throws Refusal placing-too-few-marks under 20 crossings in any photo, and as fitHomography.
 */
export function measureLens(photos: readonly (readonly GridPoint[])[], start: LensBelief): MeasuredLens {
  for (const [i, photo] of photos.entries())
    if (photo.length < 20)
      throw refusePlacing(
        "placing-too-few-marks",
        `Photo ${i + 1} shows ${photo.length} crossings of the grid; 20 are needed.`,
      );
  if (photos.length === 0)
    throw refusePlacing("placing-too-few-marks", "No photo of the grid sheet was given.");
  const count = 2 * photos.reduce((all, one) => all + one.length, 0);
  const models = ([0, 1, 2] as const).map((terms) => {
    const fit = fitTerms(photos, start, terms);
    const parameters = fit.fit.at.length;
    return { ...fit, terms, score: count * Math.log(fit.fit.cost / count) + parameters * Math.log(count) };
  });
  const best = models.reduce((one, other) => (other.score < one.score ? other : one));
  const variance = best.fit.cost / Math.max(1, count - best.fit.at.length);
  const covariance = lensCovariance(best.free, best.fit.covariance ?? [], variance);
  const focalSpread = Math.sqrt(covariance[0]![0]!);
  return {
    belief: { lens: best.lens, covariance },
    terms: best.terms,
    leftPx: Math.sqrt((2 * best.fit.cost) / count),
    findings: focalSpread <= FOCAL_SURE ? [] : [focalFinding(focalSpread)],
  };
}

const focalFinding = (spread: number): Finding => ({
  code: "placing-focal-unsure",
  level: "warning",
  message: `The focal length is known to ${(spread * 196).toFixed(1)} % only; ${(FOCAL_SURE * 196).toFixed(1)} % is wanted.`,
  advice: "Add photos of the sheet from a slant of 30 to 40°, from two sides.",
});

interface TermsFit {
  readonly fit: SquaresFit;
  readonly lens: Lens;
  /** Which of [ln focal, k1, k2, centre x, centre y] were free. */
  readonly free: readonly number[];
}

function fitTerms(photos: readonly (readonly GridPoint[])[], start: LensBelief, terms: 0 | 1 | 2): TermsFit {
  const straight: Lens = { ...start.lens, k1: 0, k2: 0 };
  const poses = photos.map((photo) => gridPose(photo, straight));
  const free = [0, 1, 2, 3, 4].filter((i) => !(i === 1 && terms < 1) && !(i === 2 && terms < 2));
  const lensAt = (at: Vector): Lens => {
    const change = new Array<number>(5).fill(0);
    free.forEach((place, i) => (change[place] = at[i]!));
    return changedLens(straight, change);
  };
  // The middle hardly shows in few photos: what was believed of it holds it, as one measurement each, at 0.3 px noise.
  const middle = [3, 4].map((i) => 0.3 / Math.sqrt(start.covariance[i]![i]!));
  const fit = leastSquares({
    start: [...free.map(() => 0), ...poses.flatMap(() => SCALE.map(() => 0))],
    scale: [...free.map((i) => LENS_SCALE[i]!), ...poses.flatMap(() => SCALE)],
    residuals: (at) => {
      const lens = lensAt(at);
      const off: number[] = [];
      for (let k = 0; k < photos.length; k++) {
        const pose = turnedPose(poses[k]!, at.slice(free.length + 6 * k, free.length + 6 * k + 6));
        for (const { sheet, photo } of photos[k]!) {
          const seen = projected(pose, lens, [sheet.xMm, sheet.yMm, 0]);
          if (seen === null) return null;
          off.push(seen[0] - photo.xPx, seen[1] - photo.yPx);
        }
      }
      off.push(
        (lens.centreXPx - straight.centreXPx) * middle[0]!,
        (lens.centreYPx - straight.centreYPx) * middle[1]!,
      );
      return off;
    },
  });
  if (fit === null)
    throw refusePlacing("placing-no-such-view", "No lens explains the photos of the grid sheet.");
  return { fit, lens: lensAt(fit.at), free };
}

function gridPose(photo: readonly GridPoint[], lens: Lens): CameraPose {
  const pose = poseFromHomography(
    fitHomography(
      photo.map(({ sheet }): Place => [sheet.xMm, sheet.yMm]),
      photo.map(({ photo: seen }): Place => [seen.xPx, seen.yPx]),
    ),
    lens,
  );
  if (pose === null) throw refusePlacing("placing-no-such-view", "The grid stands mirrored in a photo.");
  return pose;
}

/** A distortion term that was left out may still be as large as what would have shown; a small floor says so. */
const LEFT_OUT = 0.002;

function lensCovariance(free: readonly number[], covariance: Matrix, variance: number): number[][] {
  const all = zeros(5, 5);
  free.forEach((row, i) =>
    free.forEach((column, j) => (all[row]![column] = (covariance[i]?.[j] ?? 0) * variance)),
  );
  for (const term of [1, 2]) if (!free.includes(term)) all[term]![term] = LEFT_OUT ** 2;
  return all;
}

export interface SheetPhoto {
  readonly grid: readonly GridPoint[];
  readonly markers: readonly SeenMarker[];
}

/** The corners of one photo's markers on the sheet, mm, the markers' faces `markersOverSheetMm` over it. */
export interface MarkerMeasurement {
  readonly id: number;
  readonly cornersMm: readonly PointMm[];
}

/**
 * Where the markers of a hoop that lies on the grid sheet are, by one photo; a marker beyond the photo's sight is left
 * out.
 * @throws Refusal as viewHoop.
 */
export function markersOnSheet(
  photo: SheetPhoto,
  belief: LensBelief,
  markersOverSheetMm: number,
): MarkerMeasurement[] {
  const fit = fitView({
    known: photo.grid.map(({ sheet }): Place => [sheet.xMm, sheet.yMm]),
    seen: photo.grid.map(({ photo: seen }): Place => [seen.xPx, seen.yPx]),
    taughtMm: photo.grid.map(() => 0.02),
    shape: null,
    belief,
  });
  return photo.markers.flatMap((marker) => {
    const corners = marker.cornersPx.map(({ xPx, yPx }) =>
      sighted(fit.pose, fit.lens, [xPx, yPx], markersOverSheetMm),
    );
    if (corners.includes(null)) return [];
    return { id: marker.id, cornersMm: corners.map((corner) => ({ xMm: corner![0], yMm: corner![1] })) };
  });
}

export interface TaughtMarkers {
  readonly markers: readonly TaughtMarker[];
  /** Measurements of each marker, in the markers' order. */
  readonly counts: readonly number[];
  readonly findings: readonly Finding[];
}

/** Neither a corner nor a whole marker is believed to be better known than this, mm: stickers have an edge and lift. */
const TAUGHT_FLOOR_MM = 0.03;
/** With this spread a single photo says too little, mm, most of it the whole marker's. Our own rendered photos: 0.05 and under. */
const USUAL_SPREAD_MM = 0.08;
const USUAL_COUNT = 3;
const PLAIN_SPREAD_MM = 0.4;

/**
 * The hoop's markers from repeated measurements. The first lies as the hoop was laid on the sheet's outline and gives
 * the axes; the others are turned and shifted onto the mean (generalised Procrustes: J. C. Gower, Psychometrika 40
 * (1975) 33–51). `spreadMm` is that of the mean corner.
 * @throws Refusal placing-too-few-marks without measurements.
 */
export function teachMarkers(measurements: readonly (readonly MarkerMeasurement[])[]): TaughtMarkers {
  const first = measurements[0];
  if (first === undefined || first.length === 0)
    throw refusePlacing("placing-too-few-marks", "No marker of the hoop was measured on the grid sheet.");
  let means = new Map(first.map((one) => [one.id, one.cornersMm]));
  let laid = measurements;
  for (let round = 0; round < 4; round++) {
    laid = measurements.map((one, i) => (i === 0 && round === 0 ? one : laidOn(one, means)));
    means = meanCorners(laid);
  }
  const back = rigidPairs(first, means);
  const markers = [...means].map(([id, cornersMm]): TaughtMarker => {
    const own = laid.flatMap((one) => one.filter((marker) => marker.id === id));
    const { whole, corner } = variancesOf(own, cornersMm, means.size);
    const togetherMm = Math.max(TAUGHT_FLOOR_MM, Math.sqrt(whole / own.length));
    const cornerMm = Math.max(TAUGHT_FLOOR_MM, Math.sqrt(corner / own.length));
    // In the first photo's axes, as the hoop lay on the outline.
    const placed = back === null ? cornersMm : cornersMm.map((corner) => posed(back, corner));
    return { id, cornersMm: placed, spreadMm: Math.hypot(togetherMm, cornerMm), togetherMm };
  });
  const counts = markers.map(
    ({ id }) => measurements.filter((one) => one.some((marker) => marker.id === id)).length,
  );
  return { markers, counts, findings: markers.flatMap((marker, i) => teachFinding(marker, counts[i]!)) };
}

function teachFinding({ id, spreadMm }: TaughtMarker, count: number): Finding[] {
  if (spreadMm * Math.sqrt(count) > PLAIN_SPREAD_MM)
    return [
      {
        code: "placing-marker-loose",
        level: "warning",
        message: `Marker ${id} was measured ${(spreadMm * Math.sqrt(count)).toFixed(2)} mm apart from photo to photo; 0.1 mm is usual.`,
        advice: "Check that it sticks flat and the hoop lay still, then teach the hoop again.",
      },
    ];
  if (count > 1) return [];
  return [{ code: "placing-marker-once", level: "note", message: `Marker ${id} was measured once: how well is not known.`, advice: "Take two photos more of the hoop on the sheet." }]; // prettier-ignore
}

function rigidPairs(one: readonly MarkerMeasurement[], means: ReadonlyMap<number, readonly PointMm[]>) {
  const pairs = one.flatMap(({ id, cornersMm }) =>
    (means.get(id) ?? []).map((design, i) => ({ design, touched: cornersMm[i]! })),
  );
  return pairs.length < 2 ? null : rigidFit(pairs);
}

/** A measurement turned and shifted onto the means. */
function laidOn(
  one: readonly MarkerMeasurement[],
  means: ReadonlyMap<number, readonly PointMm[]>,
): MarkerMeasurement[] {
  const pairs = one.flatMap(({ id, cornersMm }) =>
    (means.get(id) ?? []).map((touched, i) => ({ design: cornersMm[i]!, touched })),
  );
  if (pairs.length < 2) return [];
  const pose = rigidFit(pairs);
  return one.map(({ id, cornersMm }) => ({ id, cornersMm: cornersMm.map((corner) => posed(pose, corner)) }));
}

function meanCorners(laid: readonly (readonly MarkerMeasurement[])[]): Map<number, readonly PointMm[]> {
  const ids = [...new Set(laid.flatMap((one) => one.map((marker) => marker.id)))].sort((a, b) => a - b);
  return new Map(
    ids.map((id) => {
      const own = laid.flatMap((one) => one.filter((marker) => marker.id === id));
      const corners = own[0]!.cornersMm.map((_, i) => ({
        xMm: own.reduce((all, one) => all + one.cornersMm[i]!.xMm, 0) / own.length,
        yMm: own.reduce((all, one) => all + one.cornersMm[i]!.yMm, 0) / own.length,
      }));
      return [id, corners];
    }),
  );
}

/**
 * Variances of one measurement of a marker, each way: of its whole place, and of a corner besides (one-way analysis of
 * variance), each held up by what is usual. Laying the measurements over each other takes three of the 2 · markers
 * numbers of each; that is given back.
 */
function variancesOf(
  own: readonly MarkerMeasurement[],
  mean: readonly PointMm[],
  markers: number,
): { readonly whole: number; readonly corner: number } {
  const count = mean.length;
  let [wholes, corners] = [0, 0];
  for (const { cornersMm } of own) {
    const offs = cornersMm.map((one, i) => [one.xMm - mean[i]!.xMm, one.yMm - mean[i]!.yMm] as const);
    for (const axis of [0, 1] as const) {
      const shift = offs.reduce((all, off) => all + off[axis], 0) / count;
      wholes += shift * shift;
      corners += offs.reduce((all, off) => all + (off[axis] - shift) ** 2, 0);
    }
  }
  const usual = USUAL_SPREAD_MM ** 2;
  const freedom = 2 * (own.length - 1);
  const corner =
    (corners + 2 * USUAL_COUNT * (count - 1) * (1 - TOGETHER_SHARE) * usual) /
    ((freedom + 2 * USUAL_COUNT) * (count - 1));
  const laid = markers > 2 ? (2 * markers) / (2 * markers - 3) : 1;
  const shift = (wholes * laid + 2 * USUAL_COUNT * TOGETHER_SHARE * usual) / (freedom + 2 * USUAL_COUNT);
  // A shift measured by so many corners holds a part of their own errors.
  return { whole: Math.max(0, shift - corner / count), corner };
}
