import { type HoopView, viewEdges } from "#core/placing";
import type { Store } from "#store";
import type { RunGround } from "./ground";
import { seenTwice } from "./height";
import { beliefFor } from "./lens-belief";
import { insidePhoto } from "./marks";
import type { Marks } from "./placings";
import { phoneOf, phoneRow, type PlacingResult, taughtHoopOf, taughtHoopRow } from "./records";
import { placingRefusals } from "./refusals";

/** How the hoop lies before whoever places: as a camera sees it, or by its inner sides for a tape measure. */
export type SeenHoop =
  | {
      readonly way: "photo";
      readonly view: HoopView;
      readonly photo: { readonly widthPx: number; readonly heightPx: number };
      /** What a second photo told of the cloth's height; null without one. */
      readonly height: PlacingResult["height"];
    }
  | {
      readonly way: "tape";
      readonly innerWidthMm: number;
      readonly innerHeightMm: number;
      readonly spreadMm: number;
    };

/** Standard deviations of what a hoop's opening and its cloth are off what was entered, and of a touch with the loupe. */
const INNER_SPREAD_MM = 0.3;
const BELOW_SPREAD_MM = 0.7;
const EDGE_TOUCH_PX = 1.5;

/** @throws Refusals of core/placing; placing-hoop-unknown, -not-taught, -not-fitting, placing-phone-unknown. */
export async function seenHoop(db: Store["db"], ground: RunGround, seen: Marks["seen"]): Promise<SeenHoop> {
  if (seen.way === "tape") {
    const { widthMm, heightMm } = innerOf(ground, seen.inner);
    return { way: "tape", innerWidthMm: widthMm, innerHeightMm: heightMm, spreadMm: seen.spreadMm };
  }
  const phone = seen.phoneId === null ? null : phoneOf(await phoneRow(db, seen.phoneId));
  if (seen.way === "lines") {
    const { widthMm, heightMm } = innerOf(ground, seen.inner);
    for (const edge of Object.values(seen.edges)) insidePhoto(edge, seen.photo);
    const view = viewEdges(
      {
        edgesPx: seen.edges,
        innerWidthMm: widthMm,
        innerHeightMm: heightMm,
        innerSpreadMm: INNER_SPREAD_MM,
        touchPx: EDGE_TOUCH_PX,
        clothBelowMm: seen.clothBelowMm,
        clothBelowSpreadMm: BELOW_SPREAD_MM,
        printScaleShare: 0,
      },
      beliefFor(phone, seen.photo, seen.focal35Mm),
    );
    return { way: "photo", view, photo: seen.photo, height: null };
  }
  const { taught, label, hoopId } = taughtHoopOf(await taughtHoopRow(db, seen.taughtHoopId));
  if (ground.hoop && hoopId !== ground.hoop.id)
    throw placingRefusals(
      "placing-hoop-not-fitting",
      `${label} is not a ${ground.hoop.name}, in which the run is sewn.`,
      [{ field: "taughtHoopId", found: label, expected: ground.hoop.name }],
    );
  if (!taught)
    throw placingRefusals("placing-hoop-not-taught", `${label} has markers, but was never taught.`);
  for (const marker of seen.markers) insidePhoto(marker.cornersPx, seen.photo);
  const beliefOf = (one: Pick<typeof seen, "photo" | "focal35Mm">) =>
    beliefFor(phone, one.photo, one.focal35Mm);
  return { way: "photo", photo: seen.photo, ...seenTwice({ taught, seen, beliefOf }) };
}

function innerOf(
  { hoop, job }: RunGround,
  inner: { readonly widthMm: number; readonly heightMm: number } | null,
): { readonly widthMm: number; readonly heightMm: number } {
  if (inner) return inner;
  if (hoop) return { widthMm: hoop.fieldWidthMm, heightMm: hoop.fieldHeightMm };
  throw placingRefusals(
    "placing-run-not-placeable",
    `${job.placement_name} names no hoop, so its inner measures are not known: give them with the marks.`,
  );
}
