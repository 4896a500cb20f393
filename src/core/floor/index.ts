/**
 * The floor: what is told from it, what follows from that, and what to do next. It knows the plan and the nouns; it
 * refuses to know how events are kept and who shows them. Every state is a fold over events that gives the same
 * whatever the order they arrived in. Times are ms since 1970 (`…Ms`) as told by the floor, durations seconds (`…S`).
 */
export {
  byTime,
  type EventOf,
  type FloorEvent,
  type FloorKind,
  type NeedleWhy,
  type RunFacts,
  standingEvents,
  type StopWhy,
} from "./events";
export { registersOfMove } from "./moved-runs";
export { type MovedByHand, type MovedRun, pieceAfter, type PieceStanding } from "./pieces";
export {
  BOARD,
  isLater,
  type Register,
  registerKey,
  type RegisterKind,
  registersOf,
  type RegisterValues,
  standingRegisters,
} from "./registers";
export { type Run, runAfter, runOf, type RunStage, stitchesSewn } from "./runs";
export { freeHoop, type FreeHoop, hoopKindOf } from "./hoops";
export {
  type FloorNow,
  handSteps,
  type HandStep,
  type HoopWait,
  type JobColours,
  machineStep,
  type MachineStep,
  type NeedleChange,
  onMachine,
  runsAhead,
  threadOn,
} from "./steps";
export { handMinutes, type HandSpan, type HandUse, handUses, sumOfHandUses } from "./hand-minutes";
export { type Measured, measuredTimes } from "./measured";
export { type MinuteUse, minuteUses, offPlan, sumOfUses, type UsedSpan, usedMinutes } from "./minutes";
export {
  type BreakObservation,
  learnBreaks,
  learnedBreaks,
  learnedTime,
  type LearnedBreaks,
  type LearnedKey,
  type LearnedQuantity,
  type LearnedTimes,
  type LearnedValue,
  learnTimes,
  quantityKinds,
  type TimeObservation,
} from "./learned";
export { waitingCompared, type WaitingCompared } from "./interference";
export {
  type Chances,
  type Change,
  changedShop,
  comingOrders,
  compileShop,
  dispatch,
  type Estimate,
  estimateOf,
  initialTransient,
  kneeOf,
  type Measures,
  measuresOf,
  NEW_PIECE,
  type OrderHabits,
  orderHabits,
  type PastOrder,
  plainOnes,
  play,
  type RunCare,
  type Season,
  type SimulatedShop,
  type Size,
} from "./simulation";
