import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { testProgram, type TestProgram } from "../../../test/support/program";
import { meantCard } from "./changes";
import { shopNow, basisOf } from "./shop";

let program: TestProgram;
beforeAll(async () => {
  program = await testProgram();
  await program.setup.startDemo();
  await settled(async () => (await program.setup.status()).state === "ready");
}, 300_000);
afterAll(() => program.close());

async function settled(holds: () => Promise<boolean>): Promise<void> {
  while (!(await holds())) await new Promise((resolve) => setTimeout(resolve, 50));
}

const worth = { handHourCents: 2000, latePieceCents: null };
const ended = async (id: string) => {
  await settled(async () => (await program.ask("readWhatIf", { params: { id } })).run.state !== "running");
  return program.ask("readWhatIf", { params: { id } });
};

describe("the demo studio's shop as it is", () => {
  it("has the machines, hoops and people of the records, and hours on one axis over nights and closed days", async () => {
    const { db } = program.context.store;
    const shop = (await shopNow(db, program.context.nowMs()))!;
    const { basis, assumptions } = await basisOf(db, shop, { days: 28, orders: "like-those-that-came" });
    const { problem } = basis;
    expect(problem.machines.map(({ id }) => id)).toEqual(shop.machines.map(({ id }) => id));
    expect(problem.hands).toHaveLength(shop.people.length);
    expect(basis.habits.orders.length).toBeGreaterThan(10);
    // Orders are there when the shop opens; days without a change of the clock have 86,400 seconds.
    // Two weeks before today fill the shop; what is counted begins today.
    expect(basis.startsOn).toBe("2026-11-11");
    expect(basis.counted).toEqual([14 * 86_400, 42 * 86_400]);
    expect(basis.ordersAt[0]).toBe(problem.open[0]![0]);
    expect(basis.ordersAt.map((at) => Math.floor(at / 86_400)).slice(0, 3)).toEqual([0, 1, 2]);
    for (const { shifts } of problem.hands)
      for (const [from, to] of shifts) expect(to - from).toBeGreaterThan(0);
    const open = new Set(problem.open.map(([from]) => Math.floor(from / 86_400)));
    expect([...open].filter((day) => day >= 14 && day < 42)).toHaveLength(basis.workingDays);
    // Nothing is assumed without a source, and what is measured says of how many.
    expect(assumptions.length).toBeGreaterThan(8);
    for (const { source, count } of assumptions) if (source === "measured") expect(count).not.toBeNull();
  });
});

describe("a used machine", () => {
  it("is away and is repaired as often as its hours say, a new one is not", async () => {
    const { db } = program.context.store;
    const shop = (await shopNow(db, program.context.nowMs()))!;
    const { basis, clock } = await basisOf(db, shop, { days: 56, orders: "like-those-that-came" });
    const repairs = { firstAfterHours: 2000, shape: 2, count: 5, repairCents: 12_000 };
    const own = { needles: null, stitchesPerMinute: null, fieldWidthMm: null, fieldHeightMm: null };
    const card = (usedHours: number | null) =>
      meantCard(
        { shop, basis, clock, wageCentsPerHour: null, repairs },
        {
          change: { change: "machine-added", likeId: shop.machines[0]!.id, ...own, usedHours },
          priceCents: 400_000,
          monthlyCents: null,
        },
        0,
      );
    expect(card(null)).toMatchObject({ monthlyCents: 0, assumptions: [] });
    expect(card(null).changes.map(({ change }) => change)).toEqual(["machine-added"]);
    // (9500² − 8000²) / 2000² = 6.5625 failures a year; each 120.00, by the month.
    const used = card(8000);
    expect(used.monthlyCents).toBe(Math.round((6.5625 * 12_000) / 12));
    expect(used.words).toMatch(/^a used machine more like /);
    const turnaround = shop.records.studio.body.dealerTurnaroundDays;
    const away = used.changes.flatMap((one) => (one.change === "machine-away" ? one.spans : []));
    expect(away).toHaveLength(1);
    expect(Math.round((away[0]![1] - away[0]![0]) / 86_400)).toBe(
      Math.round((6.5625 * turnaround * 56) / 365),
    );
    expect(used.assumptions!.map(({ source }) => source)).toEqual(["measured", "measured"]);
  });
});

describe("the repairs on record", () => {
  it("are of the hours that were watched, not of those a machine had run before", async () => {
    const { machines, fitted, words } = await program.ask("knownRepairs", { body: { log: null } });
    expect(machines.every(({ meterHours }) => meterHours > 500)).toBe(true);
    // The demo's machines have run thousands of hours, and have been watched for some months of them.
    const watched = Number(/in (\d+) hours/.exec(words)![1]);
    expect(watched).toBeGreaterThan(0);
    expect(watched).toBeLessThan(machines.reduce((sum, one) => sum + one.meterHours, 0) / 2);
    const repairs = machines.reduce((sum, one) => sum + one.repairs, 0);
    expect(fitted?.count ?? 0).toBe(repairs);
  });
});

describe("a question to the demo studio", () => {
  it("is played, kept and answered in words, money and what binds", async () => {
    const { shop } = await program.ask("whatIf");
    expect(shop.whyNot).toBeNull();
    const asked = await program.ask("askWhatIf", {
      body: {
        kind: "changes",
        cards: [{ change: { change: "hoops", hoopId: shop.hoops[0]!.id, more: 2 }, priceCents: 20_000 }],
        worth,
        seasons: 3,
        days: 14,
      },
    });
    expect(asked.run).toMatchObject({ state: "running", title: `2 more of hoop ${shop.hoops[0]!.name}` });
    const { run, result } = await ended(asked.run.id);
    expect([run.state, run.played]).toEqual(["done", run.toPlay]);
    if (result?.kind !== "changes") throw new Error("another result");
    expect(result.sentence.startsWith(`2 more of hoop ${shop.hoops[0]!.name}: `)).toBe(true);
    expect(result.money?.priceCents).toBe(20_000);
    expect(result.binding.some(({ what }) => what === "a person more")).toBe(true);
    expect(result.busySentence).toMatch(/^Hands are busy \d+ % of their hours today/);
    // The demo's Costs are whole: a piece and a year are told in money too.
    expect(shop.costsMissing).toEqual([]);
    const money = result.measures.filter(({ unit }) => unit === "money").map(({ measure }) => measure);
    expect(money).toEqual(["cost-per-piece", "profit-a-year"]);
    expect(result.measures.map(({ measure }) => measure)).toEqual(
      expect.arrayContaining(["on-time", "pieces", "waiting-hands", "waiting-hooping", "without-work", "threadings", "overtime"]),
    ); // prettier-ignore
    expect((await program.ask("whatIf")).runs[0]).toMatchObject({ id: run.id, sentence: result.sentence });
  }, 300_000);

  it("rests when it is stopped, and goes on to its end", async () => {
    const { shop } = await program.ask("whatIf");
    const { run } = await program.ask("askWhatIf", {
      body: { kind: "how-many-machines", likeId: shop.machines[0]!.id, most: 4, seasons: 3, days: 14 },
    });
    const stopped = await program.ask("stopWhatIf", { params: { id: run.id } });
    expect(["stopped", "done"]).toContain(stopped.run.state);
    await program.ask("resumeWhatIf", { params: { id: run.id } });
    const { run: done, result } = await ended(run.id);
    expect([done.state, result?.kind]).toEqual(["done", "curve"]);
  }, 300_000);

  it("is refused where it names what is not there, or would take for ever", async () => {
    const change = { change: "machine-removed", machineId: "no-such" };
    const body = { kind: "changes", cards: [{ change }], worth };
    await expect(program.ask("askWhatIf", { body })).rejects.toMatchObject({ code: "change-unfitting" });
    const many = Array.from({ length: 8 }, () => ({ change: { change: "orders", percentMore: 10 } }));
    await expect(
      program.ask("askWhatIf", { body: { kind: "what-next", cards: many, worth, seasons: 60, days: 200 } }),
    ).rejects.toMatchObject({ code: "question-too-large" });
    await expect(program.ask("readWhatIf", { params: { id: "none" } })).rejects.toMatchObject({ code: "question-unknown" });
  }); // prettier-ignore
});
