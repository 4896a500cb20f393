import { z } from "zod";
import { row } from "./row";
import { atMs, calendarDate, cents, id, minute, name } from "./values";

/**
 * What if: questions to the studio's own shop, played through season by season. A season is so many days of orders
 * with one luck; today's shop and the changed one meet the same luck, and differences are told with their doubt.
 */

const machineOwn = {
  needles: z.int().min(1).max(24).nullable(),
  stitchesPerMinute: z.int().min(50).max(2000).nullable(),
  /** Its sewing field; null for that of the machine it is like. */
  fieldWidthMm: z.int().min(20).max(3000).nullable().default(null),
  fieldHeightMm: z.int().min(20).max(3000).nullable().default(null),
  /** Hours a used one has run: it fails and is away as often as machines of that age do. Null for a new one. */
  usedHours: z.int().min(0).max(100_000).nullable().default(null),
};

/** What saves handling at a seam. */
export const seamSaver = z.enum(["thread-cutter", "knee-lift", "straight-stitch"]);

/** One thing that could be otherwise. */
export const whatIfChange = z.discriminatedUnion("change", [
  z.strictObject({ change: z.literal("hoops"), hoopId: id, more: z.int().min(-20).max(20) }),
  /** Magnetic hoops in the place of screw hoops: hooping takes the studio's time for magnetic ones. */
  z.strictObject({ change: z.literal("magnetic"), hoopId: id }),
  z.strictObject({
    change: z.literal("machine-added"),
    /** Pieces that may go to this machine may go to the new one too. */
    likeId: id,
    ...machineOwn,
  }),
  /** One leaves, and another comes in its place. */
  z.strictObject({ change: z.literal("machine-swapped"), machineId: id, ...machineOwn }),
  z.strictObject({ change: z.literal("machine-removed"), machineId: id }),
  z
    .strictObject({
      change: z.literal("hand-added"),
      /** 1 for Monday to 7 for Sunday. */
      weekdays: z.array(z.int().min(1).max(7)).min(1).max(7),
      startMinute: minute,
      endMinute: minute,
    })
    .refine((hours) => hours.startMinute < hours.endMinute, "the hours must start before they end"),
  z.strictObject({ change: z.literal("hand-removed"), personId: id }),
  z.strictObject({ change: z.literal("fixed-threads"), machineId: id, count: z.int().min(1).max(20) }),
  z.strictObject({ change: z.literal("day-length"), moreMinutes: z.int().min(-240).max(240) }),
  /** A nearer dealer: a service takes so many days instead of the studio's turnaround. */
  z.strictObject({ change: z.literal("service-days"), days: z.int().min(0).max(60) }),
  /** It fails in the middle of the season and is away for so many days. */
  z.strictObject({ change: z.literal("machine-away"), machineId: id, days: z.int().min(1).max(60) }),
  z.strictObject({ change: z.literal("orders"), percentMore: z.int().min(-90).max(300) }),
  /** Something that is not sold yet, on top of what is. */
  z.strictObject({
    change: z.literal("new-product"),
    name: z.string().trim().min(1).max(60),
    /** Pieces of it for a hundred that come today. */
    percent: z.number().min(0.5).max(300),
    /** Sewing at a machine of the studio's mean speed. */
    machineMinutes: z.number().min(0.5).max(600),
    colours: z.int().min(1).max(15),
    hoopId: id.nullable(),
    /** Hooping, un-hooping, finishing together; null for what is usual. */
    handMinutes: z.number().min(0).max(240).nullable(),
    soldForCents: cents.min(0),
    /** Blank, thread, packing of one. */
    goodsCents: cents.min(0),
  }),
  /** Sewn goods: a machine that saves seconds at each seam. */
  z.strictObject({
    change: z.literal("seam-handling"),
    by: seamSaver,
    seams: z.int().min(1).max(200),
    savedS: z.number().min(0.1).max(120),
  }),
]);

export const whatIfCard = z.strictObject({
  change: whatIfChange,
  /** Paid once; null while nobody has said. */
  priceCents: cents.min(0).nullable().default(null),
  /** Paid each month: wages, rent. */
  monthlyCents: cents.min(0).nullable().default(null),
});

const played = {
  /** Seasons with different luck, each played by every candidate. */
  seasons: z.int().min(3).max(60).default(12),
  days: z.int().min(7).max(200).default(56),
  /** Orders made like those that came, or the past ones themselves. */
  orders: z.enum(["like-those-that-came", "those-that-came"]).default("like-those-that-came"),
};

/** What people say a thing is worth; what is left empty is not counted in money. */
const worth = z.strictObject({
  /** An hour of a person's work. */
  handHourCents: cents.min(0).nullable(),
  /** A piece that leaves late. */
  latePieceCents: cents.min(0).nullable(),
  /** What a piece leaves of its price once blank, thread and fees are paid; work and lateness stand above. */
  pieceCents: cents.min(0).nullable().default(null),
});

export const whatIfQuestion = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("changes"), cards: z.array(whatIfCard).min(1).max(12), worth, ...played }),
  z.strictObject({ kind: z.literal("how-many-hoops"), hoopId: id, most: z.int().min(2).max(40), ...played }),
  z.strictObject({
    kind: z.literal("how-many-machines"),
    likeId: id,
    most: z.int().min(2).max(20),
    ...played,
  }),
  z.strictObject({
    kind: z.literal("what-next"),
    cards: z.array(whatIfCard).min(1).max(8),
    budgetCents: cents.min(0).nullable().default(null),
    worth,
    ...played,
  }),
]);

const estimate = z.object({
  mean: z.number(),
  low: z.number(),
  high: z.number(),
  level: z.number(),
  count: z.int(),
});

export const assumption = z.object({
  what: z.string(),
  value: z.string(),
  /** entered: on a record of the studio; default: common practice; guessed: nobody knows better yet. */
  source: z.enum(["measured", "entered", "default", "guessed"]),
  /** Of how many, where it is measured. */
  count: z.int().nullable(),
});

const measured = z.object({
  measure: z.string(),
  words: z.string(),
  /** Money in minor units of the currency. */
  unit: z.enum(["share", "pieces", "hours", "minutes", "count", "money"]),
  today: estimate,
  changed: estimate,
  difference: estimate,
  /** Stands out of chance although all measures are looked at together (Holm's test, 95 %). */
  isPlain: z.boolean(),
  /** Which way is better: less, or more; neither where it depends. */
  better: z.enum(["less", "more", "neither"]),
});

const money = z.object({
  /** A month, after what is paid each month: from the profit played, or from what people said things are worth. */
  gainCents: estimate,
  priceCents: z.int(),
  /** Weeks until the price is back; null where it is never back. */
  backInWeeks: z.object({ early: z.number(), likely: z.number(), late: z.number().nullable() }).nullable(),
});

export const whatIfResult = z.discriminatedUnion("kind", [
  z.object({
    kind: z.literal("changes"),
    sentence: z.string(),
    measures: z.array(measured),
    money: money.nullable(),
    moneySentence: z.string(),
    /** One thing more on top of the changes: what would help most then. */
    binding: z.array(z.object({ what: z.string(), sentence: z.string(), isPlain: z.boolean() })),
    bindingSentence: z.string(),
    /** Pieces no machine of the changed shop can sew, a season. */
    impossible: z.number(),
    /** How busy hands and machines are today, and then. */
    busySentence: z.string(),
  }),
  z.object({
    kind: z.literal("curve"),
    sentence: z.string(),
    words: z.string(),
    unit: z.enum(["hours", "minutes"]),
    points: z.array(z.object({ at: z.int(), value: estimate, isToday: z.boolean() })),
    /** The number at the knee; null for a curve without one. */
    kneeAt: z.int().nullable(),
  }),
  z.object({
    kind: z.literal("ladder"),
    sentence: z.string(),
    rungs: z.array(
      z.object({
        what: z.string(),
        priceCents: z.int(),
        sentence: z.string(),
        gainCents: estimate.nullable(),
      }),
    ),
    stopped: z.string(),
  }),
]);

export const whatIfRun = z.object({
  id,
  title: z.string(),
  askedAtMs: atMs,
  state: z.enum(["running", "stopped", "done", "failed"]),
  /** Seasons played and to be played; a ladder adds more as it climbs. */
  played: z.int(),
  toPlay: z.int(),
  sentence: z.string(),
  failure: z.string().nullable(),
});

const named = z.object({ id, name });

export const whatIfShop = z.object({
  today: calendarDate,
  currency: z.string(),
  turnaroundDays: z.int(),
  /** The wage on Costs; null while none is entered there. */
  wageCentsPerHour: z.number().nullable(),
  machines: z.array(named.extend({ needles: z.int(), stitchesPerMinute: z.int() })),
  hoops: z.array(named.extend({ count: z.int(), kind: z.enum(["magnetic", "screw"]) })),
  people: z.array(named),
  pastOrders: z.int(),
  pastPieces: z.int(),
  /** Since when orders are known; null without any. */
  pastFrom: calendarDate.nullable(),
  piecesADay: z.number(),
  /** What Costs still miss before cost and profit can be told; empty when nothing. */
  costsMissing: z.array(z.string()).readonly(),
  /** Goods are sewn by hand here: the card of seams says something. */
  sewsGoods: z.boolean(),
  /** Why nothing can be asked yet; null when it can. */
  whyNot: z.string().nullable(),
});

const oneRun = z.object({
  run: whatIfRun,
  question: whatIfQuestion,
  assumptions: z.array(assumption),
  /** Of a question still being played: from the seasons that every shop has played; it sharpens. */
  result: whatIfResult.nullable(),
  /** Seasons the result is of; null without one. */
  resultSeasons: z.int().nullable(),
});

/** The repairs of one machine by the hours on its meter, as a file: a seller hands it over, a buyer reads it in. */
export const repairLog = z.strictObject({
  format: z.literal("spoolwright/repair-log@1"),
  machine: name,
  /** The meter when the log begins: repairs before it are not in it. */
  fromHours: z.number().min(0).max(1_000_000),
  meterHours: z.number().min(0).max(1_000_000),
  repairs: z
    .array(
      z.strictObject({
        atHours: z.number().min(0).max(1_000_000),
        on: calendarDate,
        what: z.string().max(300),
        costCents: cents.min(0).nullable(),
      }),
    )
    .max(1000),
});

const repairsKnown = z.object({
  machines: z.array(z.object({ id, name, meterHours: z.number(), repairs: z.int() })),
  /** The machine whose record was read in. */
  seller: z.object({ meterHours: z.number(), repairs: z.int() }).nullable(),
  /** Null while no repair is on record. */
  fitted: z
    .object({
      firstAfterHours: z.number(),
      shape: z.number(),
      count: z.int(),
      /** Mean of those whose cost was noted. */
      repairCents: z.int().nullable(),
    })
    .nullable(),
  words: z.string(),
});

const aYear = z.object({ low: z.number(), likely: z.number(), high: z.number() });

/** A used machine beside a new one of its kind. */
export const usedQuestion = z.strictObject({
  fresh: z.strictObject({ priceCents: cents.min(1), resaleCents: cents.min(0) }),
  used: z.strictObject({
    priceCents: cents.min(0),
    hours: z.number().min(0).max(100_000),
    resaleCents: cents.min(0),
  }),
  hoursAYear: z.number().min(1).max(8760),
  years: z.int().min(1).max(30),
  /** What money costs a year, as a share. */
  rate: z.number().min(0).max(1),
  failures: z.strictObject({
    /** Hours by which a new one has failed once on the mean. */
    firstAfterHours: z.number().min(1).max(1_000_000),
    /** 1: hours run do not matter; above 1 machines wear. */
    shape: z.number().min(0.5).max(5),
    /** Failures this is known from; null for a guess. */
    count: z.int().min(1).max(10_000).nullable(),
    repairCents: cents.min(0),
    daysAway: z.number().min(0).max(90),
  }),
  /** A day without it, on the shop's orders: ask with the card of a machine that is away. */
  lostDayCents: cents.min(0),
});

export const usedAnswer = z.object({
  sentence: z.string(),
  /** Cents a year over its time here. */
  freshAYear: aYear,
  usedAYear: aYear,
  /** The used one is better below these hours on its meter; null: its hours do not matter. */
  evenHours: aYear.nullable(),
  /** The used one is better below this price, at its hours. */
  evenPriceCents: aYear,
  /** Failures expected while it is here. */
  failures: z.object({ fresh: z.number(), used: z.number() }),
  /** What the range stands for. */
  doubt: z.string(),
  /** To be asked before paying. */
  questions: z.array(z.string()).readonly(),
});

export const whatIfRows = {
  knownRepairs: row({
    method: "POST",
    path: "/api/what-if/repairs",
    summary: "How often machines fail by the repairs on record here, and on a record that is read in",
    body: z.strictObject({ log: repairLog.nullable() }),
    output: repairsKnown,
    carriage: "json",
  }),
  repairLogFile: row({
    method: "GET",
    path: "/api/machines/:id/repairs.json",
    summary: "A machine's repairs by the hours on its meter, as a file for whoever buys it",
    carriage: "bytes",
    mediaType: "application/json",
  }),
  newOrUsed: row({
    method: "POST",
    path: "/api/what-if/new-or-used",
    summary:
      "A used machine beside a new one: what each costs a year, and from which hours or price on it turns",
    body: usedQuestion,
    output: usedAnswer,
    carriage: "json",
  }),
  whatIf: row({
    method: "GET",
    path: "/api/what-if",
    summary: "The shop as it is for questions to it, with every assumption, and the questions asked so far",
    output: z.object({ shop: whatIfShop, runs: z.array(whatIfRun) }),
    carriage: "json",
  }),
  askWhatIf: row({
    method: "POST",
    path: "/api/what-if/runs",
    summary: "Asks a question: it is played through in threads, and each season played is kept",
    body: whatIfQuestion,
    output: oneRun,
    carriage: "json",
  }),
  readWhatIf: row({
    method: "GET",
    path: "/api/what-if/runs/:id",
    summary: "A question with its assumptions, how far it is played, and its result",
    output: oneRun,
    carriage: "json",
  }),
  stopWhatIf: row({
    method: "POST",
    path: "/api/what-if/runs/:id/stop",
    summary: "Stops playing; what was played is kept",
    output: oneRun,
    carriage: "json",
  }),
  resumeWhatIf: row({
    method: "POST",
    path: "/api/what-if/runs/:id/resume",
    summary: "Goes on where a stopped question was",
    output: oneRun,
    carriage: "json",
  }),
};

export type WhatIfChange = z.output<typeof whatIfChange>;
export type WhatIfCard = z.output<typeof whatIfCard>;
export type WhatIfQuestion = z.output<typeof whatIfQuestion>;
export type WhatIfResult = z.output<typeof whatIfResult>;
export type WhatIfRun = z.output<typeof whatIfRun>;
export type WhatIfShop = z.output<typeof whatIfShop>;
export type WhatIfAnswer = z.output<typeof oneRun>;
export type UsedQuestion = z.output<typeof usedQuestion>;
export type UsedAnswer = z.output<typeof usedAnswer>;
export type RepairLog = z.output<typeof repairLog>;
export type RepairsKnown = z.output<typeof repairsKnown>;
export type Assumption = z.output<typeof assumption>;
