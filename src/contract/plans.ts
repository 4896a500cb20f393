import { z } from "zod";
import { pieceState, urgency } from "./orders";
import { row } from "./row";
import { atMs, calendarDate, id } from "./values";

/** The day's plan: asking for one, watching it being found, and what Today shows of it. */

const pictured = z.object({ id, code: z.string(), name: z.string(), rgb: z.string() });

/** What a page needs to know of one job of the plan. */
export const plannedJob = z.object({
  jobId: id,
  pieceId: id,
  pieceCode: z.string(),
  pieceVersion: z.int(),
  state: pieceState,
  urgency,
  pinnedMachineId: id.nullable(),
  /** What it is called on the board: the personal text, or the design's name. */
  title: z.string(),
  personalText: z.string(),
  product: z.string(),
  placement: z.string(),
  where: z.string(),
  hoopName: z.string().nullable(),
  backing: z.string().nullable(),
  topping: z.string().nullable(),
  needleAdvice: z.string(),
  orderId: id,
  orderReference: z.string(),
  customer: z.string(),
  promiseDate: calendarDate,
  shipBy: calendarDate,
  designVersionId: id.nullable(),
  designName: z.string(),
  parts: z.array(z.object({ threadId: id, stitches: z.int() })),
  caution: z.string(),
  /** One true sentence: why it stands where it stands. */
  why: z.string(),
  /** What makes it late, in words; empty while it is on time or not looked into. */
  whyLate: z.string(),
});

export const plannedChore = z.object({
  choreId: id,
  title: z.string(),
  machineId: id.nullable(),
  pieceIds: z.array(id),
  orderReference: z.string().nullable(),
  shipBy: calendarDate.nullable(),
  /** Of care: its rule, the needle where it is about one, what to do and what to mind. */
  ruleId: z.string().nullable().default(null),
  needle: z.int().nullable().default(null),
  instructions: z.array(z.string()).default([]),
  caution: z.string().default(""),
});

const taskDo = z.enum(["hoop", "thread", "load", "unload", "unhoop", "finish", "chore"]);

/** spoolwright/plan@1 as docs/formats/plan.md has it; times are seconds after `startsAtMs`. */
export const planShape = z.object({
  format: z.literal("spoolwright/plan@1"),
  runs: z.array(
    z.object({
      job: z.string(),
      machine: z.string(),
      hoop: z.string().nullable(),
      needles: z.array(z.int()),
      stretches: z.array(z.object({ from: z.int(), to: z.int(), start: z.int(), end: z.int() })),
    }),
  ),
  tasks: z.array(
    z.object({
      hand: z.string(),
      do: taskDo,
      job: z.string().optional(),
      chore: z.string().optional(),
      machine: z.string().optional(),
      needle: z.int().optional(),
      colour: z.string().optional(),
      start: z.int(),
      end: z.int(),
    }),
  ),
  unplanned: z.array(z.object({ job: z.string().optional(), chore: z.string().optional(), why: z.string() })),
  totals: z.object({
    cost: z.number(),
    threadings: z.int(),
    midStops: z.int(),
    lateJobs: z.int(),
    lateMinutes: z.number(),
    finishAt: z.int(),
  }),
  bounds: z.object({ cost: z.number(), threadings: z.number(), finishAt: z.number() }),
  solver: z.looseObject({ seconds: z.number(), seed: z.int(), evaluations: z.int() }),
});

const spans = z.array(z.tuple([z.number(), z.number()]));

export const planView = z.object({
  planId: id,
  madeAtMs: atMs,
  /** Second 0 of the plan. */
  startsAtMs: atMs,
  timeZone: z.string(),
  /** Whether records that matter to the plan have changed since it was made. */
  stale: z.boolean(),
  /** What changed, in words; empty while the plan holds. */
  staleWhy: z.string(),
  /** How many pieces of the plan that touches. */
  stalePieces: z.int(),
  /** The jobs that stand elsewhere than in the plan before, and what made them; null where there was none before. */
  moved: z.object({ jobIds: z.array(id), why: z.string() }).nullable(),
  plan: planShape,
  machines: z.array(
    z.object({
      id,
      name: z.string(),
      needles: z.int(),
      threaded: z.array(id.nullable()),
      fixed: z.array(z.int()),
      down: spans,
      stitchesPerMinute: z.number(),
    }),
  ),
  hands: z.array(z.object({ id, name: z.string(), skills: z.array(z.string()), shifts: spans })),
  open: spans,
  hoops: z.array(z.object({ id, name: z.string(), count: z.int() })),
  threads: z.array(pictured),
  jobs: z.array(plannedJob),
  chores: z.array(plannedChore),
  /** Pieces that are not in the plan at all, with the reason. */
  leftOut: z.array(
    z.object({
      pieceId: id,
      pieceCode: z.string(),
      title: z.string(),
      product: z.string(),
      shipBy: calendarDate,
      why: z.string(),
      advice: z.string(),
    }),
  ),
  headline: z.object({
    pieces: z.int(),
    late: z.array(z.object({ jobId: id, title: z.string(), minutes: z.number(), why: z.string() })),
    tightest: z.object({ jobId: id, title: z.string(), spareS: z.int() }).nullable(),
    careful: z
      .object({
        threadings: z.int(),
        midStops: z.int(),
        lateJobs: z.int(),
        finishAt: z.int(),
        cost: z.number(),
      })
      .nullable(),
  }),
});

export const planningRun = z.object({
  state: z.enum(["idle", "running", "done", "failed", "cancelled"]),
  /** Whether the program follows a change by itself, what changed, and how many pieces of the plan that touches. */
  byItself: z.boolean(),
  why: z.string(),
  touches: z.int(),
  startedAtMs: atMs.nullable(),
  /** The best so far and what is proven, while it runs. */
  best: z
    .object({ cost: z.number(), threadings: z.int(), lateJobs: z.int(), evaluations: z.int() })
    .nullable(),
  bound: z.object({ cost: z.number(), threadings: z.number() }).nullable(),
  /** 0 to 1 of the time given. */
  share: z.number(),
  failure: z.string().nullable(),
  planId: id.nullable(),
});

const planSummary = z.object({
  planId: id,
  madeAtMs: atMs,
  startsAtMs: atMs,
  pieces: z.int(),
  totals: planShape.shape.totals,
  bounds: planShape.shape.bounds,
});

export const planRows = {
  currentPlan: row({
    method: "GET",
    path: "/api/plan",
    summary: "The plan in force, as Today shows it; null before the first",
    output: z.object({ plan: planView.nullable(), run: planningRun }),
    carriage: "json",
  }),
  makePlan: row({
    method: "POST",
    path: "/api/plan",
    summary: "Makes the problem from the records and solves it; watch it at /api/plan/run or by events",
    body: z.strictObject({
      seconds: z.number().min(0.1).max(600).default(8),
      seed: z
        .int()
        .min(0)
        .max(2 ** 31 - 1)
        .default(1),
    }),
    output: planningRun,
    carriage: "json",
  }),
  planningRun: row({
    method: "GET",
    path: "/api/plan/run",
    summary: "How far the solving is",
    output: planningRun,
    carriage: "json",
  }),
  stopPlanning: row({
    method: "POST",
    path: "/api/plan/stop",
    summary: "Stops the solving: `keep` takes the best so far, else the old plan stays",
    body: z.strictObject({ keep: z.boolean() }),
    output: planningRun,
    carriage: "json",
  }),
  listPlans: row({
    method: "GET",
    path: "/api/plans",
    summary: "Plans made, newest first",
    output: z.object({ items: z.array(planSummary) }),
    carriage: "json",
  }),
  planProblem: row({
    method: "GET",
    path: "/api/plans/:id/problem",
    summary: "The problem a plan solved: spoolwright/problem@1",
    output: z.unknown(),
    carriage: "json",
  }),
  planDocument: row({
    method: "GET",
    path: "/api/plans/:id/plan",
    summary: "The plan: spoolwright/plan@1",
    output: planShape,
    carriage: "json",
  }),
};
