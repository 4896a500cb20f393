/**
 * What the floor teaches: times, speeds and thread breaks as they really are, robust against interruptions, drawn to
 * what is usual while little is measured, following what changes. Model, sources and figures: docs/models/learned-times.md.
 */
export { MEMORY, RANGE_LEVEL } from "./groups";
export { type LearnedKey, type LearnedQuantity, type QuantityKind, quantityKinds } from "./quantities";
export {
  BREAK_MEMORY_STITCHES,
  type BreakObservation,
  type BreaksAsked,
  learnBreaks,
  learnedBreaks,
  type LearnedBreaks,
  type LearnedRate,
  USUAL_BREAKS_PER_THOUSAND,
} from "./rates";
export {
  type LearnedAsked,
  learnedTime,
  type LearnedTimes,
  type LearnedValue,
  learnTimes,
  type TimeObservation,
} from "./times";
