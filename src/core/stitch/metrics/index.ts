/** Measures of sewing quality on a raster: how stitches cover the shape they were made for (docs/models/stitches.md). */
export { missedLimits, SATIN_LIMITS } from "./limits";
export {
  type CoverMetrics,
  densestWindow,
  measureCover,
  measureStitches,
  type StitchMetrics,
  threadRuns,
} from "./measure";
export { maskOfRings, maskOfStrokes, type ShapeMask, type SweptStroke } from "./raster";
