import { costedStudio } from "#test/costed-studio";
import { testProgram } from "#test/program";
import { expect, test } from "vitest";

test("what to order again follows from what the weeks' orders took, the days until it comes and its price", async () => {
  const studio = await testProgram({ setUp: true });
  try {
    const { ids, keepFigures, keepSettings } = await costedStudio(studio);
    await keepFigures();
    expect(await studio.ask("orderAgain")).toEqual({ weeks: 0, items: [] });
    // Eight whole weeks up to 25 November 2026, with 8, 12, 8, 12 … robes.
    for (let week = 0; week < 8; week += 1)
      await studio.ask("createOrder", {
        body: {
          reference: `W-${week}`,
          placedOn: new Date(Date.UTC(2026, 8, 30 + 7 * week)).toISOString().slice(0, 10),
          promiseDate: "2026-12-24",
          lines: [{ productId: ids.product, quantity: week % 2 === 0 ? 8 : 12 }],
        },
      });
    await keepSettings();
    const before = await studio.ask("orderAgain");
    const robe = (items: (typeof before)["items"]) => items.find((one) => one.subjectId === ids.blank)!;
    expect(before.weeks).toBe(8);
    expect(robe(before.items)).toMatchObject({ weekMean: 10, point: null, amount: null, isNow: false });
    await keepSettings(
      { ordering: { orderCents: 600, holdingShare: 0.26, days: 7, service: 0.95, from: "entered" } },
      1,
    );
    const { items } = await studio.ask("orderAgain");
    // By hand: a week's mean 10 and deviation 2 √(8/7); z of 95 % 1.6449 (from memory); √(2 K D / h) with h = 1200 × 0.26 / 52.
    const safety = 1.6449 * 2 * Math.sqrt(8 / 7);
    expect(robe(items).safety).toBeCloseTo(safety, 3);
    expect(robe(items).point).toBe(Math.ceil(10 + safety));
    expect(robe(items).amount).toBe(Math.round(Math.sqrt((2 * 600 * 10) / 6)));
    const thread = items.find((one) => one.subjectId === ids.thread)!;
    const perPiece = (await studio.ask("productCosts")).products[0]!.lines.find(
      (one) => one.kind === "thread",
    )!;
    expect(thread.weekMean).toBeCloseTo(10 * perPiece.amount, 6);
    // Whole cones of 5,000 m, and never more than half a year's use but for the one.
    expect([thread.cones, thread.amount]).toEqual([1, 5000]);
  } finally {
    await studio.close();
  }
});

test("a needle changed as worn or struck failed, others were sound; its hours are its share of the runs", async () => {
  const studio = await testProgram({ setUp: true });
  try {
    const { ids } = await costedStudio(studio);
    const at = (day: number) => studio.clock.nowMs - (60 - day) * 86_400_000;
    const change = (needle: number, day: number, why: string) => ({
      ...{ kind: "needle-changed", subject: `${ids.machine}/${needle}`, at_ms: at(day) },
      ...{ event_id: `ev_${needle}_${day}`, value: JSON.stringify({ why }) },
    });
    const run = (
      day: number,
      hours: number,
      parts: readonly (readonly [needle: number, stitches: number])[],
    ) => ({
      ...{ job_id: `jb_${day}`, piece_id: "pc", machine_id: ids.machine, stage: "finished" },
      ...{ started_at_ms: at(day), ended_at_ms: at(day), finished_at_ms: at(day), last_at_ms: at(day) },
      ...{ sewed_ms: hours * 3_600_000, stitches: 1000 },
      run: JSON.stringify({
        ...{ machineId: ids.machine, endedAtMs: at(day), sewedMs: hours * 3_600_000, stage: "finished" },
        ...{ estimated: false, stops: [] },
        facts: {
          ...{ stitches: 1000, expectedS: 1 },
          parts: parts.map(([needle, stitches]) => ({ needle, stitches, threadMm: 1, threadId: ids.thread })),
        },
      }),
    });
    await studio.context.store.write({ who: "Mara", what: "Sewed" }, async ({ db }) => {
      await db
        .insertInto("floor_registers")
        .values([
          change(1, 1, "other"),
          change(1, 10, "worn"),
          change(1, 20, "other-size"),
          change(2, 1, "other"),
        ])
        .execute();
      await db
        .insertInto("floor_runs")
        .values([
          // Before the first change nobody knows how old the needle is.
          run(0, 4, [[1, 1000]]),
          run(5, 10, [
            [1, 700],
            [2, 300],
          ]),
          run(15, 8, [[1, 1000]]),
          run(25, 6, [
            [1, 500],
            [2, 500],
          ]),
        ])
        .execute();
    });
    const { failedHours, soundHours } = await studio.ask("needleLives");
    expect(failedHours).toEqual([7]);
    expect(soundHours.toSorted((a, b) => a - b)).toEqual([3, 6, 8]);
  } finally {
    await studio.close();
  }
});
