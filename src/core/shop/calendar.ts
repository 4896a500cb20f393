import type { Span } from "#core/base";
import type { CalendarDate, DaysOff, DownTime, WeekHours } from "./nouns";

/**
 * Dates and hours of a place on earth. A date is a calendar date, never an instant; what turns one into the other
 * is the studio's time zone, whose rules come from the engine's own IANA data (`Intl`). Days of 23 and 25 hours
 * are days like others: intervals are made from local clock times, so a shift of eight to twelve stays that.
 */

const MS_PER_MINUTE = 60_000;
const MS_PER_DAY = 86_400_000;

const formats = new Map<string, Intl.DateTimeFormat>();

function formatOf(timeZone: string): Intl.DateTimeFormat {
  const known = formats.get(timeZone);
  if (known) return known;
  const made = new Intl.DateTimeFormat("en-US", {
    timeZone,
    hourCycle: "h23",
    year: "numeric",
    month: "2-digit",
    day: "2-digit",
    hour: "2-digit",
    minute: "2-digit",
    second: "2-digit",
  });
  formats.set(timeZone, made);
  return made;
}

/** Whether the engine knows the IANA zone. */
export function isTimeZone(timeZone: string): boolean {
  try {
    formatOf(timeZone);
    return true;
  } catch {
    return false;
  }
}

/** The wall clock at an instant, as milliseconds of a UTC clock showing the same hands. */
function wallClockMs(timeZone: string, atMs: number): number {
  const whole = Math.floor(atMs / 1000) * 1000;
  const parts: Record<string, number> = {};
  for (const part of formatOf(timeZone).formatToParts(new Date(whole))) parts[part.type] = Number(part.value);
  return Date.UTC(parts.year!, parts.month! - 1, parts.day!, parts.hour!, parts.minute!, parts.second!);
}

export interface LocalTime {
  readonly date: CalendarDate;
  /** Minutes after local midnight, fraction cut off. */
  readonly minute: number;
  /** 1 = Monday … 7 = Sunday (ISO 8601). */
  readonly weekday: number;
}

/** The local date and minute at an instant. */
export function localTime(timeZone: string, atMs: number): LocalTime {
  const wall = wallClockMs(timeZone, atMs);
  const date = dateOfUtc(wall);
  return { date, minute: Math.floor((wall - utcOfDate(date)) / MS_PER_MINUTE), weekday: weekdayOf(date) };
}

/**
 * The instant at which the local clock shows `minute` on `date`. A time skipped in spring gives the instant as
 * many minutes after the change (02:30 → 03:30); one shown twice in autumn gives the first.
 */
export function instantOf(timeZone: string, date: CalendarDate, minute: number): number {
  const wanted = utcOfDate(date) + minute * MS_PER_MINUTE;
  const offsetAt = (atMs: number) => wallClockMs(timeZone, atMs) - Math.floor(atMs / 1000) * 1000;
  const before = offsetAt(wanted - MS_PER_DAY);
  const after = offsetAt(wanted + MS_PER_DAY);
  const first = wanted - before;
  const second = wanted - after;
  if (wallClockMs(timeZone, first) === wanted) return first;
  if (wallClockMs(timeZone, second) === wanted) return second;
  return first;
}

const utcOfDate = (date: CalendarDate): number => Date.parse(`${date}T00:00:00Z`);
const dateOfUtc = (utcMs: number): CalendarDate => new Date(utcMs).toISOString().slice(0, 10);

/** Whether the text is a date that exists, `YYYY-MM-DD` (ISO 8601 calendar date). */
export function isCalendarDate(text: string): boolean {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(text)) return false;
  const utc = utcOfDate(text);
  return !Number.isNaN(utc) && dateOfUtc(utc) === text;
}

/** 1 = Monday … 7 = Sunday. */
export function weekdayOf(date: CalendarDate): number {
  return ((new Date(utcOfDate(date)).getUTCDay() + 6) % 7) + 1;
}

/** The date so many days later (earlier when negative). */
export function addDays(date: CalendarDate, days: number): CalendarDate {
  return dateOfUtc(utcOfDate(date) + days * MS_PER_DAY);
}

/** Days from `from` to `to`, negative when `to` is earlier. */
export function daysBetween(from: CalendarDate, to: CalendarDate): number {
  return Math.round((utcOfDate(to) - utcOfDate(from)) / MS_PER_DAY);
}

export interface WeekDate {
  readonly year: number;
  readonly week: number;
  readonly weekday: number;
}

/** The ISO 8601 week date: week 1 holds the year's first Thursday. */
export function weekDate(date: CalendarDate): WeekDate {
  const weekday = weekdayOf(date);
  const thursday = addDays(date, 4 - weekday);
  const year = Number(thursday.slice(0, 4));
  const week = Math.floor(daysBetween(`${thursday.slice(0, 4)}-01-01`, thursday) / 7) + 1;
  return { year, week, weekday };
}

export const isOff = (date: CalendarDate, daysOff: readonly DaysOff[]): boolean =>
  daysOff.some((off) => off.from <= date && date <= off.to);

export interface HoursAsked {
  readonly timeZone: string;
  readonly hours: WeekHours;
  readonly daysOff: readonly DaysOff[];
  readonly from: CalendarDate;
  /** Days from `from` on. */
  readonly days: number;
}

/** The weekly hours laid on real days: instants in ms, in order, neighbours that touch joined. */
export function openSpans({ timeZone, hours, daysOff, from, days }: HoursAsked): Span[] {
  const spans: { start: number; end: number }[] = [];
  for (let day = 0; day < days; day++) {
    const date = addDays(from, day);
    if (isOff(date, daysOff)) continue;
    for (const { startMinute, endMinute } of hours[weekdayOf(date) - 1] ?? []) {
      const start = instantOf(timeZone, date, startMinute);
      const end = instantOf(timeZone, date, endMinute);
      const last = spans.at(-1);
      if (last && last.end === start) last.end = end;
      else if (start < end) spans.push({ start, end });
    }
  }
  return spans;
}

/** A machine's down times as instants in ms. */
export function downSpans(timeZone: string, downTimes: readonly DownTime[]): Span[] {
  return downTimes
    .map((down) => ({
      start: instantOf(timeZone, down.fromDate, down.fromMinute),
      end: instantOf(timeZone, down.toDate, down.toMinute),
    }))
    .filter((span) => span.start < span.end)
    .sort((a, b) => a.start - b.start);
}

/**
 * The date by which a piece must leave so that it arrives on the promise date: `leadDays` open days earlier, on an
 * open day itself. Falls back to the promise date where no day of the last 60 is open.
 */
export function shipByDate(
  promise: CalendarDate,
  leadDays: number,
  hours: WeekHours,
  closed: readonly DaysOff[],
): CalendarDate {
  const isOpen = (date: CalendarDate) =>
    (hours[weekdayOf(date) - 1] ?? []).length > 0 && !isOff(date, closed);
  let date = promise;
  let left = leadDays;
  for (let step = 0; step < 60; step++) {
    if (isOpen(date) && left <= 0) return date;
    date = addDays(date, -1);
    if (isOpen(date)) left--;
  }
  return promise;
}
