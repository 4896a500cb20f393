/**
 * Where a design goes on cloth that lies crooked in its hoop, and back onto a piece that was taken out: geometry of
 * photo, hoop and cloth, with the error to expect. Plain values in and out; mm in the hoop's plane, px in photos. It
 * knows no picture (that is ./picture), no machine file and no product. Model and sources: docs/models/placing.md.
 */
export { clothHeight, type ClothHeight, type HeightPhoto } from "./cloth-height";
export { designOutline, type FindablePoint, findablePoints, type SewnRecords } from "./design-points";
export {
  expectedError,
  type ExpectedError,
  judgeError,
  mustBeSureEnough,
  type Nudge,
  nudged,
  type PhotoMark,
  type PhotoPlacement,
  placeFromPhoto,
  type PlacingTolerance,
  type SureEnough,
  type UncertainPose,
} from "./expected-error";
export type { LensBelief } from "./fit-view";
export {
  type GridPoint,
  lensFromExif,
  type MarkerMeasurement,
  markersOnSheet,
  type MeasuredLens,
  measureLens,
  type SheetPhoto,
  type TaughtMarkers,
  teachMarkers,
} from "./grid-sheet";
export { type AidValue, aidValues, type Habit, type PlacingKept, plainHabits } from "./habits";
export { type HoopEdges, viewEdges } from "./hoop-edges";
export { bend, type Lens, straighten } from "./lens";
export { type KnownLens, lensBelief } from "./lens-belief";
export {
  enteredSetting,
  type EnteredSetting,
  fieldRoom,
  type FieldRoom,
  type FieldSide,
  laserSetting,
  type LaserSetting,
  type MachineSteps,
  remadeFile,
  type RemadeFile,
} from "./machine-setting";
export { MARKER_CELLS, MARKER_COUNT, markerCells } from "./picture/marker-code";
export {
  type GridSheet,
  gridSheet,
  HOOP_MARKER_SIDE_MM,
  type LaidMarker,
  markerCornersMm,
  SHEET_FIRST_ID,
  stickerSideMm,
} from "./picture/marker-sheets";
export {
  type ClothMark,
  type ClothMarkKind,
  type ClothTop,
  type DesignAnchor,
  placementPose,
  type PlacementRule,
} from "./placement-rule";
export {
  degreesOf,
  type DesignPose,
  type PointMm,
  type PointPx,
  posed,
  radiansOf,
  wrappedRad,
} from "./points";
export { refusePlacing } from "./refusals";
export { registerPiece, type Registration } from "./registration";
export { remainingNeedles, restartBefore, type RestartPoint, type StitchAt, stitchesAt } from "./restart";
export { targetError, type TouchedPoint } from "./rigid-fit";
export { placeByTape, type TapeDistance, type TapeMark, tapePlace, type TapePlacement } from "./tape";
export {
  type ErrorSource,
  type HoopView,
  placeInPhoto,
  placeOnCloth,
  type SeenMarker,
  type SourceSpread,
  type TaughtHoop,
  type TaughtMarker,
  viewHoop,
} from "./view";
