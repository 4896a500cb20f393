import { z } from "zod";
import { designVersion } from "./designs";
import { row } from "./row";
import { finding, id } from "./values";

/** Mending a version's stitches: what it would change, and the mended design kept as a new version. */

export const mendCode = z.enum([
  "fewer-stops",
  "merge-short",
  "split-long",
  "thin-dense",
  "drop-trims",
  "insert-trims",
  "add-ties",
  "centre-start",
]);
const cloth = z.enum(["woven", "knit", "pile"]);

const mending = z.strictObject({
  /** Done in the program's own order, whatever order they are given in. */
  mends: z.array(mendCode).min(1, "choose a mend").max(20),
  /** What the design is sewn on, where that is known: it sets how wide satin may be. */
  cloth: cloth.nullable().default(null),
});

const counts = z.object({
  stitches: z.int(),
  jumps: z.int(),
  stops: z.int(),
  trims: z.int(),
  densestPerMm2: z.number(),
  longestMm: z.number(),
  threadMm: z.number(),
});

export const mendsSeen = z.object({
  done: z.array(z.object({ code: mendCode, changed: z.int(), says: z.string() })),
  before: counts,
  after: counts,
  /** The shop's thread of each part of the mended design. */
  threadIds: z.array(id.nullable()),
  gone: z.array(finding),
  left: z.array(finding),
  come: z.array(finding),
});

export const mendingRows = {
  checkDesignVersion: row({
    method: "GET",
    path: "/api/design-versions/:id/checks",
    summary: "What the checks find when a version is to be sewn on this machine and this cloth",
    query: z.strictObject({
      machineId: z.string().max(64).default(""),
      cloth: cloth.optional(),
      /** The run of a piece it is looked at for: its order's text is held against what is sewn. */
      jobId: z.string().max(64).default(""),
    }),
    output: z.object({ findings: z.array(finding) }),
    carriage: "json",
  }),
  previewMends: row({
    method: "POST",
    path: "/api/design-versions/:id/mends/preview",
    summary: "What mends would change in a version: counts before and after, findings gone, left and new",
    body: mending,
    output: mendsSeen,
    carriage: "json",
  }),
  mendedStitches: row({
    method: "GET",
    path: "/api/design-versions/:id/mends/stitches",
    summary: "The stitches after mends (comma-separated), in the form of designStitches; nothing is kept",
    query: z.strictObject({
      mends: z
        .string()
        .max(400)
        .transform((text) => text.split(","))
        .pipe(z.array(mendCode).min(1)),
      cloth: cloth.optional(),
    }),
    carriage: "bytes",
    mediaType: "application/octet-stream",
  }),
  mendDesign: row({
    method: "POST",
    path: "/api/design-versions/:id/mends",
    summary: "Keeps the mended stitches as a new version of the design; none is overwritten",
    body: mending,
    output: designVersion,
    carriage: "json",
  }),
};
