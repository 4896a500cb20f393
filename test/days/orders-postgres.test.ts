import { afterAll, beforeAll, expect, it } from "vitest";
import { firstBrokenLink } from "#store";
import { lineOf, type OrderBook, orderBook } from "#test/order-book";
import { startPostgres, type TestPostgres } from "#test/postgres";

let server: TestPostgres;
let book: OrderBook;
beforeAll(async () => {
  server = await startPostgres();
  book = await orderBook({ databaseUrl: await server.freshDatabase() });
});
afterAll(async () => {
  await book.program.close();
  await server.stop();
});

it("a day's orders go the same way on PostgreSQL", async () => {
  const { program } = book;
  const order = await book.order({
    lines: [lineOf(book.robe, { quantity: 2, personalText: "Iris" }), lineOf(book.towel)],
  });
  expect(order.pieceCounts).toEqual({ ready: 2, waiting: 1 });
  const [first, second] = await book.pieces(order.id);
  const call = program.call();
  await program.ask("movePieces", { body: { pieceIds: [first!.id], state: "finishing" } }, call);
  await program.ask("undoChange", { params: { id: call.notes.changeId! } });
  await book.move([first!.id], "sewing");
  const { remakes } = await book.move([first!.id], "spoiled");
  expect(remakes.map((piece) => piece.code)).toEqual(["1005-1R"]);
  const { reference, customer, channel, placedOn, promiseDate, note, lines, version } = (
    await program.ask("readOrder", { params: { id: order.id } })
  ).order;
  const robe = { ...lines[0]!, position: undefined, personalText: "Irina", quantity: 3 };
  const body = {
    reference,
    customer,
    channel,
    placedOn,
    promiseDate,
    note,
    lines: [robe].map(({ position: _, ...line }) => line),
  };
  const changed = await program.ask("changeOrder", { params: { id: order.id }, body }, { ifMatch: version });
  expect(changed.pieceCounts).toEqual({ ready: 3, spoiled: 1, cancelled: 1 });
  await program.ask("chooseThreads", {
    params: { id: book.wave.versionId },
    body: { threadIds: [book.gold, book.gold] },
  });
  const [, again] = await book.pieces(order.id);
  expect(again!.jobs[0]!.threadIds).toEqual([book.gold, book.gold, book.navy]);
  expect(second!.code).toBe("1005-2");
  expect((await program.ask("listOrders", { query: { q: "50% iris", show: "all" } })).total).toBe(0);
  expect(await program.ask("listOrders", { query: { q: "OSTRANDER", show: "open" } })).toMatchObject({
    total: 1,
    open: 1,
    late: 0,
  });
  expect(
    (await program.ask("listPieces", { query: { q: "irina", sort: "-code" } })).items.map(
      (piece) => piece.code,
    ),
  ).toEqual(["1005-4", "1005-2", "1005-1R"]);

  const csv =
    "Order,Product,Due date,Personalisation\n31,TOWEL,2026-12-24,Bo\n31,NAP,,\n32,none,2026-12-24,\n";
  for (const counts of [
    { ordersAdded: 1, linesAdded: 2, alreadyThere: 0, bad: 1 },
    { ordersAdded: 0, linesAdded: 0, alreadyThere: 2, bad: 1 },
  ]) {
    const seen = await program.ask("lookAtFile", {
      query: { name: "a.csv" },
      body: new TextEncoder().encode(csv),
    });
    const ended = new Promise<void>((resolve) => {
      const stop = program.context.listen((event) => {
        if (event.topic !== "import" || event.import.state === "running") return;
        stop();
        resolve();
      });
    });
    await program.ask("runImport", { params: { id: seen.id } });
    await ended;
    expect((await program.ask("readImport", { params: { id: seen.id } })).counts).toMatchObject(counts);
    expect((await program.ask("listBadRows", { params: { id: seen.id } })).total).toBe(1);
  }
  expect((await firstBrokenLink(program.context.store.db)).brokenSeq).toBeNull();
});
