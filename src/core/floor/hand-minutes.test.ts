import { describe, expect, test } from "vitest";
import { handMinutes, sumOfHandUses } from "./hand-minutes";
import type { FloorEvent } from "./events";

const MINUTE = 60_000;
const of = { pieceId: "p", jobId: "j" };
const told = (minute: number, event: object, personId: string | null = "mara"): FloorEvent =>
  ({ id: `ev-${minute}`, atMs: minute * MINUTE, personId, ...event }) as FloorEvent;

const asked = (events: readonly FloorEvent[]) => ({
  personId: "mara",
  events,
  shifts: [[0, 60 * MINUTE]] as const,
  away: [[50 * MINUTE, 60 * MINUTE]] as const,
  sewing: new Map([["gannet", [[10 * MINUTE, 30 * MINUTE]] as const]]),
  untilMs: 120 * MINUTE,
  usualS: () => 180,
});

describe("where a person's minutes went", () => {
  const spans = handMinutes(
    asked([
      told(4, { kind: "hooped", ...of, hoop: null }),
      // Four minutes since the hooping, under twice the usual three: all of them.
      told(8, { kind: "loaded", machineId: "gannet", ...of }),
      told(20, { kind: "finished", ...of }, "ivor"),
      told(32, { kind: "sewn", machineId: "gannet", ...of }),
      told(37, { kind: "finished", ...of }),
    ]),
  );
  const minutes = (use: string) =>
    spans.filter((span) => span.use === use).map(({ fromMs, toMs }) => [fromMs / MINUTE, toMs / MINUTE]);

  test("a task lasts from what the same person told before, or as usual where that is long ago", () => {
    expect(minutes("hooping")).toEqual([[1, 4]]);
    expect(minutes("loading")).toEqual([
      [4, 8],
      [29, 32],
    ]);
    // What another person finished is theirs.
    expect(minutes("finishing")).toEqual([[32, 37]]);
  });

  test("before a task at a machine that sewed it was waiting for it; what nobody told of is not told", () => {
    expect(minutes("waiting-machine")).toEqual([[10, 29]]);
    expect(minutes("away")).toEqual([[50, 60]]);
    expect(minutes("not-told")).toEqual([
      [0, 1],
      [8, 10],
      [37, 50],
    ]);
  });

  test("the spans fill the shift and do not overlap", () => {
    const all = Object.values(sumOfHandUses(spans)).reduce((sum, one) => sum + one, 0);
    expect(all).toBe(3600);
    spans.forEach((span, at) => at === 0 || expect(span.fromMs).toBe(spans[at - 1]!.toMs));
  });

  test("work told after the shift counts, and mending is what a machine's stop took", () => {
    const late = handMinutes(
      asked([
        told(70, { kind: "stopped", machineId: "gannet", ...of, why: "thread-broke", needle: 1, note: "" }),
        told(74, { kind: "started", machineId: "gannet", ...of }),
        told(90, { kind: "batch-done", choreId: "c", pieceIds: [] }),
      ]),
    );
    const sums = sumOfHandUses(late);
    expect([sums.mending, sums.sewing, sums.away, sums["not-told"]]).toEqual([240, 180, 600, 3000]);
  });
});
