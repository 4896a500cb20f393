import type { Plan } from "#core/planning";
import type { Answers, Context } from "../context";
import { floorNowAnswers } from "./now";
import { tellingAnswers } from "./telling";

/** The floor's answers: telling what happened, and what stands now. */
export function floorAnswers(
  context: Context,
  planInForce: () => Promise<Pick<Plan, "runs"> | null>,
): Pick<Answers, "tellFloor" | "floorNow"> {
  return { ...tellingAnswers(context, planInForce), ...floorNowAnswers(context) };
}
