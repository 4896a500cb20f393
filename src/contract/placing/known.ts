import { z } from "zod";
import { row } from "../row";
import { id } from "../values";
import { placing } from "./placings";
import { ruleOfPlacement } from "./rules";
import { machineSteps, phone, pointMm, taughtHoop } from "./values";

/** What is known for placing a run before anything is touched, and which runs are placed. */

const machineForPlacing = z.object({
  id,
  name: z.string(),
  linesUpBy: z.enum(["laser", "camera", "eye"]),
  fieldWidthMm: z.number(),
  fieldHeightMm: z.number(),
  steps: machineSteps,
  /** Whether the plan has the run on it. */
  planned: z.boolean(),
});

/** Everything a page needs to place a run. */
const knownForPlacing = z.object({
  job: z.object({ id, pieceId: id, pieceCode: z.string(), placementId: z.string(), sewn: z.boolean() }),
  title: z.string(),
  product: z.string(),
  placement: z.string(),
  where: z.string(),
  cloth: z.enum(["woven", "knit", "pile"]),
  design: z.object({
    versionId: id,
    name: z.string(),
    stitches: z.int(),
    extentsMm: z.object({ left: z.number(), right: z.number(), bottom: z.number(), top: z.number() }),
    /** Its convex hull, counter-clockwise, from its start. The stitches themselves: designStitches. */
    outline: z.array(pointMm),
    parts: z.array(z.object({ threadId: id.nullable(), rgb: z.string().nullable(), stitches: z.int() })),
    /** Places that are easy to find again on the sewn piece, the best first. */
    findable: z.array(z.object({ at: pointMm, why: z.enum(["corner", "end"]), sharpness: z.number() })),
  }),
  hoop: z
    .object({
      id,
      name: z.string(),
      kind: z.enum(["magnetic", "screw"]),
      widthMm: z.number(),
      heightMm: z.number(),
    })
    .nullable(),
  rule: ruleOfPlacement,
  machines: z.array(machineForPlacing),
  taughtHoops: z.array(taughtHoop),
  phones: z.array(phone),
  people: z.array(z.object({ id, name: z.string() })),
  cautions: z.array(z.string()),
  photos: z.enum(["kept", "left-out"]),
  /** Placings of this run, the newest first. */
  placings: z.array(placing),
  /** What the floor has told of the run so far; null while nothing. */
  begun: z.object({ stitches: z.int(), stage: z.string() }).nullable(),
});

export const knownRows = {
  knownForPlacing: row({
    method: "GET",
    path: "/api/jobs/:id/placing",
    summary:
      "Everything known for placing a run: design, hoop, rule, machines, phones, cautions, placings so far",
    output: knownForPlacing,
    carriage: "json",
  }),
  placedRuns: row({
    method: "GET",
    path: "/api/placing/runs",
    summary:
      "Runs still to be sewn whose placing is in force, for stations and lists: which, and what is to be done there",
    output: z.object({
      items: z.array(
        z.object({
          jobId: id,
          pieceId: id,
          placingId: id,
          machineId: id,
          give: z.enum(["file", "enter", "laser"]),
          kind: z.enum(["first", "again"]),
          /** "placed: turned +2.0°", "enter …", "second run from stitch …". */
          words: z.string(),
        }),
      ),
    }),
    carriage: "json",
  }),
};
