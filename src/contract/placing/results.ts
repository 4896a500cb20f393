import { z } from "zod";
import { finding, id } from "../values";
import { tolerance } from "./rules";
import { pointMm } from "./values";

/** What marks say: where the design goes, how sure that is, what the machine is given. */

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

/** What a second photo says of how far the cloth lies under the markers. */
const clothHeight = z.object({
  /**
   * told: place and stated error rest on it. Else the first photo's answer stands: little, for the photos tell the height
   * no better than it is believed; apart, for the same places meet at no height; unusable, for the hoop is not seen.
   */
  state: z.enum(["told", "little", "apart", "unusable"]),
  /** What the answer rests on, and half of its 95 % range. */
  clothBelowMm: z.number(),
  plusMinusMm: z.number(),
  /** The same as the hoop was taught. */
  believedMm: z.number(),
  believedPlusMinusMm: z.number(),
  /** Places touched in both photos. */
  places: z.int(),
  /** The one, from 1, without which the others would meet; null where that is none or not one alone. */
  wrongPlace: z.int().nullable(),
  /** Why the first photo's answer stands; empty where the height was told. */
  why: z.string(),
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
  /** Null without a second photo, as in placings of before there were any. */
  height: clothHeight.nullable().default(null),
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
