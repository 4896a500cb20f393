/**
 * A hoop without markers: lines laid over its four inner edges with a loupe, each by two places or more (edges, not
 * corners: the corners are round). Their crossings are the corners of a rectangle of known size, and the corners'
 * errors depend on each other, since each line makes two of them: the whole covariance goes into the fit.
 */
import { product, transposed } from "./algebra";
import { fitView, type LensBelief } from "./fit-view";
import type { Place } from "./homography";
import { derivatives } from "./least-squares";
import { bend, type Lens, straighten } from "./lens";
import type { FieldSide } from "./machine-setting";
import type { PointPx } from "./points";
import { refusePlacing } from "./refusals";
import { type HoopView, type TaughtHoop, viewWith } from "./view";

export interface HoopEdges extends Omit<TaughtHoop, "markers"> {
  /** Places on each inner edge in the photo. */
  readonly edgesPx: Readonly<Record<FieldSide, readonly PointPx[]>>;
  readonly innerWidthMm: number;
  readonly innerHeightMm: number;
  /** Standard deviation of an inner corner's place on the real hoop, mm. */
  readonly innerSpreadMm: number;
  /** Usual standard deviation of a touch with the loupe, px. */
  readonly touchPx: number;
}

const SIDES: readonly FieldSide[] = ["left", "far", "right", "near"];
/** Corners in turn: where each side meets the next. */
const CORNERS = [
  [-1, 1],
  [1, 1],
  [1, -1],
  [-1, -1],
] as const;

/**
 * The view of a hoop by its inner edges. `clothBelowMm` is how far the cloth lies under those edges.
 * @throws Refusal placing-too-few-marks, placing-no-such-view, placing-marks-in-line.
 */
export function viewEdges(hoop: HoopEdges, belief: LensBelief): HoopView {
  for (const side of SIDES)
    if (hoop.edgesPx[side].length < 2)
      throw refusePlacing(
        "placing-too-few-marks",
        `The ${side} edge needs two places at least; it has ${hoop.edgesPx[side].length}.`,
      );
  const counts = SIDES.map((side) => hoop.edgesPx[side].length);
  const touches = SIDES.flatMap((side) => hoop.edgesPx[side].flatMap(({ xPx, yPx }) => [xPx, yPx]));
  const corners = (at: readonly number[]) => cornersOf(at, counts, belief.lens);
  const seen = corners(touches);
  const moves =
    seen === null
      ? null
      : derivatives(
          corners,
          touches,
          touches.map(() => 100),
        );
  if (seen === null || moves === null)
    throw refusePlacing(
      "placing-marks-in-line",
      "Two neighbouring edges run the same way in the photo; lay the lines anew.",
    );
  const pairs: Place[] = [0, 1, 2, 3].map((i) => [seen[2 * i]!, seen[2 * i + 1]!]);
  const fit = fitView({
    known: CORNERS.map(([x, y]) => [(x * hoop.innerWidthMm) / 2, (y * hoop.innerHeightMm) / 2]),
    seen: pairs,
    taughtMm: CORNERS.map(() => hoop.innerSpreadMm),
    shape: product(moves, transposed(moves)),
    ...touchNoise(hoop, belief.lens),
    belief,
  });
  return viewWith(fit, hoop, { markersUsed: [], wrongMarkers: [] });
}

/** Degrees of freedom that the usual touch weighs beside how straight the touches of each line lie. */
const USUAL_FREEDOM = 2;

/** The touches' noise by their distances from their own lines: the corners alone leave too little to tell it from. */
function touchNoise(
  { edgesPx, touchPx }: HoopEdges,
  lens: Lens,
): { readonly usualNoisePx: number; readonly usualFreedom: number } {
  let [squares, freedom] = [USUAL_FREEDOM * touchPx ** 2, USUAL_FREEDOM];
  for (const side of SIDES) {
    const points = edgesPx[side].map((one) => straighten(lens, one));
    const [nx, ny, d] = photoLine(points);
    squares += points.reduce((all, { xPx, yPx }) => all + (nx * xPx + ny * yPx - d) ** 2, 0);
    freedom += points.length - 2;
  }
  return { usualNoisePx: Math.sqrt(squares / freedom), usualFreedom: freedom };
}

/** x and y of the four crossings in the photo; null where neighbours do not cross. */
function cornersOf(touches: readonly number[], counts: readonly number[], lens: Lens): number[] | null {
  let next = 0;
  const lines = counts.map((count) => {
    const points = Array.from({ length: count }, (_, i) =>
      straighten(lens, { xPx: touches[next + 2 * i]!, yPx: touches[next + 2 * i + 1]! }),
    );
    next += 2 * count;
    return photoLine(points);
  });
  const out: number[] = [];
  for (let i = 0; i < 4; i++) {
    const [a, b] = [lines[i]!, lines[(i + 1) % 4]!];
    const det = a[0] * b[1] - a[1] * b[0];
    if (Math.abs(det) < 0.05) return null;
    const at = bend(lens, { xPx: (a[2] * b[1] - a[1] * b[2]) / det, yPx: (a[0] * b[2] - a[2] * b[0]) / det });
    out.push(at.xPx, at.yPx);
  }
  return out;
}

/** [nx, ny, d] with nx x + ny y = d, the unit normal of the least-squares line. */
function photoLine(points: readonly PointPx[]): readonly [number, number, number] {
  const mx = points.reduce((all, one) => all + one.xPx, 0) / points.length;
  const my = points.reduce((all, one) => all + one.yPx, 0) / points.length;
  let [xx, xy, yy] = [0, 0, 0];
  for (const { xPx, yPx } of points) {
    xx += (xPx - mx) ** 2;
    xy += (xPx - mx) * (yPx - my);
    yy += (yPx - my) ** 2;
  }
  const angle = Math.atan2(2 * xy, xx - yy) / 2 + Math.PI / 2;
  const [nx, ny] = [Math.cos(angle), Math.sin(angle)];
  return [nx, ny, nx * mx + ny * my];
}
