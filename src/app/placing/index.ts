import type { Answers, Context } from "../context";
import { habitAnswers } from "./habits";
import { knownAnswers } from "./known";
import { placingsAnswers } from "./placings";
import { ruleAnswers } from "./rules";
import { teachingAnswers } from "./teaching";

/**
 * Placing's answers: what is taught once, what is known of a run, what its marks say, habits. Numbers come from
 * core/placing alone; here records are read and kept.
 */
export function placingAnswers(context: Context, plannedOn: (jobId: string) => Promise<string | null>) {
  return {
    ...teachingAnswers(context),
    ...ruleAnswers(context),
    ...knownAnswers(context, plannedOn),
    ...placingsAnswers(context),
    ...habitAnswers(context),
  } satisfies Partial<Answers>;
}

export { type PlacedFile, placedFiles } from "./files";
export { withSecondRuns } from "./second-runs";
