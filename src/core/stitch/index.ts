/**
 * A design as stitches: reading and writing the machine file, measuring, checking, moving, and making lettering and
 * pictures. Coordinates of stitches are whole tenths of mm from the design's start, y up; geometry before it is
 * stitches is float mm. It knows no colours but names for them, no machines, no files on a disk.
 */
export type { Artwork } from "./artwork/artwork";
export { type ArtworkOptions, type MadeArtwork, makeArtwork } from "./artwork/make-artwork";
export { type Picture, readPicture } from "./artwork/picture";
export { readSvg } from "./artwork/svg";
export { checkDesign, type CheckContext, DESIGN_CHECKS, differenceOfTexts } from "./checks";
export { type Cloth, CLOTHS } from "./cloth";
export {
  type LetteredPiece,
  type Lettering,
  type LetteringOptions,
  letterText,
  missingLetters,
  smallestLetterMm,
} from "./lettering/letter-text";
export { letterOutlines, missingOutlines, type OutlineLetteringOptions } from "./outline/letter-outlines";
export type { OutlineFont, OutlineStep, ShapedGlyph } from "./outline/outline-font";
export { MACHINE_FILE_LIMIT_BYTES, type MachineFile, readMachineFile } from "./machine-file";
export { writeMachineFile } from "./machine-writer";
export {
  type Making,
  type MakingObject,
  type MakingPart,
  placedMaking,
  resizedMaking,
  sewMaking,
} from "./making/making";
export { boxOfObject, changedObjects, nearestBox, type ObjectBox, type ObjectChange } from "./making/objects";
export { allowedOrder, changedPart, type PartChange, partNames, partsBeneath } from "./making/parts";
export { DESIGN_MENDS, mendDesign, type MendedDesign, mendsFor } from "./mends";
export { DEMO_MOTIFS, demoMotif, type MadeMotif } from "./motifs";
export {
  maskOfRings,
  maskOfStrokes,
  measureStitches,
  missedLimits,
  SATIN_LIMITS,
  type ShapeMask,
  type StitchMetrics,
  threadRuns,
} from "./metrics";
export { machineFileName } from "./names";
export { type DesignReport, designReport } from "./report";
export { refuseStitches } from "./refusals";
export {
  countStitches,
  EMPTY_STITCHES,
  JUMP,
  type Part,
  partOf,
  STITCH,
  type StitchCounts,
  type Stitches,
  stitchExtents,
  STOP,
} from "./stitches";
export {
  centreStitches,
  composeStitches,
  mirrorStitches,
  type Placed,
  restartStitches,
  rotateStitches,
  scaleStitches,
  shiftStitches,
  splitAtStops,
} from "./transform";
