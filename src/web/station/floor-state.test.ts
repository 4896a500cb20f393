import { describe, expect, it } from "vitest";
import {
  machineStep,
  registerKey,
  type Register,
  type Run,
  registersOfMove,
  runOf,
  registersOf,
  threadOn,
} from "#core/floor";
import { before, isIn, seenFloor, timeOfTelling } from "./floor-state";
import type { Told } from "./outbox";
import { planned, said, START_MS, toldOf } from "./test-day";

const juno = { pieceId: "piece-juno", jobId: "juno" };
const at = { ...juno, machineId: "gannet" };
const day: readonly Told[] = [
  toldOf("ev-thread", 1, { kind: "threaded", machineId: "gannet", needles: [{ needle: 2, threadId: "blue" }] }), // prettier-ignore
  toldOf("ev-hoop", 2, { kind: "hooped", hoop: "side/2", ...juno }),
  toldOf("ev-load", 3, { kind: "loaded", ...at }),
  toldOf("ev-start", 4, { kind: "started", ...at }),
  toldOf("ev-stop", 6, { kind: "stopped", why: "thread-broke", needle: 2, note: "", ...at }),
];
const seen = (told: readonly Told[], snapshot = said(), minute = 10) =>
  seenFloor(snapshot, planned, told, START_MS + minute * 60_000);
const stepAt = (floor: ReturnType<typeof seen>) => machineStep(floor.floor, "gannet", floor.colours);

describe("a tablet without the network", () => {
  it("goes on by what it told: thread, hoop, load, start, stop", () => {
    const steps = day.map((_, count) => stepAt(seen(day.slice(0, count))).do);
    expect(steps).toEqual(["thread", "hoop", "load", "start", "sewing"]);
    expect(stepAt(seen(day))).toMatchObject({ do: "mend", why: "thread-broke", needle: 2 });
  });

  it("takes back what it told and has not sent", () => {
    const back = toldOf("ev-back", 7, { kind: "taken-back", eventId: "ev-stop" });
    expect(stepAt(seen([...day, back])).do).toBe("sewing");
    expect(stepAt(seen([...day.slice(0, 1), toldOf("ev-b", 2, { kind: "taken-back", eventId: "ev-thread" })])).do).toBe("thread"); // prettier-ignore
  });

  it("takes back what the program has already, from what stood before", () => {
    const events = day.slice(0, 4).map((one) => one.event);
    const runs = [runOf("juno", events)!];
    const registers = events.flatMap((event) => registersOf(event) as Register[]);
    const standing = [...new Map(registers.map((one) => [registerKey(one), one])).values()];
    const program = said({ runs, registers: standing, lately: [] }, START_MS + 5 * 60_000);
    const priorRun: Run | null = runOf("juno", events.slice(0, 3));
    const loaded = registersOf(events[2]!);
    const start = { ...day[3]!, state: "kept", answeredAtMs: START_MS + 4 * 60_000, before: { run: priorRun, registers: loaded } } as Told; // prettier-ignore
    expect(stepAt(seen([start], program)).do).toBe("sewing");
    const back = toldOf("ev-back", 5, { kind: "taken-back", eventId: "ev-start" });
    const after = seen([start, back], program);
    expect(stepAt(after).do).toBe("start");
    expect(after.floor.runs.get("juno")).toEqual(priorRun);
  });

  it("does not count twice what the program's word has in it", () => {
    const events = day.map((one) => one.event);
    const lately = day.map(({ event, words }) => ({ id: event.id, atMs: event.atMs, who: "", kind: event.kind, machineId: null, personId: null, pieceId: null, words, takenBack: false })); // prettier-ignore
    const program = said({ runs: [runOf("juno", events)!], lately });
    expect(seen(day, program).floor.runs.get("juno")!.stops).toHaveLength(1);
    const kept = { ...day[4]!, state: "kept", answeredAtMs: START_MS - 1 } as Told;
    expect(isIn(kept, said())).toBe(true);
    expect(isIn({ ...kept, answeredAtMs: START_MS + 1 }, said())).toBe(false);
  });

  it("leaves out what was refused", () => {
    expect(stepAt(seen([{ ...day[0]!, state: "refused" }])).do).toBe("thread");
  });

  it("has the finished piece to pack, and the packed one no more", () => {
    const sewn = toldOf("ev-sewn", 20, { kind: "sewn", ...at });
    const finished = toldOf("ev-fin", 22, { kind: "finished", ...juno });
    const packed = toldOf("ev-pack", 23, { kind: "packed", pieceId: "piece-juno" });
    expect(seen([sewn, finished]).toPack.map((one) => one.title)).toEqual(["Juno"]);
    expect(seen([sewn, finished, packed]).toPack).toEqual([]);
  });
});

describe("a piece that was begun on its own page", () => {
  it("stands at its machine as the program has it, and is done like any other", () => {
    const move = { kind: "moved", id: "mv", atMs: START_MS, pieceId: "piece-juno", from: "ready", to: "sewing", runs: { juno: { machineId: "gannet", facts: null } } } as const; // prettier-ignore
    const program = said({
      nowMs: START_MS + 480_000,
      runs: [runOf("juno", [move])!],
      registers: registersOfMove(move, "mv"),
    });
    const step = (told: readonly Told[] = []) => {
      const floor = seenFloor(program, planned, told, START_MS + 480_000);
      return machineStep(floor.floor, "gannet", floor.colours);
    };
    expect(step()).toMatchObject({ do: "sewing", jobId: "juno" });
    expect(step([toldOf("ev-sewn", 9, { kind: "sewn", ...at })])).toMatchObject({
      do: "hoop",
      jobId: "bram",
    });
  });
});

describe("an event told now", () => {
  it("happens after all that stands of the same things, though the tablet's clock is a little behind", () => {
    const ahead = { ...day[0]!.event, id: "ev-other", atMs: START_MS + 30_000 };
    const floor = seen([{ ...day[0]!, event: ahead }], said(), 0);
    const event = { ...day[0]!.event, atMs: START_MS };
    expect(timeOfTelling(floor, event, START_MS)).toBe(START_MS + 30_001);
    // A clock that is far ahead is an error of that clock, and draws nobody along.
    const far = seen([{ ...day[0]!, event: { ...ahead, atMs: START_MS + 30 * 60_000 } }], said(), 0);
    expect(timeOfTelling(far, event, START_MS)).toBe(START_MS);
  });

  it("carries what stood before it", () => {
    const floor = seen(day.slice(0, 3));
    const kept = before(floor, day[3]!.event);
    expect(kept.run?.stage).toBe("loaded");
    expect(kept.registers.map((one) => one.eventId)).toEqual(["ev-load"]);
    expect(threadOn(floor.floor, "gannet", 2)).toBe("blue");
  });
});
