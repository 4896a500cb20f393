import { readFileSync } from "node:fs";
import { stringify } from "csv-stringify/sync";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { guessColumns, hasHeadings, shapeKey } from "./columns";
import { readDate, recogniseDateOrder } from "./dates";
import { recogniseDelimiter } from "./delimiter";
import { type Encoding, recogniseEncoding, toUtf8 } from "./encoding";
import { lookAt } from "./look";
import { lookupOf } from "./lookup";
import { readNumber, recogniseDecimal } from "./numbers";
import { type Delimiter, readRecords } from "./records";
import { readRow } from "./rows";

const utf8 = (text: string) => new TextEncoder().encode(text);
const rowsOf = async (text: string, delimiter: Delimiter = ",") =>
  (await readRecords(utf8(text), delimiter)).map((record) => [...record.cells]);

/** RFC 4180 section 2, rules 1 to 7; beside the repository where it stands with its values, else from memory of the RFC. */
const rfc4180: { csv: string; rows: string[][] }[] = (() => {
  try {
    const values = JSON.parse(
      readFileSync(new URL("../../../../shared/checks/values.json", import.meta.url), "utf8"),
    ) as Record<string, { value: never }>;
    return values.t08_rfc4180_cases!.value;
  } catch {
    return [
      {
        csv: "aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
        rows: [
          ["aaa", "bbb", "ccc"],
          ["zzz", "yyy", "xxx"],
        ],
      },
      {
        csv: "aaa,bbb,ccc\r\nzzz,yyy,xxx",
        rows: [
          ["aaa", "bbb", "ccc"],
          ["zzz", "yyy", "xxx"],
        ],
      },
      {
        csv: '"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx',
        rows: [
          ["aaa", "b\r\nbb", "ccc"],
          ["zzz", "yyy", "xxx"],
        ],
      },
      { csv: '"aaa","b""bb","ccc"', rows: [["aaa", 'b"bb', "ccc"]] },
    ];
  }
})();

describe("records of a file", () => {
  it("are read as RFC 4180 section 2 says", async () => {
    expect(rfc4180.length).toBeGreaterThanOrEqual(4);
    for (const { csv, rows } of rfc4180) expect(await rowsOf(csv)).toEqual(rows);
  });

  it("carry the line of the file they start on, line ends inside cells and empty lines counted", async () => {
    const found = await readRecords(utf8('a,b\r\n"x\r\ny\nz",2\r\n\r\nlast,3\r\n'), ",");
    expect(found.map((record) => record.line)).toEqual([1, 2, 6]);
  });

  it("end with LF, CR LF or CR", async () => {
    for (const end of ["\n", "\r\n", "\r"])
      expect(await rowsOf(`a,b${end}1,2${end}`)).toEqual([
        ["a", "b"],
        ["1", "2"],
      ]);
  });

  it("set aside the line whose quotes break, and go on at the next", async () => {
    const found = await readRecords(utf8('a,b\n1,"x"y\n2,ok\n3,"open\n4,ok\n5,ok\n'), ",");
    expect(found.map((record) => [record.line, record.broken === null])).toEqual([
      [1, true],
      [2, false],
      [3, true],
      [4, false],
      [5, true],
      [6, true],
    ]);
    expect(found[1]!.broken).toContain("after a closing quote");
    expect(found[3]!.broken).toContain("never closed");
  });

  it("forgive blanks before a quote and inch marks inside a cell", async () => {
    expect(await rowsOf('a, "b, c"\n24" wide,x\n')).toEqual([
      ["a", "b, c"],
      ['24" wide', "x"],
    ]);
  });

  it("come back whole through any encoding and delimiter (csv-stringify writes, we read)", async () => {
    const cell = fc.oneof(
      fc.string({ unit: "grapheme", maxLength: 12 }),
      fc.constantFrom('"', ",", ";", "\n", "\r\n", "'", "=1+1", "é", "ř", "日本", "🧵", " a ", "\t|"),
    );
    // A row of one empty cell is an empty line, and a NUL or a mark at the start are no text of ours.
    const table = fc.array(fc.array(cell, { minLength: 2, maxLength: 2 }), { minLength: 1, maxLength: 8 });
    await fc.assert(
      fc.asyncProperty(
        table,
        fc.constantFrom<Delimiter>(",", ";", "\t", "|"),
        fc.constantFrom<"utf-8" | "utf-16le" | "utf-16be">("utf-8", "utf-16le", "utf-16be"),
        fc.constantFrom("\n", "\r\n"),
        async (rows, delimiter, encoding, end) => {
          const text = stringify(rows, { delimiter, record_delimiter: end, quoted_match: /[\r\n]|^\s|\s$/ });
          const bytes = encode(text, encoding);
          const found = recogniseEncoding(bytes);
          expect(found.encoding).toBe(encoding);
          const back = await readRecords(toUtf8(bytes, found.encoding), delimiter);
          expect(back.map((record) => record.cells)).toEqual(rows);
        },
      ),
      { numRuns: 300, seed: 4180 },
    );
  });

  it("stand hostile text: any bytes give rows or a refusal, in good time", async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.string({ unit: fc.constantFrom('"', ",", "\n", "\r", "a", ";", "é", " "), maxLength: 400 }),
        async (text) => {
          const found = await readRecords(utf8(text), ",");
          expect(found.every((record, index) => index === 0 || found[index - 1]!.line < record.line)).toBe(
            true,
          );
        },
      ),
      { numRuns: 500, seed: 7 },
    );
    for (const text of [
      '"'.repeat(100_000),
      ",".repeat(150),
      'a,"'.repeat(33),
      `x,"${"y".repeat(100_000)}`,
      '"a\n'.repeat(25_000),
    ])
      await readRecords(utf8(text), ",").then(
        (found) => expect(found.length).toBeGreaterThan(0),
        (error: unknown) => expect(error).toMatchObject({ name: "Refusal" }),
      );
  });

  it("are at most 100,000 rows of 200 columns", async () => {
    await expect(readRecords(utf8("a,b\n".repeat(100_002)), ",")).rejects.toMatchObject({
      code: "import-too-large",
      message: "The file has more than 100,000 rows.",
    });
    await expect(readRecords(utf8(",".repeat(250)), ",")).rejects.toMatchObject({ code: "import-too-large" });
  });
});

function encode(text: string, encoding: Encoding): Uint8Array {
  if (encoding === "utf-8") return Buffer.concat([Buffer.from([0xef, 0xbb, 0xbf]), Buffer.from(text)]);
  const little = Buffer.from(`\ufeff${text}`, "utf16le");
  return encoding === "utf-16le" ? little : little.swap16();
}

describe("the encoding", () => {
  const text = "Reference,Customer\n1,Zoë Müller\n2,Bram\n";
  it("is known by its mark, and without one by what the bytes can be", () => {
    expect(recogniseEncoding(encode(text, "utf-8")).encoding).toBe("utf-8");
    expect(recogniseEncoding(Buffer.from(text)).encoding).toBe("utf-8");
    expect(recogniseEncoding(Buffer.from(text, "utf16le")).encoding).toBe("utf-16le");
    expect(recogniseEncoding(Buffer.from(text, "utf16le").swap16()).encoding).toBe("utf-16be");
    expect(recogniseEncoding(Buffer.from(text, "latin1")).encoding).toBe("windows-1252");
  });
  it("reads Windows-1252 with its signs of 0x80 to 0x9f (WHATWG Encoding Standard, index windows-1252)", () => {
    expect(Buffer.from(toUtf8(Buffer.from([0x80, 0x93, 0x94, 0x8a, 0xe9]), "windows-1252")).toString()).toBe(
      "€“”Šé",
    );
  });
  it("takes a UTF-8 file with one damaged place for UTF-8", () => {
    const bytes = Buffer.concat([Buffer.from("é,ü,ñ,ö,ä\n"), Buffer.from([0xe9]), Buffer.from(",x\n")]);
    expect(recogniseEncoding(bytes)).toMatchObject({
      encoding: "utf-8",
      why: expect.stringContaining("1 damaged place") as string,
    });
  });
  it("refuses what is no text, saying what it is", () => {
    const files: [number[] | string, RegExp][] = [
      [[0x50, 0x4b, 3, 4, 20, 0], /zip archive or a spreadsheet file/],
      ["%PDF-1.7", /PDF document/],
      [[0xd0, 0xcf, 0x11, 0xe0], /older kind/],
      ["<!DOCTYPE html><html>", /web page/],
      ['[{"a":1}]', /JSON/],
      [[65, 0, 0, 0, 66, 1, 2, 3], /zero byte at byte 1/],
    ];
    for (const [content, message] of files)
      expect(() =>
        recogniseEncoding(typeof content === "string" ? Buffer.from(content) : Uint8Array.from(content)),
      ).toThrow(message);
  });
});

describe("the delimiter", () => {
  it("is the one under which the rows are alike, quotes respected", () => {
    const delimiter = (text: string) => recogniseDelimiter(utf8(text)).delimiter;
    expect(delimiter("a,b,c\n1,2,3\n")).toBe(",");
    expect(delimiter('a;b;c\n"1,5";2,5;"x, y, z"\n3,5;4;5\n')).toBe(";");
    expect(delimiter("a\tb\n1,2\t3,4\n")).toBe("\t");
    expect(delimiter("a|b|c\n1|2|3\n")).toBe("|");
    expect(delimiter("sep=;\na;b\n1;2\n")).toBe(";");
    expect(delimiter('ref,note\n1,"a; b; c; d"\n2,"e; f; g; h"\n')).toBe(",");
    expect(delimiter("alone\nmore\n")).toBe(",");
  });
});

describe("dates", () => {
  const day = (text: string, order: "ymd" | "dmy" | "mdy" = "dmy") => {
    const read = readDate(text, order);
    return "date" in read ? read.date : read.why;
  };
  it("are read in many shapes and languages", () => {
    for (const text of [
      "2026-11-25",
      "2026/11/25",
      "20261125",
      "25.11.2026",
      "25/11/26",
      "25. 11. 2026",
      "25 Nov 2026",
      "25-Nov-26",
      "Nov 25, 2026",
      "25. November 2026",
      "25 novembre 2026",
      "25 de noviembre de 2026",
      "Wed, 25 Nov 2026",
      "Mittwoch, 25. November 2026",
      "25th November 2026",
      "2026-11-25T23:59:00Z",
      "2026-11-25 08:30",
      "25.11.2026 08:30",
      "25/11/2026, 8:30 PM",
    ])
      expect([text, day(text)]).toEqual([text, "2026-11-25"]);
    for (const [text, date] of [
      ["3 März 2026", "2026-03-03"],
      ["1 août 2026", "2026-08-01"],
      ["5 mei 2026", "2026-05-05"],
      ["7 dic. 2026", "2026-12-07"],
      ["9 Mai 2026", "2026-05-09"],
    ])
      expect([text, day(text!)]).toEqual([text, date]);
    expect(day("11/25/2026", "mdy")).toBe("2026-11-25");
    expect(day("26-11-25", "ymd")).toBe("2026-11-25");
  });
  it("of two-digit years follow POSIX strptime %y: 69 to 99 are 19xx, 00 to 68 are 20xx", () => {
    expect([day("01/02/70"), day("01/02/00"), day("01/02/68")]).toEqual([
      "1970-02-01",
      "2000-02-01",
      "2068-02-01",
    ]);
  });
  it("that are none say why", () => {
    expect(day("29.02.2026")).toContain("no such day");
    expect(day("11/25/2026")).toContain("no such day when read as day, month, year");
    expect(day("46351")).toContain("day number");
    expect(day("next week")).toContain("not a date");
    expect(day("25 Ma 2026")).toContain("not a date");
  });
  it("tell their order over the whole column", () => {
    const order = (...cells: string[]) => recogniseDateOrder(cells, "2026-11-25");
    expect(order("01/02/2026", "25/11/2026")).toMatchObject({ order: "dmy", open: false });
    expect(order("01/02/2026", "11/25/2026")).toMatchObject({ order: "mdy", open: false });
    expect(order("13/02/2026", "11/25/2026")).toMatchObject({
      open: true,
      why: expect.stringContaining("contradict") as string,
    });
    expect(order("12/01/2026", "12/02/2026")).toMatchObject({
      order: "mdy",
      open: true,
      why: expect.stringContaining("nearer today") as string,
    });
    expect(order("01.12.2026")).toMatchObject({ order: "dmy", open: false });
    expect(order("2026-12-01")).toMatchObject({ order: "ymd", why: null });
  });
});

describe("numbers", () => {
  it("are read with point or comma, thousands and currency signs", () => {
    expect(["1,234.50", "€ 12.5", "12", "1234.5 EUR", "-3"].map((text) => readNumber(text, "."))).toEqual([
      1234.5, 12.5, 12, 1234.5, -3,
    ]);
    expect(["1.234,50", "12,5 €", "1 234,50", "1'234,5"].map((text) => readNumber(text, ","))).toEqual([
      1234.5, 12.5, 1234.5, 1234.5,
    ]);
    expect(["12,34.5", "abc", "", "1.2.3"].map((text) => readNumber(text, "."))).toEqual([
      null,
      null,
      null,
      null,
    ]);
  });
  it("tell the decimal sign by what only one reading allows", () => {
    expect([
      recogniseDecimal(["1.234", "12,50"]),
      recogniseDecimal(["9.90"]),
      recogniseDecimal(["1.234"]),
      recogniseDecimal(["1.234,5", "1,234.5"]),
    ]).toEqual([",", ".", null, null]);
  });
});

const lookup = lookupOf({
  products: [
    { id: "p1", code: "ROBE", name: "Swim robe" },
    { id: "p2", code: "TOWEL", name: "Harbour towel" },
  ],
  designs: [{ id: "d1", name: "Wave" }],
  threads: [
    { id: "t1", code: "N11", name: "Navy" },
    { id: "t2", code: "G2", name: "Gold" },
  ],
});

describe("columns", () => {
  it("are guessed by headings in several languages", () => {
    expect(
      guessColumns(
        ["Order #", "Buyer", "Order date", "Due date", "SKU", "Qty", "Personalisation", "Colour"],
        [],
        lookup,
      ),
    ).toEqual([
      "reference",
      "customer",
      "placed-on",
      "promise-date",
      "product",
      "quantity",
      "personal-text",
      "threads",
    ]);
    expect(
      guessColumns(
        [
          "Bestellnummer",
          "Kundenname",
          "Bestelldatum",
          "Liefertermin",
          "Artikelnr.",
          "Menge",
          "Wunschtext",
          "Einzelpreis",
        ],
        [],
        lookup,
      ),
    ).toEqual([
      "reference",
      "customer",
      "placed-on",
      "promise-date",
      "product",
      "quantity",
      "personal-text",
      "price",
    ]);
    expect(
      guessColumns(
        ["Numéro de commande", "Nom du client", "Date de livraison", "Produit", "Quantité", "Texte"],
        [],
        lookup,
      ),
    ).toEqual(["reference", "customer", "promise-date", "product", "quantity", "personal-text"]);
  });
  it("are guessed by what stands in them where headings say nothing", () => {
    const rows = [
      ["1001", "swim robe", "2", "gold; navy", "wave"],
      ["1002", "TOWEL", "1", "N11", "Wave"],
    ];
    // Small numbers alone are no quantity: the person says so.
    expect(guessColumns(["Order", "What", "x", "y", "z"], rows, lookup)).toEqual([
      "reference",
      "product",
      null,
      "threads",
      "design",
    ]);
  });
  it.each([
    ["Order", "Promise", "Customer", "Name"],
    ["Order no.", "Promised", "Buyer", "Name"],
    ["Bestell-Nr", "Fällig", "Kunde", "Name"],
    ["N° de commande", "Échéance", "Nom du client", "Nom"],
    ["Número de pedido", "Fecha límite", "Cliente", "Nombre"],
    ["Numero d'ordine", "Scadenza", "Cliente", "Nome"],
    ["Bestelnr.", "Leverdatum", "Klant", "Naam"],
    ["Nº pedido", "Prazo de entrega", "Cliente", "Nome a bordar"],
    ["Ordrenr.", "Leveringsdato", "Kunde", "Navn"],
    ["Nr zamówienia", "Termin realizacji", "Klient", "Imię"],
  ])(
    "“%s”, “%s”, “%s”, “%s”: the customer's column is known, so a bare name is the text to sew",
    (...names) => {
      expect(guessColumns(names, [], lookup)).toEqual([
        "reference",
        "promise-date",
        "customer",
        "personal-text",
      ]);
    },
  );

  it("a bare name is the customer's where no other column is", () => {
    expect(guessColumns(["Order", "Name", "Text"], [], lookup)).toEqual([
      "reference",
      "customer",
      "personal-text",
    ]);
    expect(guessColumns(["Name", "Name to sew"], [], lookup)).toEqual(["customer", "personal-text"]);
    expect(guessColumns(["Nom du client", "Nom", "Texte"], [], lookup)[2]).toBe("personal-text");
  });

  it("“Nombre” over small numbers is how many (French), over names a name (Spanish)", () => {
    expect(guessColumns(["Nombre"], [["2"], ["1"], ["12"]], lookup)).toEqual(["quantity"]);
    expect(guessColumns(["Nombre"], [["Inés"], ["Paz"]], lookup)).toEqual(["customer"]);
  });

  it("a need that no column answers is the row's trouble, of no column", () => {
    const reading = {
      encoding: "utf-8",
      delimiter: ",",
      headerRow: true,
      decimal: ".",
      dateOrder: "ymd",
      columns: ["customer"],
      promiseDays: 3,
    } as const;
    const read = readRow(
      { line: 2, cells: ["Ines"], broken: null },
      {
        reading: { ...reading, columns: [...reading.columns] },
        headings: ["Customer"],
        lookup,
        currency: "EUR",
      },
    );
    expect(read).toMatchObject({
      reasons: [
        { column: null, heading: "", message: "the order's reference is missing" },
        { column: null, heading: "", message: "the product is missing" },
      ],
    });
  });

  it("read a price by the decimals its currency has (ISO 4217: JPY 0, EUR 2, KWD 3)", () => {
    const price = (text: string, currency: string) => {
      const read = readRow(
        { line: 2, cells: ["1", "ROBE", text], broken: null },
        {
          reading: {
            encoding: "utf-8",
            delimiter: ",",
            headerRow: true,
            decimal: ".",
            dateOrder: "ymd",
            columns: ["reference", "product", "price"],
            promiseDays: 3,
          },
          headings: ["Order", "Product", "Price"],
          lookup,
          currency,
        },
      );
      return "draft" in read ? read.draft.priceCents : read.reasons[0]!.message;
    };
    expect([price("¥1,200", "JPY"), price("12.50", "EUR"), price("1.234", "KWD")]).toEqual([
      1200, 1250, 1234,
    ]);
    expect([price("dear", "JPY"), price("dear", "EUR"), price("dear", "KWD")]).toEqual([
      "expected a price such as 1250",
      "expected a price such as 12.50",
      "expected a price such as 1.250",
    ]);
  });

  it("never take one meaning twice", () => {
    const columns = guessColumns(["Note", "Notes", "Comment"], [], lookup);
    expect(columns.filter((meaning) => meaning === "note")).toHaveLength(1);
  });
  it("know a file without headings", () => {
    expect(hasHeadings(["1001", "2026-11-25", "ROBE"], [["1002", "2026-11-26", "TOWEL"]])).toBe(false);
    expect(hasHeadings(["Nummer", "Tag", "Was"], [["1002", "2026-11-26", "TOWEL"]])).toBe(true);
  });
  it("are remembered by a key that spelling and case do not change", () => {
    expect(shapeKey(["Order No.", "Größe"])).toBe(shapeKey(["order_no", "GRÖSSE"]));
    expect(shapeKey(["a", "b"])).not.toBe(shapeKey(["a", "b", "c"]));
  });
});

describe("a file looked at", () => {
  const look = (text: string | Uint8Array) =>
    lookAt({
      bytes: typeof text === "string" ? utf8(text) : text,
      today: "2026-11-25",
      lookup,
      remembered: async () => null,
    });
  it("says in words what was recognised", async () => {
    const looked = await look(
      Buffer.from(
        "Bestellnummer;Kunde;Liefertermin;Artikel;Menge;Preis\r\n17;Jörg;24.12.2026;ROBE;2;65,00\r\n",
        "latin1",
      ),
    );
    expect(looked.reading).toMatchObject({
      encoding: "windows-1252",
      delimiter: ";",
      decimal: ",",
      dateOrder: "dmy",
      headerRow: true,
    });
    expect(looked.recognised.join("\n")).toContain("“Artikel” is the product");
    expect(looked.recognised).toContain("1 row below a line of headings.");
  });
  it("is refused in clear words when it is empty or only headings", async () => {
    await expect(look("")).rejects.toThrow("The file is empty.");
    await expect(look("\ufeff \r\n")).rejects.toThrow("The file is empty.");
    await expect(look("Reference,Product\n")).rejects.toThrow(
      "The file has a line of headings and no rows below it.",
    );
  });
  it("points out headings that stand twice", async () => {
    const looked = await look("Reference,Product,Note,Note\n1,ROBE,a,b\n");
    expect(looked.recognised.join(" ")).toContain("The heading “Note” stands over more than one column");
  });
});
