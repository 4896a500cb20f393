import { z } from "zod";
import { row } from "../row";
import { id } from "../values";
import { deg, mm } from "./values";

/** How a product's design sits, how exact it must be, and what is touched for it. */

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

export const ruleOfPlacement = z.object({
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

export const ruleRows = {
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
};
