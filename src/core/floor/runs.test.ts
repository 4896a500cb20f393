import { describe, expect, it } from "vitest";
import type { FloorEvent } from "./events";
import { runAfter, runOf } from "./runs";

const of = { personId: null, pieceId: "piece", jobId: "job", machineId: "gannet" };
const day: readonly FloorEvent[] = [
  { id: "a", atMs: 1_000, kind: "hooped", hoop: "side/2", ...of },
  { id: "b", atMs: 2_000, kind: "loaded", ...of },
  { id: "c", atMs: 3_000, kind: "started", ...of },
  { id: "d", atMs: 63_000, kind: "stopped", why: "thread-broke", needle: 4, note: "", ...of },
  { id: "e", atMs: 93_000, kind: "started", ...of },
  { id: "f", atMs: 153_000, kind: "sewn", ...of },
  { id: "g", atMs: 300_000, kind: "finished", ...of },
];

describe("a run taken further from where it is known", () => {
  it("is the run of the whole record, wherever the record was cut", () => {
    for (let cut = 0; cut <= day.length; cut++)
      expect(runAfter(runOf("job", day.slice(0, cut)), "job", day.slice(cut))).toEqual(runOf("job", day));
  });

  it("leaves what was known as it was, and leaves out what was taken back", () => {
    const known = runOf("job", day.slice(0, 3));
    const before = structuredClone(known);
    const back: FloorEvent = { id: "x", atMs: 64_000, personId: null, kind: "taken-back", eventId: "d" };
    expect(runAfter(known, "job", [day[3]!, back])).toEqual(before);
    runAfter(known, "job", day.slice(3));
    expect(known).toEqual(before);
  });
});
