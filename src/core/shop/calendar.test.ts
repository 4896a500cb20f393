import { describe, expect, it } from "vitest";
import {
  addDays,
  daysBetween,
  downSpans,
  instantOf,
  isCalendarDate,
  localTime,
  openSpans,
  shipByDate,
  weekDate,
} from "./calendar";
import { defaultOpenHours } from "./defaults";

const iso = (atMs: number) => new Date(atMs).toISOString();

describe("local time", () => {
  // IANA time zone data; the changes of 2026 in the European Union (last Sundays of March and October, 01:00 UTC).
  it("gives the local clock across the changes of summer time", () => {
    expect(iso(instantOf("Europe/Berlin", "2026-03-28", 8 * 60))).toBe("2026-03-28T07:00:00.000Z");
    expect(iso(instantOf("Europe/Berlin", "2026-03-29", 8 * 60))).toBe("2026-03-29T06:00:00.000Z");
    expect(iso(instantOf("Europe/Berlin", "2026-03-29", 150))).toBe("2026-03-29T01:30:00.000Z");
    expect(iso(instantOf("Europe/Berlin", "2026-10-25", 150))).toBe("2026-10-25T00:30:00.000Z");
  });
  it("is the inverse of itself in five zones, half-hour change included", () => {
    for (const zone of ["Europe/Berlin", "America/New_York", "Asia/Kolkata", "Australia/Lord_Howe", "UTC"])
      for (let day = 0; day < 366; day += 1) {
        const date = addDays("2026-01-01", day);
        const there = localTime(zone, instantOf(zone, date, 8 * 60 + 30));
        expect(`${there.date} ${there.minute}`).toBe(`${date} ${8 * 60 + 30}`);
      }
  });
  it("lays shifts on days of 23 and 25 hours by the clock on the wall", () => {
    const hours = Array.from({ length: 7 }, () => [{ startMinute: 60, endMinute: 300 }]);
    const lengths = (from: string) =>
      openSpans({ timeZone: "Europe/Berlin", hours, daysOff: [], from, days: 1 }).map(
        (s) => (s.end - s.start) / 3_600_000,
      );
    expect(lengths("2026-03-29")).toEqual([3]);
    expect(lengths("2026-10-25")).toEqual([5]);
  });
});

describe("dates", () => {
  it("knows which dates exist", () => {
    expect(["2024-02-29", "2026-02-29", "2026-13-01", "2026-1-1", "26-01-01"].map(isCalendarDate)).toEqual([
      true,
      false,
      false,
      false,
      false,
    ]);
  });
  it("counts days over a leap year", () => {
    expect(daysBetween("2024-02-28", "2024-03-01")).toBe(2);
  });
  // ISO 8601 week dates, as Python's datetime.isocalendar gives them.
  it("numbers weeks as ISO 8601 does", () => {
    expect(weekDate("2021-01-03")).toEqual({ year: 2020, week: 53, weekday: 7 });
    expect(weekDate("2018-12-31")).toEqual({ year: 2019, week: 1, weekday: 1 });
    expect(weekDate("2026-11-25")).toEqual({ year: 2026, week: 48, weekday: 3 });
  });
  it("counts the ship-by date back over weekends and closed days", () => {
    expect(shipByDate("2026-11-25", 1, defaultOpenHours, [])).toBe("2026-11-24");
    expect(shipByDate("2026-11-23", 1, defaultOpenHours, [])).toBe("2026-11-20");
    expect(shipByDate("2026-11-22", 0, defaultOpenHours, [])).toBe("2026-11-20");
    expect(
      shipByDate("2026-11-25", 2, defaultOpenHours, [
        { from: "2026-11-24", to: "2026-11-24", why: "stocktaking" },
      ]),
    ).toBe("2026-11-20");
  });
  it("drops a down time that ends before it starts", () => {
    const down = { fromDate: "2026-11-25", fromMinute: 600, toDate: "2026-11-25", toMinute: 540, why: "" };
    expect(downSpans("UTC", [down])).toEqual([]);
  });
});
