/**
 * How far the cloth lies under the markers, from the same places touched in two photos or more. A height that is wrong
 * by δ moves a place seen at the slant τ by δ · tan τ, another way in each photo; where the sights of one place meet best
 * is the height (linear least squares; what was believed before counts like a measurement). Photos from opposite sides
 * tell most: at 30° each, touches of 0.15 mm at four places tell it to 0.1 mm.
 */
import { carried, type Vector } from "./algebra";
import type { PointPx } from "./points";
import { refusePlacing } from "./refusals";
import { fisherTail } from "./statistics";
import { clothPlace, type HoopView, PARAMETERS } from "./view";

/** One photo of the hoop and the places touched in it, in the same order in all photos. */
export interface HeightPhoto {
  readonly view: HoopView;
  readonly placesPx: readonly PointPx[];
}

export interface ClothHeight {
  readonly clothBelowMm: number;
  /** Standard deviation of that. */
  readonly clothBelowSpreadMm: number;
  /** How far the sights of a place still pass each other, mm root mean square in each direction. */
  readonly leftMm: number;
}

/** A sight on the cloth as believed, and how it moves by the height: mm and mm a mm, x and y. */
interface Sight {
  readonly at: Vector;
  readonly slope: Vector;
}

/** Chance under which sights that pass each other are no chance. */
const APART_CHANCE = 0.001;
const HEIGHT = 11;

/**
 * The cloth's height from views of one hoop. `touchMm` is a touch's standard deviation in each direction on the cloth.
 * All views must believe the same height with the same spread: that of the first is taken.
 * @throws Refusal placing-too-few-marks under two photos or without a place, placing-lens-range, placing-marks-disagree
 * where the sights do not meet at any height: the cloth moved, or another place was touched.
 */
export function clothHeight(photos: readonly HeightPhoto[], touchMm: number): ClothHeight {
  const count = photos[0]?.placesPx.length ?? 0;
  if (photos.length < 2 || count === 0 || photos.some((one) => one.placesPx.length !== count))
    throw refusePlacing(
      "placing-too-few-marks",
      "The cloth's height needs the same places touched in two photos or more, in the same order.",
    );
  const { clothBelowMm, spread } = photos[0]!.view;
  const prior = spread.find((one) => one.source === "cloth height")!.covariance[HEIGHT]![HEIGHT]!;
  const places = photos[0]!.placesPx.map((_, i) =>
    photos.map(({ view, placesPx }) => sightOf(view, placesPx[i]!)),
  );
  const shifts = photos.map(({ view, placesPx }) => cameraVariance(view, placesPx[0]!));
  const variance = touchMm ** 2 + shifts.reduce((all, one) => all + one, 0) / shifts.length;
  let [normal, right, squares] = [0, 0, 0];
  for (const sights of places) {
    const [slopes, offs] = [
      aboutMean(sights.map((one) => one.slope)),
      aboutMean(sights.map((one) => one.at)),
    ];
    slopes.forEach((slope, i) => {
      normal += slope[0]! ** 2 + slope[1]! ** 2;
      right -= slope[0]! * offs[i]![0]! + slope[1]! * offs[i]![1]!;
      squares += offs[i]![0]! ** 2 + offs[i]![1]! ** 2;
    });
  }
  const weight = normal / variance + (prior > 0 ? 1 / prior : Infinity);
  const height = Number.isFinite(weight) ? right / variance / weight : 0;
  const left = squares - 2 * right * height + normal * height ** 2;
  const freedom = 2 * count * (photos.length - 1) - 1;
  refuseApart(left, freedom, variance);
  // A camera's own error moves all places of its photo alike: more places do not make it less.
  const alike = normal > 0 ? (shifts.reduce((all, one) => all + one, 0) * count * (photos.length - 1)) / (normal * photos.length) : 0; // prettier-ignore
  const told = 1 / weight;
  return {
    clothBelowMm: clothBelowMm + height,
    clothBelowSpreadMm: Math.min(Math.sqrt(prior), Math.sqrt(told + alike * (1 - told / (prior || 1)) ** 2)),
    leftMm: Math.sqrt(left / Math.max(1, freedom)),
  };
}

/** Degrees of freedom that the usual touch weighs beside the sights, as in wrong-touch.ts. */
const USUAL_FREEDOM = 16;

function refuseApart(squares: number, freedom: number, variance: number): void {
  if (!(variance > 0) || fisherTail(squares / freedom / variance, freedom, USUAL_FREEDOM) >= APART_CHANCE)
    return;
  throw refusePlacing(
    "placing-marks-disagree",
    `The places touched in the photos lie ${Math.sqrt(squares / freedom).toFixed(1)} mm apart at any height of the cloth: it moved between the photos, or other places were touched.`,
  );
}

function sightOf(view: HoopView, at: PointPx): Sight {
  const [low, middle, high] = [-0.1, 0, 0.1].map((change) =>
    clothPlace(
      view,
      at,
      Array.from({ length: PARAMETERS }, (_, i) => (i === HEIGHT ? change : 0)),
    ),
  );
  if (!low || !middle || !high)
    throw refusePlacing("placing-lens-range", "A touched place shows no cloth of this hoop.");
  return { at: middle, slope: [(high[0] - low[0]) / 0.2, (high[1] - low[1]) / 0.2] };
}

function aboutMean(all: readonly Vector[]): Vector[] {
  const mean = [0, 1].map((axis) => all.reduce((whole, one) => whole + one[axis]!, 0) / all.length);
  return all.map((one) => one.map((value, axis) => value - mean[axis]!));
}

/** Variance of a sight on the cloth in one direction, mm², from photo noise: what of the camera's error photos do not share. */
function cameraVariance(view: HoopView, at: PointPx): number {
  const moved = (i: number, by: number) =>
    clothPlace(
      view,
      at,
      Array.from({ length: PARAMETERS }, (_, j) => (i === j ? by : 0)),
    );
  const columns = Array.from({ length: PARAMETERS }, (_, i) => {
    const [more, less] = [moved(i, 1e-4), moved(i, -1e-4)];
    return more && less ? [(more[0] - less[0]) / 2e-4, (more[1] - less[1]) / 2e-4] : [0, 0];
  });
  const map = [0, 1].map((axis) => columns.map((one) => one[axis]!));
  const marks = view.spread.find((one) => one.source === "marks")!.covariance;
  const all = carried(map, marks);
  return (all[0]![0]! + all[1]![1]!) / 2;
}
