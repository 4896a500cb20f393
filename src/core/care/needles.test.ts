import { describe, expect, it } from "vitest";
import { type Chance, seededChance } from "#core/base";
import { addDays } from "#core/shop";
import { countChart, ewmaChart, needleBreaks, needleLives, type NeedleUse } from ".";

describe("control charts", () => {
  it("of counts give the wafers of the NIST/SEMATECH e-Handbook 6.3.3.1: centre 16, limits 4 and 28, wafer 24 out (from memory)", () => {
    const defects = [
      16, 14, 28, 16, 12, 20, 10, 12, 10, 17, 19, 17, 14, 16, 15, 13, 14, 16, 11, 20, 11, 19, 16, 31, 13,
    ];
    const found = countChart(defects.map((events) => ({ events, units: 1 })));
    expect(found.centre).toBe(16);
    expect(found.points[0]).toMatchObject({ low: 4, high: 28 });
    expect(found.points.flatMap((point, index) => (point.side === "within" ? [] : [index + 1]))).toEqual([
      24,
    ]);
  });

  it("of counts over unequal units narrow with the units: centre ± 3√(u/n)", () => {
    const found = countChart([
      { events: 2, units: 10 },
      { events: 12, units: 40 },
    ]);
    expect(found.centre).toBe(0.28);
    expect(found.points[1]!.high - 0.28).toBeCloseTo(3 * Math.sqrt(0.28 / 40), 12);
    expect(found.points[0]!.low).toBe(0);
  });

  it("of moving averages give the NIST/SEMATECH e-Handbook 6.3.2.4: limits 47.4115 and 52.5884", () => {
    const data = [
      52, 47, 53, 49.3, 50.1, 47, 51, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6,
      52.1,
    ];
    const printed = [
      50.6, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38,
      49.92, 50.73, 51.23, 51.94, 51.99,
    ];
    const values = data.map((value) => ({ value, sigma: 2.0539 }));
    const found = ewmaChart({ values, target: 50, lambda: 0.3, width: 3 });
    found.points.forEach((point, index) => {
      expect(Math.abs(point.value - printed[index]!)).toBeLessThan(0.0051);
      expect(point.high).toBeCloseTo(52.5884, 4);
      expect(Math.abs(point.low - 47.4115)).toBeLessThan(1e-4);
      expect(point.side).toBe("within");
    });
  });
});

const start = "2026-03-02";
const use = (index: number, more: Partial<NeedleUse> = {}): NeedleUse => ({
  machineId: "A",
  needle: 4,
  atMs: index * 1000,
  day: addDays(start, index),
  runS: 1200,
  stitches: 15_000,
  breaks: 0,
  ...more,
});
const change = (index: number, why: "worn" | "struck") => ({
  machineId: "A",
  needle: 4,
  atMs: index * 1000,
  day: addDays(start, index),
  why,
});

describe("a needle's life", () => {
  it("is counted from change to change, with the reason", () => {
    const uses = [0, 1, 2, 3, 4].map((index) => use(index, { breaks: index === 2 ? 1 : 0 }));
    const found = needleLives({ uses: [...uses].reverse(), changes: [change(3, "struck")] });
    expect(found.map(({ runS, stitches, breaks, why, to }) => [runS, stitches, breaks, why, to])).toEqual([
      [3600, 45_000, 1, "struck", "2026-03-05"],
      [2400, 30_000, 0, null, null],
    ]);
    expect(found[0]!.sentence).toBe(
      "Needle 4: 1 h and 45,000 stitches, 1 break; changed on 5 March 2026, struck.",
    );
    expect(found[1]!.sentence).toBe("Needle 4: 40 min and 30,000 stitches, 0 breaks since 5 March 2026.");
  });
});

const asked = { changes: [], usualPerThousand: 0.05 };
/** Forty quiet days, one break each second of them, then three a day. */
const rising = Array.from({ length: 46 }, (_, index) =>
  use(index, { breaks: index < 40 ? (index % 3 === 0 ? 2 : 0) : 4 }),
);

describe("breaks on a needle", () => {
  it("as many as usual are told as such", () => {
    const [found] = needleBreaks({ ...asked, uses: rising.slice(0, 40) });
    expect(found).toMatchObject({ state: "steady", since: null });
    expect(found!.sentence).toContain("as usual");
  });

  it("that rise are told with the needle, since when, and what to do", () => {
    const [found] = needleBreaks({ ...asked, uses: rising });
    expect(found!.state).toBe("rising");
    expect(found!.since! >= addDays(start, 36) && found!.since! <= addDays(start, 41)).toBe(true);
    expect(found!.sentence).toMatch(
      /^Thread breaks on needle 4 rise since \d+ April 2026: \d+ breaks in [\d,]+ stitches, where about \d are usual\. Change the needle;/,
    );
  });

  it("begin anew with a new needle", () => {
    const uses = [...rising, use(46), use(47)];
    expect(needleBreaks({ ...asked, uses, changes: [change(46, "worn")] })[0]).toMatchObject({
      state: "steady",
      breaks: 0,
      stitches: 30_000,
    });
  });

  it("on a new needle are not laid at its door, nor on most needles of a machine at each of them", () => {
    const young = [use(0, { breaks: 3 }), use(1, { breaks: 4 }), use(2, { breaks: 4 })];
    expect(needleBreaks({ ...asked, uses: young })[0]!.sentence).toContain("though the needle was new");
    const all = [1, 2, 3, 4].flatMap((needle) => rising.map((one) => ({ ...one, needle })));
    const found = needleBreaks({ ...asked, uses: all });
    expect(found.map((one) => one.sentence.includes("most needles of this machine"))).toEqual([
      true,
      true,
      true,
      true,
    ]);
  });

  it("of chance alone raise an alarm once in some 500 points, a rate three times the usual after five in the mean", () => {
    const chance = seededChance(9);
    const quiet = Array.from({ length: 20 }, () => pointsToAlarm(chance, 0.05, 1200));
    const worn = Array.from({ length: 200 }, () => pointsToAlarm(chance, 0.15, 200));
    const mean = (values: readonly number[]) => values.reduce((sum, one) => sum + one, 0) / values.length;
    expect(mean(quiet)).toBeGreaterThan(200);
    expect(mean(worn)).toBeLessThan(6);
  });
});

/** Points (of 20,000 stitches) until a needle is told to break more, at a true rate per 1000; at most so many. */
function pointsToAlarm(chance: Chance, rate: number, most: number): number {
  const uses = Array.from({ length: most }, (_, index) =>
    use(index, { day: start, stitches: 20_000, breaks: poisson(chance, rate * 20) }),
  );
  for (let length = 1; length <= most; length++) {
    const window = uses.slice(Math.max(0, length - 25), length);
    if (needleBreaks({ ...asked, uses: window })[0]!.state === "rising") return length;
  }
  return most;
}

function poisson(chance: Chance, expected: number): number {
  let product = chance.next();
  let count = 0;
  while (product > Math.exp(-expected)) {
    product *= chance.next();
    count++;
  }
  return count;
}
