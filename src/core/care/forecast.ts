/**
 * When a machine comes to its next service. Its use week by week is a local level (level.ts); days share the week by
 * the pattern of weekdays seen so far; what is planned already takes the place of what is usual. Use only adds up, so
 * the chance that service is due by a day is the chance that the sum of use until then reaches the hours left, and a
 * range of sums is a range of dates. The variance of a sum over h weeks of a wandering level is that of lead-time
 * demand in exponential smoothing (R. J. Hyndman, A. B. Koehler, J. K. Ord, R. D. Snyder, Forecasting with Exponential
 * Smoothing, 2008, ch. 6; from memory).
 */
import { studentQuantile } from "#core/base";
import {
  addDays,
  type CalendarDate,
  daysBetween,
  type DaysOff,
  isOff,
  weekdayOf,
  type WeekHours,
} from "#core/shop";
import { fitLevel } from "./level";
import { dateWords, runWords } from "./words";

/** Seconds a machine sewed, or is planned to sew, on a day. */
export interface DayUse {
  readonly day: CalendarDate;
  readonly runS: number;
}

export interface ServiceAsked {
  readonly machineName: string;
  /** The interval, hours. */
  readonly everyHours: number;
  /** Hours since the last service, by the corrected meter. */
  readonly sinceHours: number;
  /** The first day whose use is not counted in `sinceHours`. */
  readonly today: CalendarDate;
  /** Days before today; a day not named, from the first one on, had no use. */
  readonly past: readonly DayUse[];
  /** Days from today on for which a plan stands; other open days are expected to be as usual. */
  readonly planned: readonly DayUse[];
  /** Usual opening, and when the house is closed or the machine away. */
  readonly openHours: WeekHours;
  readonly daysOff: readonly DaysOff[];
}

export interface ServiceForecast {
  /** Service is due before it with one chance in twenty, in two, in nineteen of twenty; null: not within three years. */
  readonly early: CalendarDate | null;
  readonly likely: CalendarDate | null;
  readonly late: CalendarDate | null;
  /** The chance that it falls between early and late. */
  readonly level: number;
  /** Negative when past. */
  readonly hoursLeft: number;
  /** Usual hours in a full week; null where nothing was seen. */
  readonly hoursPerWeek: number | null;
  /** Weeks of past use it rests on. */
  readonly weeks: number;
  /** Hours since service to come, week by week until the late date: low and high bound `level`. */
  readonly path: readonly {
    readonly day: CalendarDate;
    readonly low: number;
    readonly mean: number;
    readonly high: number;
  }[];
  readonly sentence: string;
}

export const FORECAST_LEVEL = 0.9;
const HORIZON_DAYS = 3 * 366;
/** Older weeks say little of the next ones. */
const WEEKS_LOOKED_AT = 104;
/** Wandering of the level over a week's noise, in variance: little is believed until more is e^0.5 times as likely. */
const RATIOS = [0.001, 0.003, 0.01, 0.03, 0.1, 0.3];
const EVIDENCE = 0.5;
/** A week usually scatters so much about the level, believed like so many weeks (common practice, no source). */
const USUAL_SCATTER = 0.3;
const USUAL_WEEKS = 2;
/** The even share of a weekday is believed like so many of them seen. */
const EVEN_DAYS = 4;

/** The next service as a range of dates. */
export function forecastService(asked: ServiceAsked): ServiceForecast {
  const hoursLeft = asked.everyHours - asked.sinceHours;
  const use = usualUse(asked);
  const days = hoursLeft <= 0 ? null : reach(asked, use, hoursLeft);
  const found = {
    early: days ? days.early : asked.today,
    likely: days ? days.likely : asked.today,
    late: days ? days.late : asked.today,
    level: FORECAST_LEVEL,
    hoursLeft,
    hoursPerWeek: use === null ? null : use.level,
    weeks: use?.weeks ?? 0,
    path: days?.path ?? [],
  };
  return { ...found, sentence: sentenceOf(asked, found) };
}

interface Use {
  /** Hours of a full week, its variance, the noise of a week and what the level wanders by. */
  readonly level: number;
  readonly variance: number;
  readonly noise: number;
  readonly wander: number;
  readonly degrees: number;
  readonly weeks: number;
  /** Each weekday's share of a full week, Monday first. */
  readonly shares: readonly number[];
}

const isOpen = (
  { openHours, daysOff }: Pick<ServiceAsked, "openHours" | "daysOff">,
  day: CalendarDate,
): boolean => (openHours[weekdayOf(day) - 1] ?? []).length > 0 && !isOff(day, daysOff);

function usualUse(asked: ServiceAsked): Use | null {
  const past = asked.past.filter((one) => one.day < asked.today).sort((a, b) => (a.day < b.day ? -1 : 1));
  const first = past[0]?.day;
  if (first === undefined) return null;
  const weeks = Math.min(WEEKS_LOOKED_AT, Math.max(1, Math.floor(daysBetween(first, asked.today) / 7)));
  const hours = new Map<CalendarDate, number>();
  for (const { day, runS } of past) hours.set(day, (hours.get(day) ?? 0) + runS / 3600);
  const days = Array.from({ length: weeks * 7 }, (_, index) => addDays(asked.today, index - weeks * 7));
  const shares = weekdayShares(asked, days, hours);
  const { values, exposures } = weekly(asked, days, hours, shares);
  const fitted = fitLevel({ values, exposures, ratios: RATIOS, evidence: EVIDENCE });
  if (!fitted) return null;
  const usual = (USUAL_SCATTER * fitted.level) ** 2;
  const degrees = fitted.periods - 1 + USUAL_WEEKS;
  const noise = ((fitted.periods - 1) * fitted.noise + USUAL_WEEKS * usual) / degrees;
  // The filter's variance is in units of its own noise.
  const variance = fitted.noise > 0 ? (fitted.variance / fitted.noise) * noise : noise / fitted.periods;
  return {
    level: fitted.level,
    variance,
    noise,
    wander: fitted.ratio * noise,
    degrees,
    weeks: fitted.periods,
    shares,
  };
}

/** What each weekday usually bears of a week, drawn to even shares while few are seen; they add up to 1. */
function weekdayShares(
  asked: ServiceAsked,
  days: readonly CalendarDate[],
  hours: ReadonlyMap<CalendarDate, number>,
): number[] {
  const open = days.filter((day) => isOpen(asked, day));
  const mean = open.reduce((sum, day) => sum + (hours.get(day) ?? 0), 0) / Math.max(1, open.length);
  const means = asked.openHours.map((spans, index) => {
    if (spans.length === 0) return 0;
    const own = open.filter((day) => weekdayOf(day) === index + 1);
    const sum = own.reduce((total, day) => total + (hours.get(day) ?? 0), 0);
    return (sum + EVEN_DAYS * mean) / (own.length + EVEN_DAYS);
  });
  const total = means.reduce((sum, one) => sum + one, 0);
  const openDays = asked.openHours.filter((spans) => spans.length > 0).length;
  return means.map((one, index) =>
    total > 0 ? one / total : asked.openHours[index]!.length > 0 ? 1 / openDays : 0,
  );
}

function weekly(
  asked: ServiceAsked,
  days: readonly CalendarDate[],
  hours: ReadonlyMap<CalendarDate, number>,
  shares: readonly number[],
) {
  const values: number[] = [];
  const exposures: number[] = [];
  for (let start = 0; start < days.length; start += 7) {
    const week = days.slice(start, start + 7);
    values.push(week.reduce((sum, day) => sum + (hours.get(day) ?? 0), 0));
    exposures.push(
      week.reduce((sum, day) => sum + (isOpen(asked, day) ? shares[weekdayOf(day) - 1]! : 0), 0),
    );
  }
  return { values, exposures };
}

/** Goes day by day until even the low sum has reached the hours left. */
function reach(asked: ServiceAsked, use: Use | null, hoursLeft: number) {
  const planned = new Map(asked.planned.map((one) => [one.day, one.runS / 3600]));
  const t = use ? studentQuantile((1 + FORECAST_LEVEL) / 2, use.degrees) : 0;
  const dates: { early: CalendarDate | null; likely: CalendarDate | null; late: CalendarDate | null } = {
    early: null,
    likely: null,
    late: null,
  };
  const path: { day: CalendarDate; low: number; mean: number; high: number }[] = [];
  let meanBefore = 0;
  let sums: Sums = { planned: 0, all: 0, unplanned: 0 };
  for (let index = 0; index < HORIZON_DAYS && dates.late === null; index++) {
    const day = addDays(asked.today, index);
    const before = sums;
    sums = withDay(asked, use, planned.get(day), day, sums);
    const isUsed = sums !== before;
    const { low, mean, high } = boundsOf(use, sums, t, (index + 1) / 7);
    if (index % 7 === 6)
      path.push({
        day,
        low: asked.sinceHours + low,
        mean: asked.sinceHours + mean,
        high: asked.sinceHours + high,
      });
    if (!isUsed) continue;
    // Days are whole: half a day's use makes either end miss as often as it should (continuity correction).
    const half = (mean - meanBefore) / 2;
    meanBefore = mean;
    if (dates.early === null && high - half >= hoursLeft) dates.early = day;
    if (dates.likely === null && mean >= hoursLeft) dates.likely = day;
    if (low + half >= hoursLeft) dates.late = day;
  }
  return { ...dates, path: dates.late === null ? path.slice(0, 53) : path };
}

interface Sums {
  /** Hours planned. */
  readonly planned: number;
  /** Weeks' worth of open days, in all and without those that are planned. */
  readonly all: number;
  readonly unplanned: number;
}

function withDay(
  asked: ServiceAsked,
  use: Use | null,
  hours: number | undefined,
  day: CalendarDate,
  sums: Sums,
): Sums {
  const share = use && isOpen(asked, day) ? use.shares[weekdayOf(day) - 1]! : 0;
  if (hours !== undefined)
    return hours > 0 ? { ...sums, planned: sums.planned + hours, all: sums.all + share } : sums;
  return share > 0 ? { ...sums, all: sums.all + share, unplanned: sums.unplanned + share } : sums;
}

function boundsOf(use: Use | null, sums: Sums, t: number, weeks: number) {
  if (!use) return { low: sums.planned, mean: sums.planned, high: sums.planned };
  const mean = sums.planned + use.level * sums.unplanned;
  const wandering = use.wander * sums.unplanned ** 2 * (weeks / 3 + 0.5);
  const half = t * Math.sqrt(use.noise * sums.all + use.variance * sums.unplanned ** 2 + wandering);
  return { low: mean - half, mean, high: mean + half };
}

function sentenceOf(asked: ServiceAsked, found: Omit<ServiceForecast, "sentence">): string {
  const { hoursLeft, hoursPerWeek, early, likely, late } = found;
  const interval = `every ${asked.everyHours} h`;
  if (hoursLeft <= 0)
    return `${asked.machineName}: service is due now, ${runWords(-hoursLeft * 3600)} past its time (${interval}).`;
  const left = `${runWords(hoursLeft * 3600)} of running left of ${asked.everyHours} h`;
  if (hoursPerWeek === null && likely === null)
    return `${asked.machineName}: ${left}. No day can be told before it has run for a while.`;
  if (likely === null || early === null)
    return `${asked.machineName}: ${left}; at its present use not within three years.`;
  const range =
    late === null ? `not before ${dateWords(early)}` : `between ${dateWords(early)} and ${dateWords(late)}`;
  const pace = hoursPerWeek === null ? "by what is planned" : `at about ${Math.round(hoursPerWeek)} h a week`;
  return `${asked.machineName}: service about ${dateWords(likely)}, nine times in ten ${range}. ${left}, ${pace}.`;
}
