/**
 * Placing without a phone: how far a cloth line lies from one inner side of the hoop, measured at two places along that
 * side, and from another side how far a second mark is. The same rules and the same stated error as by photo.
 */
import { diagonal } from "./algebra";
import { placeFromMarks, type UncertainPose } from "./expected-error";
import type { ClothMark, PlacementAsked } from "./placement-rule";
import type { PointMm } from "./points";
import { refusePlacing } from "./refusals";
import type { FieldSide } from "./machine-setting";

/** A distance from an inner side of the hoop, taken so far along that side (left to right, or near to far). */
export interface TapeDistance {
  readonly from: FieldSide;
  readonly alongMm: number;
  readonly distanceMm: number;
}

/** A mark by tape: each place of it by one distance, for a place two sides apart from each other by two. */
export interface TapeMark {
  readonly kind: ClothMark["kind"];
  readonly distances: readonly TapeDistance[];
}

export interface TapePlacement extends Omit<PlacementAsked, "marks"> {
  readonly marks: readonly TapeMark[];
  /** The hoop's inner opening, mm; its middle is the field's centre. */
  readonly innerWidthMm: number;
  readonly innerHeightMm: number;
  /** Standard deviation of one distance, and of where along the side it was taken, mm. */
  readonly readMm: number;
}

/** Where one distance ends on the cloth, in the hoop's plane. */
export function tapePlace(
  { from, alongMm, distanceMm }: TapeDistance,
  { innerWidthMm, innerHeightMm }: Pick<TapePlacement, "innerWidthMm" | "innerHeightMm">,
): PointMm {
  const [left, near] = [-innerWidthMm / 2, -innerHeightMm / 2];
  const sides = from === "left" || from === "right";
  const [length, across] = sides ? [innerHeightMm, innerWidthMm] : [innerWidthMm, innerHeightMm];
  if (!(0 <= alongMm && alongMm <= length && 0 <= distanceMm && distanceMm <= across))
    throw refusePlacing(
      "placing-value-invalid",
      `${distanceMm} mm from the ${from} side at ${alongMm} mm along it lies outside the hoop's ${innerWidthMm} × ${innerHeightMm} mm.`,
      [{ field: "distanceMm", found: String(distanceMm), expected: `0 to ${across}` }],
    );
  const measured = from === "left" || from === "near" ? distanceMm : across - distanceMm;
  return sides
    ? { xMm: left + measured, yMm: near + alongMm }
    : { xMm: left + alongMm, yMm: near + measured };
}

/**
 * Where the design goes by the rule from tape distances, with its error.
 * @throws Refusal placing-value-invalid, placing-rule-needs-mark.
 */
export function placeByTape(asked: TapePlacement): UncertainPose {
  const places = asked.marks.flatMap((mark) =>
    mark.distances.flatMap((one) => Object.values(tapePlace(one, asked))),
  );
  const kinds = asked.marks.map((mark) => ({ kind: mark.kind, count: mark.distances.length }));
  const covariance = [{ source: "touch" as const, matrix: diagonal(places.map(() => asked.readMm ** 2)) }];
  const { pose, spread } = placeFromMarks({ ...asked, kinds, places, covariance });
  return { pose, spread };
}
