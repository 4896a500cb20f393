import { z } from "zod";
import { row } from "../row";
import { atMs, id } from "../values";
import { placingMarks } from "./marks";
import { placingResult } from "./results";

/** Placings of a run: what marks would say, what is kept, and what the machine gets of it. */

export const placing = z.object({
  id,
  version: z.int(),
  kind: z.enum(["first", "again"]),
  /** unsure: the marks are kept, nothing was given to the machine. */
  state: z.enum(["kept", "unsure", "withdrawn"]),
  way: z.enum(["markers", "lines", "tape"]),
  atMs,
  who: z.string(),
  pieceId: id,
  jobId: id,
  machineId: id,
  hoopId: id.nullable(),
  taughtHoopId: id.nullable(),
  personId: id.nullable(),
  phoneId: id.nullable(),
  give: z.enum(["file", "enter", "laser"]),
  result: placingResult,
  /** Whether the station's machine file is this one now; else why not. */
  inForce: z.boolean(),
  notInForceWhy: z.string(),
  /** The marks it was computed from, as they were sent. */
  marks: z.unknown(),
  photo: z.object({ widthPx: z.int(), heightPx: z.int(), bytes: z.int() }).nullable(),
});

export const placingsRows = {
  previewPlacing: row({
    method: "POST",
    path: "/api/jobs/:id/placing/preview",
    summary: "What marks say, with the error to expect; nothing is kept",
    body: placingMarks,
    output: placingResult,
    carriage: "json",
  }),
  keepPlacing: row({
    method: "POST",
    path: "/api/jobs/:id/placing",
    summary:
      "Keeps a placing; the run's machine file is the placed one from now on. Not sure enough: the marks are kept, and it is refused",
    body: placingMarks,
    output: placing,
    carriage: "json",
  }),
  readPlacing: row({
    method: "GET",
    path: "/api/placings/:id",
    summary: "One placing with its marks",
    output: placing,
    carriage: "json",
  }),
  withdrawPlacing: row({
    method: "DELETE",
    path: "/api/placings/:id",
    summary: "Withdraws a placing: the station's file is the design's own again",
    output: placing,
    carriage: "json",
    needsMatch: true,
  }),
  placedFile: row({
    method: "GET",
    path: "/api/placings/:id/file",
    summary: "The machine file of a placing, turned and shifted; of a second run only what remains",
    carriage: "bytes",
    mediaType: "application/octet-stream",
  }),
  placingPhoto: row({
    method: "GET",
    path: "/api/placings/:id/photo.jpg",
    summary: "The small photo of a placing; shown at the studio's own computer only",
    carriage: "bytes",
    mediaType: "image/jpeg",
    onlyHere: true,
  }),
  keepPlacingPhoto: row({
    method: "PUT",
    path: "/api/placings/:id/photo",
    summary:
      "Keeps the small photo of a placing (JPEG, at most 1280 px a side), without what a camera writes beside it",
    body: "bytes",
    bodyLimitBytes: 1_500_000,
    output: placing,
    carriage: "json",
  }),
  deletePlacingPhoto: row({
    method: "DELETE",
    path: "/api/placings/:id/photo",
    summary: "Deletes the photo of a placing for good",
    output: placing,
    carriage: "json",
  }),
};
