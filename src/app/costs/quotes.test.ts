import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { type Bytes } from "#contract";
import { costedStudio } from "#test/costed-studio";
import { startPostgres, type TestPostgres } from "#test/postgres";
import { type TestProgram, testProgram } from "#test/program";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";

let postgres: TestPostgres;
beforeAll(async () => {
  postgres = await startPostgres();
}, 120_000);
afterAll(() => postgres.stop());

describe.each(["sqlite", "postgres"] as const)("quotes and purchases that are kept, on %s", (kind) => {
  let folder: string;
  let studio: TestProgram;
  let where: { readonly data?: string; readonly databaseUrl?: string };
  let productId: string;

  beforeEach(async () => {
    folder = mkdtempSync(path.join(tmpdir(), "quotes-"));
    where = kind === "postgres" ? { databaseUrl: await postgres.freshDatabase() } : { data: folder };
    studio = await testProgram({ setUp: true, ...where });
    const scene = await costedStudio(studio);
    await scene.keepSettings();
    await scene.keepFigures();
    productId = scene.ids.product;
  });
  afterEach(async () => {
    await studio.close();
    rmSync(folder, { recursive: true, force: true });
  });

  /** What does not turn on the database is held on one. */
  const onlySqlite = test.runIf(kind === "sqlite");
  const asked = (own: object = {}) => ({
    customer: "Harbour Rowers",
    reference: "spring regatta",
    validUntil: "2026-12-24",
    channelId: "web",
    isRush: false,
    note: "",
    lines: [{ productId, quantity: 12, what: "anchor, left chest", priceCents: null }],
    ...own,
  });
  const keep = (own: object = {}) => studio.ask("keepQuote", { body: asked(own) });
  const sheetOf = async (id: string): Promise<Buffer> => {
    const call = studio.call();
    const sheet = await studio.answers.keptQuoteSheet(
      { params: { id }, query: { paper: "" }, body: undefined },
      call,
    );
    return Buffer.from((sheet as Bytes).bytes);
  };
  const reopened = async () => {
    await studio.close();
    studio = await testProgram({ ...where, seed: 2 });
  };

  onlySqlite(
    "a quote that was sent is printed again as it went out, whatever things cost by then",
    async () => {
      const draft = await keep();
      expect([draft.number, draft.state, draft.sentOn]).toEqual([1, "draft", null]);
      expect((await keep({ customer: "Quay Choir" })).number).toBe(2);
      const sent = await studio.ask("sendQuote", { params: { id: draft.id } }, { ifMatch: draft.version });
      const before = await sheetOf(draft.id);
      const { settings, version } = await studio.ask("readCosts");
      await studio.ask(
        "keepCostSettings",
        { body: { ...settings, wageCentsPerHour: { value: 4000, from: "entered" } } },
        { ifMatch: version },
      );
      await reopened();
      studio.clock.nowMs += 40 * 86_400_000;
      expect((await sheetOf(draft.id)).equals(before)).toBe(true);
      const csv = await studio.answers.tableFile(
        { params: { table: "quotes" }, query: { archived: "no" }, body: undefined },
        studio.call(),
      );
      expect(Buffer.from((csv as Bytes).bytes).toString()).toContain(
        `1,0,sent,Harbour Rowers,spring regatta,2026-12-24,2026-11-25,Swim robe with initials,"anchor, left chest",12,${sent.worked!.lines[0]!.eachCents / 100},EUR`,
      );
      const again = await studio.ask("readQuote", { params: { id: draft.id } });
      expect(again.worked).toEqual(sent.worked);
      expect(again.isOver).toBe(true);
      // Today's prices are others: the draft beside it follows them.
      const { items, total } = await studio.ask("listQuotes", { query: { show: "draft", q: "choir" } });
      expect(total).toBe(1);
      const other = await studio.ask("readQuote", { params: { id: items[0]!.id } });
      expect(other.worked!.totalCents).toBeGreaterThan(sent.worked!.totalCents);
      await expect(
        studio.ask("changeQuote", { params: { id: draft.id }, body: asked() }, { ifMatch: sent.version }),
      ).rejects.toMatchObject({ code: "quote-went-out" });
      // Over by now: the draft is not sent any more.
      await expect(
        studio.ask("sendQuote", { params: { id: other.id } }, { ifMatch: other.version }),
      ).rejects.toMatchObject({ code: "quote-over" });
    },
  );

  test("an order is made of it once, at the prices it was sent with, with the quote or not at all", async () => {
    const draft = await keep();
    const body = { reference: "A-9", promiseDate: "2026-12-20" };
    const params = { id: draft.id };
    const order = (ifMatch: number) => studio.ask("orderOfQuote", { params, body }, { ifMatch });
    await expect(order(draft.version)).rejects.toMatchObject({ code: "quote-not-sent" });
    const sent = await studio.ask("sendQuote", { params }, { ifMatch: draft.version });
    const no = await studio.ask(
      "answerQuote",
      { params, body: { state: "declined" } },
      { ifMatch: sent.version },
    );
    await expect(order(no.version)).rejects.toMatchObject({ code: "quote-declined" });
    const open = await studio.ask(
      "answerQuote",
      { params, body: { state: "sent" } },
      { ifMatch: no.version },
    );
    const line = { productId, quantity: 1 };
    const taken = { reference: "A-9", placedOn: "2026-11-25", promiseDate: "2026-12-20", lines: [line] };
    await studio.ask("createOrder", { body: taken });
    await expect(order(open.version)).rejects.toMatchObject({ code: "reference-taken" });
    expect(await studio.ask("readQuote", { params })).toMatchObject({ state: "sent", orderId: null });
    body.reference = "A-10";
    const call = studio.call({ ifMatch: open.version });
    const agreed = await studio.ask("orderOfQuote", { params, body }, call);
    await reopened();
    const made = await studio.ask("readOrder", { params: { id: agreed.orderId! } });
    expect(made.order).toMatchObject({
      reference: "A-10",
      customer: "Harbour Rowers",
      channel: "Web shop",
      lines: [{ quantity: 12, priceCents: sent.worked!.lines[0]!.eachCents, note: "anchor, left chest" }],
    });
    expect(made.pieces.length).toBe(12);
    const money = await studio.ask("orderCost", { params: { id: made.order.id } });
    expect(money.earned.priceCents).toBe(sent.worked!.totalCents);
    body.reference = "A-11";
    await expect(order(agreed.version)).rejects.toMatchObject({ code: "quote-ordered" });
    // Taken back whole: neither the order nor the yes is left.
    await studio.ask("undoChange", { params: { id: call.notes.changeId! } });
    expect(await studio.ask("readQuote", { params })).toMatchObject({ state: "sent", orderId: null });
    expect((await studio.ask("listOrders", { query: { show: "all" } })).total).toBe(1);
  });

  onlySqlite(
    "purchases are kept with their figures, guarded by version, and judged at their own rate",
    async () => {
      // OpenStax, Principles of Finance 2e, 16.1–16.4: the embroidery machine's cash flows at 9 %.
      const machine = {
        name: "Embroidery machine",
        note: "",
        outlayCents: 1_600_000,
        yearCents: [200_000, 400_000, 500_000, 500_000, 500_000, 500_000],
        salvageCents: 0,
        rate: 0.09,
        outcome: "open" as const,
      };
      const kept = await studio.ask("keepPurchase", { body: machine });
      // The same, 16.3: −350, 950, −620 is worth nothing at two rates.
      const twice = { ...machine, name: "Twice", outlayCents: 35_000, yearCents: [95_000, -62_000] };
      await studio.ask("keepPurchase", { body: twice });
      await reopened();
      const { items, total } = await studio.ask("listPurchases", {});
      expect([total, items.map((one) => one.name).sort()]).toEqual([2, ["Embroidery machine", "Twice"]]);
      const judged = items.find((one) => one.id === kept.id)!.judged;
      expect(judged.payback).toBeCloseTo(4, 6);
      expect(Math.round(judged.netPresentValue / 100)).toBe(2836);
      const rates = items.find((one) => one.name === "Twice")!.judged;
      expect(rates.internalRates.map((one) => Math.round(10_000 * one))).toEqual([918, 6225]);
      expect(rates.warnings[0]).toMatch(/2 internal rates/);
      const change = (ifMatch: number) =>
        studio.ask(
          "changePurchase",
          { params: { id: kept.id }, body: { ...machine, outcome: "bought" } },
          { ifMatch },
        );
      expect(await change(kept.version)).toMatchObject({ outcome: "bought", version: 2 });
      await expect(change(kept.version)).rejects.toMatchObject({ code: "changed-by-another" });
      await studio.ask("putPurchaseAway", { params: { id: kept.id } }, { ifMatch: 2 });
      expect((await studio.ask("listPurchases", {})).total).toBe(1);
    },
  );
});
