import { randomBytes } from "node:crypto";
import type { shapes } from "#contract";
import { Refusal, type RefusalDetail } from "#core/base";
import type { z } from "zod";
import { refuseHttp } from "./refusals";

export const PROBLEM_TYPE = "application/problem+json";

/** A refusal as a problem document (RFC 9457); `type` points into docs/ERRORS.md by its code. */
export function problemOf(refusal: Refusal): shapes.ProblemDocument {
  return {
    type: `urn:spoolwright:problem:${refusal.code}`,
    title: refusal.kind.title,
    status: refusal.kind.status,
    detail: refusal.message,
    code: refusal.code,
    advice: refusal.kind.advice,
    ...(refusal.details.length > 0 ? { errors: refusal.details.map((one) => ({ ...one })) } : {}),
    ...refusal.extra,
  };
}

/** What the outside sees of a bug: a reference to find it in the log by, and nothing of the inside. */
export function bugProblem(): shapes.ProblemDocument & { readonly reference: string } {
  return {
    type: "urn:spoolwright:problem:bug",
    title: "Something went wrong in the program",
    status: 500,
    detail: "The program met something it did not expect. Nothing of this request was kept.",
    code: "bug",
    advice: "Try again; if it stays, tell whoever looks after the program this reference.",
    reference: randomBytes(6).toString("hex"),
  };
}

/** Reads what the web framework itself refuses as one of our refusals; null where it is a bug. */
export function refusalOf(error: unknown): Refusal | null {
  if (error instanceof Refusal) return error;
  const { code, statusCode } = error as { code?: string; statusCode?: number };
  if (code === "FST_ERR_CTP_BODY_TOO_LARGE" || statusCode === 413)
    return refuseHttp("body-too-large", "The body is larger than this request takes.");
  if (code === "FST_ERR_CTP_INVALID_MEDIA_TYPE" || statusCode === 415)
    return refuseHttp("content-type-wrong", "The body's Content-Type is not one this program takes.");
  if (typeof statusCode === "number" && 400 <= statusCode && statusCode < 500)
    return refuseHttp("request-wrong", "The request cannot be read.");
  return null;
}

/** Where zod found something wrong, as field, found and expected. */
export function detailsOf(error: z.ZodError, input: unknown): RefusalDetail[] {
  return error.issues.slice(0, 100).flatMap((issue) => {
    if (issue.code === "unrecognized_keys")
      return issue.keys.map((key) => ({
        field: [...issue.path, key].join("."),
        found: "a field nobody knows",
        expected: "no such field",
      }));
    const found = shown(valueAt(input, issue.path));
    return [{ field: issue.path.join(".") || "body", found, expected: expectedOf(issue) }];
  });
}

const kinds: Readonly<Record<string, string>> = {
  string: "text",
  number: "a number",
  int: "a whole number",
  boolean: "true or false",
  array: "a list",
  object: "an object",
  null: "nothing (null)",
};

/** What a shape wants, in words; a shape's own sentence goes first. */
function expectedOf(issue: z.core.$ZodIssue): string {
  switch (issue.code) {
    case "invalid_type":
      return kinds[issue.expected] ?? issue.expected;
    case "invalid_value":
      return `one of ${issue.values.map(String).join(", ")}`;
    case "too_small":
      return own(issue) ?? bound("at least", issue.minimum, issue.origin, issue.inclusive !== false);
    case "too_big":
      return own(issue) ?? bound("at most", issue.maximum, issue.origin, issue.inclusive !== false);
    case "invalid_union":
      return "one of the forms the interface's description names";
    default:
      return issue.message.replace(/^expected /, "");
  }
}

/** A message of ours; the library's own ones begin alike and speak of JavaScript. */
const own = (issue: z.core.$ZodIssue) =>
  /^(Too (small|big)|Invalid)/.test(issue.message) ? undefined : issue.message;

function bound(words: string, limit: number | bigint, origin: string, inclusive: boolean): string {
  const unit = origin === "string" ? " letters" : origin === "array" || origin === "set" ? " entries" : "";
  return `${inclusive ? words : words === "at least" ? "more than" : "less than"} ${limit}${unit}`;
}

function valueAt(input: unknown, path: readonly PropertyKey[]): unknown {
  return path.reduce<unknown>(
    (at, key) =>
      typeof at === "object" && at !== null && Object.hasOwn(at, key)
        ? (at as Record<PropertyKey, unknown>)[key]
        : undefined,
    input,
  );
}

function shown(value: unknown): string {
  if (value === undefined) return "nothing";
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === "object" && value !== null) return "an object";
  const text = typeof value === "string" ? value : String(value);
  return text.length > 80 ? `${text.slice(0, 80)}…` : text;
}
