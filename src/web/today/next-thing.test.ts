import type { shapes } from "#contract";
import { describe, expect, it } from "vitest";
import { blockWords, lengthWords, readDay } from "./day";
import { nextThing, unmarkedJobs } from "./next-thing";

const job = (
  jobId: string,
  title: string,
  product: string,
  state: shapes.PlannedJob["state"],
  threads: string[],
): shapes.PlannedJob => ({
  jobId,
  pieceId: `p-${jobId}`,
  pieceCode: jobId,
  pieceVersion: 1,
  state,
  urgency: "normal",
  pinnedMachineId: null,
  title,
  personalText: title,
  product,
  placement: "corner",
  where: "",
  hoopName: "magnetic side",
  backing: null,
  topping: null,
  needleAdvice: "75/11",
  orderId: "o",
  orderReference: "O1",
  customer: "",
  promiseDate: "2026-11-27",
  shipBy: "2026-11-25",
  designVersionId: null,
  designName: title,
  parts: threads.map((threadId) => ({ threadId, stitches: 100 })),
  caution: "",
  why: "",
  whyLate: "",
});

function view(juno: shapes.PlannedJob["state"] = "hooped"): shapes.PlanView {
  const task = (
    hand: string,
    kind: shapes.PlanDocument["tasks"][number]["do"],
    about: string,
    start: number,
    end: number,
    more: object = {},
  ) => ({ hand, do: kind, job: about, start, end, ...more });
  return {
    planId: "1",
    madeAtMs: 0,
    startsAtMs: Date.UTC(2026, 10, 25, 8),
    timeZone: "Europe/Dublin",
    stale: false,
    staleWhy: "",
    stalePieces: 0,
    moved: null,
    plan: {
      format: "spoolwright/plan@1",
      runs: [
        {
          job: "j",
          machine: "m",
          hoop: "side/2",
          needles: [4],
          stretches: [{ from: 0, to: 0, start: 300, end: 900 }],
        },
        {
          job: "b",
          machine: "m",
          hoop: "side/1",
          needles: [4],
          stretches: [{ from: 0, to: 0, start: 1200, end: 1800 }],
        },
      ],
      tasks: [
        task("ness", "hoop", "j", 0, 45),
        task("ness", "thread", "j", 100, 160, { machine: "m", needle: 4, colour: "r" }),
        task("ness", "load", "j", 160, 245, { machine: "m" }),
        task("ivor", "hoop", "b", 100, 145),
        task("ness", "unload", "j", 900, 930, { machine: "m" }),
        task("ness", "load", "b", 1000, 1085, { machine: "m" }),
      ],
      unplanned: [],
      totals: { cost: 1, threadings: 1, midStops: 0, lateJobs: 0, lateMinutes: 0, finishAt: 2000 },
      bounds: { cost: 1, threadings: 1, finishAt: 2000 },
      solver: { seconds: 1, seed: 1, evaluations: 1 },
    },
    machines: [
      {
        id: "m",
        name: "Heron",
        needles: 4,
        threaded: [null, null, null, "t"],
        fixed: [],
        down: [],
        stitchesPerMinute: 800,
      },
    ],
    hands: [
      { id: "ness", name: "Ness", skills: [], shifts: [[0, 7200]] },
      { id: "ivor", name: "Ivor", skills: [], shifts: [[0, 7200]] },
    ],
    open: [[0, 7200]],
    hoops: [],
    threads: [
      { id: "t", code: "T14", name: "teal", rgb: "#2b7a7b" },
      { id: "r", code: "R03", name: "rust", rgb: "#a9552b" },
    ],
    jobs: [job("j", "Juno", "towel", juno, ["r"]), job("b", "Bram", "swim robe", "ready", ["r"])],
    chores: [],
    leftOut: [],
    headline: {
      pieces: 2,
      late: [{ jobId: "b", title: "Bram", minutes: 31, why: "" }],
      tightest: null,
      careful: null,
    },
  };
}

describe("the very next thing", () => {
  it("says who, what and where, what comes off and goes on, and what others do meanwhile", () => {
    const next = nextThing(readDay(view()), 110)!;
    expect(`${next.step.handName}: ${next.step.telling}`).toBe(
      "Ness: thread needle 4 on Heron: off teal T14, on rust R03",
    );
    expect(next.then).toBe("load Juno’s towel on Heron");
    expect(next.meanwhile).toEqual(["Ivor hoops Bram’s swim robe in magnetic side, number 1"]);
    expect(next.caution).toContain("Stop the machine");
  });
  it("passes over what a piece's state says is done", () => {
    const next = nextThing(readDay(view("sewing")), 90)!;
    expect(`${next.step.handName}: ${next.step.telling}`).toBe(
      "Ivor: hoop Bram’s swim robe in magnetic side, number 1",
    );
  });
  it("says nothing once the plan is over", () => {
    expect(nextThing(readDay(view()), 5000)).toBeNull();
  });
});

describe("a piece against the clock", () => {
  it("is named where its time is over and nobody marked it", () => {
    expect(unmarkedJobs(readDay(view()), 1000).map((one) => one.title)).toEqual(["Juno"]);
    expect(unmarkedJobs(readDay(view("done")), 1000)).toEqual([]);
  });
  it("is said in one line, late or on time", () => {
    const day = readDay(view());
    expect(blockWords(day, day.blocks.get("j")!, "ahead", 0)).toBe(
      "Juno, towel, Heron, 8:02 to 8:15, on time",
    );
    expect(blockWords(day, day.blocks.get("b")!, "ahead", 0)).toContain("late by 31 min");
  });
  it("has its lengths of time in words", () => {
    expect([30, 1080, 7500, 7200, 145_860, 172_000, 200_000, 400_000].map(lengthWords)).toEqual([
      "under a minute",
      "18 min",
      "2 h 5 min",
      "2 h",
      "1 day 17 h",
      "2 days",
      "2 days 8 h",
      "5 days",
    ]);
  });
});
