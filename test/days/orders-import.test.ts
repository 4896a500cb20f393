import { parse } from "csv-parse/sync";
import { stringify } from "csv-stringify/sync";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Answer } from "#contract";
import { type OrderBook, orderBook } from "#test/order-book";

let book: OrderBook;
beforeEach(async () => {
  book = await orderBook();
});
afterEach(() => book.program.close());

type Record_ = Answer<"readImport">;
const bytesOf = (content: string | Uint8Array) =>
  typeof content === "string" ? new TextEncoder().encode(content) : content;
const look = (content: string | Uint8Array, name = "orders.csv") =>
  book.program.ask("lookAtFile", { query: { name }, body: bytesOf(content) }, { who: "Mara" });

/** Runs an import to its end, as a page does that waits for the last of its events. */
async function run(id: string): Promise<Record_> {
  const ended = new Promise<Record_>((resolve) => {
    const stop = book.program.context.listen((event) => {
      if (event.topic !== "import" || event.import.id !== id || event.import.state === "running") return;
      stop();
      resolve(event.import as Record_);
    });
  });
  await book.program.ask("runImport", { params: { id } }, { who: "Mara" });
  return ended;
}
const bring = async (content: string | Uint8Array) => run((await look(content)).id);
const badRows = (id: string) => book.program.ask("listBadRows", { params: { id } });
const orders = async () =>
  (await book.program.ask("listOrders", { query: { show: "all", sort: "reference", limit: 500 } })).items;

const HEAD = "Order,Customer,Order date,Due date,Product,Qty,Personalisation,Threads,Price,Note\r\n";
const FILE =
  HEAD +
  "2001,Iris Ostrander,2026-11-20,2026-12-04,ROBE,2,Iris,,65.00,\r\n" +
  "2001,,,,Harbour towel,1,Iris,gold,24.00,\r\n" +
  '2002,"de Wit, Bram",2026-11-21,2026-12-05,NAP,6,,,"1,009.00","for the\r\nlong table"\r\n' +
  "2003,Zoë Marchetti,2026-11-22,2026-12-09,robe,1,Zoë,navy; gold,65.00,\r\n";

describe("a file of orders is brought in", () => {
  it("shows first what was recognised, and brings nothing in yet", async () => {
    const seen = await look(FILE);
    expect(seen).toMatchObject({
      state: "looked-at",
      rows: 4,
      remembered: false,
      reading: {
        encoding: "utf-8",
        delimiter: ",",
        dateOrder: "ymd",
        decimal: ".",
        columns: [
          "reference",
          "customer",
          "placed-on",
          "promise-date",
          "product",
          "quantity",
          "personal-text",
          "threads",
          "price",
          "note",
        ],
      },
      counts: { bad: 0 },
    });
    expect(seen.sample[2]![1]).toBe("de Wit, Bram");
    expect(await orders()).toEqual([]);
  });

  it("takes prices by the decimals of the studio's currency and gives them back so (ISO 4217: JPY 0, KWD 3)", async () => {
    const { db } = book.program.context.store;
    const { body } = await db.selectFrom("studio").select("body").executeTakeFirstOrThrow();
    const pricesIn = async (currency: string, reference: string, price: string) => {
      const studio = JSON.stringify({ ...(JSON.parse(body) as object), currency });
      await db.updateTable("studio").set({ body: studio }).execute();
      await bring(`${HEAD}${reference},Ines,2026-11-20,2026-12-04,ROBE,1,,,"${price}",\r\n`);
      const file = await book.program.ask("tableFile", { params: { table: "orders" } });
      const [headings, ...rows] = new TextDecoder()
        .decode((file as { bytes: Uint8Array }).bytes)
        .trim()
        .split("\r\n")
        .map((line) => line.split(","));
      const row = rows.find((cells) => cells[0] === reference)!;
      return [row[headings!.indexOf("price")], row[headings!.indexOf("currency")]];
    };
    expect(await pricesIn("JPY", "J1", "¥1,200")).toEqual(["1200", "JPY"]);
    expect(await pricesIn("KWD", "K1", "1.250")).toEqual(["1.25", "KWD"]);
    expect((await orders()).map((order) => [order.reference, order.lines[0]!.priceCents])).toEqual([
      ["J1", 1200],
      ["K1", 1250],
    ]);
  });

  it("makes one order of the rows with one reference, a line of each row", async () => {
    const done = await bring(FILE);
    expect(done).toMatchObject({
      state: "done",
      counts: { ordersAdded: 3, linesAdded: 4, piecesAdded: 10, alreadyThere: 0, bad: 0 },
      progress: { done: 4, of: 4 },
    });
    const [first, second, third] = await orders();
    expect(first).toMatchObject({
      reference: "2001",
      customer: "Iris Ostrander",
      placedOn: "2026-11-20",
      promiseDate: "2026-12-04",
      shipBy: "2026-12-02",
    });
    expect(
      first!.lines.map((line) => [line.productId, line.quantity, line.personalText, line.priceCents]),
    ).toEqual([
      [book.robe, 2, "Iris", 6500],
      [book.towel, 1, "Iris", 2400],
    ]);
    expect(second).toMatchObject({ customer: "de Wit, Bram", note: "for the\r\nlong table" });
    expect(second!.lines[0]!.priceCents).toBe(100_900);
    expect(third!.lines[0]!.threadIds).toEqual([book.navy, book.gold]);
    const pieces = await book.pieces(first!.id);
    expect(pieces.map((piece) => [piece.code, piece.state])).toEqual([
      ["2001-1", "ready"],
      ["2001-2", "ready"],
      ["2001-3", "ready"],
    ]);
    expect(pieces[2]!.jobs[0]!.threadIds).toEqual([book.gold]);
  });

  it("adds nothing the second time, nor the old rows of a longer export", async () => {
    await bring(FILE);
    const again = await bring(FILE);
    expect(again.counts).toEqual({ ordersAdded: 0, linesAdded: 0, piecesAdded: 0, alreadyThere: 4, bad: 0 });
    const longer = await bring(
      FILE + "2001,,,,NAP,4,,,,\r\n2004,Kit,2026-11-24,2026-12-11,TOWEL,1,Kit,,,\r\n",
    );
    expect(longer.counts).toEqual({ ordersAdded: 1, linesAdded: 2, piecesAdded: 5, alreadyThere: 4, bad: 0 });
    expect((await orders()).map((order) => order.lines.length)).toEqual([3, 1, 1, 1]);
    const pieces = await book.pieces((await orders())[0]!.id);
    expect(pieces.at(-1)!.code).toBe("2001-7");
  });

  it("tells two alike rows of an order apart by how many there are", async () => {
    const twins =
      HEAD + "7,A,2026-11-20,2026-12-04,TOWEL,1,Ada,,,\r\n7,A,2026-11-20,2026-12-04,TOWEL,1,Ada,,,\r\n";
    expect((await bring(twins)).counts).toMatchObject({ linesAdded: 2, piecesAdded: 2 });
    expect((await bring(twins)).counts).toMatchObject({ linesAdded: 0, alreadyThere: 2 });
  });

  it("leaves an order that stands otherwise here as it is, with a note", async () => {
    await bring(FILE);
    const changed = await bring(
      FILE.replace("ROBE,2,Iris", "ROBE,3,Iris").replace("robe,1,Zoë", "robe,1,Zoe M"),
    );
    expect(changed.counts).toMatchObject({ linesAdded: 0, alreadyThere: 4 });
    expect(changed.notes).toEqual([
      "Order 2001 (line 2) was left as it is: quantity 3 in the file, 2 here.",
      "Order 2003 (line 6) stands otherwise here than in the file and was left as it is: 1 line of the file is not in it.",
    ]);
    expect((await orders()).map((order) => order.lines.map((line) => line.personalText))).toEqual([
      ["Iris", "Iris"],
      [""],
      ["Zoë"],
    ]);
  });

  it("does not bring back a line that was taken out here, nor a cancelled order", async () => {
    await bring(FILE);
    const [first, second] = await orders();
    const { reference, customer, channel, placedOn, promiseDate, note, lines } = first!;
    const kept = [lines[0]!].map(({ position: _, ...line }) => line);
    await book.program.ask(
      "changeOrder",
      {
        params: { id: first!.id },
        body: { reference, customer, channel, placedOn, promiseDate, note, lines: kept },
      },
      { ifMatch: first!.version },
    );
    await book.program.ask("cancelOrder", { params: { id: second!.id } }, { ifMatch: second!.version });
    const again = await bring(FILE);
    expect(again.counts).toMatchObject({ ordersAdded: 0, linesAdded: 0, alreadyThere: 4 });
    expect(again.notes).toEqual(["Order 2001 (line 3) was left as it is: it has been taken out here."]);
  });

  it("reads Windows-1252 with semicolons, decimal commas and days first", async () => {
    const done = await bring(
      Buffer.from(
        "Bestellnummer;Kundenname;Liefertermin;Artikel;Anzahl;Wunschtext;Preis\r\n31;Jörg Grün;24.12.2026;ROBE;1;Jörg;65,50\r\n",
        "latin1",
      ),
    );
    expect(done.counts).toMatchObject({ ordersAdded: 1, bad: 0 });
    expect((await orders())[0]).toMatchObject({
      customer: "Jörg Grün",
      promiseDate: "2026-12-24",
      placedOn: "2026-11-25",
      lines: [{ personalText: "Jörg", priceCents: 6550 }],
    });
  });

  it("remembers how a file of this shape is read, and lets the person say it otherwise", async () => {
    const file = "A;B;C;Date\n41;TOWEL;Ada;04/12/2026\n";
    const seen = await look(file);
    await expect(book.program.ask("runImport", { params: { id: seen.id } })).rejects.toMatchObject({
      code: "import-reading",
    });
    const reading = {
      ...seen.reading,
      columns: ["reference", "product", "personal-text", "promise-date"] as const,
      dateOrder: "dmy",
    };
    const again = await book.program.ask("changeReading", { params: { id: seen.id }, body: reading });
    expect(again.counts.bad).toBe(0);
    expect((await run(seen.id)).counts.ordersAdded).toBe(1);
    const next = await look(file.replace("41", "42"));
    expect(next).toMatchObject({ remembered: true, reading: { columns: reading.columns, dateOrder: "dmy" } });
    expect((await orders())[0]!.promiseDate).toBe("2026-12-04");
    await expect(
      book.program.ask("changeReading", {
        params: { id: seen.id },
        body: { ...reading, columns: ["product", "product", null, null] },
      }),
    ).rejects.toThrow("Two columns are said to be the product.");
  });

  it("counts the promise date from the day placed where the file has none and the person says how many days", async () => {
    const seen = await look("Order,Product,Order date\n51,NAP,2026-11-20\n");
    expect(seen.counts.bad).toBe(1);
    await book.program.ask("changeReading", {
      params: { id: seen.id },
      body: { ...seen.reading, promiseDays: 14 },
    });
    expect((await run(seen.id)).counts).toMatchObject({ ordersAdded: 1, bad: 0 });
    expect((await orders())[0]!.promiseDate).toBe("2026-12-04");
  });
});

describe("a bad row", () => {
  const BAD =
    HEAD +
    "61,Ada,2026-11-20,2026-12-04,ROBE,1,Ada,,,\r\n" +
    '62,"Two\r\nlines",2026-11-20,2026-12-04,RODE,1,Bo,,,\r\n' +
    "63,Cy,2026-11-20,2026-13-04,ROBE,none,Cy,pink,x,\r\n" +
    '64,"Dee"x,2026-11-20,2026-12-04,ROBE,1,Dee,,,\r\n' +
    ",Eve,2026-11-20,2026-12-04,ROBE,1,Eve,,,\r\n";

  it("is kept with the line of the file, the column, what was found and why; the others go in", async () => {
    const done = await bring(BAD);
    expect(done.counts).toMatchObject({ ordersAdded: 1, bad: 4 });
    const { items, total } = await badRows(done.id);
    expect(total).toBe(4);
    // Line 3 runs over to line 4.
    expect(items.map((row) => row.line)).toEqual([3, 5, 6, 7]);
    expect(items[0]!.reasons).toEqual([
      {
        column: 4,
        heading: "Product",
        found: "RODE",
        message: "there is no product “RODE”; perhaps ROBE (Swim robe)",
      },
    ]);
    expect(items[1]!.reasons.map((reason) => [reason.heading, reason.message])).toEqual([
      ["Threads", "there is no thread “pink”"],
      ["Qty", "expected a whole number from 1 to 10,000"],
      ["Price", "expected a price such as 12.50"],
      ["Due date", "there is no such day"],
    ]);
    expect(items[2]!.reasons[0]!.message).toContain("after a closing quote");
    expect(items[3]!.reasons[0]!).toMatchObject({
      heading: "Order",
      message: "the order's reference is missing",
    });
  });

  it("is mended in place and goes in; what is still wrong comes back", async () => {
    const done = await bring(BAD);
    const [row] = (await badRows(done.id)).items;
    const mend = (cells: string[]) =>
      book.program.ask("mendRow", { params: { id: done.id, line: String(row!.line) }, body: { cells } });
    const still = await mend(row!.cells.map((cell, column) => (column === 4 ? "ROBBE" : cell)));
    expect(still).toMatchObject({ mended: false, row: { reasons: [{ found: "ROBBE" }] } });
    const good = row!.cells.map((cell, column) => (column === 4 ? "ROBE" : cell));
    const mended = await mend(good);
    expect(mended).toMatchObject({ mended: true, row: null, import: { counts: { ordersAdded: 2, bad: 3 } } });
    expect((await orders()).map((order) => [order.reference, order.customer])).toEqual([
      ["61", "Ada"],
      ["62", "Two lines"],
    ]);
    await expect(mend(good)).rejects.toMatchObject({ code: "bad-row-unknown" });
    // Running the file again takes the mended row for what it became.
    expect((await run(done.id)).counts).toMatchObject({ ordersAdded: 0, alreadyThere: 2, bad: 3 });
    const elsewhere = await bring(BAD.replace("RODE", "ROBE"));
    expect(elsewhere.counts).toMatchObject({ ordersAdded: 0, linesAdded: 0, alreadyThere: 2, bad: 3 });
  });

  it("of an order that is in otherwise joins that order when mended", async () => {
    const done = await bring(FILE + "2001,,,,TOWL,1,Iris,gold,,\r\n");
    expect(done.counts).toMatchObject({ linesAdded: 4, bad: 1 });
    const [row] = (await badRows(done.id)).items;
    await book.program.ask("mendRow", {
      params: { id: done.id, line: String(row!.line) },
      body: { cells: row!.cells.map((cell) => (cell === "TOWL" ? "TOWEL" : cell)) },
    });
    expect((await orders())[0]!.lines.map((line) => line.productId)).toEqual([
      book.robe,
      book.towel,
      book.towel,
    ]);
  });

  it("is exported as it stood with its reasons, safe for a spreadsheet", async () => {
    const done = await bring(HEAD + "=2+3,@evil,2026-11-20,2026-12-04,none,1,-Ada,,,\r\n");
    const file = (await book.program.ask("badRowsFile" as never, { params: { id: done.id } })) as unknown as {
      bytes: Uint8Array;
      saveAs: string;
    };
    const [headings, row] = parse(Buffer.from(file.bytes), { bom: true }) as string[][];
    expect(file.saveAs).toBe("orders bad rows.csv");
    expect(headings!.slice(-2)).toEqual(["Line of the file", "Reasons"]);
    expect(row!.slice(0, 2)).toEqual(["'=2+3", "'@evil"]);
    expect(row!.at(-1)).toBe("Product: there is no product “none”; perhaps ROBE (Swim robe)");
    // Brought in again once mended, the apostrophes of our own are no part of the text.
    const mended = stringify([headings!, row!.map((cell) => (cell === "none" ? "TOWEL" : cell))]);
    expect((await bring(mended)).counts.ordersAdded).toBe(1);
    expect((await orders())[0]).toMatchObject({
      reference: "=2+3",
      customer: "@evil",
      lines: [{ personalText: "-Ada" }],
    });
  });

  it("of hostile size is told, and the rest goes in", async () => {
    const done = await bring(
      `${HEAD}71,${"x".repeat(100_000)},2026-11-20,2026-12-04,ROBE,1,Ada,,,\r\n72,Bo,2026-11-20,2026-12-04,TOWEL,1,${"Bo ".repeat(80)},,,\r\n73,Cy,2026-11-20,2026-12-04,TOWEL,1,Cy,,,\r\n`,
    );
    expect(done.counts).toMatchObject({ ordersAdded: 1, bad: 2 });
    const { items } = await badRows(done.id);
    expect(items.map((row) => row.reasons[0]!.message)).toEqual([
      "the cell has 98 kB; at most 32 kB are read",
      "239 characters; at most 200 are kept",
    ]);
  });
});

describe("a file that cannot be brought in", () => {
  it("is refused with what was found and what to do", async () => {
    await expect(look(Uint8Array.from([0x50, 0x4b, 3, 4, 0, 0]))).rejects.toMatchObject({
      code: "import-not-csv",
    });
    await expect(look("")).rejects.toMatchObject({ code: "import-empty" });
    await expect(look(HEAD)).rejects.toMatchObject({ code: "import-empty" });
    expect((await book.program.ask("listImports")).items).toEqual([]);
  });
  it("says so when all its rows are bad", async () => {
    const seen = await look(HEAD + "81,A,2026-11-20,2026-12-04,XX,1,,,,\r\n");
    expect(seen.recognised).toContain(
      "The only row cannot be brought in as it stands; the reason is listed.",
    );
    expect((await badRows(seen.id)).total).toBe(1);
  });
});

describe("a large import", () => {
  const large = (rows: number) =>
    HEAD +
    Array.from(
      { length: rows },
      (_, index) =>
        `L${index},Customer ${index},2026-11-20,2026-12-${String(1 + (index % 28)).padStart(2, "0")},${["NAP", "TOWEL", "ROBE"][index % 3]},1,${index % 3 === 0 ? "" : `N${index % 40}`},,,\r\n`,
    ).join("");

  it("of 10,000 rows tells its progress, counts right, and adds nothing the second time", async () => {
    const seen = await look(large(10_000));
    const done = await run(seen.id);
    expect(done.counts).toEqual({
      ordersAdded: 10_000,
      linesAdded: 10_000,
      piecesAdded: 10_000,
      alreadyThere: 0,
      bad: 0,
    });
    const told = book.program.told.flatMap((event) =>
      event.topic === "import" ? [event.import.progress.done] : [],
    );
    expect(told.length).toBeGreaterThan(40);
    expect([...told].sort((a, b) => a - b)).toEqual(told);
    const { total, open } = await book.program.ask("listOrders", { query: { limit: 1 } });
    expect([total, open]).toEqual([10_000, 10_000]);
    expect((await run(seen.id)).counts).toMatchObject({ ordersAdded: 0, alreadyThere: 10_000 });
  }, 300_000);

  it("is stopped by the person between two portions; run again it adds only what is missing", async () => {
    const seen = await look(large(1000));
    const half = new Promise<void>((resolve) => {
      const stop = book.program.context.listen((event) => {
        if (event.topic !== "import" || event.import.progress.done < 400) return;
        stop();
        resolve();
      });
    });
    await book.program.ask("runImport", { params: { id: seen.id } });
    await half;
    const stopped = await book.program.ask("cancelImport", { params: { id: seen.id } });
    expect(stopped.state).toBe("cancelled");
    const inThere = stopped.counts.ordersAdded;
    expect(inThere).toBeGreaterThanOrEqual(400);
    expect(inThere).toBeLessThan(1000);
    const rest = await run(seen.id);
    expect(rest.counts).toMatchObject({ ordersAdded: 1000 - inThere, alreadyThere: inThere });
  });

  it("that was cut short by the program's end says so and can be run again", async () => {
    const seen = await look(FILE);
    const { db } = book.program.context.store;
    await db.updateTable("imports").set({ state: "running" }).where("id", "=", seen.id).execute();
    const found = await book.program.ask("readImport", { params: { id: seen.id } });
    expect([found.state, found.failure]).toEqual([
      "failed",
      "The program ended after 0 of 4 rows. What is in stays in; bring the file in again for the rest, nothing is added twice.",
    ]);
    expect((await run(seen.id)).counts.ordersAdded).toBe(3);
  });
});
