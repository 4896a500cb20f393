import type { CostWeights, DayHours, StepTimes, WeekHours } from "./nouns";

/** TRADE.md, "Time on an embroidery machine": common practice, no source. A shop overwrites them. */
export const defaultStepTimes: StepTimes = {
  hoopMagneticS: 45,
  hoopScrewS: 150,
  threadS: 60,
  chooseDesignS: 40,
  lineUpLaserS: 45,
  lineUpCameraS: 45,
  lineUpEyeS: 90,
  swapHoopS: 30,
  colourChangeS: 8,
  trimS: 6,
  unhoopS: 120,
  finishS: 180,
};

/** On time first, then least threading, then early finish. Costs are in points, not money. */
export const defaultCostWeights: CostWeights = {
  perLateMinute: 2,
  perThreading: 1.5,
  perMidStop: 4,
  perFinishMinute: 0.5,
};

const workday: DayHours = [
  { startMinute: 8 * 60, endMinute: 12 * 60 },
  { startMinute: 12 * 60 + 30, endMinute: 16 * 60 + 30 },
];

/** Monday to Friday, eight hours with half an hour's lunch. */
export const defaultShifts: WeekHours = [workday, workday, workday, workday, workday, [], []];

const openDay: DayHours = [{ startMinute: 8 * 60, endMinute: 16 * 60 + 30 }];

/** Machines sew through lunch: a run that is loaded goes on alone. */
export const defaultOpenHours: WeekHours = [openDay, openDay, openDay, openDay, openDay, [], []];
