import { describe, expect, it } from "vitest";
import {
  type CaredMachine,
  careChores,
  type CareRule,
  defaultCareRules,
  dueCare,
  type ExpectedRun,
  type Meters,
} from ".";

const meters = (runHours: number, day: string, more: Partial<Meters> = {}): Meters => ({
  runS: runHours * 3600,
  stitches: runHours * 30_000,
  pieces: runHours * 4,
  day,
  ...more,
});
const start = meters(0, "2026-03-02");
const machine = (now: Meters, more: Partial<CaredMachine> = {}): CaredMachine => ({
  id: "A",
  kind: "multi-needle",
  now,
  since: start,
  needles: [],
  ...more,
});
const ruleOf = (id: string): CareRule => defaultCareRules.find((rule) => rule.id === id)!;
const oil = ruleOf("oil-hook");
const standing = (rule: CareRule, hours: number, day = "2026-03-02") =>
  dueCare({ rules: [rule], machines: [machine(meters(hours, day))], done: [] })[0]!;

describe("what care is due", () => {
  it("comes by run hours: fine, soon, due, overdue", () => {
    expect([1, 3.3, 4, 4.8, 5].map((hours) => standing(oil, hours).state)).toEqual([
      "fine",
      "soon",
      "due",
      "due",
      "overdue",
    ]);
    expect(standing(oil, 3)).toMatchObject({ share: 0.75, used: 3, left: 1 });
  });

  it("is told in plain words with its units", () => {
    expect(standing(oil, 3.5).sentence).toBe(
      "Oil the hook soon: 30 min of running left. Every 4 h of running; not noted as done yet, counted since 2 March 2026.",
    );
    expect(standing(oil, 5.25).sentence).toContain("overdue by 1 h 15 min of running");
  });

  it("counts from the last doing, whatever order doings were noted in", () => {
    const done = [meters(3, "2026-03-02"), meters(8, "2026-03-03"), meters(5, "2026-03-03")].map((at) => ({
      machineId: "A",
      ruleId: oil.id,
      needle: null,
      at,
    }));
    const [found] = dueCare({ rules: [oil], machines: [machine(meters(9, "2026-03-04"))], done });
    expect(found).toMatchObject({ used: 1, lastDone: { day: "2026-03-03" } });
    expect(found!.sentence).toContain("last done on 3 March 2026");
  });

  it("of the bobbin area comes round each week, used or not", () => {
    const rule = ruleOf("bobbin-area");
    expect(standing(rule, 0, "2026-03-08").state).toBe("soon");
    expect(standing(rule, 0, "2026-03-09").state).toBe("due");
    expect(standing(rule, 0, "2026-03-11").state).toBe("overdue");
  });

  it("of a straight-stitch machine comes by pieces, of a multi-needle one never", () => {
    const rule = ruleOf("oil-pieces");
    const machines = [
      machine(meters(1, "2026-03-02", { pieces: 26 }), { id: "S", kind: "straight-stitch" }),
      machine(meters(1, "2026-03-02", { pieces: 26 })),
    ];
    const found = dueCare({ rules: [rule], machines, done: [] });
    expect(found.map((one) => [one.machineId, one.state])).toEqual([["S", "due"]]);
  });

  it("of needles is counted needle by needle", () => {
    const needles = [
      { number: 1, now: meters(25, "2026-03-20"), since: start },
      { number: 4, now: meters(3, "2026-03-20"), since: start },
    ];
    const found = dueCare({ rules: [ruleOf("needle")], machines: [machine(start, { needles })], done: [] });
    expect(found.map((one) => [one.needle, one.state])).toEqual([
      [1, "due"],
      [4, "fine"],
    ]);
    expect(found[0]!.sentence).toContain("Change the needle, needle 1 now");
  });

  it("by default means about one needle a day over three machines in use almost eight hours, and a service in half a year (TRADE.md, check; common practice, no source)", () => {
    // Three machines sew 3 × 7.9 hours of needle time a day between them, however many needles share it.
    expect((3 * 7.9) / ruleOf("needle").every).toBeCloseTo(1, 1);
    expect(ruleOf("service").every).toBe(500);
  });
});

const hourRun = (startHour: number, more: Partial<ExpectedRun> = {}): ExpectedRun => ({
  machineId: "A",
  start: startHour * 3600,
  end: (startHour + 1) * 3600,
  runS: 3600,
  stitches: 40_000,
  pieces: 1,
  needles: [{ number: 1, runS: 3600, stitches: 40_000 }],
  ...more,
});
const day = { from: 0, to: 86_400, dayStarts: [0] };
const eight = [0, 1, 2, 3, 4, 5, 6, 7].map((hour) => hourRun(hour));

describe("care in the day's plan", () => {
  it("oils twice in eight hours of running, each in its window", () => {
    const found = careChores({ ...day, rules: [oil], standings: [standing(oil, 0)], runs: eight });
    expect(found.map(({ releaseAt, dueAt, seconds }) => [releaseAt / 3600, dueAt / 3600, seconds])).toEqual([
      [3.2, 4, 300],
      [7.2, 8, 300],
    ]);
    expect(new Set(found.map((one) => one.id)).size).toBe(2);
  });

  it("starts from what is used already", () => {
    const found = careChores({ ...day, rules: [oil], standings: [standing(oil, 3)], runs: eight });
    expect(found.map((one) => one.dueAt / 3600)).toEqual([1, 5]);
  });

  it("lays what is due before it is overdue, and what is overdue at once", () => {
    const due = careChores({ ...day, rules: [oil], standings: [standing(oil, 4)], runs: eight });
    expect(due[0]).toMatchObject({ releaseAt: 0, dueAt: 0.8 * 3600 });
    expect(due[1]!.dueAt).toBe(4 * 3600);
    const overdue = careChores({ ...day, rules: [oil], standings: [standing(oil, 7)], runs: eight });
    expect(overdue[0]).toMatchObject({ releaseAt: 0, dueAt: 300 });
    expect(overdue[1]!.dueAt).toBe(4 * 3600);
  });

  it("asks for nothing on a machine that hardly runs, and waits through its pauses", () => {
    const asked = { ...day, rules: [oil], standings: [standing(oil, 3)] };
    expect(careChores({ ...asked, runs: [hourRun(0, { runS: 600 })] })).toEqual([]);
    const late = careChores({ ...asked, runs: [hourRun(0, { runS: 1800 }), hourRun(5)] });
    expect(late.map((one) => one.dueAt / 3600)).toEqual([5.5]);
  });

  it("gives what falls due on a day that whole day, and the quiet times before it", () => {
    const weekly = ruleOf("bobbin-area");
    const asked = { from: 10, to: 3 * 86_400, dayStarts: [0, 86_400, 2 * 86_400], rules: [weekly], runs: [] };
    // Used six of seven days: due tomorrow.
    const tomorrow = careChores({ ...asked, standings: [standing(weekly, 0, "2026-03-08")] });
    expect(tomorrow).toMatchObject([{ releaseAt: 10, dueAt: 2 * 86_400 }]);
    const today = careChores({
      ...asked,
      to: 86_400,
      dayStarts: [0],
      standings: [standing(weekly, 0, "2026-03-08")],
    });
    expect(today).toEqual([]);
    const due = careChores({
      ...asked,
      to: 86_400,
      dayStarts: [0],
      standings: [standing(weekly, 0, "2026-03-09")],
    });
    expect(due).toMatchObject([{ releaseAt: 10, dueAt: 86_400 }]);
  });

  it("changes the needle that is worn and leaves the service for a trip", () => {
    const needles = [{ number: 1, now: meters(23, "2026-03-20"), since: start }];
    const rules = [ruleOf("needle"), ruleOf("service")];
    const standings = dueCare({
      rules,
      machines: [machine(meters(510, "2026-03-20"), { needles })],
      done: [],
    });
    const found = careChores({ ...day, rules, standings, runs: eight });
    expect(found).toMatchObject([{ ruleId: "needle", needle: 1, dueAt: 3600 }]);
  });
});
