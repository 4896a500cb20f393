/**
 * From a planning problem to a plan: which machine, when, in which frame, with which thread on which needle. It
 * knows parts with colours and stitch counts, hands, frames, hours; it does not know designs, orders or calendars,
 * and reads no clock: chance, stop and seconds come in. Times are whole seconds after the plan's start. Invariant:
 * every plan keeps the rules of docs/formats/problem.md, and `checkPlan`, which shares no code with the search, says
 * so. Models and sources: docs/models/planning.md.
 */
export { checkPlan, type Verdict } from "./check";
export { carefulPerson, carefulTotals, describePlan } from "./describe";
export { type Explanation, explainJob, type ExplainOptions, explainPlan, type PlanNames } from "./explain";
export type * from "./problem";
export { jobsMoved, movedJobs, worthOfMove } from "./moved";
export { createReplanning, replan, type ReplanOptions, type Replanning, type ReplanWishes } from "./replan";
export {
  type FramedPiece,
  planAsSeen,
  problemWhileRunning,
  type ProblemWhileRunning,
  type RunningPiece,
  withFramesAsTheyAre,
} from "./running";
export { type Bench, createBench } from "./bench";
export { proofModel } from "./proof-model";
export { type RoundResult, type RoundTask, runRound } from "./round";
export { createSearch } from "./search";
export {
  finishPlan,
  firstPlan,
  follower,
  isProvenBest,
  learnBounds,
  planBounds,
  planSoFar,
  type Progress,
  solve,
  type SolveOptions,
} from "./solve";
