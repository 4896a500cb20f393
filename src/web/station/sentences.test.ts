import { describe, expect, it } from "vitest";
import type { HoopWait, MachineStep } from "#core/floor";
import {
  cautions,
  handWords,
  isOpenEnded,
  machineWords,
  type Names,
  OPEN_END_MS,
  waitWords,
} from "./sentences";
import { planned, START_MS } from "./test-day";

const names: Names = {
  nowMs: START_MS,
  job: (id) => planned.jobs.find((job) => job.jobId === id),
  chore: (id) =>
    id === "oil"
      ? {
          choreId: id,
          title: "Oil the hook",
          machineId: "gannet",
          pieceIds: [],
          orderReference: null,
          shipBy: null,
          ruleId: "oil",
          needle: null,
          instructions: ["One drop."],
          caution: "",
        }
      : undefined,
  machine: (id) => (id === "gannet" ? "Gannet" : "Tern"),
  linesUpBy: () => "laser",
  hoop: () => "side/2",
  clock: () => "13:10",
};
const sentence = (step: MachineStep) => machineWords(step, "gannet", names).sentence;
const put = (needle: number) => ({ needle, from: null, to: "red" });

describe("what to do at a machine, in a sentence", () => {
  it("is the trade's", () => {
    const said = {
      "Thread needle 4": { do: "thread", jobId: "juno", needles: [put(4)], inside: false },
      "Thread needles 4 and 7": { do: "thread", jobId: "juno", needles: [put(4), put(7)], inside: false },
      "Thread 6 needles": {
        do: "thread",
        jobId: "juno",
        needles: [1, 2, 3, 4, 5, 6].map(put),
        inside: false,
      },
      "Hoop Juno’s hand towel": { do: "hoop", jobId: "juno", waits: null },
      "Hoop the hand towel with Anchor": { do: "hoop", jobId: "bram", waits: null },
      "Load Juno": { do: "load", jobId: "juno" },
      "Start the anchor": { do: "start", jobId: "bram" },
      "Sewing Juno — 12 min left": { do: "sewing", jobId: "juno", sinceMs: 0, leftS: 720, nextStop: null },
      "Sewing Juno — 12 min to its stop": { do: "sewing", jobId: "juno", sinceMs: 0, leftS: 720, nextStop: [put(4)] }, // prettier-ignore
      "Juno should be sewn now": { do: "sewing", jobId: "juno", sinceMs: 0, leftS: -30, nextStop: null },
      "Thread broke on needle 4: mend it": { do: "mend", jobId: "juno", why: "thread-broke", needle: 4 },
      "Change the bobbin": { do: "mend", jobId: "juno", why: "bobbin", needle: null },
      "Change needle 4": { do: "mend", jobId: "juno", why: "needle", needle: 4 },
      "Oil the hook": { do: "care", choreId: "oil", jobId: null },
      "Gannet is down until 13:10": { do: "down", untilMs: START_MS + 3_600_000, why: "" },
      "Gannet is down": { do: "down", untilMs: START_MS + OPEN_END_MS, why: "" },
    } satisfies Readonly<Record<string, MachineStep>>;
    expect(Object.values(said).map(sentence)).toEqual(Object.keys(said));
  });

  it("says what belongs to it: hoop and its number, backing, how to line up, what comes at the stop", () => {
    const more = (step: MachineStep) => machineWords(step, "gannet", names).more;
    expect(more({ do: "hoop", jobId: "juno", waits: null })).toBe(
      "Side magnetic, number 2 · Tear-away 40 g under it · Soluble film on top",
    );
    expect(more({ do: "load", jobId: "juno" })).toBe("Line up on the laser cross · corner: 90 mm in from both edges"); // prettier-ignore
    expect(more({ do: "sewing", jobId: "juno", sinceMs: 0, leftS: 60, nextStop: [put(4)] })).toBe(
      "At the stop, thread needle 4",
    );
    expect(more({ do: "thread", jobId: "juno", needles: [put(4)], inside: true })).toBe(
      "Inside Juno’s hand towel · then start it again",
    );
  });

  it("hoops nothing for which no hoop is free: it says who is in them, and what to do meanwhile", () => {
    const said = (waits: HoopWait) => machineWords({ do: "hoop", jobId: "juno", waits }, "gannet", names);
    expect(said({ heldBy: ["bram"], sewnJobId: "bram", meanwhileJobId: null })).toMatchObject({
      sentence: "Take the hand towel with Anchor out of its hoop",
      more: "Juno waits for it: no side magnetic is free",
    });
    expect(said({ heldBy: ["bram"], sewnJobId: null, meanwhileJobId: "juno" })).toMatchObject({
      sentence: "Juno waits for a hoop",
      more: "The anchor is in side magnetic · meanwhile hoop Juno’s hand towel",
    });
  });

  it("warns where it can hurt: needles, magnetic hoops, oil", () => {
    const of = (step: MachineStep) => machineWords(step, "gannet", names).cautions;
    expect(of({ do: "thread", jobId: "juno", needles: [put(4)], inside: false })).toEqual([cautions.needle]);
    expect(of({ do: "hoop", jobId: "juno", waits: null })).toEqual([cautions.magnetic]);
    expect(of({ do: "mend", jobId: "juno", why: "needle", needle: 4 })).toEqual([cautions.needle]);
    expect(of({ do: "care", choreId: "oil", jobId: null })).toEqual([cautions.oil]);
    expect(of({ do: "start", jobId: "juno" })).toEqual([cautions.start]);
  });
});

describe("what a pair of hands is to do", () => {
  const planTime = { planned: { startMs: START_MS, endMs: START_MS } };

  it("names the machine it is at, and what it waits for", () => {
    const load = {
      do: "load",
      jobId: "juno",
      machineId: "gannet",
      waitsFor: "machine",
      ...planTime,
    } as const;
    expect(handWords(load, names).sentence).toBe("Load Juno’s hand towel on Gannet");
    expect(waitWords(load, names)).toBe("when Gannet is done");
    const chore = { do: "chore", choreId: "oil", machineId: null, waitsFor: null, ...planTime } as const;
    expect(handWords(chore, names).sentence).toBe("Oil the hook on Gannet");
    expect(waitWords(chore, names)).toBe("");
  });

  it("takes an end a year off for none", () => {
    expect(isOpenEnded(START_MS + OPEN_END_MS, START_MS)).toBe(true);
    expect(isOpenEnded(START_MS + 86_400_000, START_MS)).toBe(false);
  });
});
