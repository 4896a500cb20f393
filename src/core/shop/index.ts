/**
 * The nouns of a studio and its calendar: what a machine, a hoop, a thread, a piece is, and on which real days the
 * weekly hours fall. It refuses to know how records are kept and how work is planned. Units: see nouns.ts.
 */
export {
  addDays,
  daysBetween,
  downSpans,
  type HoursAsked,
  instantOf,
  isCalendarDate,
  isOff,
  isTimeZone,
  type LocalTime,
  localTime,
  openSpans,
  shipByDate,
  weekDate,
  type WeekDate,
  weekdayOf,
} from "./calendar";
export { defaultCostWeights, defaultOpenHours, defaultShifts, defaultStepTimes } from "./defaults";
export { needleSizesNm, needleSizeWords, needleWords } from "./needles";
export type {
  CalendarDate,
  Cloth,
  CostWeights,
  DayHours,
  DaysOff,
  DownTime,
  Fibre,
  Hoop,
  HoopKind,
  LengthUnit,
  LineUp,
  Machine,
  MachineKind,
  Needle,
  NeedlePoint,
  PaperSize,
  Person,
  PieceState,
  Placement,
  Product,
  ProductKind,
  Skill,
  StepTimes,
  StockItem,
  StockKind,
  Studio,
  Thread,
  Urgency,
  WaitingFor,
  WeekHours,
} from "./nouns";
export { orderedTexts, sewnTexts, unsewnTexts } from "./ordered-texts";
export { awaitsSewing, isClosed, nextStates, pieceStates } from "./pieces";
export { handTimes, machineTimes } from "./times";
