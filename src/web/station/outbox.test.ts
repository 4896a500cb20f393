import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { FloorEventBody } from "#contract";
import {
  joined,
  nextToSend,
  type Outcome,
  refusedOf,
  type Told,
  waitingOf,
  waitS,
  withOutcomes,
  withoutOld,
  withTold,
} from "./outbox";

const event = (id: string, atMs = 0): FloorEventBody => ({
  kind: "machine-up",
  id,
  atMs,
  personId: null,
  machineId: "gannet",
});
const told = (id: string, atMs = 0): Told => ({
  event: event(id, atMs),
  words: id,
  state: "waiting",
  why: "",
  answeredAtMs: null,
  before: { run: null, registers: [] },
});
const outcome = (id: string, is: Outcome["outcome"] = "kept"): Outcome => ({ id, outcome: is, why: "" });

describe("what a tablet told and has no answer to yet", () => {
  it("is sent in the order it was told, until it is answered", () => {
    let list = ["a", "b", "c"].reduce<readonly Told[]>((all, id) => withTold(all, told(id)), []);
    expect(nextToSend(list).map((one) => one.id)).toEqual(["a", "b", "c"]);
    list = withOutcomes(list, [outcome("a"), outcome("b", "known")], 10);
    expect(nextToSend(list).map((one) => one.id)).toEqual(["c"]);
    expect(waitingOf(list)).toHaveLength(1);
  });

  it("is once in the list, however often it is told under its id", () => {
    const list = withTold(withTold([], told("a")), told("a"));
    expect(list).toHaveLength(1);
  });

  it("keeps what was refused, with why, and does not send it again", () => {
    const list = withOutcomes([told("a")], [{ id: "a", outcome: "refused", why: "no such piece" }], 10);
    expect(refusedOf(list).map((one) => one.why)).toEqual(["no such piece"]);
    expect(nextToSend(list)).toEqual([]);
    expect(withoutOld(list, 1e9)).toHaveLength(1);
  });

  it("lets go of what was kept after some minutes, and of nothing that waits", () => {
    const list = withOutcomes([told("a"), told("b")], [outcome("a")], 1000);
    expect(withoutOld(list, 2000)).toBe(list);
    expect(withoutOld(list, 1000 + 4 * 60_000).map((one) => one.event.id)).toEqual(["b"]);
  });

  it("has what was left by an earlier visit before what was told since, none twice", () => {
    expect(joined([told("a"), told("b")], [told("b"), told("c")]).map((one) => one.event.id)).toEqual([
      "a",
      "b",
      "c",
    ]);
  });

  it("waits longer after each failure, and never above half a minute", () => {
    expect([1, 2, 3, 4, 5, 6, 20].map(waitS)).toEqual([1, 2, 4, 8, 16, 30, 30]);
  });

  // A sending may be cut before it arrives or after; the program keeps an event by its id once.
  it("ends with every event kept once and in order, wherever the network breaks", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 30 }),
        fc.array(fc.constantFrom("arrives", "lost", "answer lost"), { maxLength: 20 }),
        (count, tries) => {
          let list: readonly Told[] = Array.from({ length: count }, (_, at) => told(`e${at}`, at));
          const kept: string[] = [];
          for (const one of [...tries, "arrives" as const]) {
            const sent = nextToSend(list);
            const outcomes =
              one === "lost"
                ? []
                : sent.map(({ id }): Outcome => {
                    const known = kept.includes(id);
                    if (!known) kept.push(id);
                    return outcome(id, known ? "known" : "kept");
                  });
            if (one === "arrives") list = withOutcomes(list, outcomes, 1);
          }
          expect(kept).toEqual(Array.from({ length: count }, (_, at) => `e${at}`));
          expect(waitingOf(list)).toEqual([]);
        },
      ),
    );
  });
});
