import { z } from "zod";
import { row } from "../row";
import { id } from "../values";

/** How people hoop, and what hooping aids are worth. */

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

export const habitRows = {
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
