import { PDFiumLibrary } from "@hyzyla/pdfium";
import { costedStudio } from "#test/costed-studio";
import { startPostgres, type TestPostgres } from "#test/postgres";
import { type TestProgram, testProgram } from "#test/program";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";

let postgres: TestPostgres;
beforeAll(async () => {
  postgres = await startPostgres();
}, 120_000);
afterAll(() => postgres.stop());

/** The words of a sheet by a reader of PDF that is not ours. */
async function textOf(bytes: Uint8Array): Promise<string> {
  const pdfium = await PDFiumLibrary.init();
  const document = await pdfium.loadDocument(bytes);
  const text = [...document.pages()].map((page) => page.getText()).join("\n");
  document.destroy();
  pdfium.destroy();
  return text;
}

type Scene = Awaited<ReturnType<typeof costedStudio>>;

describe.each(["sqlite", "postgres"] as const)("what things cost, on %s", (kind) => {
  let studio: TestProgram;
  let scene: Scene;
  let ids: Scene["ids"];
  let version: Scene["version"];

  beforeEach(async () => {
    studio = await testProgram({
      setUp: true,
      ...(kind === "postgres" ? { databaseUrl: await postgres.freshDatabase() } : {}),
    });
    scene = await costedStudio(studio);
    ({ ids, version } = scene);
  });
  afterEach(() => studio.close());

  /** What does not turn on the database is held on one. */
  const onlySqlite = test.runIf(kind === "sqlite");
  const keepSettings: Scene["keepSettings"] = (...given) => scene.keepSettings(...given);
  const keepFigures = () => scene.keepFigures();
  const order = (own: object = {}) =>
    studio.ask("createOrder", {
      body: {
        reference: "A-1",
        channel: "web shop",
        placedOn: "2026-11-20",
        promiseDate: "2026-12-04",
        lines: [{ productId: ids.product, quantity: 3 }],
        ...own,
      },
    });

  /** The cost of one piece by hand, from the figures above and the times of TRADE.md (common practice, no source). */
  function byHand(): { exact: number; topM: number; sewS: number } {
    const { stitches, trims, parts } = version;
    // docs/models/stitches.md: path + 1 mm a stitch, 40 mm for each start and end, trims shared by stitches.
    const topM =
      parts.reduce((sum, part) => sum + part.threadMm + part.stitches, 0) / 1000 +
      0.04 * (parts.length + trims);
    const sewS = (stitches / 800) * 60 + 8 * (parts.length - 1) + 6 * trims;
    const machineHour = 900_000 / 10_000 + 38_000 / 500 + 24 + 0.4 * 30;
    const handsS = 45 + (40 + 45 + 30) + 1.5 * 60 + (120 + 180);
    const direct =
      1200 +
      14 +
      topM * 0.4 +
      (stitches / 30_000) * (3900 / 144) +
      (sewS / 3600) * machineHour +
      ((handsS * 1.09) / 3600) * 1500;
    return { exact: direct / 0.98 + 100, topM, sewS };
  }

  onlySqlite("a piece's lines are those worked out by hand, and add up to the cent", async () => {
    await keepSettings();
    await keepFigures();
    const { id } = await order();
    const { pieces } = await studio.ask("readOrder", { params: { id } });
    const cost = await studio.ask("pieceCost", { params: { id: pieces[0]!.id } });
    const hand = byHand();
    expect(cost.missing).toEqual([]);
    expect(cost.totalCents).toBe(Math.round(hand.exact));
    expect(cost.lines.reduce((sum, line) => sum + line.cents, 0)).toBe(cost.totalCents);
    expect(cost.lines.find((line) => line.kind === "thread")!.amount).toBeCloseTo(hand.topM, 6);
    expect(cost.lines.find((line) => line.kind === "machine")!).toMatchObject({
      rate: 202,
      known: { by: "entered" },
    });
    expect(cost.lines.find((line) => line.what === "threading")!.known).toEqual({ by: "guessed" });
    expect(cost.lines.find((line) => line.what.startsWith("hooping"))!.known).toEqual({
      by: "common-practice",
    });
  });

  test("an order is its pieces, its parcel and its channel's fee", async () => {
    await keepSettings();
    await keepFigures();
    const { id } = await order();
    const cost = await studio.ask("orderCost", { params: { id } });
    const piece = Math.round(byHand().exact);
    const parcel = Math.round(80 + ((120 * 1.09) / 3600) * 1500);
    expect(cost.totalCents).toBe(3 * piece + parcel);
    expect(cost.byKind.reduce((sum, one) => sum + one.cents, 0)).toBe(cost.totalCents);
    expect(cost.lines.reduce((sum, one) => sum + one.cents, 0)).toBe(cost.totalCents);
    const { priceCents, taxCents, feesCents, costCents, profitCents } = cost.earned;
    expect(priceCents).toBe(3 * 6500);
    expect(feesCents).toBe(Math.round(19_500 * 0.03 + 30));
    expect(taxCents).toBe(19_500 - Math.round(19_500 / 1.2));
    expect(taxCents + feesCents + costCents + profitCents).toBe(priceCents);
  });

  onlySqlite("what is missing is asked for, and no total or price pretends otherwise", async () => {
    const empty = (await studio.ask("productCosts")).products[0]!;
    const asked = empty.missing.map((one) => one.what);
    expect(asked).toEqual(
      expect.arrayContaining([
        "the wage an hour",
        "the overhead",
        "the tax within prices, or that there is none",
        "the price of Swim robe",
        "the price of thread N1 Tide",
        "Heron: how many hours it lasts",
      ]),
    );
    expect(empty.profitPerMachineHour).toBeNull();
    await keepFigures();
    await keepSettings({ wageCentsPerHour: null });
    const nearly = (await studio.ask("productCosts")).products[0]!;
    expect(nearly.missing).toMatchObject([{ what: "the wage an hour", of: "settings" }]);
    expect(nearly.lines.some((line) => line.kind === "hands")).toBe(false);
    const quote = {
      customer: "",
      reference: "",
      validUntil: "2026-12-24",
      channelId: null,
      isRush: false,
      note: "",
    };
    const line = { productId: ids.product, quantity: 4, what: "" };
    await expect(
      studio.ask("quoteSheet", { body: { ...quote, lines: [{ ...line, priceCents: null }] } }),
    ).rejects.toMatchObject({ code: "quote-incomplete" });
    // A price a person typed goes out whatever is known of the cost.
    expect(
      (await studio.ask("workQuote", { body: { ...quote, lines: [{ ...line, priceCents: 5000 }] } }))
        .totalCents,
    ).toBe(20_000);
  });

  onlySqlite(
    "a quote reaches its margin at every tier's smallest quantity, and is no longer given out once it is over",
    async () => {
      await keepSettings();
      await keepFigures();
      const body = {
        customer: "Harbour Rowers",
        reference: "Q-7",
        validUntil: "2026-12-24",
        channelId: "web",
        isRush: false,
        note: "",
        lines: [{ productId: ids.product, quantity: 12, what: "anchor, left chest", priceCents: null }],
      };
      const worked = await studio.ask("workQuote", { body });
      const [line] = worked.lines;
      expect(line!.tiers.map((tier) => tier.from)).toEqual([1, 10]);
      expect(line!.eachCents).toBe(line!.tiers[1]!.eachCents);
      for (const [{ from, eachCents }, margin] of [
        [line!.tiers[0]!, 0.3],
        [line!.tiers[1]!, 0.2],
      ] as const) {
        const { lines, profitCents, totalCents, taxCents } = await studio.ask("workQuote", {
          body: { ...body, lines: [{ ...body.lines[0]!, quantity: from, priceCents: eachCents }] },
        });
        expect(lines[0]!.eachCents % 50).toBe(0);
        expect(profitCents / (totalCents - taxCents)).toBeGreaterThanOrEqual(margin - 0.001);
      }
      expect(worked.taxCents + worked.feesCents + worked.costCents + worked.profitCents).toBe(
        worked.totalCents,
      );
      const hurried = await studio.ask("workQuote", { body: { ...body, isRush: true } });
      expect(hurried.totalCents).toBeGreaterThan(worked.totalCents);
      const { bytes } = (await studio.answers.quoteSheet(
        { params: {}, query: { paper: "" }, body },
        studio.call(),
      )) as { bytes: Uint8Array };
      const printed = await textOf(bytes);
      for (const words of [
        "Test Quay",
        "Harbour Rowers",
        "holds until Thursday 24 December 2026",
        `EUR ${(worked.totalCents / 100).toFixed(2)}`,
        `EUR ${(worked.taxCents / 100).toFixed(2)} are tax, at 20 %`,
        `from 10: EUR ${(line!.eachCents / 100).toFixed(2)}`,
      ])
        expect(printed).toContain(words);
      // What it costs and leaves is nobody's business but the studio's.
      expect(printed).not.toContain((worked.profitCents / 100).toFixed(2));
      await expect(
        studio.ask("quoteSheet", { body: { ...body, validUntil: "2026-11-24" } }),
      ).rejects.toMatchObject({ code: "quote-over" });
    },
  );

  test("figures are kept all or none, guarded by version, and taken back whole", async () => {
    await keepFigures();
    const one = {
      subjectId: ids.blank,
      version: 1,
      of: "stock",
      figure: { of: "stock", priceCents: 1300, amount: 1, from: "guessed" },
    };
    const late = { ...one, subjectId: ids.backing, version: 0 };
    await expect(studio.ask("keepCostFigures", { body: { figures: [one, late] } })).rejects.toMatchObject({
      code: "cost-changed-meanwhile",
    });
    const price = async () =>
      (await studio.ask("readCosts")).figures.find((figure) => figure.subjectId === ids.blank)!.figure;
    expect(await price()).toMatchObject({ priceCents: 1200 });
    const call = studio.call();
    await studio.ask("keepCostFigures", { body: { figures: [one] } }, call);
    expect(await price()).toMatchObject({ priceCents: 1300, from: "guessed" });
    await studio.ask("undoChange", { params: { id: call.notes.changeId! } });
    expect(await price()).toMatchObject({ priceCents: 1200 });
    await expect(
      studio.ask("keepCostFigures", { body: { figures: [{ ...one, subjectId: ids.thread, of: "thread" }] } }),
    ).rejects.toMatchObject({ code: "cost-figure-mixed" });
    await expect(
      studio.ask("keepCostFigures", { body: { figures: [{ ...one, subjectId: "st_nowhere" }] } }),
    ).rejects.toMatchObject({ code: "cost-thing-unknown" });
    await keepSettings();
    await expect(keepSettings({}, 0)).rejects.toMatchObject({ code: "changed-by-another" });
  });

  onlySqlite(
    "repairs told at a machine count from three with a cost on, and those taken back do not",
    async () => {
      await keepSettings();
      await keepFigures();
      const repair = async () => (await studio.ask("readCosts")).machines[0]!.hour!.repair;
      const HOURS = 250;
      await studio.context.store.write({ who: "Mara", what: "Ran" }, ({ db }) =>
        db
          .insertInto("floor_runs")
          .values({
            ...{
              job_id: "jb_long",
              piece_id: "pc_long",
              machine_id: ids.machine,
              stage: "finished",
              run: "{}",
            },
            ...{ started_at_ms: 1, ended_at_ms: 2, finished_at_ms: 2, last_at_ms: 2 },
            ...{ sewed_ms: HOURS * 3_600_000, stitches: 1 },
          })
          .execute(),
      );
      const tell = (events: readonly object[]) =>
        studio.ask("tellFloor", {
          body: {
            events: events.map((one) => ({ personId: null, atMs: studio.clock.nowMs - 60_000, ...one })),
          },
        });
      const repaired = (id: string, costCents: number | null) => ({
        ...{ id, kind: "repaired", machineId: ids.machine, what: "new spring", costCents },
      });
      await tell([repaired("ev_repair1", 3000), repaired("ev_repair2", 5000), repaired("ev_repair3", null)]);
      expect(await repair()).toBe(24);
      await tell([repaired("ev_repair4", 10_000)]);
      // Three known costs have the mean 60.00; four repairs in 250 hours.
      expect(await repair()).toBeCloseTo((4 * 6000) / HOURS, 9);
      expect((await studio.ask("readCosts")).machines[0]!.repairs).toMatchObject({
        repairs: 4,
        hours: HOURS,
      });
      await tell([{ id: "ev_repair5", kind: "taken-back", eventId: "ev_repair4" }]);
      expect(await repair()).toBe(24);
    },
  );

  test("the days' ledger is its orders, by kind and by product, to the cent", async () => {
    await keepSettings();
    await keepFigures();
    const made: string[] = [];
    for (let at = 1; at <= 7; at += 1)
      made.push(
        (
          await order({
            reference: `A-${at}`,
            channel: at % 2 === 0 ? "web shop" : "",
            lines: [{ productId: ids.product, quantity: at, priceCents: at === 3 ? 1999 : null }],
          })
        ).id,
      );
    const ledger = await studio.ask("costLedger", {
      query: { from: "2026-11-01", to: "2026-11-30", limit: 3 },
    });
    expect([ledger.total, ledger.orders.length, ledger.pieces]).toEqual([7, 3, 28]);
    const each = await Promise.all(made.map((id) => studio.ask("orderCost", { params: { id } })));
    const sum = (values: readonly number[]) => values.reduce((all, one) => all + one, 0);
    expect(ledger.earned.costCents).toBe(sum(each.map((one) => one.totalCents)));
    expect(ledger.earned.costCents).toBe(sum(ledger.byKind.map((one) => one.cents)));
    expect(ledger.earned.costCents).toBe(
      sum(ledger.byProduct.map((one) => one.costCents)) + ledger.parcelCents,
    );
    expect(ledger.earned.costCents).toBe(
      sum(each.flatMap((one) => one.byPiece.map((piece) => piece.totalCents))) +
        sum(each.flatMap((one) => one.parcel.map((line) => line.cents))),
    );
    const { priceCents, taxCents, feesCents, costCents, profitCents } = ledger.earned;
    expect(priceCents).toBe(28 * 6500 - 3 * (6500 - 1999));
    expect(taxCents + feesCents + costCents + profitCents).toBe(priceCents);
    await expect(
      studio.ask("costLedger", { query: { from: "2026-11-30", to: "2026-11-01" } }),
    ).rejects.toMatchObject({ code: "cost-span-too-long" });
  });
});
