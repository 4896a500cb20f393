/**
 * Costing: what a piece and an hour of a machine cost, the price that follows, and whether a purchase pays. Money is
 * whole minor units of the studio's currency where a name ends in `Cents`, and any unit in `Cash`; it knows no shop's
 * records and gives no tax advice. Models and sources: docs/models/costing.md.
 */
export { machineHour, type MachineHour, type MachineHourAsked } from "./machine-hour";
export { acceleratedShares, byUse, type Convention, decliningBalance, straightLine } from "./depreciation";
export {
  annuityValue,
  type Cash,
  equalAnnual,
  internalRates,
  modifiedRate,
  netPresentValue,
  payback,
  presentValues,
  profitabilityIndex,
  repeatedValue,
} from "./money-in-time";
export {
  type CostKind,
  type CostLine,
  type Known,
  pieceCost,
  type PieceCost,
  type PieceCostAsked,
  type Used,
  type Work,
} from "./piece-cost";
export {
  earned,
  type Earned,
  exactPrice,
  priceFor,
  type QuantityCost,
  rushPrice,
  type Selling,
  tierPrices,
} from "./price";
export { bestOf, bestWithin, judged, type Judged } from "./purchases";
export {
  economicOrder,
  orderingCost,
  type OrderCosts,
  reorderPoint,
  seasonCostWhole,
  seasonOrderWhole,
} from "./reorder";
export { fittedWear, renewalAge } from "./replacement";
export { type PriceRounding, roundedPrice, sharedCents } from "./shares";
export { type Allowance, allowanceWords, normalTime, standardTime, standardTimeOf } from "./standard-time";
export {
  evenHours,
  evenPrice,
  failuresBetween,
  machineYear,
  type MachineOffer,
  type MachineUseAhead,
  wearLimits,
} from "./used-machine";
