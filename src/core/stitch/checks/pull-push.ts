import type { Finding } from "#core/base";
import { CLOTHS } from "../cloth";
import type { Stitches } from "../stitches";
import { type CheckInput, countOf, type DesignCheck, placeOf, placesOf } from "./check";
import { medianOf, type SewnColumn } from "./sewn-columns";
import { cellAt, type SewnGround } from "./sewn-ground";

/** Satin narrower than this lies on a centre run, which a raster of stitches cannot tell from the column itself. */
const WITH_UNDERLAY_MM = 2.5;
const LEAST_LENGTH_MM = 5;

/** What the chosen cloth does to the stitches: it draws in across them (pull) and gives way along them (push). */
export const pullPush: DesignCheck = (input) => [...otherCloth(input), ...withoutUnderlay(input)];

function otherCloth({ context: { cloth, madeFor }, columns, design }: CheckInput): Finding[] {
  if (cloth === undefined || madeFor === undefined || cloth === madeFor) return [];
  const short = CLOTHS[cloth].pullMm - CLOTHS[madeFor].pullMm;
  const lessUnderlay = CLOTHS[cloth].underlayLayers > CLOTHS[madeFor].underlayLayers;
  if (short <= 0 && !lessUnderlay) return [];
  const narrowest = columns().reduce<SewnColumn | null>(
    (least, one) => (least === null || medianOf(one.widthsMm) < medianOf(least.widthsMm) ? one : least),
    null,
  );
  const sewn = narrowest === null ? null : medianOf(narrowest.widthsMm);
  const draws =
    short > 0
      ? `stitches draw in ${CLOTHS[cloth].pullMm} mm a side there, and ${CLOTHS[madeFor].pullMm} mm is allowed for`
      : "that takes more underlay than it has";
  return [
    {
      code: "pull-and-push",
      level: "warning",
      message: `The stitches were made for ${madeFor} cloth; on ${cloth} ${draws}${short > 0 && sewn !== null ? `: a column ${sewn.toFixed(1)} mm wide comes out near ${Math.max(0, sewn - 2 * CLOTHS[cloth].pullMm).toFixed(1)} mm, ends grow by 0.2 to 0.4 mm, outlines drift off` : ""}.`,
      advice: `Have it made for ${cloth}. ${CLOTHS[cloth].advice}`,
      ...(narrowest === null ? {} : { at: placeOf(design, narrowest.from) }),
    },
  ];
}

/** Wide satin straight on stretch or pile cloth: nothing holds the cloth when the stitches draw. */
function withoutUnderlay({ design, context: { cloth }, columns, ground }: CheckInput): Finding[] {
  if (cloth === undefined || cloth === "woven") return [];
  const loose = columns().filter((column) => {
    if (column.lengthMm < LEAST_LENGTH_MM || medianOf(column.widthsMm) < WITH_UNDERLAY_MM) return false;
    let under = 0;
    let looked = 0;
    for (let i = column.from + 2; i < column.to - 1; i++) {
      looked++;
      if (liesOnSewing(design, ground(), i, column.from)) under++;
    }
    return looked > 0 && under < 0.2 * looked;
  });
  if (loose.length === 0) return [];
  return [
    {
      code: "pull-and-push",
      level: "warning",
      message: `${countOf(loose.length, "column")} of satin ${loose.length === 1 ? "lies" : "lie"} on ${cloth} cloth without underlay; stitches draw in about ${CLOTHS[cloth].pullMm} mm a side there and sink.`,
      advice: `Have it made for ${cloth}. ${CLOTHS[cloth].advice}`,
      at: placeOf(design, loose[0]!.from),
      ...placesOf(
        design,
        loose.map(({ from }) => from),
      ),
    },
  ];
}

/** Whether anything was sewn under stitch `i` before record `before`: edge runs lie anywhere across it. */
function liesOnSewing({ x, y }: Stitches, ground: SewnGround, i: number, before: number): boolean {
  for (let share = 0.1; share < 0.95; share += 0.1) {
    const cell = cellAt(
      ground,
      x[i - 1]! + (x[i]! - x[i - 1]!) * share,
      y[i - 1]! + (y[i]! - y[i - 1]!) * share,
    );
    if (cell >= 0 && ground.first[cell]! >= 0 && ground.first[cell]! < before) return true;
  }
  return false;
}
