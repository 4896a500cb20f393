import type { z } from "zod";
import type { shapes } from "#contract";

/** What is wrong with each field, by its dotted path. */
export type FieldErrors = Readonly<Record<string, string>>;

type Issue = z.core.$ZodIssue;

/** What is wrong, in the words of whoever types: zod's own words where they are ours. */
function wordsOf(issue: Issue): string {
  if (issue.code === "invalid_type")
    return issue.expected === "number" || issue.expected === "int"
      ? "A number is needed."
      : "This is needed.";
  if (issue.code === "too_small" && issue.origin !== "string" && issue.origin !== "array")
    return `At least ${String(issue.minimum)}.`;
  if (issue.code === "too_big" && issue.origin !== "string" && issue.origin !== "array")
    return `At most ${String(issue.maximum)}.`;
  if (issue.code === "too_big")
    return `At most ${String(issue.maximum)} ${issue.origin === "array" ? "entries" : "letters"}.`;
  if (issue.code === "invalid_format" || issue.code === "custom" || issue.code === "too_small")
    return sentence(issue.message);
  if (issue.code === "invalid_value") return "Choose one.";
  return sentence(issue.message);
}

const sentence = (text: string) =>
  `${text.charAt(0).toUpperCase()}${text.slice(1)}${/[.!?]$/.test(text) ? "" : "."}`;

/** Checks a body against its shape before it is sent, so that the reason stands beside the field at once. */
export function checkBody(shape: z.ZodType, body: unknown): FieldErrors {
  const checked = shape.safeParse(body);
  if (checked.success) return {};
  const errors: Record<string, string> = {};
  for (const issue of checked.error.issues) errors[issue.path.join(".")] ??= wordsOf(issue);
  return errors;
}

/** The program's own errors[] by field; a problem without fields gives none. */
export function errorsOfProblem(problem: shapes.ProblemDocument): FieldErrors {
  const errors: Record<string, string> = {};
  for (const { field, found, expected } of problem.errors ?? []) {
    const path = (field ?? "").replace(/^body\./, "").replace(/\[(\d+)\]/g, ".$1");
    errors[path] ??=
      [expected && `Expected ${expected}`, found !== undefined && found !== "" && `found ${found}`]
        .filter(Boolean)
        .join(", ") + ".";
  }
  return errors;
}
