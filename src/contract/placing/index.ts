import { placingRows as ofPieces } from "./placings";
import { teachingRows } from "./teaching";

/** Placing: what is taught once, and each piece. */
export const placingRows = { ...teachingRows, ...ofPieces };
export type {
  placing,
  placingMarks,
  placingResult,
  placementRule,
  tolerance,
  clothMarkKind,
} from "./placings";
export type { lens, machineSteps, phone, taught, taughtHoop } from "./values";
