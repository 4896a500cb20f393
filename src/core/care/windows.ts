import {
  addDays,
  type CalendarDate,
  daysBetween,
  type DaysOff,
  isOff,
  weekdayOf,
  type WeekHours,
} from "#core/shop";

/** A machine that is to be serviced, as its forecast sees it. */
export interface ServicedMachine {
  readonly id: string;
  readonly name: string;
  /** To its service; negative when past. */
  readonly hoursLeft: number;
  /** Null where its use is not known: then only `likely` speaks. */
  readonly hoursPerWeek: number | null;
  readonly early: CalendarDate | null;
  readonly likely: CalendarDate | null;
}

/** One trip to the dealer: these machines are away from one day until another, on which they stand in their place again. */
export interface ServiceWindow {
  readonly id: string;
  readonly machineIds: readonly string[];
  readonly leaveOn: CalendarDate;
  readonly backOn: CalendarDate;
  /** Days from leaving until back on which the house is open, and closed. */
  readonly openDays: number;
  readonly closedDays: number;
  /** Hours of the interval given away, and run over, over all its machines. */
  readonly hoursEarly: number;
  readonly hoursOver: number;
}

/** What weighs how much in points of the plan's cost, where a minute of a later end weighs 0.5. */
export interface TripWeights {
  readonly perTravelHour: number;
  /** For each machine and open day away. */
  readonly perOpenDay: number;
  readonly perHourEarly: number;
  readonly perHourOver: number;
}

/** Common practice, no source. An hour on the road weighs as an hour of a later end. */
export const defaultTripWeights: TripWeights = {
  perTravelHour: 30,
  perOpenDay: 10,
  perHourEarly: 0.2,
  perHourOver: 1,
};

export interface WindowsAsked {
  readonly machines: readonly ServicedMachine[];
  readonly today: CalendarDate;
  /** How far ahead to look, days. */
  readonly horizonDays: number;
  /** Days a machine is away. */
  readonly turnaroundDays: number;
  readonly openHours: WeekHours;
  readonly closedDays: readonly DaysOff[];
  /** Weekdays (1 = Monday) on which the dealer takes and gives machines. */
  readonly dealerWeekdays: readonly number[];
  readonly mostInOneTrip: number;
  /** Windows kept of each set of machines: each is planned once to see what it does to orders. */
  readonly keep: number;
  readonly weights?: TripWeights;
}

/** More machines are not thought through at once: those that are due soonest. */
const MOST_MACHINES = 6;
/** Days past the likely one that are still looked at. */
const DAYS_OVER = 14;

/**
 * The windows worth planning: for every set of machines that fits in one trip, the best few by what can be told without
 * a plan (days open, hours given away or run over). Machines not due within the horizon are left out.
 */
export function serviceWindows(asked: WindowsAsked): ServiceWindow[] {
  const last = addDays(asked.today, asked.horizonDays);
  const due = asked.machines
    .filter((one) => one.early !== null && one.early <= last)
    .sort((a, b) => (a.early! < b.early! ? -1 : 1))
    .slice(0, MOST_MACHINES);
  return subsets(due, asked.mostInOneTrip).flatMap((machines) => bestOf(asked, machines, last));
}

function subsets<T>(items: readonly T[], most: number): T[][] {
  const found: T[][] = [[]];
  for (const item of items)
    found.push(...found.filter((one) => one.length < most).map((one) => [...one, item]));
  return found.filter((one) => one.length > 0);
}

function bestOf(
  asked: WindowsAsked,
  machines: readonly ServicedMachine[],
  last: CalendarDate,
): ServiceWindow[] {
  const weights = asked.weights ?? defaultTripWeights;
  const soonest = machines.map((one) => one.likely ?? last).reduce((a, b) => (a < b ? a : b));
  const end = [last, addDays(soonest < asked.today ? asked.today : soonest, DAYS_OVER)].reduce((a, b) =>
    a < b ? a : b,
  );
  const days = Math.max(0, daysBetween(asked.today, end));
  return Array.from({ length: days + 1 }, (_, index) => addDays(asked.today, index))
    .filter((day) => asked.dealerWeekdays.includes(weekdayOf(day)))
    .map((leaveOn) => windowOf(asked, machines, leaveOn))
    .sort((a, b) => windowScore(a, weights) - windowScore(b, weights) || (a.leaveOn < b.leaveOn ? -1 : 1))
    .slice(0, asked.keep);
}

/** What a window weighs before any plan is made, without the road. */
export const windowScore = (window: ServiceWindow, weights: TripWeights): number =>
  weights.perOpenDay * window.openDays * window.machineIds.length +
  weights.perHourEarly * window.hoursEarly +
  weights.perHourOver * window.hoursOver;

function windowOf(
  asked: WindowsAsked,
  machines: readonly ServicedMachine[],
  leaveOn: CalendarDate,
): ServiceWindow {
  let backOn = addDays(leaveOn, Math.max(1, asked.turnaroundDays));
  for (let step = 0; step < 7 && !asked.dealerWeekdays.includes(weekdayOf(backOn)); step++)
    backOn = addDays(backOn, 1);
  const away = Array.from({ length: daysBetween(leaveOn, backOn) }, (_, index) => addDays(leaveOn, index));
  const openDays = away.filter(
    (day) => (asked.openHours[weekdayOf(day) - 1] ?? []).length > 0 && !isOff(day, asked.closedDays),
  ).length;
  const left = machines.map((machine) => hoursLeftOn(machine, asked.today, leaveOn));
  const machineIds = machines.map((one) => one.id);
  return {
    id: `${leaveOn}/${machineIds.join("+")}`,
    machineIds,
    leaveOn,
    backOn,
    openDays,
    closedDays: away.length - openDays,
    hoursEarly: left.reduce((sum, hours) => sum + Math.max(0, hours), 0),
    hoursOver: left.reduce((sum, hours) => sum + Math.max(0, -hours), 0),
  };
}

/** Hours left on a later day, at the pace that brings them to 0 on the likely day. */
export function hoursLeftOn(machine: ServicedMachine, today: CalendarDate, day: CalendarDate): number {
  const days = daysBetween(today, day);
  if (machine.likely !== null && machine.likely > today && machine.hoursLeft > 0)
    return machine.hoursLeft * (1 - days / daysBetween(today, machine.likely));
  return machine.hoursLeft - ((machine.hoursPerWeek ?? 0) * days) / 7;
}
