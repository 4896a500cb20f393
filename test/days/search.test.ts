/** What LIKE takes for wildcards is text like any other, on both databases. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { productBody } from "#test/catalogue";
import { lineOf, type OrderBook, orderBook } from "#test/order-book";
import { startPostgres, type TestPostgres } from "#test/postgres";

let server: TestPostgres;
beforeAll(async () => {
  server = await startPostgres();
});
afterAll(() => server.stop());

describe.each(["sqlite", "postgres"] as const)("searching on %s", (kind) => {
  let book: OrderBook;
  const texts = ["50% off", "50 off", "a_b", "axb", "back\\slash", "backslash"];
  beforeAll(async () => {
    book = await orderBook(kind === "postgres" ? { databaseUrl: await server.freshDatabase() } : {});
    for (const [index, text] of texts.entries()) {
      await book.program.ask("products.create", {
        body: productBody({ code: `P${index}`, name: text, kind: "sewn", placements: [] }),
      });
      await book.order({
        reference: `${index}`,
        customer: text,
        lines: [lineOf(book.napkin, { personalText: text })],
      });
    }
  });
  afterAll(() => book.program.close());

  it.each([
    ["50%", ["50% off"]],
    ["%", ["50% off"]],
    ["a_b", ["a_b"]],
    ["_", ["a_b"]],
    ["back\\s", ["back\\slash"]],
    ["OFF 50", ["50% off", "50 off"]],
  ])("“%s” finds what holds it and nothing else", async (q, found) => {
    const { program } = book;
    const products = await program.ask("products.list", { query: { q } });
    const orders = await program.ask("listOrders", { query: { q, show: "all", sort: "reference" } });
    const pieces = await program.ask("listPieces", { query: { q, state: "all", sort: "code" } });
    expect(products.items.map((one) => one.name).sort()).toEqual([...found].sort());
    expect(orders.items.map((one) => one.customer)).toEqual(found);
    expect(pieces.items.map((one) => one.personalText)).toEqual(found);
    expect([products.total, orders.total, pieces.total]).toEqual(Array(3).fill(found.length));
  });
});
