import { z } from "zod";
import { row } from "./row";
import { atMs, finding, id, listQuery, name, note, recordFields } from "./values";

/** Designs and their versions. A version's stitches are never overwritten; what a person edits is name, note and threads. */

const part = z.object({
  stitches: z.int(),
  threadMm: z.number(),
  /** The shop's thread for this part; null until one is chosen. */
  threadId: id.nullable(),
});

export const designVersion = z.object({
  id,
  designId: id,
  /** From 1, rising. */
  number: z.int(),
  source: z.enum(["machine-file", "lettering", "recipe", "made", "mended"]),
  fileName: z.string(),
  madeAtMs: atMs,
  stitches: z.int(),
  jumps: z.int(),
  stops: z.int(),
  trims: z.int(),
  parts: z.array(part),
  extentsMm: z.object({ left: z.number(), right: z.number(), bottom: z.number(), top: z.number() }),
  shortestMm: z.number(),
  longestMm: z.number(),
  shortShare: z.number(),
  densestPerMm2: z.number(),
  findings: z.array(finding),
});

const designBody = z.strictObject({ name, note });

export const design = z.object({
  ...designBody.shape,
  ...recordFields,
  kind: z.enum(["picture", "personal"]),
  latest: designVersion,
});

export const designRows = {
  listDesigns: row({
    method: "GET",
    path: "/api/designs",
    summary: "Lists designs with their newest version",
    query: listQuery.extend({ kind: z.enum(["picture", "personal", "all"]).default("picture") }),
    output: z.object({ items: z.array(design), total: z.int() }),
    carriage: "json",
  }),
  readDesign: row({
    method: "GET",
    path: "/api/designs/:id",
    summary: "One design with all its versions, newest first",
    output: z.object({ design, versions: z.array(designVersion) }),
    carriage: "json",
  }),
  changeDesign: row({
    method: "PUT",
    path: "/api/designs/:id",
    summary: "Renames a design or changes its note",
    body: designBody,
    output: design,
    carriage: "json",
    needsMatch: true,
  }),
  archiveDesign: row({
    method: "DELETE",
    path: "/api/designs/:id",
    summary: "Archives a design",
    output: design,
    carriage: "json",
    needsMatch: true,
  }),
  unarchiveDesign: row({
    method: "POST",
    path: "/api/designs/:id/unarchive",
    summary: "Takes a design back from the archive",
    output: design,
    carriage: "json",
    needsMatch: true,
  }),
  bringInDesigns: row({
    method: "POST",
    path: "/api/designs/files",
    summary: "Brings in one machine file, or a zip of them; `into` adds a version to a design instead",
    query: z.strictObject({ name: z.string().min(1).max(400), into: z.string().max(64).default("") }),
    body: "bytes",
    bodyLimitBytes: 100_000_000,
    output: z.object({
      brought: z.array(
        z.object({
          fileName: z.string(),
          designId: id,
          versionId: id,
          name: z.string(),
          already: z.boolean(),
          findings: z.array(finding),
        }),
      ),
      refused: z.array(
        z.object({ fileName: z.string(), code: z.string(), message: z.string(), advice: z.string() }),
      ),
    }),
    carriage: "json",
  }),
  readDesignVersion: row({
    method: "GET",
    path: "/api/design-versions/:id",
    summary: "One version of a design",
    output: z.object({ version: designVersion, designName: z.string() }),
    carriage: "json",
  }),
  chooseThreads: row({
    method: "PUT",
    path: "/api/design-versions/:id/threads",
    summary: "Gives each part of a version a thread of the shop",
    body: z.strictObject({ threadIds: z.array(id.nullable()).max(1000) }),
    output: designVersion,
    carriage: "json",
  }),
  designStitches: row({
    method: "GET",
    path: "/api/design-versions/:id/stitches",
    summary:
      "The stitches as bytes: little-endian int32 count n, then n kinds (uint8: 0 stitch, 1 jump, 2 stop, padded to a multiple of 4), n × int32 x and n × int32 y in tenths of mm",
    carriage: "bytes",
    mediaType: "application/octet-stream",
  }),
  designFile: row({
    method: "GET",
    path: "/api/design-versions/:id/file",
    summary: "The machine file",
    carriage: "bytes",
    mediaType: "application/octet-stream",
  }),
  designPicture: row({
    method: "GET",
    path: "/api/design-versions/:id/picture.svg",
    summary:
      "The design drawn as thread at true scale; `threads` overrides the parts' threads, comma-separated ids",
    query: z.strictObject({
      size: z.enum(["small", "full"]).default("small"),
      threads: z.string().max(4000).default(""),
    }),
    carriage: "bytes",
    mediaType: "image/svg+xml",
  }),
};
