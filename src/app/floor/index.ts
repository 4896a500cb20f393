import type { Answers, Context } from "../context";
import type { PlanInForceNow } from "../plans";
import { historyAnswers } from "./history";
import { learningAnswers } from "./learning";
import { floorNowAnswers } from "./now";
import { tellingAnswers } from "./telling";

/** The floor's answers: telling what happened, what stands now, where the minutes went, what was learned. */
export function floorAnswers(
  context: Context,
  planInForce: () => Promise<PlanInForceNow | null>,
): Pick<Answers, "tellFloor" | "floorNow" | "floorHistory" | "learnedTimes" | "fixLearned"> {
  return {
    ...tellingAnswers(context, planInForce),
    ...floorNowAnswers(context),
    ...historyAnswers(context),
    ...learningAnswers(context),
  };
}
