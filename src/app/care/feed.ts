import type { shapes } from "#contract";
import type { CareRule } from "#core/care";
import { addDays } from "#core/shop";
import ical, { ICalCalendarMethod, ICalEventTransparency } from "ical-generator";

/** Midnight of a date by the UTC clock, which is what the library writes an all-day date from. */
const utcDate = (date: string): Date => new Date(`${date}T00:00:00Z`);

/**
 * Care as iCalendar (RFC 5545): all-day events, a date and not an instant. A machine's next service stands on its
 * likely day with its range in words; what is counted in days stands on the day it falls due. What is counted in hours,
 * stitches or pieces has no date before it is used, and is left to the day's plan. An event keeps its UID, so that a
 * calendar moves it instead of adding another.
 */
export function careFeed(asked: {
  readonly studioName: string;
  readonly machines: readonly shapes.CareOfMachine[];
  readonly rules: readonly CareRule[];
  readonly today: string;
  readonly nowMs: number;
  readonly origin: string;
}): string {
  const feed = ical({
    name: `${asked.studioName}: care of machines`,
    prodId: { company: "Spoolwright", product: "Care", language: "EN" },
    method: ICalCalendarMethod.PUBLISH,
    ttl: 3600,
  });
  const add = (id: string, day: string, summary: string, description: string) =>
    feed.createEvent({
      id: `${id}@care.spoolwright`,
      allDay: true,
      start: utcDate(day),
      end: utcDate(addDays(day, 1)),
      stamp: new Date(asked.nowMs),
      summary,
      description,
      url: `${asked.origin}/machines?leaf=care`,
      transparency: ICalEventTransparency.TRANSPARENT,
    });
  const rules = new Map(asked.rules.map((rule) => [rule.id, rule]));
  for (const machine of asked.machines) {
    if (machine.service?.likely)
      add(
        `${machine.machineId}.service`,
        machine.service.likely,
        `${machine.name}: service`,
        machine.service.sentence,
      );
    for (const standing of machine.standings) {
      const rule = rules.get(standing.ruleId);
      if (rule?.by !== "days") continue;
      const day = addDays(asked.today, Math.max(0, Math.ceil(standing.left)));
      add(`${machine.machineId}.${rule.id}`, day, `${machine.name}: ${rule.name}`, standing.sentence);
    }
  }
  return feed.toString();
}
