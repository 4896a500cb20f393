import type { Finding } from "#core/base";
import type { HoopView, PointPx, UncertainPose } from "#core/placing";
import type { RunGround } from "./ground";
import type { PlacingResult } from "./records";
import { placingRefusals } from "./refusals";
import { remainingStitches } from "./sewing";

/** What both kinds of placing ask of marks, and what comes of them before it is judged. */

/** One touch with the loupe, standard deviation in each direction, mm on the cloth (our own trials by simulation). */
export const TOUCH_MM = 0.5;

/** What stands before it is judged. */
export interface Placed {
  readonly uncertain: UncertainPose;
  readonly residuals: PlacingResult["residuals"];
  readonly findings: readonly Finding[];
  readonly view: HoopView | null;
  readonly remains: PlacingResult["remains"];
}

type PointsPx = readonly PointPx[];

/** @throws Refusal placing-marks-invalid for a touch outside the photo. */
export function insidePhoto(
  points: PointsPx,
  photo: { readonly widthPx: number; readonly heightPx: number },
): PointsPx {
  const out = points.find(
    ({ xPx, yPx }) =>
      !(-0.5 <= xPx && xPx <= photo.widthPx - 0.5 && -0.5 <= yPx && yPx <= photo.heightPx - 0.5),
  );
  if (out)
    throw placingRefusals(
      "placing-marks-invalid",
      `The touch at ${Math.round(out.xPx)}, ${Math.round(out.yPx)} px lies outside the photo of ${photo.widthPx} × ${photo.heightPx} px.`,
      [
        {
          field: "touches",
          found: `${out.xPx}, ${out.yPx}`,
          expected: `0 to ${photo.widthPx} and 0 to ${photo.heightPx}`,
        },
      ],
    );
  return points;
}

/** What the view tells of itself: markers that contradict the others. */
export const seenOf = (view: HoopView): Pick<Placed, "residuals" | "findings" | "view"> => ({
  view,
  residuals: view.wrongMarkers.map(({ id, offMm }) => ({ what: `Marker ${id}`, offMm, wrong: true })),
  findings: view.wrongMarkers.map(({ id, offMm }) => ({
    code: "placing-marker-wrong",
    level: "warning" as const,
    message: `Marker ${id} stands ${offMm.toFixed(1)} mm from where it was taught; it was left out.`,
    advice: "Look whether it has come off or moved, and teach the hoop again.",
  })),
});

/** What is left to sew after a last good stitch, as it travels. */
export function remainsOf(
  { design, threadIds }: Pick<RunGround, "design" | "threadIds">,
  lastGoodStitch: number,
  orMeant: NonNullable<PlacingResult["remains"]>["orMeant"],
): NonNullable<PlacingResult["remains"]> {
  const { fromStitch, firstPart, partStitches, trims } = remainingStitches(design, lastGoodStitch);
  return {
    lastGoodStitch,
    fromStitch,
    firstPart,
    parts: partStitches.map((stitches, i) => ({
      part: firstPart + i,
      threadId: threadIds[firstPart + i] ?? null,
      stitches,
    })),
    stitches: partStitches.reduce((sum, one) => sum + one, 0),
    trims,
    orMeant,
  };
}
