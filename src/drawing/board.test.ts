import { describe, expect, it } from "vitest";
import { type BoardInput, groupTasks, joinLikeTasks, layBoard, needlesOfRun } from "./board";
import { fitTitle, placeTicks } from "./board-fit";
import { axisMarks, joinSpans, markStepMinutes, timeAxis } from "./time-axis";

/** One machine of two needles, red on the first. Job a sews red, blue, then green, for which it stops once. */
const input: BoardInput = {
  machines: [{ id: "m", threaded: ["red", null], down: [[900, 1000]] }],
  hands: [{ id: "h", shifts: [[0, 3600]] }],
  open: [
    [0, 3600],
    [86_400, 90_000],
  ],
  jobs: [
    {
      jobId: "a",
      parts: [
        { threadId: "red", stitches: 300 },
        { threadId: "blue", stitches: 100 },
        { threadId: "green", stitches: 50 },
      ],
    },
  ],
  plan: {
    runs: [
      {
        job: "a",
        machine: "m",
        hoop: "side/1",
        needles: [1, 2, 1],
        stretches: [
          { from: 0, to: 1, start: 200, end: 600 },
          { from: 2, to: 2, start: 660, end: 700 },
        ],
      },
    ],
    tasks: [
      { hand: "h", do: "hoop", job: "a", start: 0, end: 45 },
      { hand: "h", do: "thread", job: "a", machine: "m", needle: 2, colour: "blue", start: 50, end: 110 },
      { hand: "h", do: "load", job: "a", machine: "m", start: 110, end: 195 },
      { hand: "h", do: "thread", job: "a", machine: "m", needle: 1, colour: "green", start: 600, end: 660 },
      { hand: "h", do: "unload", job: "a", machine: "m", start: 720, end: 750 },
      { hand: "h", do: "finish", job: "a", start: 760, end: 860 },
    ],
  },
};

describe("the board of a plan", () => {
  const board = layBoard(input);
  const lane = board.machines[0]!;
  it("shows a piece from its load to the end of its unload, and when it is finished", () => {
    expect(lane.blocks).toHaveLength(1);
    expect(lane.blocks[0]).toMatchObject({
      jobId: "a",
      start: 110,
      end: 750,
      sewStart: 200,
      sewEnd: 700,
      midStops: 1,
      finishedAt: 860,
    });
  });
  it("gives each part its share of its stretch by stitches", () => {
    expect(lane.blocks[0]!.seams.map(({ colour, start, end }) => [colour, start, end])).toEqual([
      ["red", 200, 500],
      ["blue", 500, 600],
      ["green", 660, 700],
    ]);
  });
  it("hangs a tick where threads are put on, saying what comes off", () => {
    expect(lane.ticks.map(({ start, midStop, puts }) => ({ start, midStop, puts }))).toEqual([
      { start: 50, midStop: 0, puts: [{ needle: 2, on: "blue", off: null }] },
      { start: 600, midStop: 1, puts: [{ needle: 1, on: "green", off: "red" }] },
    ]);
  });
  it("lists a run's needles, twice where a needle is threaded anew at a mid-stop", () => {
    expect(
      needlesOfRun(lane, "a", ["red", null]).map(({ needle, on, midStop, put }) => [
        needle,
        on,
        midStop,
        put !== null,
      ]),
    ).toEqual([
      [1, "red", 0, false],
      [1, "green", 1, true],
      [2, "blue", 0, true],
    ]);
    expect(needlesOfRun(lane, "unknown", ["red", null])).toEqual([]);
  });
  it("leaves off the days after the last task", () => {
    expect(board.spans).toEqual([[0, 3600]]);
  });
  it("starts a run that is already loaded where it sews", () => {
    const loaded = layBoard({
      ...input,
      plan: { ...input.plan, tasks: input.plan.tasks.filter((task) => task.do !== "load") },
    });
    expect(loaded.machines[0]!.blocks[0]!.start).toBe(200);
  });
});

describe("hands", () => {
  const task = (kind: "hoop" | "thread" | "chore", start: number, end: number) => ({
    hand: "h",
    do: kind,
    job: "a",
    machine: "m",
    start,
    end,
  });
  it("join tasks with short pauses and keep chores by themselves", () => {
    const groups = groupTasks(
      [
        task("hoop", 0, 45),
        task("thread", 60, 120),
        task("chore", 120, 400),
        task("hoop", 410, 455),
        task("hoop", 900, 945),
      ],
      60,
    );
    expect(groups.map(({ start, end, tasks }) => [start, end, tasks.length])).toEqual([
      [0, 120, 2],
      [120, 400, 1],
      [410, 455, 1],
      [900, 945, 1],
    ]);
  });
  it("thread several needles for one run in one go", () => {
    expect(
      joinLikeTasks([task("thread", 0, 60), task("thread", 60, 120), task("hoop", 120, 165)]).map(
        (group) => group.tasks.length,
      ),
    ).toEqual([2, 1]);
  });
});

describe("the axis", () => {
  const spans = joinSpans(
    [
      [0, 14_400],
      [16_200, 30_600],
      [86_400, 100_800],
    ],
    5400,
  );
  const axis = timeAxis({ spans, pxPerS: 0.1, gapPx: 30, edgePx: 10 });
  it("keeps a lunch break to scale and draws the night short", () => {
    expect(spans).toEqual([
      [0, 30_600],
      [86_400, 100_800],
    ]);
    expect([axis.x(0), axis.x(14_400), axis.x(30_600), axis.x(86_400), axis.x(100_800)]).toEqual([
      10, 1450, 3070, 3100, 4540,
    ]);
    expect(axis.widthPx).toBe(4550);
    expect(axis.gaps).toEqual([{ start: 30_600, end: 86_400, fromX: 3070, toX: 3100 }]);
  });
  it("turns lengths back into times", () => {
    for (const at of [0, 1, 5000, 30_600, 50_000, 86_400, 100_800])
      expect(axis.seconds(axis.x(at))).toBeCloseTo(at, 6);
    expect([axis.seconds(-50), axis.seconds(9999), axis.x(-5), axis.x(200_000)]).toEqual([
      0, 100_800, 10, 4540,
    ]);
  });
  it("never runs backwards", () => {
    let before = -Infinity;
    for (let at = -1000; at < 110_000; at += 777) {
      expect(axis.x(at)).toBeGreaterThanOrEqual(before);
      before = axis.x(at);
    }
  });
  // IANA time zone data: in Europe/Dublin the clock goes from 1:59 to 1:00 on 2026-10-25, at 01:00 UTC.
  it("marks whole local hours, across the end of summer time too", () => {
    const night = timeAxis({ spans: [[0, 4 * 3600]], pxPerS: 0.01, gapPx: 0, edgePx: 0 });
    const marks = axisMarks({
      axis: night,
      startsAtMs: Date.UTC(2026, 9, 24, 23, 0),
      timeZone: "Europe/Dublin",
      stepMinutes: 60,
      fromS: 0,
      toS: 4 * 3600,
    });
    expect(marks.map(({ at, minute }) => [at / 3600, minute / 60])).toEqual([
      [0, 0],
      [1, 1],
      [3, 2],
      [4, 3],
    ]);
  });
  it("sets marks as close as their words allow", () => {
    expect([markStepMinutes(0.35, 62), markStepMinutes(0.04, 62), markStepMinutes(0.0075, 62)]).toEqual([
      5, 30, 240,
    ]);
  });
});

describe("needle ticks", () => {
  const axis = timeAxis({ spans: [[0, 10_000]], pxPerS: 0.1, gapPx: 0, edgePx: 0 });
  const tick = (start: number, threads: number) => ({
    machineId: "m",
    jobId: `j${start}`,
    start,
    end: start + 60,
    midStop: 0,
    puts: Array.from({ length: threads }, (_, index) => ({ needle: index + 1, on: "red", off: null })),
  });
  it("never lie over one another, and lose no thread", () => {
    const ticks = [tick(0, 2), tick(300, 5), tick(800, 1), tick(830, 3), tick(1500, 9)];
    const placed = placeTicks({ ticks, axis, pinPx: 9, chipPx: 20, morePx: 26 });
    placed.forEach(({ x, shown, more }, index) => {
      const width = 9 + shown * 20 + (more > 0 && shown > 0 ? 26 : 0);
      expect(x + width).toBeLessThanOrEqual(placed[index + 1]?.x ?? Infinity);
    });
    expect(placed.reduce((sum, { shown, more }) => sum + shown + more, 0)).toBe(20);
    expect(placed).toHaveLength(4);
  });
});

describe("a title", () => {
  const measure = (text: string) => text.length * 10;
  it("is whole, or initials, or absent, but never cut", () => {
    const fit = (title: string, widthPx: number) => fitTitle({ title, widthPx, measure });
    expect(fit("Saoirse", 70)).toBe("Saoirse");
    expect(fit("Saoirse", 69)).toBe("S");
    expect(fit("Saoirse", 9)).toBe("");
    expect(fit("Ada Quill", 50)).toBe("Ada");
    expect(fit("Ada Quill", 20)).toBe("AQ");
  });
});
