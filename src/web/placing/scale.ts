import type { Scale } from "./geometry";
import { areaOf } from "./marks";
import type { Place } from "./use-place";

/** Without a photo the hoop is drawn with so many px a mm. */
export const BLANK_PX_PER_MM = 4;

/** The scale of the picture that is shown: the cloth's, or a plain sheet's. */
export const scaleOf = ({ cloth, field }: Pick<Place, "cloth" | "field">): Scale =>
  cloth ?? { areaMm: areaOf(field), pxPerMm: BLANK_PX_PER_MM };

/** Its size in picture units. */
export const sizeOf = ({ areaMm, pxPerMm }: Scale) => ({
  width: (areaMm.rightMm - areaMm.leftMm) * pxPerMm,
  height: (areaMm.topMm - areaMm.bottomMm) * pxPerMm,
});
