import { z } from "zod";
import { row } from "./row";
import { atMs, calendarDate, id } from "./values";

/** Where the minutes went, planned against real, and what the floor has taught of times. */

const use = z.enum([
  "sewing",
  "threading",
  "loading",
  "mending",
  "care",
  "down",
  "waiting-hands",
  "waiting-work",
]);

const secondsByUse = z.object({
  sewing: z.number(),
  threading: z.number(),
  loading: z.number(),
  mending: z.number(),
  care: z.number(),
  down: z.number(),
  "waiting-hands": z.number(),
  "waiting-work": z.number(),
});

const handUse = z.enum([
  "hooping",
  "threading",
  "loading",
  "mending",
  "finishing",
  "packing",
  "sewing",
  "care",
  "waiting-machine",
  "away",
  "not-told",
]);

const secondsByHandUse = z.object({
  hooping: z.number(),
  threading: z.number(),
  loading: z.number(),
  mending: z.number(),
  finishing: z.number(),
  packing: z.number(),
  sewing: z.number(),
  care: z.number(),
  "waiting-machine": z.number(),
  away: z.number(),
  "not-told": z.number(),
});

const learned = z.object({
  quantity: z.enum(["hooping", "threading", "loading", "sewing-speed", "finishing"]),
  /** The machine, hoop or product it is of; empty for the whole shop. */
  subjectId: z.string(),
  subject: z.string(),
  unit: z.enum(["s", "stitches/min"]),
  usual: z.number(),
  estimate: z.number(),
  average: z.number(),
  low: z.number(),
  high: z.number(),
  level: z.number(),
  observations: z.int(),
  rejected: z.int(),
  source: z.enum(["learned", "default", "fixed"]),
  /** Where a person set a time on the record, or fixed one here. */
  fixed: z.number().nullable(),
  fixedOnRecord: z.boolean(),
  sentence: z.string(),
});

export const floorHistory = z.object({
  from: calendarDate,
  to: calendarDate,
  days: z.array(
    z.object({
      date: calendarDate,
      machines: z.array(
        z.object({
          machineId: id,
          seconds: secondsByUse,
          spans: z.array(z.object({ fromMs: atMs, toMs: atMs, use, jobId: z.string().nullable() })),
        }),
      ),
      people: z.array(
        z.object({
          personId: id,
          /** Things told by this person, by kind. */
          told: z.record(z.string(), z.int()),
          /** Of the person's hours, by what they went on as far as it was told. */
          seconds: secondsByHandUse,
          spans: z.array(z.object({ fromMs: atMs, toMs: atMs, use: handUse, jobId: z.string().nullable() })),
          /** What the plan had for this person of what was told, and when and by whom it was done. */
          planned: z.array(
            z.object({
              kind: z.string(),
              jobId: z.string().nullable(),
              fromMs: atMs,
              toMs: atMs,
              doneAtMs: atMs,
              doneBy: id.nullable(),
            }),
          ),
        }),
      ),
      /** Work of hands told with nobody named. */
      nobodys: z.int(),
    }),
  ),
  machines: z.array(z.object({ id, name: z.string() })),
  people: z.array(z.object({ id, name: z.string() })),
  /** Runs that came off in these days, planned against real. */
  runs: z.array(
    z.object({
      jobId: id,
      pieceId: id,
      title: z.string(),
      machineId: id.nullable(),
      stage: z.string(),
      plannedStartMs: atMs.nullable(),
      plannedEndMs: atMs.nullable(),
      startedAtMs: atMs.nullable(),
      endedAtMs: atMs.nullable(),
      sewedS: z.number(),
      expectedS: z.number(),
      stitches: z.int(),
      breaks: z.int(),
      /** Nobody told of it at a station: its times are taken from its piece's page. */
      estimated: z.boolean(),
    }),
  ),
  totals: z.object({
    seconds: secondsByUse,
    pieces: z.int(),
    spoiled: z.int(),
    stitches: z.int(),
    breaks: z.int(),
    threadMetres: z.number(),
    bobbins: z.number(),
  }),
  waiting: z
    .object({
      waitedShare: z.number(),
      byChance: z.number(),
      byChanceSteady: z.number(),
      beyondChanceS: z.number(),
      sentence: z.string(),
    })
    .nullable(),
});

export const historyRows = {
  floorHistory: row({
    method: "GET",
    path: "/api/floor/history",
    summary: "Where the minutes of these days went, machine by machine, and runs planned against real",
    query: z.strictObject({ from: calendarDate, to: calendarDate }),
    output: floorHistory,
    carriage: "json",
  }),
  learnedTimes: row({
    method: "GET",
    path: "/api/floor/learned",
    summary:
      "What the floor has taught of times, speeds and thread breaks, each with its observations and range",
    output: z.object({
      times: z.array(learned),
      breaks: z.array(
        z.object({
          machineId: z.string(),
          machine: z.string(),
          perThousand: z.number(),
          low: z.number(),
          high: z.number(),
          level: z.number(),
          breaks: z.number(),
          stitches: z.number(),
          source: z.enum(["learned", "default", "fixed"]),
          sentence: z.string(),
        }),
      ),
    }),
    carriage: "json",
  }),
  fixLearned: row({
    method: "PUT",
    path: "/api/floor/learned",
    summary: "Fixes a value by hand, or lets it be learned again with null",
    body: z.strictObject({
      quantity: learned.shape.quantity,
      subjectId: z.string().max(64),
      value: z.number().gt(0).max(100_000).nullable(),
    }),
    output: learned,
    carriage: "json",
  }),
};
