import { z } from "zod";
import { refusals } from "#core/base";
import type { Plan, Problem } from "#core/planning";

/**
 * The planning problem and the plan as they travel (docs/formats/problem.md, plan.md): closed shapes, whole seconds,
 * and errors that name the field, what was found and what was expected. What may be left out is filled in.
 */

/** Far beyond any plan, and small enough for the planner's whole numbers. */
const LATEST_S = 1_000_000_000;
const seconds = z.int().min(0).max(LATEST_S);
const amount = z.number().min(0).max(1e9);
const name = z.string().min(1);
const interval = z
  .tuple([seconds, seconds])
  .refine(([start, end]) => start <= end, { error: "an interval that ends at or after its start" });
const absent =
  <T>(value: T) =>
  (given: unknown) =>
    given ?? value;
const intervals = z.array(interval);

const hand = z.strictObject({ id: name, shifts: intervals });
const hoopKind = z.strictObject({ id: name, count: z.int().min(0).max(100_000) });
const machine = z.strictObject({
  id: name,
  needles: z.int().min(1).max(1000),
  threaded: z.array(name.nullable()),
  fixed: z.preprocess(absent([]), z.array(z.int().min(1))),
  hoops: z.preprocess(absent([]), z.array(name)),
  down: z.preprocess(absent([]), intervals),
  stitchesPerMinute: z.number().positive().max(1e6),
  colourChangeS: amount,
  trimS: amount,
  threadS: seconds,
  loadS: seconds,
  unloadS: seconds,
});
/** What was due before the plan's start is late from the first second on. */
const due = z.preprocess(absent(null), z.int().min(-LATEST_S).max(LATEST_S).nullable());
const weight = z.preprocess(absent(1), amount);
const release = z.preprocess(absent(0), seconds);
const job = z.strictObject({
  id: name,
  parts: z
    .array(z.strictObject({ colour: name, stitches: z.int().min(0).max(1e8) }))
    .min(1)
    .max(2000),
  trims: z.preprocess(absent(0), z.int().min(0).max(1e7)),
  hoop: z.preprocess(absent(null), name.nullable()),
  machines: z.preprocess(absent(null), z.array(name).nullable()),
  releaseAt: release,
  dueAt: due,
  weight,
  hoopS: seconds,
  unhoopS: seconds,
  finishS: seconds,
});
const chore = z.strictObject({
  id: name,
  machine: z.preprocess(absent(null), name.nullable()),
  seconds,
  releaseAt: release,
  dueAt: due,
  weight,
});
const problemShape = z.strictObject({
  format: z.literal("spoolwright/problem@1"),
  hands: z.array(hand),
  open: intervals,
  hoops: z.preprocess(absent([]), z.array(hoopKind)),
  machines: z.array(machine),
  jobs: z.array(job).max(20_000),
  chores: z.preprocess(absent([]), z.array(chore).max(20_000)),
  cost: z.strictObject({
    perLateMinute: amount,
    perThreading: amount,
    perMidStop: amount,
    perFinishMinute: amount,
  }),
});

const reference = { job: name.optional(), chore: name.optional() };
const planShape = z.strictObject({
  format: z.literal("spoolwright/plan@1"),
  runs: z.array(
    z.strictObject({
      job: name,
      machine: name,
      hoop: name.nullable(),
      needles: z.array(z.int().min(1)),
      stretches: z.array(
        z.strictObject({ from: z.int().min(0), to: z.int().min(0), start: seconds, end: seconds }),
      ),
    }),
  ),
  tasks: z.array(
    z.strictObject({
      hand: name,
      do: z.enum(["hoop", "thread", "load", "unload", "unhoop", "finish", "chore"]),
      ...reference,
      machine: name.optional(),
      needle: z.int().min(1).optional(),
      colour: name.optional(),
      start: seconds,
      end: seconds,
    }),
  ),
  unplanned: z.array(z.strictObject({ ...reference, why: z.string() })),
  totals: z.strictObject({
    cost: z.number(),
    threadings: z.int(),
    midStops: z.int(),
    lateJobs: z.int(),
    lateMinutes: z.number(),
    finishAt: z.int(),
  }),
  bounds: z.strictObject({ cost: z.number(), threadings: z.number(), finishAt: z.number() }),
  solver: z.looseObject({ seconds: z.number(), seed: z.int(), evaluations: z.int() }),
});

export const refusePlanning = refusals({
  "problem-invalid": {
    status: 422,
    title: "The planning problem breaks its format",
    advice: "Mend the named fields; docs/formats/problem.md describes each.",
  },
  "plan-invalid": {
    status: 422,
    title: "The plan breaks its format",
    advice: "Mend the named fields; docs/formats/plan.md describes each.",
  },
});

/** The problem, with what was left out filled in; a Refusal that names every wrong field (at most 20). */
export function parseProblem(value: unknown): Problem {
  const read = problemShape.safeParse(value);
  if (!read.success) throw refusalOf("problem-invalid", "planning problem", value, read.error);
  const faults = faultsOf(read.data);
  if (faults.length > 0) throw refusal("problem-invalid", "planning problem", faults);
  return read.data;
}

export function parsePlan(value: unknown): Plan {
  const read = planShape.safeParse(value);
  if (!read.success) throw refusalOf("plan-invalid", "plan", value, read.error);
  return read.data as Plan;
}

interface Fault {
  readonly field: string;
  readonly found: string;
  readonly expected: string;
}

function refusal(code: "problem-invalid" | "plan-invalid", what: string, faults: readonly Fault[]) {
  const [first] = faults;
  const more = faults.length > 1 ? ` (and ${faults.length - 1} more)` : "";
  const says = `The ${what} cannot be read: ${first!.field}: found ${first!.found}, expected ${first!.expected}${more}.`;
  return refusePlanning(code, says, faults.slice(0, 20));
}

function refusalOf(
  code: "problem-invalid" | "plan-invalid",
  what: string,
  value: unknown,
  error: z.ZodError,
) {
  return refusal(
    code,
    what,
    error.issues.flatMap((issue) => faultsOfIssue(issue, value)),
  );
}

function faultsOfIssue(issue: z.core.$ZodIssue, value: unknown): Fault[] {
  const field = pathText(issue.path) || "the document";
  if (issue.code === "unrecognized_keys") {
    return issue.keys.map((key) => ({
      field: `${pathText(issue.path)}${issue.path.length > 0 ? "." : ""}${key}`,
      found: "a field of that name",
      expected: "no such field",
    }));
  }
  return [{ field, found: shown(at(value, issue.path)), expected: expectation(issue) }];
}

const kinds: Readonly<Record<string, string>> = {
  int: "a whole number",
  array: "a list",
  tuple: "a list",
  object: "an object",
  string: "a text",
  boolean: "true or false",
};

function expectation(issue: z.core.$ZodIssue): string {
  switch (issue.code) {
    case "invalid_type":
      return kinds[issue.expected] ?? `a ${issue.expected}`;
    case "too_small":
      if (issue.origin === "array") return `at least ${issue.minimum} entries`;
      if (issue.origin === "string") return "a text that is not empty";
      return `a number ${issue.inclusive ? "of at least" : "above"} ${issue.minimum}`;
    case "too_big":
      return issue.origin === "array"
        ? `at most ${issue.maximum} entries`
        : `a number of at most ${issue.maximum}`;
    case "invalid_value":
      return issue.values.map((value) => JSON.stringify(value)).join(" or ");
    default:
      return issue.message;
  }
}

const pathText = (path: readonly PropertyKey[]): string =>
  path.reduce<string>(
    (text, step) =>
      typeof step === "number" ? `${text}[${step}]` : text === "" ? String(step) : `${text}.${String(step)}`,
    "",
  );

function at(value: unknown, path: readonly PropertyKey[]): unknown {
  let here = value;
  for (const step of path) {
    if (here === null || typeof here !== "object") return undefined;
    here = (here as Record<PropertyKey, unknown>)[step];
  }
  return here;
}

function shown(value: unknown): string {
  if (value === undefined) return "nothing";
  if (Array.isArray(value)) return value.length > 4 ? `a list of ${value.length}` : JSON.stringify(value);
  const text = JSON.stringify(value) ?? String(value);
  return text.length > 60 ? `${text.slice(0, 57)}…` : text;
}

type Read = z.output<typeof problemShape>;

/** What a shape cannot say: ids are unique, references lead somewhere, needles exist. */
function faultsOf(problem: Read): Fault[] {
  const faults: Fault[] = [];
  const say = (field: string, found: string, expected: string) => faults.push({ field, found, expected });
  for (const list of ["hands", "hoops", "machines", "jobs", "chores"] as const) {
    const seen = new Map<string, number>();
    problem[list].forEach((entry, index) => {
      const before = seen.get(entry.id);
      if (before !== undefined)
        say(
          `${list}[${index}].id`,
          JSON.stringify(entry.id),
          `an id not used before (${list}[${before}] has it)`,
        );
      seen.set(entry.id, index);
    });
  }
  const machines = new Set(problem.machines.map((entry) => entry.id));
  problem.machines.forEach((entry, m) => {
    const own = `machines[${m}]`;
    if (entry.threaded.length !== entry.needles)
      say(
        `${own}.threaded`,
        `${entry.threaded.length} entries`,
        `one entry for each of ${entry.needles} needles`,
      );
    entry.fixed.forEach((needle, index) => {
      if (needle > entry.needles)
        say(`${own}.fixed[${index}]`, String(needle), `a needle from 1 to ${entry.needles}`);
    });
  });
  problem.jobs.forEach((entry, j) =>
    entry.machines?.forEach((id, index) => {
      if (!machines.has(id))
        say(`jobs[${j}].machines[${index}]`, JSON.stringify(id), "the id of a machine of the problem");
    }),
  );
  problem.chores.forEach((entry, c) => {
    if (entry.machine !== null && !machines.has(entry.machine))
      say(`chores[${c}].machine`, JSON.stringify(entry.machine), "the id of a machine of the problem");
  });
  return faults;
}
