import {
  type ClothMark,
  type DesignPose,
  placementPose,
  placeOnCloth,
  type PointMm,
  type SourceSpread,
  type UncertainPose,
} from "#core/placing";
import { TOUCH_MM } from "./marks";
import type { Marks } from "./placings";
import type { SeenHoop } from "./see";

/**
 * What touches add to the error where lines were found in the picture: such a line is known as well as the picture
 * told it, not as badly as fingers point. Its place across and its direction are two independent errors, carried
 * through the rule's derivatives (error propagation; R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed. (2004)
 * §5.2).
 */

type Touches = Extract<Marks, { kind: "first" }>["touches"];
type PlacementAsked = Parameters<typeof placementPose>[0];
type Asked = Pick<PlacementAsked, "rule" | "top" | "outline"> & { readonly marks: Touches };
type Vector3 = readonly [number, number, number];

/**
 * A found line is meant by its ends to within this, for chalk and seams are a millimetre wide and bow a little (our own
 * reckoning); a short stripe told by its texture is straight by more than its ends.
 */
const MEANT_MM = 0.2;
const MEANT_RAD = 0.0035;
/** Derivatives by central differences over this much, mm. */
const STEP_MM = 0.25;

/** The pose with the touches' part of its spread worked out mark by mark; as it was where nothing was found. */
export function withFoundLines(
  placed: UncertainPose,
  { view }: Extract<SeenHoop, { way: "photo" }>,
  asked: Asked,
): UncertainPose {
  if (asked.marks.every((mark) => mark.found === null)) return placed;
  const marks = asked.marks.map(({ kind, points }) => ({
    kind,
    points: points.map((at) => placeOnCloth(view, at)),
  }));
  const errors = asked.marks.flatMap(({ found }, at) => errorsOf(marks, at, found));
  const covariance = sumOfSquares(errors.map((error) => effectOf({ ...asked, marks }, error)));
  const touch: SourceSpread = { source: "touch", covariance, freedom: Infinity };
  return { pose: placed.pose, spread: [...placed.spread.filter(({ source }) => source !== "touch"), touch] };
}

/** One independent error: how far it moves each place of one mark, mm, one standard deviation. */
interface MarkError {
  readonly mark: number;
  readonly moves: readonly PointMm[];
}

function errorsOf(marks: readonly ClothMark[], mark: number, found: Touches[number]["found"]): MarkError[] {
  const { points } = marks[mark]!;
  const [from, to] = [points[0], points.at(-1)];
  if (found === null || !from || !to || points.length < 2)
    return points.flatMap((_, moved) =>
      [{ xMm: TOUCH_MM, yMm: 0 }, { xMm: 0, yMm: TOUCH_MM }].map((by) => ({
        mark,
        moves: points.map((__, i) => (i === moved ? by : { xMm: 0, yMm: 0 })),
      })),
    ); // prettier-ignore
  const length = Math.hypot(to.xMm - from.xMm, to.yMm - from.yMm);
  const way = { xMm: (to.xMm - from.xMm) / length, yMm: (to.yMm - from.yMm) / length };
  const across = { xMm: -way.yMm, yMm: way.xMm };
  const turnRad = Math.hypot(found.turnRad, Math.min(MEANT_RAD, (MEANT_MM * Math.SQRT2) / length));
  const by = (direction: PointMm, mm: (at: PointMm) => number): MarkError => ({
    mark,
    moves: points.map((at) => ({ xMm: direction.xMm * mm(at), yMm: direction.yMm * mm(at) })),
  });
  const middle = { xMm: (from.xMm + to.xMm) / 2, yMm: (from.yMm + to.yMm) / 2 };
  const along = (at: PointMm) => (at.xMm - middle.xMm) * way.xMm + (at.yMm - middle.yMm) * way.yMm;
  return [
    by(across, () => Math.hypot(found.placeMm, MEANT_MM / Math.SQRT2)),
    by(across, (at) => along(at) * turnRad),
    // Where along the line it was touched is the fingers' own.
    by(way, () => TOUCH_MM),
  ];
}

/** What one error does to (x, y, angle). */
function effectOf(asked: PlacementAsked, { mark, moves }: MarkError): Vector3 {
  const most = Math.max(...moves.map(({ xMm, yMm }) => Math.hypot(xMm, yMm)));
  if (most === 0) return [0, 0, 0];
  const poseAt = (share: number): DesignPose =>
    placementPose({
      ...asked,
      marks: asked.marks.map((one, i) =>
        i === mark
          ? {
              kind: one.kind,
              points: one.points.map(({ xMm, yMm }, k) => ({
                xMm: xMm + share * moves[k]!.xMm,
                yMm: yMm + share * moves[k]!.yMm,
              })),
            }
          : one,
      ),
    });
  const step = STEP_MM / most;
  const [less, more] = [poseAt(-step), poseAt(step)];
  return [
    (more.xMm - less.xMm) / (2 * step),
    (more.yMm - less.yMm) / (2 * step),
    // The sine, so that no half turn falls between the two.
    Math.sin(more.angleRad - less.angleRad) / (2 * step),
  ];
}

const sumOfSquares = (effects: readonly Vector3[]): number[][] =>
  [0, 1, 2].map((i) => [0, 1, 2].map((j) => effects.reduce((sum, one) => sum + one[i]! * one[j]!, 0)));
