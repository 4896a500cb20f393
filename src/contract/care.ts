import { z } from "zod";
import { row } from "./row";
import { atMs, calendarDate, id, shortText } from "./values";

/** Care of machines, where the minutes went, and what the floor has taught. */

export const careRule = z.strictObject({
  id: z.string().regex(/^[a-z0-9-]{2,60}$/, "expected small letters, digits and dashes"),
  name: z.string().trim().min(1, "a name is needed").max(80),
  of: z.union([
    z.strictObject({
      kinds: z.array(z.enum(["multi-needle", "straight-stitch", "household"])).min(1),
    }),
    z.strictObject({ machineIds: z.array(id).min(1).max(100) }),
  ]),
  perNeedle: z.boolean(),
  by: z.enum(["run-hours", "stitches", "pieces", "days"]),
  every: z.number().gt(0).max(100_000_000),
  minutes: z.number().min(1).max(480),
  instructions: z.array(shortText).max(20),
  caution: z.string().max(500),
  needsAway: z.boolean(),
});

const meters = z.object({ runS: z.number(), stitches: z.number(), pieces: z.number(), day: calendarDate });

const standing = z.object({
  machineId: id,
  ruleId: z.string(),
  needle: z.int().nullable(),
  share: z.number(),
  used: z.number(),
  left: z.number(),
  state: z.enum(["fine", "soon", "due", "overdue"]),
  lastDone: meters.nullable(),
  sentence: z.string(),
});

const forecast = z.object({
  early: calendarDate.nullable(),
  likely: calendarDate.nullable(),
  late: calendarDate.nullable(),
  level: z.number(),
  hoursLeft: z.number(),
  hoursPerWeek: z.number().nullable(),
  weeks: z.number(),
  path: z
    .array(z.object({ day: calendarDate, low: z.number(), mean: z.number(), high: z.number() }))
    .readonly(),
  sentence: z.string(),
});

const needleCare = z.object({
  number: z.int(),
  sizeNm: z.int(),
  point: z.enum(["sharp", "ball"]),
  threadId: z.string().nullable(),
  runS: z.number(),
  stitches: z.number(),
  changedAtMs: atMs.nullable(),
  breaks: z.number(),
  /** What its breaks say: rising, or nothing unusual; null while too little was sewn. */
  warning: z.string().nullable(),
});

export const careOfMachine = z.object({
  machineId: id,
  name: z.string(),
  kind: z.enum(["multi-needle", "straight-stitch", "household"]),
  meter: z.object({
    hours: z.number(),
    countedHours: z.number(),
    /** Counted since the last reading for pieces moved on their pages, with the time expected. */
    estimatedHours: z.number(),
    estimatedPieces: z.int(),
    differences: z.array(
      z.object({ atMs, readHours: z.number(), differenceHours: z.number(), sentence: z.string() }),
    ),
  }),
  stitches: z.number(),
  pieces: z.number(),
  standings: z.array(standing),
  needles: z.array(needleCare),
  service: forecast.nullable(),
  /** What carrying it asks for by the revised lifting equation; null where its weight is not entered. */
  lifting: z.string().nullable(),
});

const recordLine = z.object({ atMs, who: z.string(), what: z.string() });

const trip = z.object({
  machineIds: z.array(id).readonly(),
  leaveOn: calendarDate,
  backOn: calendarDate,
  openDays: z.int(),
  closedDays: z.int(),
  lateMinutes: z.number(),
  lateOrders: z.int(),
  sentence: z.string(),
  /** Orders ready at another time because of it, those it makes latest first; of many the first of them. */
  orders: z.array(
    z.object({
      orderId: id,
      reference: z.string(),
      customer: z.string(),
      shipBy: calendarDate,
      /** Pieces that are ready at another time. */
      pieces: z.int(),
      readyBeforeMs: atMs,
      readyAfterMs: atMs,
      lateBeforeMinutes: z.number(),
      lateAfterMinutes: z.number(),
    }),
  ),
  movedOrders: z.int(),
});

export const serviceTrips = z.object({
  turnaroundDays: z.int(),
  today: calendarDate,
  /** Whether the open work was planned through: without a plan nothing is known of orders. */
  isPlanned: z.boolean(),
  proposals: z.array(
    z.object({ trips: z.array(trip), breaksShipDates: z.boolean(), reasons: z.array(z.string()) }),
  ),
});

export const careRows = {
  careNow: row({
    method: "GET",
    path: "/api/care",
    summary: "Care of every machine: meters, what is due, needles, the next service as a range of dates",
    output: z.object({
      rules: z.array(careRule),
      areOwn: z.boolean(),
      machines: z.array(careOfMachine),
    }),
    carriage: "json",
  }),
  keepCareRules: row({
    method: "PUT",
    path: "/api/care/rules",
    summary: "Sets the studio's care rules; null takes the usual ones again",
    body: z.strictObject({ rules: z.array(careRule).min(1).max(60).nullable() }),
    output: z.object({ rules: z.array(careRule), areOwn: z.boolean() }),
    carriage: "json",
  }),
  serviceTrips: row({
    method: "GET",
    path: "/api/care/trips",
    summary:
      "When to take which machine to its service: proposals, each weighed by a plan with those machines away",
    query: z.strictObject({
      /** Hours on the road for one trip, there and back for both ways. */
      travelHours: z.coerce.number().min(0).max(48).default(2),
      horizonDays: z.coerce.number().int().min(7).max(400).default(90),
      mostInOneTrip: z.coerce.number().int().min(1).max(6).default(2),
    }),
    output: serviceTrips,
    carriage: "json",
  }),
  takeTrips: row({
    method: "POST",
    path: "/api/care/trips",
    summary: "Takes a proposal: its machines are away on its days, all of them or none; the plan follows",
    body: z.strictObject({
      trips: z
        .array(
          z.strictObject({
            machineIds: z.array(id).min(1).max(20),
            leaveOn: calendarDate,
            backOn: calendarDate,
          }),
        )
        .min(1)
        .max(20),
    }),
    output: z.object({ machineIds: z.array(id) }),
    carriage: "json",
  }),
  careCalendar: row({
    method: "GET",
    path: "/api/care.ics",
    summary: "Services and other care with a date as an iCalendar feed (RFC 5545)",
    carriage: "bytes",
    mediaType: "text/calendar",
  }),
  machineRecord: row({
    method: "GET",
    path: "/api/machines/:id/record",
    summary: "A machine's record: hours, services, repairs, needle changes, breaks per million stitches",
    output: z.object({
      machineId: id,
      name: z.string(),
      sentences: z.array(z.string()).readonly(),
      lines: z.array(recordLine),
    }),
    carriage: "json",
  }),
  machineRecordSheet: row({
    method: "GET",
    path: "/api/machines/:id/record.pdf",
    summary: "A machine's record on paper",
    query: z.strictObject({ paper: z.enum(["A4", "Letter", ""]).default("") }),
    carriage: "bytes",
    mediaType: "application/pdf",
  }),
};
