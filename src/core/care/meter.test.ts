import { describe, expect, it } from "vitest";
import { meterAt } from ".";

const HOUR = 3_600_000;
const runs = [0, 2, 4, 6].map((hour) => ({ startMs: hour * HOUR, endMs: (hour + 1) * HOUR, runS: 3600 }));

describe("the hour meter", () => {
  it("without a reading is what was counted", () => {
    expect(meterAt({ runs, readings: [], atMs: 3 * HOUR })).toMatchObject({
      hours: 2,
      countedHours: 2,
      differences: [],
    });
  });

  it("counts a run that is not over in part", () => {
    expect(meterAt({ runs, readings: [], atMs: 2.5 * HOUR }).hours).toBeCloseTo(1.5, 12);
  });

  it("goes on from the last reading, and keeps what each reading differed by", () => {
    const readings = [
      { atMs: 5 * HOUR, hours: 1203.5 },
      { atMs: 1.5 * HOUR, hours: 1201 },
    ];
    const found = meterAt({ runs, readings, atMs: 7 * HOUR });
    expect(found.hours).toBeCloseTo(1204.5, 12);
    expect(found.countedHours).toBe(4);
    expect(found.differences.map((one) => one.differenceHours)).toEqual([0, 0.5]);
    expect(found.differences[1]!.sentence).toBe(
      "The meter shows 1203.5 h, 30 min more than counted (1203.0 h). The meter is believed and the difference kept.",
    );
  });

  it("knows nothing of readings still to come", () => {
    const readings = [{ atMs: 5 * HOUR, hours: 99 }];
    expect(meterAt({ runs, readings, atMs: 4 * HOUR }).hours).toBe(2);
  });

  it("says so when it would have run backwards", () => {
    const readings = [
      { atMs: 0, hours: 500 },
      { atMs: 8 * HOUR, hours: 50.4 },
    ];
    const [, second] = meterAt({ runs, readings, atMs: 8 * HOUR }).differences;
    expect(second).toMatchObject({ runsBackwards: true });
    expect(second!.sentence).toContain("misread or the meter was changed");
  });

  it("tells how much the meter gains on the count, once enough was counted", () => {
    const many = Array.from({ length: 20 }, (_, hour) => ({
      startMs: hour * HOUR,
      endMs: (hour + 1) * HOUR,
      runS: 3600,
    }));
    const readings = [
      { atMs: 0, hours: 100 },
      { atMs: 20 * HOUR, hours: 122 },
    ];
    expect(meterAt({ runs: many, readings, atMs: 20 * HOUR }).perCountedHour).toBeCloseTo(1.1, 12);
    expect(
      meterAt({ runs, readings: [readings[0]!, { atMs: 7 * HOUR, hours: 104 }], atMs: 7 * HOUR })
        .perCountedHour,
    ).toBeNull();
  });
});
