import { z } from "zod";
import { row } from "../row";
import { id, name } from "../values";
import { machineSteps, markerId, phone, photoSize, pointPx, seenMarkers, taughtHoop } from "./values";

/** What is measured once before anything is placed: phones' lenses, hoops with their markers, what machines can be told. */

/** A photo of the printed grid sheet, with or without a hoop's markers: every marker found in it. */
const gridPhoto = z.strictObject({
  photo: photoSize,
  markers: seenMarkers,
  /** Focal length of the photo against the usual 36 × 24 mm, from its EXIF; null where it tells none. */
  focal35Mm: z.number().min(5).max(400).nullable().default(null),
});

const paper = z.enum(["A4", "Letter", ""]).default("");
const sheetQuery = z.strictObject({ paper });

/** How far the measured line on the sheet is from what it should be: a printer that shrinks is told once. */
const printed = z
  .strictObject({
    /** Which paper the sheet was printed on; empty takes the studio's. */
    paper,
    /** So long a stretch of the sheet's rulers was measured with a steel rule, by its figures… */
    lineMm: z.number().min(10).max(300).default(100),
    /** …and so long it is. */
    measuredMm: z.number().min(8).max(360).default(100),
    /** How well it was measured (standard deviation). */
    measuredSpreadMm: z.number().min(0.01).max(5).default(0.2),
  })
  .refine(({ lineMm, measuredMm }) => 0.8 <= measuredMm / lineMm && measuredMm / lineMm <= 1.2, {
    path: ["measuredMm"],
    message: "a sheet more than a fifth too large or too small was fitted to the page: print it at 100 %",
  });

export const placingSettings = z.object({
  photos: z.enum(["kept", "left-out"]),
  /** Photos kept now, and what they take. */
  kept: z.int(),
  keptBytes: z.int(),
});

export const teachingRows = {
  placingSettings: row({
    method: "GET",
    path: "/api/placing/settings",
    summary: "Whether photos of placings are kept, and how many there are",
    output: placingSettings,
    carriage: "json",
  }),
  setPlacingSettings: row({
    method: "PUT",
    path: "/api/placing/settings",
    summary: "Sets whether photos of placings are kept; what was kept before stays until it is deleted",
    body: z.strictObject({ photos: z.enum(["kept", "left-out"]) }),
    output: placingSettings,
    carriage: "json",
  }),
  deletePlacingPhotos: row({
    method: "DELETE",
    path: "/api/placing/photos",
    summary: "Deletes every kept photo for good; placings keep their numbers",
    output: z.object({ deleted: z.int() }),
    carriage: "json",
    onlyHere: true,
  }),
  listPhones: row({
    method: "GET",
    path: "/api/placing/phones",
    summary: "Phones and how exactly their lenses are known",
    output: z.object({ items: z.array(phone) }),
    carriage: "json",
  }),
  addPhone: row({
    method: "POST",
    path: "/api/placing/phones",
    summary: "Adds a phone; its lens is measured next",
    body: z.strictObject({ name }),
    output: phone,
    carriage: "json",
  }),
  changePhone: row({
    method: "PUT",
    path: "/api/placing/phones/:id",
    summary: "Renames a phone or archives it",
    body: z.strictObject({ name, archived: z.boolean() }),
    output: phone,
    carriage: "json",
    needsMatch: true,
  }),
  measureLens: row({
    method: "POST",
    path: "/api/placing/phones/:id/lens",
    summary: "Measures a phone's lens from photos of the grid sheet, all of one size, from several slants",
    body: z.strictObject({ printed: printed.prefault({}), photos: z.array(gridPhoto).min(1).max(12) }),
    output: phone,
    carriage: "json",
  }),
  listTaughtHoops: row({
    method: "GET",
    path: "/api/placing/hoops",
    summary: "Hoops with markers, taught or still to be taught",
    query: z.strictObject({ hoop: z.string().max(64).default("") }),
    output: z.object({ items: z.array(taughtHoop) }),
    carriage: "json",
  }),
  addTaughtHoop: row({
    method: "POST",
    path: "/api/placing/hoops",
    summary: "Gives one physical hoop markers of its own: a label, and numbers that no other hoop has",
    body: z.strictObject({
      hoopId: id,
      label: name,
      /** Empty takes the next free numbers. */
      markerIds: z.array(markerId).max(8).default([]),
      markers: z.int().min(3).max(8).default(4),
    }),
    output: taughtHoop,
    carriage: "json",
  }),
  changeTaughtHoop: row({
    method: "PUT",
    path: "/api/placing/hoops/:id",
    summary: "Renames a taught hoop or archives it; its markers are free again then",
    body: z.strictObject({ label: name, archived: z.boolean() }),
    output: taughtHoop,
    carriage: "json",
    needsMatch: true,
  }),
  teachHoop: row({
    method: "POST",
    path: "/api/placing/hoops/:id/teach",
    summary:
      "Teaches a hoop from photos of it lying on the grid sheet: where each marker is, and how well that is known",
    body: z.strictObject({
      phoneId: id.nullable(),
      printed: printed.prefault({}),
      photos: z
        .array(
          gridPhoto.extend({
            /** Points along the hoop's inner edges as touched in this photo, two or more each. */
            edges: z.strictObject({
              left: z.array(pointPx).min(2).max(40),
              right: z.array(pointPx).min(2).max(40),
              near: z.array(pointPx).min(2).max(40),
              far: z.array(pointPx).min(2).max(40),
            }),
          }),
        )
        .min(1)
        .max(12),
      /** How high the markers' faces stand over the sheet while it is photographed, mm, and the touched inner edges. */
      markersOverSheetMm: z.number().min(0).max(80),
      edgesOverSheetMm: z.number().min(0).max(80).default(0),
      /** How far hooped cloth lies under the markers' faces, mm, measured with a rule, and how well (standard deviation). */
      clothBelowMm: z.number().min(-10).max(80),
      clothBelowSpreadMm: z.number().min(0.05).max(10).default(0.5),
    }),
    output: taughtHoop,
    carriage: "json",
  }),
  hoopMarkers: row({
    method: "GET",
    path: "/api/placing/hoops/:id/markers.pdf",
    summary: "A hoop's markers to print, cut out and stick on, at true scale with a ruler",
    query: sheetQuery,
    carriage: "bytes",
    mediaType: "application/pdf",
  }),
  gridSheet: row({
    method: "GET",
    path: "/api/placing/grid-sheet.pdf",
    summary: "The grid sheet that hoops and phones are taught on, at true scale with rulers",
    query: sheetQuery,
    carriage: "bytes",
    mediaType: "application/pdf",
  }),
  machineSteps: row({
    method: "GET",
    path: "/api/machines/:id/steps",
    summary: "What a machine can be told of an angle and a shift, and the room its presser foot needs",
    output: z.object({ machineId: id, steps: machineSteps, areOwn: z.boolean() }),
    carriage: "json",
  }),
  setMachineSteps: row({
    method: "PUT",
    path: "/api/machines/:id/steps",
    summary: "Sets what a machine can be told; null takes the usual again (common practice, no source)",
    body: z.strictObject({ steps: machineSteps.nullable() }),
    output: z.object({ machineId: id, steps: machineSteps, areOwn: z.boolean() }),
    carriage: "json",
  }),
};
