import { z } from "zod";
import { row } from "../row";
import { atMs, finding, id } from "../values";
import { deg, machineSteps, mm, phone, photoSize, pointMm, pointPx, seenMarkers, taughtHoop } from "./values";

/** Placing a piece: what is known for it, what its marks say, what the machine is given, and back onto a piece. */

/** What a person touches: core/placing's kinds. */
export const clothMarkKind = z.enum([
  "centre line",
  "collar seam",
  "shoulder seam",
  "hem",
  "edge",
  "stripe",
  "area",
  "place",
]);

const every = {
  /** Which part of the design is measured to. */
  anchor: z.enum(["middle", "top", "bottom"]).default("middle"),
  /** Turned on the cloth, counter-clockwise. */
  turnDeg: deg.default(0),
};

/** How a product's design sits: core/placing's rules. */
export const placementRule = z.discriminatedUnion("rule", [
  z.strictObject({ rule: z.literal("below collar"), downMm: mm, rightMm: mm.default(0), ...every }),
  z.strictObject({
    rule: z.literal("chest"),
    side: z.enum(["wearer's left", "wearer's right"]),
    downMm: mm,
    offCentreMm: mm,
    ...every,
  }),
  z.strictObject({
    rule: z.literal("along"),
    mark: z.enum(["hem", "edge", "stripe"]),
    inMm: mm,
    alongMm: mm.nullable().default(null),
    ...every,
  }),
  z.strictObject({ rule: z.literal("middle of area"), ...every }),
  z.strictObject({ rule: z.literal("at place"), ...every }),
]);

export const tolerance = z.strictObject({
  mm: z.number().min(0.1).max(100),
  degrees: z.number().min(0.05).max(45),
});

const touchAsked = z.object({
  oneOf: z.array(clothMarkKind),
  leastPoints: z.int(),
  optional: z.boolean(),
  words: z.string(),
});

const ruleOfPlacement = z.object({
  productId: id,
  placementId: z.string(),
  rule: placementRule,
  tolerance,
  /** Whether a person entered them; else they are the usual ones (common practice, no source). */
  areOwn: z.boolean(),
  /** What is touched for it, in this order. Of `oneOf` marks (several kinds named) one is enough; optional ones sharpen. */
  touch: z.array(touchAsked),
  /** What is touched instead where those lie outside the hoop: the place itself, and a line to be straight by. */
  touchPlace: z.array(touchAsked),
  version: z.int(),
});

const byPhoto = {
  phoneId: id.nullable().default(null),
  photo: photoSize,
  /** Focal length against 36 × 24 mm from the photo's EXIF; null where it tells none. */
  focal35Mm: z.number().min(5).max(400).nullable().default(null),
};
const along = z.array(pointPx).min(2).max(40);

/** The hoop's inner opening as measured; null takes the field of the run's hoop. */
const inner = z
  .strictObject({ widthMm: z.number().min(20).max(3000), heightMm: z.number().min(20).max(3000) })
  .nullable()
  .default(null);

/** How the hoop was seen. */
export const seenHoop = z.discriminatedUnion("way", [
  z.strictObject({ way: z.literal("markers"), ...byPhoto, taughtHoopId: id, markers: seenMarkers }),
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

const room = z.object({ leftMm: z.number(), rightMm: z.number(), nearMm: z.number(), farMm: z.number() });

/** One way to tell the machine, with the error to expect in 95 of 100 cases. */
const givenWay = z.object({
  give: z.enum(["file", "enter", "laser"]),
  errorMm: z.number(),
  errorDeg: z.number(),
  /** Whether the machine can take it that way at all. */
  able: z.boolean(),
  /** Whether it can, and the error is within the product's tolerance; why not, and what to do, else. */
  sure: z.boolean(),
  why: z.string(),
  enter: z
    .object({
      angleDeg: z.number(),
      /** Of the design's middle from the field's centre, in the machine's steps. */
      shiftXMm: z.number(),
      shiftYMm: z.number(),
    })
    .nullable(),
  /** Where the cross is set for the design's start, and where it must fall at the design's far place to prove the angle. */
  laser: z.object({ start: pointMm, check: pointMm, checkInDesign: pointMm, leverMm: z.number() }).nullable(),
});

const residual = z.object({
  what: z.string(),
  offMm: z.number(),
  /** Whether it contradicts the others so much that it was left out or should be looked at. */
  wrong: z.boolean(),
});

/** What marks say. */
export const placingResult = z.object({
  /** Where the design's start goes in the hoop's plane, and how it is turned, counter-clockwise. */
  pose: z.object({ xMm: z.number(), yMm: z.number(), deg: z.number() }),
  /** How crooked the cloth lies in the hoop: what a habit is made of. */
  cloth: z.object({ deg: z.number(), xMm: z.number(), yMm: z.number() }),
  /** In 95 of 100 cases no point of the design is further off, nor its angle. */
  error: z.object({
    mm: z.number(),
    degrees: z.number(),
    /** Where it comes from, largest first; shares add up to 1. */
    shares: z.array(z.object({ source: z.string(), share: z.number() })),
  }),
  tolerance,
  sure: z.boolean(),
  /** Why not, and what to do, in words; empty where it is sure. */
  advice: z.array(z.string()),
  residuals: z.array(residual),
  view: z.object({ tiltDeg: z.number(), distanceMm: z.number(), noisePx: z.number() }).nullable(),
  /** Room left to the field less the presser foot's margin, the least of the machine's and the hoop's; negative: over it. */
  room,
  ways: z.array(givenWay),
  /** What is left to sew, where it is a second run. */
  remains: z
    .object({
      lastGoodStitch: z.int(),
      /** It begins a little before, with a tie-in. */
      fromStitch: z.int(),
      firstPart: z.int(),
      parts: z.array(z.object({ part: z.int(), threadId: id.nullable(), stitches: z.int() })),
      stitches: z.int(),
      trims: z.int(),
      /** Other stitches that may have been meant by the touch, the last sewn first. */
      orMeant: z.array(z.object({ stitch: z.int(), part: z.int(), offMm: z.number() })),
    })
    .nullable(),
  findings: z.array(finding),
});

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

const habitMeasure = z.enum(["angleDeg", "xMm", "yMm"]);

/** How pieces came to lie in their hoops, of one person, product and hoop. */
const habitGroup = z.object({
  personId: id.nullable(),
  /** Null: whatever they hooped in that hoop, taken together. */
  productId: id.nullable(),
  hoopId: id.nullable(),
  n: z.int(),
  meanDeg: z.number(),
  meanXMm: z.number(),
  meanYMm: z.number(),
  /** What is statistically plain of it (core/placing's test over all groups and looks); empty: nothing. */
  plain: z.array(
    z.object({
      measure: habitMeasure,
      mean: z.number(),
      /** Half of the 95 % range of the mean. */
      plusMinus: z.number(),
      /** Placings it rests on. */
      count: z.int(),
      sentence: z.string(),
      /** The same where person, product and hoop stand beside it: "1.8° to the left". */
      short: z.string(),
    }),
  ),
});

const aidValue = z.object({
  aid: z.string(),
  withAid: z.int(),
  without: z.int(),
  /** How much less crooked with it, degrees, and its 95 % range. */
  lessDeg: z.number(),
  lowDeg: z.number(),
  highDeg: z.number(),
});

export const placingRows = {
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
  readPlacementRule: row({
    method: "GET",
    path: "/api/products/:id/placements/:placement/rule",
    summary: "How a product's placement is measured, and how exact it must be",
    output: ruleOfPlacement,
    carriage: "json",
  }),
  setPlacementRule: row({
    method: "PUT",
    path: "/api/products/:id/placements/:placement/rule",
    summary: "Sets a placement's rule and tolerance; null takes the usual again",
    body: z.strictObject({ own: z.strictObject({ rule: placementRule, tolerance }).nullable() }),
    output: ruleOfPlacement,
    carriage: "json",
  }),
  placingHabits: row({
    method: "GET",
    path: "/api/placing/habits",
    summary:
      "How crooked pieces came to lie in their hoops, by person, product and hoop, and what is plain about it",
    query: z.strictObject({
      person: z.string().max(64).default(""),
      product: z.string().max(64).default(""),
      hoop: z.string().max(64).default(""),
      days: z.coerce.number().int().min(1).max(3650).default(365),
    }),
    output: z.object({ placings: z.int(), groups: z.array(habitGroup), aids: z.array(aidValue) }),
    carriage: "json",
  }),
};
