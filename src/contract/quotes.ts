import { z } from "zod";
import { quoteAsked, quoteWorked } from "./costs";
import { row } from "./row";
import { atMs, calendarDate, cents, id, name, note, recordFields } from "./values";

/** Quotes that are kept, from draft to order, and purchases that were considered. */

/** A draft may change; what was sent stays as it went out. */
export const quoteState = z.enum(["draft", "sent", "agreed", "declined"]);

const quoteBrief = z.object({
  ...recordFields,
  /** The studio's own, counted up from 1. */
  number: z.int(),
  state: quoteState,
  customer: z.string(),
  /** The customer's word for it. */
  reference: z.string(),
  validUntil: calendarDate,
  /** Sent, not answered, and its day has passed. */
  isOver: z.boolean(),
  totalCents: z.int(),
  sentOn: calendarDate.nullable(),
  orderId: id.nullable(),
});

const keptQuote = quoteBrief.extend({
  asked: quoteAsked,
  /** As it was sent; of a draft as it stands today, null where a product of it is gone. */
  worked: quoteWorked.nullable(),
  sentAtMs: atMs.nullable(),
});

const kept = { output: keptQuote, carriage: "json" } as const;

export const quoteRows = {
  listQuotes: row({
    method: "GET",
    path: "/api/costs/quotes",
    summary: "Lists quotes that are kept, the newest first",
    query: z.strictObject({
      q: z.string().max(200).default(""),
      /** open: drafts, and those sent that nobody has answered. */
      show: z.enum(["open", "draft", "sent", "agreed", "declined", "all"]).default("all"),
      offset: z.coerce.number().int().min(0).default(0),
      limit: z.coerce.number().int().min(1).max(200).default(50),
    }),
    output: z.object({ items: z.array(quoteBrief), total: z.int() }),
    carriage: "json",
  }),
  readQuote: row({
    method: "GET",
    path: "/api/costs/quotes/:id",
    summary: "One quote: what was asked and its prices, as they were sent",
    ...kept,
  }),
  keepQuote: row({
    method: "POST",
    path: "/api/costs/quotes",
    summary: "Keeps a quote as a draft with a number of its own",
    body: quoteAsked,
    ...kept,
  }),
  changeQuote: row({
    method: "PUT",
    path: "/api/costs/quotes/:id",
    summary: "Changes a draft",
    body: quoteAsked,
    ...kept,
    needsMatch: true,
  }),
  sendQuote: row({
    method: "POST",
    path: "/api/costs/quotes/:id/sent",
    summary: "Says that a quote was sent: its prices stay as they are from now on",
    ...kept,
    needsMatch: true,
  }),
  answerQuote: row({
    method: "PUT",
    path: "/api/costs/quotes/:id/answer",
    summary: "What the customer said; sent takes an answer back",
    body: z.strictObject({ state: z.enum(["sent", "agreed", "declined"]) }),
    ...kept,
    needsMatch: true,
  }),
  orderOfQuote: row({
    method: "POST",
    path: "/api/costs/quotes/:id/order",
    summary: "Makes an order of a quote that was sent, at the prices it was sent with; once",
    body: z.strictObject({
      reference: z.string().trim().min(1, "a reference is needed").max(80),
      promiseDate: calendarDate,
    }),
    ...kept,
    needsMatch: true,
  }),
  putQuoteAway: row({
    method: "DELETE",
    path: "/api/costs/quotes/:id",
    summary: "Puts a quote away; it keeps its number",
    ...kept,
    needsMatch: true,
  }),
  keptQuoteSheet: row({
    method: "GET",
    path: "/api/costs/quotes/:id/quote.pdf",
    summary: "A quote that was sent, on paper as it went out; a draft as it stands",
    query: z.strictObject({ paper: z.enum(["A4", "Letter", ""]).default("") }),
    carriage: "bytes",
    mediaType: "application/pdf",
  }),
};

export const purchaseBody = z.strictObject({
  name,
  note,
  /** Paid now. */
  outlayCents: cents.min(0),
  /** What each year brings more than it takes; negative where it takes more. */
  yearCents: z.array(cents).min(1, "a purchase lasts a year at least").max(25),
  /** What it is worth at its end, for the tables of lost value; what it is sold for stands in its last year. */
  salvageCents: cents.min(0),
  /** What money earns or costs a year, as a share. */
  rate: z.number().min(0).max(1),
  outcome: z.enum(["open", "bought", "left"]),
});

const keptPurchase = z.object({
  ...recordFields,
  ...purchaseBody.shape,
  /** At its own rate; money in minor units, not rounded, times in years. */
  judged: z.object({
    netPresentValue: z.number(),
    equalAnnual: z.number(),
    payback: z.number().nullable(),
    discountedPayback: z.number().nullable(),
    profitabilityIndex: z.number().nullable(),
    /** All of them; two or more, or none, say that no rate ranks this purchase. */
    internalRates: z.array(z.number()).readonly(),
    modifiedRate: z.number().nullable(),
    pays: z.boolean(),
    warnings: z.array(z.string()).readonly(),
  }),
});

export const purchaseRows = {
  listPurchases: row({
    method: "GET",
    path: "/api/costs/purchases",
    summary: "Purchases that were considered, the newest first, each judged by its money over time",
    query: z.strictObject({
      offset: z.coerce.number().int().min(0).default(0),
      limit: z.coerce.number().int().min(1).max(200).default(50),
    }),
    output: z.object({ items: z.array(keptPurchase), total: z.int() }),
    carriage: "json",
  }),
  keepPurchase: row({
    method: "POST",
    path: "/api/costs/purchases",
    summary: "Keeps a purchase that is considered",
    body: purchaseBody,
    output: keptPurchase,
    carriage: "json",
  }),
  changePurchase: row({
    method: "PUT",
    path: "/api/costs/purchases/:id",
    summary: "Changes a purchase that is considered, or says what became of it",
    body: purchaseBody,
    output: keptPurchase,
    carriage: "json",
    needsMatch: true,
  }),
  putPurchaseAway: row({
    method: "DELETE",
    path: "/api/costs/purchases/:id",
    summary: "Puts a considered purchase away",
    output: keptPurchase,
    carriage: "json",
    needsMatch: true,
  }),
};

const orderAgain = z.object({
  of: z.enum(["stock", "thread"]),
  subjectId: id,
  code: z.string(),
  name: z.string(),
  /** Metres for thread, else what the item is counted in. */
  unit: z.string(),
  onHand: z.number(),
  /** As it stands on the record; 0 never asks. */
  setPoint: z.number(),
  weekMean: z.number(),
  weekDeviation: z.number(),
  daysLeft: z.number().nullable(),
  /** Order when no more is left; with the part of it that is there for bad luck. */
  point: z.number().nullable(),
  safety: z.number().nullable(),
  /** So much is ordered, of thread whole cones; null while its price is missing. */
  amount: z.number().nullable(),
  cones: z.int().nullable(),
  isNow: z.boolean(),
});

export const orderingRows = {
  orderAgain: row({
    method: "GET",
    path: "/api/costs/ordering",
    summary: "When to order what again and how much, from what the orders of the last half year took",
    output: z.object({
      /** Whole weeks looked at; below 4 nothing is proposed. */
      weeks: z.int(),
      items: z.array(orderAgain),
    }),
    carriage: "json",
  }),
  needleLives: row({
    method: "GET",
    path: "/api/costs/needle-lives",
    summary: "Hours of sewing the studio's needles lasted, and those of needles that were sound so far",
    output: z.object({ failedHours: z.array(z.number()), soundHours: z.array(z.number()) }),
    carriage: "json",
  }),
};

export type PurchaseBody = z.output<typeof purchaseBody>;
