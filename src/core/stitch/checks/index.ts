import type { Finding } from "#core/base";
import { countStitches, type Stitches } from "../stitches";
import type { CheckContext, CheckInput, DesignCheck } from "./check";
import { columnWidth } from "./column-width";
import { denseSpot } from "./dense-spot";
import { emptyParts } from "./empty";
import { lettersSmall } from "./letters-small";
import { missingTieOff } from "./missing-tie-off";
import { outsideField } from "./outside-field";
import { pullPush } from "./pull-push";
import { scaled } from "./scaled";
import { sewnColumns } from "./sewn-columns";
import { sewnGround, threadMoves } from "./sewn-ground";
import { startOffCentre } from "./start-off-centre";
import { stitchLength } from "./stitch-length";
import { textAsOrdered } from "./text-as-ordered";
import { thinCover } from "./thin-cover";
import { trims } from "./thread-moves";
import { tooManyColours } from "./too-many-colours";

export type { CheckContext } from "./check";
export { differenceOfTexts } from "./text-as-ordered";

/** Every check, in the order their findings are read. */
export const DESIGN_CHECKS: readonly DesignCheck[] = [
  emptyParts,
  textAsOrdered,
  outsideField,
  scaled,
  lettersSmall,
  tooManyColours,
  denseSpot,
  thinCover,
  columnWidth,
  stitchLength,
  pullPush,
  trims,
  missingTieOff,
  startOffCentre,
];

/** What checks look at, each measure taken once, when it is first asked for. */
export function checkInput(design: Stitches, context: CheckContext = {}): CheckInput {
  const once = <T>(make: () => T): (() => T) => {
    let made: { readonly value: T } | null = null;
    return () => (made ??= { value: make() }).value;
  };
  const ground = once(() => sewnGround(design));
  return {
    design,
    counts: countStitches(design),
    context,
    columns: once(() => sewnColumns(design)),
    ground,
    moves: once(() => threadMoves(design, ground)),
  };
}

/** All findings of all checks about a design; what the context leaves out is not checked. */
export function checkDesign(design: Stitches, context: CheckContext = {}): Finding[] {
  const input = checkInput(design, context);
  return DESIGN_CHECKS.flatMap((check) => check(input));
}
