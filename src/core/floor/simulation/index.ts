/**
 * The floor, simulated: a shop's season played through event by event, by a plan or by the way a shop decides from
 * moment to moment. Times in seconds on one axis; chance comes in as a seed and is named, so that two shops can be
 * compared on the same luck. Models and sources: docs/models/simulation.md.
 */
export { dispatch, type DispatchWeights, usualWeights } from "./dispatch";
export type { Spread } from "./draws";
export { followPlan } from "./follow";
export { type HandUse, handUses, type MachineUse, machineUses, type Season } from "./ledger";
export { play, type PlayOptions, type Told } from "./play";
export { certain, type Chances, compileShop, type RunCare, type SimulatedShop } from "./shop";
