import { z } from "zod";
import { pieceState } from "./orders";
import { row } from "./row";
import { atMs, cents, id, rgb, shortText } from "./values";

/** The floor: events told from stations, what stands now, and what was sewn. */

const base = {
  /** Made by whoever tells, once for what happened: told again it changes nothing. */
  id: z.string().regex(/^[\w.-]{8,64}$/, "expected 8 to 64 letters, digits, dots, dashes or underscores"),
  /** When it happened, by the teller's clock. */
  atMs,
  personId: id.nullable().default(null),
};
const atPiece = { pieceId: id, jobId: id };
const atMachine = { machineId: id };
const until = z.int().min(0);

/** One thing that happened; `kind` says what. */
export const floorEventBody = z.discriminatedUnion("kind", [
  z.strictObject({
    ...base,
    ...atPiece,
    kind: z.literal("hooped"),
    hoop: z.string().max(80).nullable().default(null),
  }),
  z.strictObject({
    ...base,
    ...atMachine,
    kind: z.literal("threaded"),
    needles: z
      .array(z.strictObject({ needle: z.int().min(1).max(100), threadId: id.nullable() }))
      .min(1)
      .max(100),
  }),
  z.strictObject({ ...base, ...atPiece, ...atMachine, kind: z.literal("loaded") }),
  z.strictObject({
    ...base,
    ...atPiece,
    ...atMachine,
    kind: z.literal("started"),
    /** The needle of each part; without it the plan's, or else the one that holds the part's thread. */
    needles: z.array(z.int().min(1).max(100).nullable()).max(500).optional(),
  }),
  z.strictObject({
    ...base,
    ...atPiece,
    ...atMachine,
    kind: z.literal("stopped"),
    why: z.enum(["thread-broke", "bobbin", "needle", "threading", "other"]),
    needle: z.int().min(1).max(100).nullable().default(null),
    note: shortText.default(""),
  }),
  z.strictObject({ ...base, ...atPiece, ...atMachine, kind: z.literal("sewn") }),
  z.strictObject({ ...base, ...atPiece, kind: z.literal("unhooped") }),
  z.strictObject({ ...base, ...atPiece, kind: z.literal("finished") }),
  z.strictObject({ ...base, pieceId: id, kind: z.literal("packed") }),
  z.strictObject({
    ...base,
    pieceId: id,
    jobId: id.nullable().default(null),
    machineId: id.nullable().default(null),
    kind: z.literal("spoiled"),
    why: shortText,
    remake: z.boolean(),
  }),
  z.strictObject({
    ...base,
    ...atPiece,
    machineId: id.nullable().default(null),
    kind: z.literal("skipped"),
    untilMs: until,
  }),
  z.strictObject({
    ...base,
    kind: z.literal("batch-done"),
    choreId: z.string().min(1).max(120),
    pieceIds: z.array(id).min(1).max(500),
  }),
  z.strictObject({ ...base, ...atMachine, kind: z.literal("machine-down"), untilMs: until, why: shortText }),
  z.strictObject({ ...base, ...atMachine, kind: z.literal("machine-up") }),
  z.strictObject({
    ...base,
    awayId: id,
    kind: z.literal("person-away"),
    untilMs: until,
    why: shortText.default(""),
  }),
  z.strictObject({ ...base, awayId: id, kind: z.literal("person-back") }),
  z.strictObject({ ...base, threadId: id, kind: z.literal("thread-out") }),
  z.strictObject({ ...base, threadId: id, kind: z.literal("thread-in") }),
  z.strictObject({
    ...base,
    ...atMachine,
    kind: z.literal("needle-changed"),
    needle: z.int().min(1).max(100),
    why: z.enum(["worn", "struck", "other-size", "other"]),
    sizeNm: z.int().min(50).max(150).nullable().default(null),
    point: z.enum(["sharp", "ball"]).nullable().default(null),
  }),
  z.strictObject({
    ...base,
    ...atMachine,
    kind: z.literal("care-done"),
    ruleId: z.string().min(1).max(80),
    note: shortText.default(""),
  }),
  z.strictObject({
    ...base,
    ...atMachine,
    kind: z.literal("repaired"),
    what: shortText,
    costCents: cents.nullable().default(null),
  }),
  z.strictObject({
    ...base,
    ...atMachine,
    kind: z.literal("meter-read"),
    hours: z.number().min(0).max(1_000_000),
  }),
  z.strictObject({ ...base, kind: z.literal("board-left"), untilMs: until }),
  z.strictObject({ ...base, ...atMachine, kind: z.literal("machine-locked"), untilMs: until }),
  z.strictObject({ ...base, kind: z.literal("taken-back"), eventId: z.string().min(1).max(64) }),
]);
export type FloorEventBody = z.output<typeof floorEventBody>;

const outcome = z.object({
  id: z.string(),
  /** Kept now; known already (told before); or not kept, and why. */
  outcome: z.enum(["kept", "known", "refused"]),
  why: z.string(),
});

const register = z.object({
  kind: z.string(),
  subject: z.string(),
  atMs,
  eventId: z.string(),
  value: z.unknown(),
});

const runFacts = z.object({
  stitches: z.int(),
  trims: z.int(),
  expectedS: z.int(),
  colourChanges: z.int(),
  parts: z
    .array(
      z.object({
        needle: z.int().nullable(),
        threadId: z.string(),
        stitches: z.int(),
        threadMm: z.number(),
      }),
    )
    .readonly(),
  productId: z.string(),
  hoopId: z.string().nullable(),
  planned: z.object({ startMs: z.int(), endMs: z.int() }).nullable().optional(),
});

/** A run as its events tell it: core/floor's Run. */
export const floorRun = z.object({
  jobId: id,
  pieceId: id,
  stage: z.enum(["waiting", "hooped", "loaded", "sewing", "stopped", "sewn", "finished", "spoiled"]),
  machineId: id.nullable(),
  hoop: z.string().nullable(),
  hoopedAtMs: atMs.nullable(),
  loadedAtMs: atMs.nullable(),
  startedAtMs: atMs.nullable(),
  endedAtMs: atMs.nullable(),
  finishedAtMs: atMs.nullable(),
  /** When it came out of its hoop, where that was told before it was finished. */
  unhoopedAtMs: atMs.optional(),
  sewedMs: z.int(),
  sewingSinceMs: atMs.nullable(),
  stops: z
    .array(
      z.object({
        atMs,
        why: z.enum(["thread-broke", "bobbin", "needle", "threading", "other"]),
        needle: z.int().nullable(),
        standingMs: z.int().nullable(),
      }),
    )
    .readonly(),
  facts: runFacts.nullable(),
  /** Its times are taken from moves on its piece's page: it counts with the time expected. */
  estimated: z.literal(true).optional(),
});

const heldPiece = z.object({
  pieceId: id,
  code: z.string(),
  title: z.string(),
  product: z.string(),
  customer: z.string(),
  shipBy: z.string(),
  state: pieceState,
});

export const floorNow = z.object({
  nowMs: atMs,
  /** What counts by its last word: machines, needles, people away, threads used up, care, wishes about the board. */
  registers: z.array(register),
  /** Runs of pieces that are open or were closed today. */
  runs: z.array(floorRun),
  /** Batches of sewn goods told as done since midnight of the studio. */
  doneChores: z.array(z.object({ choreId: z.string(), atMs })),
  /** Sewn and still to be finished: of each the job to tell it of, and whether it may still be in its hoop. */
  toFinish: z.array(heldPiece.extend({ jobId: id, hoopId: id.nullable() })),
  /** Hoops by kind, to know when one is free. */
  hoops: z.array(z.object({ id, name: z.string(), count: z.int() })),
  /** Finished, still to be packed; and packed today. */
  toPack: z.array(heldPiece),
  packed: z.int(),
  machines: z.array(
    z.object({
      id,
      name: z.string(),
      kind: z.enum(["multi-needle", "straight-stitch", "household"]),
      linesUpBy: z.enum(["laser", "camera", "eye"]),
      needles: z.array(
        z.object({
          number: z.int(),
          threadId: z.string().nullable(),
          sizeNm: z.int(),
          point: z.enum(["sharp", "ball"]),
          fixed: z.boolean(),
        }),
      ),
    }),
  ),
  people: z.array(z.object({ id, name: z.string(), skills: z.array(z.string()) })),
  threads: z.array(z.object({ id, code: z.string(), name: z.string(), rgb })),
  /** The newest events, newest first: what may still be taken back stands here. */
  lately: z.array(
    z.object({
      id: z.string(),
      atMs,
      who: z.string(),
      kind: z.string(),
      machineId: id.nullable(),
      personId: id.nullable(),
      pieceId: id.nullable(),
      words: z.string(),
      takenBack: z.boolean(),
    }),
  ),
});

export const floorRows = {
  tellFloor: row({
    method: "POST",
    path: "/api/floor/events",
    summary:
      "Tells what happened on the floor: up to 200 events with their own ids and times, in any order; told again they change nothing",
    body: z.strictObject({ events: z.array(floorEventBody).min(1).max(200) }),
    output: z.object({ outcomes: z.array(outcome) }),
    carriage: "json",
  }),
  floorNow: row({
    method: "GET",
    path: "/api/floor",
    summary: "What stands on the floor now: what each station needs beside the plan",
    output: floorNow,
    carriage: "json",
  }),
};
