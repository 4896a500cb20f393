/**
 * Care of machines: what is due and when, the hour meter, the next service and the trip to it, lifting, needles, and a
 * machine's record. It knows the nouns of the shop and what the meters show; it refuses to know where the meters'
 * figures come from and how chores are laid in a day. Run time in seconds (`…S`) or hours (`…Hours`), dates of the
 * calendar, instants in ms. Models and sources: docs/models/care.md.
 */
export {
  type ChartPoint,
  countChart,
  type CountChart,
  type CountPoint,
  ewmaChart,
  type EwmaAsked,
  type EwmaChart,
} from "./charts";
export { type CareChore, careChores, type ChoresAsked, type ExpectedRun } from "./chores";
export {
  type CareAsked,
  type CaredMachine,
  type CareStanding,
  type CareUrgency,
  dueCare,
  OVERDUE_SHARE,
  SOON_SHARE,
} from "./due";
export { type DayUse, forecastService, type ServiceAsked, type ServiceForecast } from "./forecast";
export {
  type Coupling,
  type Lift,
  type LiftAnswer,
  liftCaution,
  type LiftCaution,
  liftingEquation,
  type LiftingTime,
  LOAD_CONSTANT_KG,
  type MachineLift,
} from "./lifting";
export {
  type CountedRun,
  meterAt,
  type MeterDifference,
  type MeterReading,
  type MeterStanding,
} from "./meter";
export {
  needleBreaks,
  type NeedleBreaks,
  type NeedleBreaksAsked,
  type NeedleChanged,
  type NeedleUse,
  type NeedleReason,
  type NeedlesAsked,
  needleLives,
  type NeedleLife,
} from "./needles";
export {
  type MachineRecord,
  machineRecord,
  type RateAsked,
  type RateLimits,
  rateLimits,
  type RecordAsked,
  type TimeBetween,
  timeBetweenFailures,
} from "./reliability";
export {
  type CareMeasure,
  type CareRule,
  type CareState,
  defaultCareRules,
  isRuleOf,
  type Meters,
} from "./rules";
export {
  proposeService,
  type ProposalAsked,
  type ServiceProposal,
  type ServiceTrip,
  type TripEffect,
} from "./trips";
export {
  defaultTripWeights,
  type ServicedMachine,
  type ServiceWindow,
  serviceWindows,
  type TripWeights,
  type WindowsAsked,
} from "./windows";
