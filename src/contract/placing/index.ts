import { habitRows } from "./habits";
import { knownRows } from "./known";
import { placingsRows } from "./placings";
import { ruleRows } from "./rules";
import { teachingRows } from "./teaching";

/** Placing: what is taught once, and each piece. */
export const placingRows = {
  ...teachingRows,
  ...knownRows,
  ...placingsRows,
  ...ruleRows,
  ...habitRows,
};
export type { placingMarks } from "./marks";
export type { placing } from "./placings";
export type { placingResult } from "./results";
export type { clothMarkKind, placementRule, tolerance } from "./rules";
export type { lens, machineSteps, phone, taught, taughtHoop } from "./values";
