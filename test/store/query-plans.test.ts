/**
 * How SQLite finds the rows of each statement the program asks (EXPLAIN QUERY PLAN, sqlite.org/eqp.html): a list that
 * grows with the years is searched along an index, or walked along one until a page is full, never read from end to
 * end, unless it stands here with its reason.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import Database from "better-sqlite3";
import { afterAll, beforeAll, expect, it } from "vitest";
import { lineOf, type OrderBook, orderBook } from "#test/order-book";

/** Lists that pass a thousand rows in a few years of work. */
const growing = [
  "orders",
  "order_lines",
  "pieces",
  "jobs",
  "floor_events",
  "changes",
  "change_records",
  "designs",
  "design_versions",
  "import_bad_rows",
  "answered_requests",
];

const allowed: readonly { readonly why: string; readonly sql: RegExp; readonly plan: RegExp }[] = [
  {
    why: "a page of a list is walked along the index of what it is sorted by, and ends when the page is full",
    sql: / limit \?/,
    plan: /^SCAN (orders|pieces|designs) USING (COVERING )?INDEX/,
  },
  {
    why: "the newest by number are the end of the table itself",
    sql: /order by ("changes"\.)?"seq" desc limit \?/,
    plan: /^SCAN (changes|floor_events)$/,
  },
  {
    why: "words are looked for inside a text, which no index can answer; only the narrow covering index is read",
    sql: / like \? escape/,
    plan: /^SCAN (orders|pieces|designs) USING (COVERING )?INDEX/,
  },
  {
    why: "all there are is counted along the narrowest index",
    sql: /^select count\(\*\) as "\w+" from "(orders|pieces|designs)"( where ("open_pieces" = \?|open_pieces > 0)?( and )?(1 = 1)?)?$/,
    plan: /^SCAN (orders|pieces|designs) USING COVERING INDEX/,
  },
  {
    why: "the pages of open orders and the calendar walk the index that holds the open orders only",
    sql: /open_pieces > 0/,
    plan: /^SCAN orders USING (COVERING )?INDEX orders_by_open$/,
  },
];

const asked = new Set<string>();
let database: Database.Database;
let book: OrderBook;
let folder: string;
const prepare = Database.prototype.prepare;

beforeAll(async () => {
  Database.prototype.prepare = function (this: Database.Database, sql: string) {
    // eslint-disable-next-line @typescript-eslint/no-this-alias -- the database is only known to the call
    database = this;
    asked.add(sql);
    return prepare.call(this, sql);
  } as typeof prepare;
  folder = mkdtempSync(path.join(tmpdir(), "plans-"));
  book = await orderBook({ data: folder });
});
afterAll(async () => {
  Database.prototype.prepare = prepare;
  await book.program.close();
  rmSync(folder, { recursive: true, force: true });
});

async function useEverything(): Promise<void> {
  const { program } = book;
  const first = await book.order({ lines: [lineOf(book.robe, { quantity: 3, personalText: "Maren" })] });
  await book.order({ reference: "1006", lines: [lineOf(book.napkin)] });
  const pieces = await book.pieces(first.id);
  const ids = pieces.map((piece) => piece.id);
  await book.move(ids.slice(0, 2), "sewing");
  await book.move(ids.slice(0, 1), "spoiled", { why: "torn", remake: true });
  await book.move(ids.slice(1, 2), "done");
  for (const show of ["open", "late", "shipped", "all"])
    for (const sort of ["", "-shipBy", "customer", "reference", "promiseDate", "-updatedAtMs", "placedOn"])
      for (const q of ["", "maren robe"])
        for (const archived of ["no", "all"])
          await program.ask("listOrders", { query: { show, sort, q, archived } });
  for (const state of ["open", "all", "ready", "shipped"])
    for (const sort of ["", "-shipBy", "code", "customer", "orderReference", "promiseDate", "state"])
      for (const q of ["", "maren"]) await program.ask("listPieces", { query: { state, sort, q } });
  await program.ask("readOrder", { params: { id: first.id } });
  await program.ask("readPiece", { params: { id: ids[0]! } });
  await program.ask("listDesigns", { query: { q: "wave" } });
  await program.ask("listDesigns", {});
  await program.ask("readDesign", { params: { id: book.wave.designId } });
  const { items } = await program.ask("listChanges", {});
  await program.ask("listChanges", { query: { record: ids[0]! } });
  await program.ask("undoChange", { params: { id: items[0]!.id } });
  const again = await program.ask("readOrder", { params: { id: first.id } });
  await program.answers.cancelOrder(
    { params: { id: first.id } } as never,
    program.call({ ifMatch: again.order.version }),
  );
  await program.ask("calendar", {});
  await program.ask("listPlans", {});
  const csv = "Order,Customer,Placed,Promised,Product,Text\r\nA1,Ines,2026-11-20,2026-12-20,ROBE,Ines\r\n";
  const look = await program.ask("lookAtFile", {
    query: { name: "a.csv" },
    body: new TextEncoder().encode(csv),
  });
  await program.ask("runImport", { params: { id: look.id } });
  await program.ask("listBadRows", { params: { id: look.id } });
}

it("no list that grows is read from end to end, but where it must be", async () => {
  await useEverything();
  const reading = [...asked].filter((sql) => /^(select|update|delete)/i.test(sql));
  expect(reading.length).toBeGreaterThan(80);
  const read = reading.flatMap((sql) => scansOf(sql).map((plan) => ({ sql, plan })));
  const without = read.filter(
    ({ sql, plan }) => !allowed.some((one) => one.sql.test(sql) && one.plan.test(plan)),
  );
  expect(without).toEqual([]);
}, 60_000);

it("sees a list read from end to end", () => {
  expect(scansOf(`select * from "orders" where "note" = ?`)).toEqual(["SCAN orders"]);
  expect(scansOf(`select * from "orders" where "reference" = ?`)).toEqual([]);
});

function scansOf(sql: string): string[] {
  const parameters = Array<null>((sql.match(/\?/g) ?? []).length).fill(null);
  const rows = prepare.call(database, `explain query plan ${sql}`).all(parameters) as { detail: string }[];
  return rows
    .map((row) => row.detail)
    .filter((detail) =>
      growing.some((table) => new RegExp(`^SCAN ${table}\\b|^SCAN newest\\b`).test(detail)),
    );
}
