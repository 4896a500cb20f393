import { addDays, instantOf, localTime, shipByDate, weekdayOf } from "#core/shop";
import { demoOpenHours } from "./goods";

/** The demo's days, counted from the clock's today: working days only. */
export interface DemoCalendar {
  readonly timeZone: string;
  readonly today: string;
  /** The working day the demo's "today" stands on: today, or the next one when the studio is closed or its day is over. */
  readonly base: string;
  /** How much of the base day's hours has gone by, 0 to 1. */
  readonly gone: number;
  /** So many working days after the base (before, when negative). */
  workday(offset: number): string;
  /** A date's minute as an instant. */
  at(date: string, minute: number): number;
  /** The earliest promise date whose ship-by date is this working day. */
  promiseFor(shipBy: string, leadDays: number): string;
}

const isOpen = (date: string): boolean => demoOpenHours[weekdayOf(date) - 1]!.length > 0;
const OPENS = demoOpenHours[0]![0]!.startMinute;
const CLOSES = demoOpenHours[0]!.at(-1)!.endMinute;

export function demoCalendar(timeZone: string, nowMs: number): DemoCalendar {
  const { date: today, minute } = localTime(timeZone, nowMs);
  const over = !isOpen(today) || CLOSES - 60 <= minute;
  let base = today;
  if (over)
    do base = addDays(base, 1);
    while (!isOpen(base));
  const gone = base === today ? Math.max(0, Math.min(1, (minute - OPENS) / (CLOSES - OPENS))) : 0;
  return {
    timeZone,
    today,
    base,
    gone,
    workday(offset) {
      let date = base;
      for (let left = Math.abs(offset); left > 0;) {
        date = addDays(date, Math.sign(offset));
        if (isOpen(date)) left--;
      }
      return date;
    },
    at: (date, atMinute) => instantOf(timeZone, date, atMinute),
    promiseFor(shipBy, leadDays) {
      for (let date = shipBy, step = 0; step < 14; step++, date = addDays(date, 1))
        if (shipByDate(date, leadDays, demoOpenHours, []) === shipBy) return date;
      return shipBy;
    },
  };
}
