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
