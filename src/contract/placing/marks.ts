import { z } from "zod";
import { id } from "../values";
import { clothMarkKind } from "./rules";
import { deg, mm, photoSize, pointMm, pointPx, seenMarkers } from "./values";

/** What was seen of a hoop, and what was touched on its cloth. */

const oneOfPhone = {
  photo: photoSize,
  /** Focal length against 36 × 24 mm from the photo's EXIF; null where it tells none. */
  focal35Mm: z.number().min(5).max(400).nullable().default(null),
};
const byPhoto = { phoneId: id.nullable().default(null), ...oneOfPhone };
const along = z.array(pointPx).min(2).max(40);

/** The hoop's inner opening as measured; null takes the field of the run's hoop. */
const inner = z
  .strictObject({ widthMm: z.number().min(20).max(3000), heightMm: z.number().min(20).max(3000) })
  .nullable()
  .default(null);

/**
 * A second photo with the same phone, from another side, hoop and cloth left as they were; and places of the cloth that
 * were touched in both. Where their sights meet is how far the cloth lies under the markers.
 */
const secondPhoto = z
  .strictObject({
    ...oneOfPhone,
    markers: seenMarkers,
    places: z
      .array(z.strictObject({ first: pointPx, second: pointPx }))
      .min(1)
      .max(40),
  })
  .nullable()
  .default(null);

/** How the hoop was seen. */
export const seenHoop = z.discriminatedUnion("way", [
  z.strictObject({
    way: z.literal("markers"),
    ...byPhoto,
    taughtHoopId: id,
    markers: seenMarkers,
    second: secondPhoto,
  }),
  /** Points along the hoop's four inner edges; the run's hoop tells how far they are apart. */
  z.strictObject({
    way: z.literal("lines"),
    ...byPhoto,
    edges: z.strictObject({ left: along, right: along, near: along, far: along }),
    inner,
    /** How far the cloth lies under the edges that were touched. */
    clothBelowMm: z.number().min(-10).max(80).default(0),
  }),
  /** No photo: a tape measure from the hoop's inner edges, and how exactly it was read (standard deviation). */
  z.strictObject({ way: z.literal("tape"), inner, spreadMm: z.number().min(0.1).max(10).default(1) }),
]);

/** One distance by tape: from an inner side of the hoop, taken so far along that side (left to right, near to far). */
const tapeReading = z.strictObject({
  from: z.enum(["left", "right", "near", "far"]),
  alongMm: z.number().min(0).max(2000),
  distanceMm: z.number().min(0).max(2000),
});

/** What was touched: in the photo, or by tape where there is none. */
const touched = {
  points: z.array(pointPx).max(40).default([]),
  readings: z.array(tapeReading).max(40).default([]),
};

/**
 * A line that was found in the picture near where it was touched (an edge, a seam, a stripe): standard errors of its
 * place, mm across it at its middle, and of its direction. Null: the fingers' own places count.
 */
const foundLine = z
  .strictObject({ placeMm: z.number().min(0).max(20), turnRad: z.number().min(0).max(0.5) })
  .nullable()
  .default(null);

const seenBy = {
  machineId: id,
  personId: id.nullable().default(null),
  /** A hooping aid that was used (a board, a template), so that its worth can be read later. */
  aid: z.string().trim().min(1).max(60).nullable().default(null),
  seen: seenHoop,
  /** What the machine is to be given: a file made anew, an angle and a shift to enter, or points for its laser cross. */
  give: z.enum(["file", "enter", "laser"]).default("file"),
};

export const placingMarks = z.discriminatedUnion("kind", [
  z.strictObject({
    kind: z.literal("first"),
    ...seenBy,
    touches: z.array(z.strictObject({ kind: clothMarkKind, ...touched, found: foundLine })).max(12),
    /** By the product's rule, or by a touched place where the rule's marks lie outside the hoop (a chalk cross). */
    by: z.enum(["rule", "place"]).default("rule"),
    /** Which way the upper end of the cloth lies in the hoop. */
    top: z.enum(["away", "near", "left", "right"]).default("away"),
    /** Moved by a person on top of the rule: in the hoop's axes, and turned about the design's start. */
    nudge: z.strictObject({ xMm: mm, yMm: mm, deg }).default({ xMm: 0, yMm: 0, deg: 0 }),
  }),
  z.strictObject({
    kind: z.literal("again"),
    ...seenBy,
    /** Places of the sewn part: where they are in the design, and where they were touched. */
    touches: z.array(z.strictObject({ design: pointMm, ...touched })).max(40),
    /** The last good stitch: its number in the design (from 1), or touched in the photo or on the design; null sews the whole again. */
    restart: z
      .union([
        z.strictObject({ stitch: z.int().min(1).max(10_000_000) }),
        z.strictObject({ point: pointPx }),
        z.strictObject({ design: pointMm }),
      ])
      .nullable()
      .default(null),
  }),
]);
