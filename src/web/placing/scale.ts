import { placeInPhoto, placeOnCloth } from "#core/placing";
import type { Scale } from "./geometry";
import { areaOf, type Result } from "./marks";
import type { Place } from "./use-place";

/** Without a photo the hoop is drawn with so many px a mm. */
export const BLANK_PX_PER_MM = 4;

/** The scale of the picture that is shown: the cloth's, or a plain sheet's. */
export const scaleOf = ({ cloth, field }: Pick<Place, "cloth" | "field">): Scale =>
  cloth ?? { areaMm: areaOf(field), pxPerMm: BLANK_PX_PER_MM };

/**
 * The same for what is worked out in the hoop's plane, the design and the field. The picture was laid flat for the cloth's
 * height as it was believed; where a second photo told another, it shows all places shifted, by so much at the design.
 */
export function trueScaleOf(
  { cloth, field }: Pick<Place, "cloth" | "field">,
  result: Pick<Result, "height" | "pose"> | null,
): Scale {
  const scale = scaleOf({ cloth, field });
  if (!cloth || result?.height?.state !== "told") return scale;
  const { pose, height } = result;
  const seen = placeInPhoto({ ...cloth.view, clothBelowMm: height.clothBelowMm }, pose);
  if (!seen) return scale;
  const shown = placeOnCloth(cloth.view, seen);
  const [x, y] = [pose.xMm - shown.xMm, pose.yMm - shown.yMm];
  const { leftMm, rightMm, bottomMm, topMm } = scale.areaMm;
  const areaMm = { leftMm: leftMm + x, rightMm: rightMm + x, bottomMm: bottomMm + y, topMm: topMm + y };
  return { areaMm, pxPerMm: scale.pxPerMm };
}

/** Its size in picture units. */
export const sizeOf = ({ areaMm, pxPerMm }: Scale) => ({
  width: (areaMm.rightMm - areaMm.leftMm) * pxPerMm,
  height: (areaMm.topMm - areaMm.bottomMm) * pxPerMm,
});
