import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { firstBrokenLink } from "#store";
import { readMachineFile, stitchExtents, countStitches } from "#core/stitch";
import { lineOf, type OrderBook, orderBook } from "#test/order-book";

let book: OrderBook;
beforeEach(async () => {
  book = await orderBook();
});
afterEach(() => book.program.close());

const bodyOf = (order: Awaited<ReturnType<OrderBook["order"]>>) => {
  const { reference, customer, channel, placedOn, promiseDate, note, lines } = order;
  return {
    reference,
    customer,
    channel,
    placedOn,
    promiseDate,
    note,
    lines: lines.map(({ position: _, ...line }) => line),
  };
};
const change = (order: Awaited<ReturnType<OrderBook["order"]>>, own: Record<string, unknown>) =>
  book.program.ask(
    "changeOrder",
    { params: { id: order.id }, body: { ...bodyOf(order), ...own } },
    { who: "Mara", ifMatch: order.version },
  );

describe("an order becomes pieces", () => {
  it("makes a piece for each of the quantity, with codes one can say", async () => {
    const order = await book.order({
      lines: [lineOf(book.robe, { quantity: 2, personalText: "Iris" }), lineOf(book.napkin, { quantity: 3 })],
    });
    const pieces = await book.pieces(order.id);
    expect(pieces.map((piece) => piece.code)).toEqual(["1005-1", "1005-2", "1005-3", "1005-4", "1005-5"]);
    expect(order.pieceCounts).toEqual({ ready: 5 });
    expect(pieces.map((piece) => piece.jobs.length)).toEqual([1, 1, 0, 0, 0]);
    expect(order.lines.map((line) => line.priceCents)).toEqual([6500, 900]);
    // Promised Friday 4 December; two open days for the carrier.
    expect(order.shipBy).toBe("2026-12-02");
    expect(pieces[0]!.shipBy).toBe("2026-12-02");
  });

  it("sews the picture with the name below it, in the threads of both, and makes the same name once", async () => {
    const first = await book.pieces((await book.order()).id);
    const second = await book.pieces((await book.order({ reference: "1006" })).id);
    const job = first[0]!.jobs[0]!;
    expect(job.trouble).toBeNull();
    expect(job.threadIds).toEqual([book.navy, book.gold, book.navy]);
    expect(second[0]!.jobs[0]!.designVersionId).toBe(job.designVersionId);
    const file = (await book.program.ask("designFile" as never, {
      params: { id: job.designVersionId! },
    })) as unknown as { bytes: Uint8Array };
    const { stitches } = readMachineFile(file.bytes);
    expect(countStitches(stitches).parts).toHaveLength(3);
    const box = stitchExtents(stitches);
    expect(Math.abs(box.top + box.bottom)).toBeLessThanOrEqual(1);
    const { total } = await book.program.ask("listDesigns", { query: { kind: "personal" } });
    expect(total).toBe(1);
  });

  it("lets a line overrule threads and the text's thread", async () => {
    const order = await book.order({
      lines: [
        lineOf(book.robe, { personalText: "Iris", threadIds: [null, book.navy], textThreadId: book.gold }),
      ],
    });
    expect((await book.pieces(order.id))[0]!.jobs[0]!.threadIds).toEqual([book.navy, book.navy, book.gold]);
  });

  it("keeps a piece whose design cannot be made, waiting for artwork with the reason", async () => {
    const order = await book.order({
      lines: [
        lineOf(book.towel),
        lineOf(book.bag),
        lineOf(book.towel, { personalText: "漢字" }),
        lineOf(book.bag, { designId: book.wave.designId, personalText: "Iris" }),
        lineOf(book.towel, {
          personalText:
            "A very long dedication that no towel hem has room for, not even in small letters, whatever one tries",
        }),
        lineOf(book.robe, { threadIds: [book.navy, book.gold, book.navy, book.gold] }),
      ],
    });
    const pieces = await book.pieces(order.id);
    expect(pieces.map((piece) => [piece.state, piece.waitingFor])).toEqual(
      pieces.map(() => ["waiting", "artwork"]),
    );
    const reasons = pieces.map((piece) => piece.jobs[0]!.trouble);
    expect(reasons[0]).toBe("Hem is lettering alone, and the order gives no text.");
    expect(reasons[1]).toBe("Front needs a design: neither the order nor the product names one.");
    expect(reasons[2]).toContain("漢");
    expect(reasons[3]).toBe("The order asks for the text “Iris”, but Kit bag has no place for lettering.");
    expect(reasons[4]).toContain("it does not fit 180 mm");
    expect(reasons[5]).toBe("The order names 4 threads; the design has 2 parts.");
    await expect(book.move([pieces[0]!.id], "ready")).rejects.toThrow(
      /waits for artwork: Hem is lettering alone/,
    );
  });

  it("says both sizes when a design is larger than the hoop's field, and is ready once a larger hoop is entered", async () => {
    const hoop = await book.program.ask("hoops.get", { params: { id: book.hoop } });
    const { id: _i, version, archived: _a, createdAtMs: _c, updatedAtMs: _u, ...body } = hoop;
    await book.program.ask(
      "hoops.change",
      { params: { id: hoop.id }, body: { ...body, fieldWidthMm: 20 } },
      { ifMatch: version },
    );
    const order = await book.order();
    const [piece] = await book.pieces(order.id);
    expect(piece!.jobs[0]!.trouble).toMatch(
      /^“Iris” is [\d.]+ × [\d.]+ mm; the hoop Broad has a field of 20 × 140 mm\.$/,
    );
    await book.program.ask("hoops.change", { params: { id: hoop.id }, body }, { ifMatch: version + 1 });
    const [mended] = await book.pieces(order.id);
    expect([mended!.state, mended!.waitingFor, mended!.jobs[0]!.trouble]).toEqual(["ready", null, null]);
  });

  it("refuses a reference that is taken, and what the order names wrongly, and writes nothing", async () => {
    await book.order();
    await expect(book.order()).rejects.toMatchObject({ code: "reference-taken" });
    await expect(
      book.order({ reference: "1006", lines: [lineOf(book.robe), lineOf("pr_none")] }),
    ).rejects.toMatchObject({ code: "line-names-unknown", details: [{ field: "lines.1.productId" }] });
    await expect(book.order({ reference: "1007", promiseDate: "2026-11-01" })).rejects.toMatchObject({
      code: "order-dates",
    });
    expect((await book.program.ask("listOrders", { query: { show: "all" } })).total).toBe(1);
  });
});

describe("an order is changed", () => {
  it("adds pieces for a higher quantity and cancels the last not begun for a lower one", async () => {
    const order = await book.order({ lines: [lineOf(book.robe, { quantity: 2, personalText: "Iris" })] });
    const line = bodyOf(order).lines[0]!;
    const more = await change(order, { lines: [{ ...line, quantity: 4 }] });
    expect((await book.pieces(order.id)).map((piece) => piece.code)).toEqual([
      "1005-1",
      "1005-2",
      "1005-3",
      "1005-4",
    ]);
    const [one] = await book.pieces(order.id);
    await book.move([one!.id], "sewing");
    const fewer = await change(more, { lines: [{ ...line, quantity: 2 }] });
    expect((await book.pieces(order.id)).map((piece) => piece.state)).toEqual([
      "sewing",
      "ready",
      "cancelled",
      "cancelled",
    ]);
    expect(fewer.pieceCounts).toEqual({ sewing: 1, ready: 1, cancelled: 2 });
    const [, two] = await book.pieces(order.id);
    await book.move([two!.id], "hooped");
    await expect(change(fewer, { lines: [{ ...line, quantity: 1 }] })).rejects.toThrow(
      /only 0 of its pieces are not begun \(begun: 1005-1, 1005-2\)/,
    );
    await expect(change(fewer, { lines: [lineOf(book.napkin)] })).rejects.toMatchObject({
      code: "pieces-begun",
    });
  });

  it("remakes the design of pieces not begun when the name changes; a begun piece keeps its own", async () => {
    const order = await book.order({ lines: [lineOf(book.robe, { quantity: 2, personalText: "Iris" })] });
    const [first, second] = await book.pieces(order.id);
    await book.move([first!.id], "sewing");
    await change(order, { lines: [{ ...bodyOf(order).lines[0]!, personalText: "Irina" }] });
    const [begun, waiting] = await book.pieces(order.id);
    expect([begun!.personalText, begun!.jobs[0]!.designVersionId]).toEqual([
      "Iris",
      first!.jobs[0]!.designVersionId,
    ]);
    expect(waiting!.personalText).toBe("Irina");
    expect(waiting!.jobs[0]!.designVersionId).not.toBe(second!.jobs[0]!.designVersionId);
  });

  it("moves the ship-by date of its pieces with the promise date", async () => {
    const order = await book.order();
    await change(order, { promiseDate: "2026-12-11" });
    expect((await book.pieces(order.id))[0]!.shipBy).toBe("2026-12-09");
  });

  it("takes a line out by cancelling its pieces, and keeps them on record", async () => {
    const order = await book.order({
      lines: [lineOf(book.robe, { personalText: "Iris" }), lineOf(book.napkin, { quantity: 2 })],
    });
    const after = await change(order, { lines: [bodyOf(order).lines[0]!] });
    expect(after.lines).toHaveLength(1);
    expect((await book.pieces(order.id)).map((piece) => piece.state)).toEqual([
      "ready",
      "cancelled",
      "cancelled",
    ]);
  });

  it("tells who lost the race, with the order as it stands", async () => {
    const order = await book.order();
    await change(order, { customer: "Iris O." });
    await expect(change(order, { customer: "I. Ostrander" })).rejects.toMatchObject({
      code: "changed-by-another",
      extra: { current: { customer: "Iris O.", version: 2 } },
    });
  });

  it("cancels what is not begun and leaves the rest", async () => {
    const order = await book.order({ lines: [lineOf(book.robe, { quantity: 2, personalText: "Iris" })] });
    const [first] = await book.pieces(order.id);
    await book.move([first!.id], "sewing");
    const after = await book.program.ask(
      "cancelOrder",
      { params: { id: order.id } },
      { ifMatch: order.version },
    );
    expect(after.pieceCounts).toEqual({ sewing: 1, cancelled: 1 });
    expect(after.archived).toBe(false);
    const other = await book.order({ reference: "1006" });
    const gone = await book.program.ask(
      "cancelOrder",
      { params: { id: other.id } },
      { ifMatch: other.version },
    );
    expect([gone.archived, gone.pieceCounts]).toEqual([true, { cancelled: 1 }]);
  });
});

describe("pieces move by hand", () => {
  it("go the way of the floor, and every move is on record with who, when and why", async () => {
    const order = await book.order();
    const [piece] = await book.pieces(order.id);
    for (const state of ["hooped", "sewing", "finishing", "done", "packed", "shipped"])
      await book.move([piece!.id], state, { why: state === "sewing" ? "first in the morning" : "" });
    const { piece: now, history } = await book.program.ask("readPiece", { params: { id: piece!.id } });
    expect(now.state).toBe("shipped");
    expect(now.jobs[0]!.sewn).toBe(true);
    expect(history.map((event) => event.what).reverse()).toEqual([
      "Ready → Hooped",
      "Hooped → Sewing",
      "Sewing → Finishing",
      "Finishing → Done",
      "Done → Packed",
      "Packed → Shipped",
    ]);
    expect(history[4]).toMatchObject({ who: "Mara", why: "first in the morning" });
    expect(await firstBrokenLink(book.program.context.store.db)).toEqual({ checked: 6, brokenSeq: null });
    const { items, open } = await book.program.ask("listOrders", { query: { show: "shipped" } });
    expect([items.map((one) => one.reference), open]).toEqual([["1005"], 0]);
  });

  it("move all or none, and the refusal names the piece and where it may go", async () => {
    const order = await book.order({ lines: [lineOf(book.robe, { quantity: 2, personalText: "Iris" })] });
    const [first, second] = await book.pieces(order.id);
    await book.move([first!.id], "finishing");
    await expect(book.move([second!.id, first!.id], "hooped")).rejects.toThrow(
      "Piece 1005-1 stands at finishing; from there it can go to sewing, done, spoiled. No piece was moved.",
    );
    expect((await book.pieces(order.id)).map((piece) => piece.state)).toEqual(["finishing", "ready"]);
  });

  it("spoiled are remade as new pieces without losing the record", async () => {
    const order = await book.order();
    const [piece] = await book.pieces(order.id);
    await book.move([piece!.id], "sewing");
    const { remakes } = await book.move([piece!.id], "spoiled", { why: "needle strike" });
    expect(remakes[0]).toMatchObject({
      code: "1005-1R",
      state: "ready",
      remakeOf: piece!.id,
      personalText: "Iris",
    });
    expect(remakes[0]!.jobs[0]!.designVersionId).toBe(piece!.jobs[0]!.designVersionId);
    const again = await book.move([remakes[0]!.id], "spoiled");
    expect(again.remakes[0]!.code).toBe("1005-1R2");
    const { order: now } = await book.program.ask("readOrder", { params: { id: order.id } });
    expect(now.pieceCounts).toEqual({ spoiled: 2, ready: 1 });
    const without = await book.move([again.remakes[0]!.id], "spoiled", { remake: false });
    expect(without.remakes).toEqual([]);
    expect((await book.program.ask("listOrders", { query: { show: "open" } })).total).toBe(0);
  });

  it("leave a truthful trail when a move is taken back", async () => {
    const order = await book.order();
    const [piece] = await book.pieces(order.id);
    const call = book.program.call();
    await book.program.ask("movePieces", { body: { pieceIds: [piece!.id], state: "done" } }, call);
    await book.program.ask("undoChange", { params: { id: call.notes.changeId! } });
    const taken = await book.program.ask("readPiece", { params: { id: piece!.id } });
    expect([taken.piece.state, taken.piece.jobs[0]!.sewn]).toEqual(["ready", false]);
    expect(taken.history.map((event) => [event.what, event.why])).toEqual([
      ["Done → Ready", "the move was taken back"],
      ["Ready → Done", ""],
    ]);
    await book.move([piece!.id], "hooped");
    const { history } = await book.program.ask("readPiece", { params: { id: piece!.id } });
    expect(history.map((event) => event.what).reverse()).toEqual([
      "Ready → Done",
      "Done → Ready",
      "Ready → Hooped",
    ]);
    expect((await firstBrokenLink(book.program.context.store.db)).brokenSeq).toBeNull();
  });

  it("wait for what a person says, are held, pulled first and pinned", async () => {
    const order = await book.order();
    const [piece] = await book.pieces(order.id);
    const change = (version: number, own: Record<string, unknown>) =>
      book.program.ask(
        "changePiece",
        {
          params: { id: piece!.id },
          body: { urgency: "normal", pinnedMachineId: null, waitingFor: null, ...own },
        },
        { ifMatch: version },
      );
    const waits = await change(piece!.version, {
      waitingFor: "stock",
      urgency: "first",
      pinnedMachineId: book.machine,
    });
    expect(waits).toMatchObject({
      state: "waiting",
      waitingFor: "stock",
      urgency: "first",
      pinnedMachineId: book.machine,
    });
    const ready = await change(waits.version, { urgency: "held", heldWhy: "customer asked to wait" });
    expect(ready).toMatchObject({ state: "ready", waitingFor: null, heldWhy: "customer asked to wait" });
    await expect(change(piece!.version, {})).rejects.toMatchObject({ code: "changed-by-another" });
    await book.move([piece!.id], "sewing");
    await expect(change(ready.version + 1, { waitingFor: "stock" })).rejects.toMatchObject({
      code: "move-not-allowed",
    });
  });
});

describe("runs follow what they are made of", () => {
  it("take new threads of the picture, also under a name, while not begun", async () => {
    const order = await book.order({ lines: [lineOf(book.robe, { quantity: 2, personalText: "Iris" })] });
    const [first] = await book.pieces(order.id);
    await book.move([first!.id], "sewing");
    await book.program.ask("chooseThreads", {
      params: { id: book.wave.versionId },
      body: { threadIds: [book.gold, book.gold] },
    });
    const [begun, waiting] = await book.pieces(order.id);
    expect(begun!.jobs[0]!.threadIds).toEqual([book.navy, book.gold, book.navy]);
    expect(waiting!.jobs[0]!.threadIds).toEqual([book.gold, book.gold, book.navy]);
  });

  it("wait for artwork when a part loses its thread, and are ready again when it has one", async () => {
    const order = await book.order();
    await book.program.ask("chooseThreads", {
      params: { id: book.wave.versionId },
      body: { threadIds: [book.navy, null] },
    });
    const [piece] = await book.pieces(order.id);
    expect([piece!.state, piece!.jobs[0]!.trouble]).toEqual([
      "waiting",
      "“Iris”: part 2 of 3 has no thread.",
    ]);
    await book.program.ask("chooseThreads", {
      params: { id: book.wave.versionId },
      body: { threadIds: [book.navy, book.gold] },
    });
    const { piece: after, history } = await book.program.ask("readPiece", { params: { id: piece!.id } });
    expect(after.state).toBe("ready");
    expect(history.map((event) => event.what).reverse()).toEqual(["Ready → Waiting", "Waiting → Ready"]);
  });

  it("follow a product's placements, and keep what was set by hand", async () => {
    const order = await book.order({ lines: [lineOf(book.robe, { quantity: 2, personalText: "Iris" })] });
    const [first] = await book.pieces(order.id);
    const job = first!.jobs[0]!;
    const body = {
      designVersionId: job.designVersionId,
      threadIds: [book.gold, book.gold, book.gold],
      hoopId: job.hoopId,
      machineIds: null,
      hoopS: 99,
      unhoopS: null,
      finishS: null,
    };
    await book.program.ask("changeJob", { params: { id: job.id }, body }, { ifMatch: job.version });
    const product = await book.program.ask("products.get", { params: { id: book.robe } });
    const { id: _i, version, archived: _a, createdAtMs: _c, updatedAtMs: _u, ...own } = product;
    const placements = [{ ...own.placements[0]!, hoopS: 30, machineIds: [book.machine] }];
    await book.program.ask(
      "products.change",
      { params: { id: book.robe }, body: { ...own, placements } },
      { ifMatch: version },
    );
    const [hand, follows] = await book.pieces(order.id);
    expect(hand!.jobs[0]!).toMatchObject({
      threadIds: [book.gold, book.gold, book.gold],
      hoopS: 99,
      machineIds: [book.machine],
    });
    expect(follows!.jobs[0]!).toMatchObject({
      threadIds: [book.navy, book.gold, book.navy],
      hoopS: 30,
      machineIds: [book.machine],
    });
  });

  it("an order taken back leaves nothing but the name's design, which others may use", async () => {
    const call = book.program.call();
    await book.program.ask(
      "createOrder",
      {
        body: {
          reference: "1",
          placedOn: "2026-11-20",
          promiseDate: "2026-12-04",
          note: "",
          lines: [lineOf(book.robe, { personalText: "Ada" })],
        },
      },
      call,
    );
    await book.order({ lines: [lineOf(book.robe, { personalText: "Ada" })] });
    await book.program.ask("undoChange", { params: { id: call.notes.changeId! } });
    expect(
      (await book.program.ask("listOrders", { query: { show: "all" } })).items.map(
        (order) => order.reference,
      ),
    ).toEqual(["1005"]);
    expect((await book.program.ask("listPieces", { query: { state: "all" } })).total).toBe(1);
  });
});

describe("lists of orders and pieces", () => {
  beforeEach(async () => {
    await book.order({
      reference: "A-1",
      customer: "Zoë Marchetti",
      promiseDate: "2026-11-25",
      lines: [lineOf(book.robe, { personalText: "Zoë" })],
    });
    await book.order({
      reference: "A-2",
      customer: "Bram de Wit",
      lines: [lineOf(book.napkin, { quantity: 2 })],
    });
  });

  it("find by reference, customer, text and product, accents aside", async () => {
    const find = async (q: string) =>
      (await book.program.ask("listOrders", { query: { q } })).items.map((order) => order.reference);
    expect(await find("zoe")).toEqual(["A-1"]);
    expect(await find("napkin")).toEqual(["A-2"]);
    expect(await find("a-2 bram")).toEqual(["A-2"]);
    await book.order({ reference: "50%_off", customer: "Half" });
    expect(await find("50%_")).toEqual(["50%_off"]);
    expect(await find("100%")).toEqual([]);
    expect(
      (await book.program.ask("listPieces", { query: { q: "ZOE" } })).items.map((piece) => piece.code),
    ).toEqual(["A-1-1"]);
  });

  it("show what is late, sort by a field of the list, and page", async () => {
    const late = await book.program.ask("listOrders", { query: { show: "late" } });
    expect([late.items.map((order) => order.reference), late.total, late.open, late.late]).toEqual([
      ["A-1"],
      1,
      2,
      1,
    ]);
    const sorted = await book.program.ask("listOrders", {
      query: { sort: "-reference", limit: 1, offset: 1 },
    });
    expect([sorted.items.map((order) => order.reference), sorted.total]).toEqual([["A-1"], 2]);
    await expect(
      book.program.ask("listOrders", { query: { sort: "note; drop table orders" } }),
    ).rejects.toMatchObject({ code: "sort-unknown" });
    const pieces = await book.program.ask("listPieces", { query: { sort: "-code", state: "ready" } });
    expect(pieces.items.map((piece) => piece.code)).toEqual(["A-2-2", "A-2-1", "A-1-1"]);
  });
});
