import type { shapes } from "#contract";
import { addDays, downSpans, instantOf, isOff, localTime, openSpans, weekdayOf } from "#core/shop";
import type { StudioKept } from "./records";

const MS = 1000;

/** The plan's seconds against the studio's dates. */
export class PlanClock {
  private readonly from: string;
  constructor(
    readonly studio: StudioKept,
    readonly startsAtMs: number,
    readonly days: number,
  ) {
    this.from = localTime(studio.body.timeZone, startsAtMs).date;
  }

  private cut(spans: readonly { readonly start: number; readonly end: number }[]): [number, number][] {
    return spans
      .map(({ start, end }): [number, number] => [
        Math.max(0, Math.ceil((start - this.startsAtMs) / MS)),
        Math.floor((end - this.startsAtMs) / MS),
      ])
      .filter(([start, end]) => start < end);
  }

  /** Weekly hours as spans of the plan's seconds, what is past cut off. */
  spans(hours: shapes.StudioBody["openHours"], daysOff: shapes.StudioBody["closedDays"]): [number, number][] {
    return this.cut(
      openSpans({ timeZone: this.studio.body.timeZone, hours, daysOff, from: this.from, days: this.days }),
    );
  }

  down(downTimes: shapes.MachineBody["downTimes"]): [number, number][] {
    return this.cut(downSpans(this.studio.body.timeZone, downTimes));
  }

  /** An instant as a second of the plan, not before its start. */
  secondOf(atMs: number): number {
    return Math.max(0, Math.ceil((atMs - this.startsAtMs) / MS));
  }

  /** The second by which a piece must be finished to leave on the date: the end of that day's hours. */
  dueAt(shipBy: string): number {
    const { openHours, closedDays, timeZone } = this.studio.body;
    let date = shipBy;
    for (
      let back = 0;
      back < 14 && (isOff(date, closedDays) || openHours[weekdayOf(date) - 1]!.length === 0);
      back++
    )
      date = addDays(date, -1);
    const lastMinute = openHours[weekdayOf(date) - 1]!.at(-1)?.endMinute ?? 1020;
    return Math.floor((instantOf(timeZone, date, lastMinute) - this.startsAtMs) / MS);
  }
}
