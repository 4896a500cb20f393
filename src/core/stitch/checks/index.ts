import type { Finding } from "#core/base";
import { countStitches, type Stitches } from "../stitches";
import type { CheckContext, DesignCheck } from "./check";
import { denseSpot } from "./dense-spot";
import { emptyParts } from "./empty";
import { missingTieOff } from "./missing-tie-off";
import { outsideField } from "./outside-field";
import { startOffCentre } from "./start-off-centre";
import { stitchLength } from "./stitch-length";
import { tooManyColours } from "./too-many-colours";

export type { CheckContext } from "./check";

/** Every check, in the order their findings are read. */
export const DESIGN_CHECKS: readonly DesignCheck[] = [
  emptyParts,
  outsideField,
  tooManyColours,
  denseSpot,
  stitchLength,
  missingTieOff,
  startOffCentre,
];

/** All findings of all checks about a design; what the context leaves out is not checked. */
export function checkDesign(design: Stitches, context: CheckContext = {}): Finding[] {
  const counts = countStitches(design);
  return DESIGN_CHECKS.flatMap((check) => check({ design, counts, context }));
}
