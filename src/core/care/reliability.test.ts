import { describe, expect, it } from "vitest";
import { machineRecord, rateLimits, timeBetweenFailures } from ".";

describe("time between failures", () => {
  it("has the limits' factors of the NIST/SEMATECH e-Handbook 8.4.5.1 (time-censored test; from memory, each also 2r/χ² of the tables)", () => {
    const factors = [
      // failures, level, low/mean, high/mean
      [1, 0.6, 0.334, 4.4814],
      [2, 0.6, 0.4674, 2.426],
      [3, 0.6, 0.544, 1.9543],
      [1, 0.9, 0.2108, 19.4958],
      [2, 0.9, 0.3177, 5.6281],
      [3, 0.9, 0.3869, 3.6689],
    ] as const;
    for (const [events, level, low, high] of factors) {
      const found = timeBetweenFailures({ events, exposure: 1000, level });
      expect(found.low / found.mean!).toBeCloseTo(low, 4);
      expect(found.high! / found.mean!).toBeCloseTo(high, 3);
    }
  });

  it("without a failure is at least T/−ln α: 0.33381 of the exposure at 95 % (NIST/SEMATECH e-Handbook 8.4.5.1)", () => {
    expect(timeBetweenFailures({ events: 0, exposure: 1, level: 0.95 })).toMatchObject({
      mean: null,
      high: null,
    });
    expect(timeBetweenFailures({ events: 0, exposure: 1, level: 0.95 }).low).toBeCloseTo(0.33381, 5);
  });
});

describe("a rate's exact limits", () => {
  it("are the Poisson limits of the tables: 10 events give 4.795 to 18.39 at 95 % (F. Garwood 1936, from memory)", () => {
    const found = rateLimits({ events: 10, exposure: 1, level: 0.95 });
    expect(found.low).toBeCloseTo(4.795, 3);
    expect(found.high).toBeCloseTo(18.39, 2);
  });

  it("scale with the exposure", () => {
    const one = rateLimits({ events: 4, exposure: 1, level: 0.9 });
    const ten = rateLimits({ events: 4, exposure: 10, level: 0.9 });
    expect(ten.high).toBeCloseTo(one.high / 10, 12);
  });
});

describe("a machine's record", () => {
  const log = {
    meterHours: 2340,
    loggedHours: 1210,
    loggedStitches: 38_000_000,
    estimatedHours: 0,
    estimatedStitches: 0,
    services: 2,
    repairs: 3,
    threadBreaks: 1900,
  };

  it("tells hours, services, repairs and breaks in plain words", () => {
    expect(machineRecord(log).sentences).toEqual([
      "2,340 h on the hour meter; 1,210 h and 38,000,000 stitches of them in this log.",
      "2 services, 3 repairs.",
      "1,900 thread breaks in 38,000,000 stitches: 50 in a million; with nine chances in ten the true rate lies between 48 and 52.",
      "3 repairs in 1,210 h of running: one in 403 h; with nine chances in ten between 156 and 1,480 h.",
    ]);
  });

  it("without breaks or repairs tells what that proves, and of an empty log nothing", () => {
    const clean = machineRecord({ ...log, repairs: 0, threadBreaks: 0 }).sentences;
    expect(clean[2]).toContain("No thread break in 38,000,000 stitches: at most");
    expect(clean[3]).toBe(
      "No repair in 1,210 h of running: more than 525 h between repairs, said with nine chances in ten.",
    );
    const empty = machineRecord({ ...log, loggedHours: 0, loggedStitches: 0 });
    expect(empty).toMatchObject({ breaksPerMillion: null, hoursBetweenRepairs: null });
  });
});
