/**
 * Where a design goes on cloth that lies crooked in its hoop, and back onto a piece that was taken out: geometry of
 * photo, hoop and cloth, with the error to expect. Plain values in and out; mm in the hoop's plane, px in photos. It
 * knows no picture (that is ./picture), no machine file and no product. Model and sources: docs/models/placing.md.
 */
export { bend, type Lens, straighten } from "./lens";
export type { DesignPose, PointMm, PointPx } from "./points";
