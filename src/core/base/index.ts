/**
 * The ground floor: chance, distribution functions, findings, refusals, units. It knows nothing of the trade. Chance is seeded; nothing
 * here reads a clock.
 */
export { type Chance, pick, seededChance, shuffled } from "./chance";
export {
  atLeast,
  chiSquareQuantile,
  gammaQuantile,
  gammaShare,
  lnGamma,
  normalQuantile,
  normalShare,
  studentQuantile,
} from "./distributions";
export type { Finding, FindingLevel, FindingPlace } from "./findings";
export { amountOf, amountText, minorDigits, minorUnits } from "./money";
export { invariant, Refusal, refusals, type RefusalDetail, type RefusalKind } from "./refusal";
export { type Box, MM_PER_INCH, mmFromTenths, type Span, TENTHS_PER_MM, tenthsFromMm } from "./units";
