import { describe, expect, it } from "vitest";
import { type Chance, normalQuantile, seededChance } from "#core/base";
import { addDays, daysBetween, defaultOpenHours, weekdayOf } from "#core/shop";
import { type DayUse, forecastService, type ServiceAsked } from ".";
import { fitLevel } from "./level";

/** Annual flow of the Nile at Aswan 1871–1970, 10⁸ m³: open data (G. W. Cobb, Biometrika 65 (1978) 243–251), from memory. */
const nile = [
  1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180, 799, 958,
  1140, 1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840, 874, 694, 940, 833, 701, 916, 692, 1020,
  1050, 969, 831, 726, 456, 824, 702, 1120, 1100, 832, 764, 821, 768, 845, 864, 862, 698, 845, 744, 796, 1040,
  759, 781, 865, 845, 944, 984, 897, 822, 1010, 771, 676, 649, 846, 812, 742, 801, 1040, 860, 874, 848, 890,
  744, 749, 838, 1050, 918, 986, 797, 923, 975, 815, 1020, 906, 901, 1170, 912, 746, 919, 718, 714, 740,
];

describe("the local level", () => {
  it("of the Nile's flow has the variances of the book: 15099 and 1469.1, level variance 4032 (Durbin & Koopman, ch. 2; from memory)", () => {
    const exposures = nile.map(() => 1);
    const ratios = Array.from({ length: 400 }, (_, index) => 0.0005 * (index + 1));
    const found = fitLevel({ values: nile, exposures, ratios })!;
    expect(nile.length).toBe(100);
    expect(Math.abs(found.noise / 15099 - 1)).toBeLessThan(0.005);
    expect(Math.abs((found.noise * found.ratio) / 1469.1 - 1)).toBeLessThan(0.01);
    expect(Math.abs(found.variance / 4032 - 1)).toBeLessThan(0.005);
  });

  it("that does not wander is the plain mean, its variance the noise over the count", () => {
    const values = [4, 6, 5, 9];
    const found = fitLevel({ values, exposures: [1, 1, 1, 1], ratios: [0] })!;
    expect(found.level).toBeCloseTo(6, 12);
    expect(found.noise).toBeCloseTo((4 + 0 + 1 + 9) / 3, 12);
    expect(found.variance).toBeCloseTo(found.noise / 4, 12);
  });
});

const TODAY = "2026-03-02";
const isWeekday = (day: string) => weekdayOf(day) <= 5;
/** The same hours on each of the last weekdays. */
const even = (hours: number, weeks: number): DayUse[] =>
  Array.from({ length: weeks * 7 }, (_, index) => addDays(TODAY, index - weeks * 7))
    .filter(isWeekday)
    .map((day) => ({ day, runS: hours * 3600 }));
const asked: ServiceAsked = {
  machineName: "Machine A",
  everyHours: 500,
  sinceHours: 0,
  today: TODAY,
  past: even(4, 26),
  planned: [],
  openHours: defaultOpenHours,
  daysOff: [],
};

describe("the next service", () => {
  it("comes round after about six months at almost eight hours of use a day, of which the needles go about half (TRADE.md, check; common practice, no source)", () => {
    // Eight open hours, of which threading, loading, stops and waiting take about half: 4 h a day on the meter.
    const found = forecastService(asked);
    const months = daysBetween(TODAY, found.likely!) / 30.44;
    expect(months).toBeGreaterThan(5.5);
    expect(months).toBeLessThan(6.5);
    // Were all eight hours on the meter, it would be three months.
    const all = forecastService({ ...asked, past: even(7.9, 26) });
    expect(daysBetween(TODAY, all.likely!) / 30.44).toBeCloseTo(2.9, 0);
  });

  it("is told as a range, in words", () => {
    const found = forecastService({ ...asked, sinceHours: 300 });
    expect(found.early! < found.likely! && found.likely! < found.late!).toBe(true);
    expect(found.sentence).toMatch(
      /^Machine A: service about \d+ May 2026, nine times in ten between \d+ \w+ 2026 and \d+ \w+ 2026\. 200 h of running left of 500 h, at about 20 h a week\.$/,
    );
  });

  it("waits while the house is closed", () => {
    const open = forecastService({ ...asked, sinceHours: 300 });
    const closed = forecastService({
      ...asked,
      sinceHours: 300,
      daysOff: [{ from: "2026-04-06", to: "2026-04-19", why: "holidays" }],
    });
    expect(daysBetween(open.likely!, closed.likely!)).toBe(14);
  });

  it("goes by the plan where one stands", () => {
    const planned = Array.from({ length: 14 }, (_, index) => ({
      day: addDays(TODAY, index),
      runS: isWeekday(addDays(TODAY, index)) ? 8 * 3600 : 0,
    }));
    const found = forecastService({ ...asked, sinceHours: 400, planned });
    expect(found.likely).toBe("2026-03-20");
    expect(forecastService({ ...asked, sinceHours: 400 }).likely).toBe("2026-04-03");
  });

  it("is due now when the hours are past, and unknown of a machine that never ran", () => {
    expect(forecastService({ ...asked, sinceHours: 512 })).toMatchObject({ likely: TODAY, hoursLeft: -12 });
    expect(forecastService({ ...asked, sinceHours: 512 }).sentence).toBe(
      "Machine A: service is due now, 12 h past its time (every 500 h).",
    );
    const fresh = forecastService({ ...asked, past: [] });
    expect(fresh).toMatchObject({ early: null, likely: null, late: null, hoursPerWeek: null });
    expect(fresh.sentence).toContain("No day can be told");
  });

  it("has a wider range the less was seen", () => {
    const width = (weeks: number) => {
      const found = forecastService({ ...asked, sinceHours: 300, past: even(4, weeks) });
      return daysBetween(found.early!, found.late!);
    };
    expect(width(2)).toBeGreaterThan(width(8));
    expect(width(8)).toBeGreaterThan(width(52));
  });

  it("falls into its range nine times in ten, on simulated machines", () => {
    const share = covered(seededChance(31), 800);
    expect(share).toBeGreaterThan(0.87);
    expect(share).toBeLessThan(0.93);
  });
});

const normal = (chance: Chance) => normalQuantile((Math.floor(chance.next() * 2 ** 32) + 0.5) / 2 ** 32);

/** Machines with a true weekday pattern, busy and slow weeks and single days that scatter; the share covered. */
function covered(chance: Chance, machines: number): number {
  let inside = 0;
  for (let machine = 0; machine < machines; machine++) {
    const level = 2 + 4 * chance.next();
    const pattern = [1.2, 1.1, 1, 0.9, 0.8];
    let week = 1;
    const use = (day: string) => {
      if (weekdayOf(day) === 1) week = Math.max(0.2, 1 + 0.2 * normal(chance));
      return isWeekday(day)
        ? Math.max(0, level * pattern[weekdayOf(day) - 1]! * week * (1 + 0.35 * normal(chance)))
        : 0;
    };
    const weeks = 8 + chance.below(44);
    const past = Array.from({ length: weeks * 7 }, (_, index) => addDays(TODAY, index - weeks * 7)).map(
      (day) => ({ day, runS: use(day) * 3600 }),
    );
    const left = 60 + 240 * chance.next();
    const found = forecastService({ ...asked, sinceHours: 500 - left, past });
    let sum = 0;
    let day = TODAY;
    for (; ; day = addDays(day, 1)) {
      sum += use(day);
      if (sum >= left) break;
    }
    if (found.early! <= day && (found.late === null || day <= found.late)) inside++;
  }
  return inside / machines;
}
