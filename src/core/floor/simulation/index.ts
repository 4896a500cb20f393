/**
 * The floor, simulated: a shop's season played through event by event, by a plan or by the way a shop decides from
 * moment to moment, and compared with the same shop changed. Times in seconds on one axis; chance comes in as a seed
 * and is named, so that two shops are compared on the same luck. Models and sources: docs/models/simulation.md.
 */
export { type Change, changedShop, NEW_PIECE, type NewPiece, type Size } from "./changes";
export {
  compared,
  type Compared,
  type Estimate,
  estimateOf,
  kneeOf,
  type Measure,
  type Measures,
  measuresOf,
  type Pair,
  plainOnes,
} from "./compare";
export { dispatch, type DispatchWeights, usualWeights } from "./dispatch";
export type { Spread } from "./draws";
export { followPlan } from "./follow";
export { type HandUse, handUses, type MachineUse, machineUses, type Season } from "./ledger";
export { comingOrders, type ComingOrder, type OrderHabits, orderHabits, type PastOrder } from "./orders";
export type { PlayOptions, Told } from "./floor";
export { play } from "./play";
export { initialTransient } from "./transient";
export { certain, type Chances, compileShop, type RunCare, type SimulatedShop } from "./shop";
