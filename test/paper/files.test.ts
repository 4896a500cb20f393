import { readMachineFile } from "#core/stitch";
import { parse } from "csv-parse/sync";
import fc from "fast-check";
import { unzipSync } from "fflate";
import ICAL from "ical.js";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { paperAnswers, plainCell, safeCell, writeCsv } from "../../src/app/paper";
import { testProgram } from "../support/program";
import { asking } from "./asked";
import { fingerprint, type FloorDay, floorDay } from "./floor-day";

let day: FloorDay;
beforeAll(async () => {
  day = await floorDay({ runs: 9, names: ["Łukasz", "Olivia", "Olivia", "Olivia"] });
});
afterAll(() => day.program.close());

describe("a machine's day as machine files", () => {
  test("the files stand in running order under names a machine can show, unique, and hold the designs' stitches", async () => {
    const { bytes, saveAs } = await asking(day).machineDay({ machine: "mc_2" });
    expect(saveAs).toBe("gannet-2026-11-25.zip");
    const entries = unzipSync(bytes);
    const files = Object.keys(entries).filter((name) => name.endsWith(".DST"));
    expect(files).toEqual(["01OLIVIA.DST", "02LUKASZ.DST", "03OLIVIA.DST"]);
    for (const name of files) expect(name).toMatch(/^[A-Z0-9]{1,8}\.DST$/);
    const runs = day.view.plan.runs.filter((run) => run.machine === "mc_2");
    files.forEach((name, index) => {
      const read = readMachineFile(entries[name]!);
      const wanted = day.designs.get(
        day.view.jobs.find((job) => job.jobId === runs[index]!.job)!.designVersionId!,
      )!;
      expect(read.findings).toEqual([]);
      expect(read.label).toBe(name.replace(".DST", ""));
      expect(read.stitches).toEqual(wanted);
    });
  });

  test("several machines have a folder each, and the list tells which file is which piece", async () => {
    const { bytes } = await asking(day).machineDay();
    const entries = unzipSync(bytes);
    expect(
      Object.keys(entries)
        .filter((name) => name.endsWith(".DST"))
        .map((name) => name.split("/")[0]),
    ).toEqual([..."HHHGGGTTT"].map((letter) => ({ H: "HERON", G: "GANNET", T: "TERN" })[letter]));
    const rows = parse(entries["WHICH.CSV"]!, { bom: true, columns: true }) as Record<string, string>[];
    expect(rows).toHaveLength(9);
    for (const row of rows) {
      const job = day.view.jobs.find((one) => one.pieceCode === row["piece"])!;
      expect(row["text"]).toBe(job.personalText);
      expect(entries[`${row["folder"]}/${row["file"]}`]).toBeDefined();
    }
    expect(new TextDecoder().decode(entries["WHICH.TXT"])).toContain("Łukasz");
  });

  test("the same plan gives the same bytes in every time zone", async () => {
    const zone = process.env["TZ"];
    const prints = new Set<string>();
    for (const name of ["UTC", "Pacific/Auckland", "America/Los_Angeles"]) {
      process.env["TZ"] = name;
      prints.add(fingerprint((await asking(day).machineDay()).bytes));
    }
    if (zone === undefined) delete process.env["TZ"];
    else process.env["TZ"] = zone;
    expect(prints.size).toBe(1);
  });
});

describe("tables as CSV", () => {
  const rowsOf = (bytes: Uint8Array) => parse(bytes, { bom: true, relax_column_count: false }) as string[][];

  test("every table opens and has as many cells in each row as headings", async () => {
    for (const table of [
      "orders",
      "pieces",
      "plan",
      "people",
      "machines",
      "hoops",
      "threads",
      "stock",
      "products",
      "designs",
      "events",
      "quotes",
      "purchases",
    ]) {
      const { bytes, saveAs, mediaType } = await asking(day).table(table);
      expect(mediaType).toBe("text/csv");
      expect(saveAs).toBe(`${table}-2026-11-25.csv`);
      expect([...bytes.subarray(0, 3)]).toEqual([0xef, 0xbb, 0xbf]);
      const rows = rowsOf(bytes);
      expect(new Set(rows[0]).size).toBe(rows[0]!.length);
    }
    expect(rowsOf((await asking(day).table("plan")).bytes)).toHaveLength(10);
    expect(rowsOf((await asking(day).table("pieces")).bytes)).toHaveLength(10);
    expect(rowsOf((await asking(day).table("threads")).bytes)).toHaveLength(15);
  });

  test("lines end CRLF; commas, quotes and line breaks are quoted (RFC 4180, section 2, rules 1, 5, 6, 7)", () => {
    const text = new TextDecoder("utf-8", { ignoreBOM: true }).decode(
      writeCsv(
        ["a", "b", "c"],
        [
          ["aaa", 'b"bb', "c\r\ncc"],
          ["x,y", "", "l\nf"],
        ],
      ),
    );
    expect(text).toBe('\uFEFFa,b,c\r\naaa,"b""bb","c\r\ncc"\r\n"x,y",,"l\nf"\r\n');
  });

  // OWASP, "CSV Injection": = + - @ tab and carriage return at a cell's start; full-width forms besides.
  test.each(["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "＝1+1", "＋1", "－1", "＠a", "  =1", "'=1"])(
    "the text %j is no formula in a spreadsheet and reads back as it was",
    (text) => {
      expect(safeCell(text)).toBe(`'${text}`);
      expect(plainCell(safeCell(text))).toBe(text);
    },
  );

  test("numbers stay numbers, negative ones too", () => {
    expect([safeCell(-3), safeCell(0.5), safeCell(NaN), safeCell(true), safeCell(null)]).toEqual([
      "-3",
      "0.5",
      "",
      "yes",
      "",
    ]);
  });

  test("any table of text reads back without loss by a general reader, and no cell of it begins a formula", () => {
    const cell = fc.oneof(
      fc.string({ unit: "binary", maxLength: 8 }),
      fc.stringMatching(/^[=+\-@'"\t\r\n, ＝－a]{0,8}$/),
    );
    fc.assert(
      fc.property(fc.array(fc.tuple(cell, cell, cell), { minLength: 1, maxLength: 12 }), (rows) => {
        const read = rowsOf(writeCsv(["a", "b", "c"], rows)).slice(1);
        expect(read.map((row) => row.map(plainCell))).toEqual(rows);
        for (const text of read.flat()) expect(text).not.toMatch(/^\s*[=+\-@＝＋－＠]/u);
      }),
    );
  });

  test("a hostile thread name comes out of the threads' table as text", async () => {
    const { program } = day;
    await program.ask("threads.create", {
      body: {
        code: "X1",
        name: '=HYPERLINK("http://x","y")',
        rgb: "#102030",
        fibre: "cotton",
        densityTex: 30,
        metresPerCone: 1000,
        cones: 1,
        metresLeft: 10,
        reorderMetres: 0,
        note: "",
      },
    });
    const row = rowsOf((await asking(day).table("threads")).bytes).find((one) => one[0] === "X1")!;
    expect(row[1]).toBe(`'=HYPERLINK("http://x","y")`);
  });
});

describe("calendar of ship dates", () => {
  test("a general reader finds an all-day event on each order's ship-by date (RFC 5545, 3.6.1)", async () => {
    const text = await asking(day).calendar();
    const events = new ICAL.Component(ICAL.parse(text))
      .getAllSubcomponents("vevent")
      .map((one) => new ICAL.Event(one));
    expect(events).toHaveLength(9);
    for (const event of events) {
      const job = day.view.jobs.find((one) => event.uid.startsWith(one.orderId + "@"))!;
      expect(event.startDate.isDate).toBe(true);
      expect(event.startDate.toString()).toBe(job.shipBy);
      expect(event.duration.toSeconds()).toBe(86_400);
      expect(event.summary).toContain(job.orderReference);
      expect(event.component.getFirstPropertyValue("dtstamp")!.toString()).toBe("2026-11-25T09:00:00Z");
    }
    const calendar = new ICAL.Component(ICAL.parse(text));
    expect(calendar.getFirstPropertyValue("version")).toBe("2.0");
    expect(String(calendar.getFirstPropertyValue("prodid"))).toContain("Spoolwright");
  });

  test("lines end CRLF and are folded at 75 octets (RFC 5545, 3.1); dates are dates (3.3.4)", async () => {
    const text = await asking(day).calendar();
    expect(text.replaceAll("\r\n", "")).not.toMatch(/[\r\n]/);
    for (const line of text.split("\r\n"))
      expect(new TextEncoder().encode(line).length).toBeLessThanOrEqual(75);
    expect(text).toMatch(/^DTSTART;VALUE=DATE:20261126\r$/m);
  });

  test("dates and UIDs stay the same whatever zone the computer is in, and from one reading to the next", async () => {
    const zone = process.env["TZ"];
    const texts = new Set<string>();
    for (const name of ["UTC", "Pacific/Kiritimati", "America/Adak", "Asia/Kolkata"]) {
      process.env["TZ"] = name;
      texts.add(await asking(day).calendar());
    }
    if (zone === undefined) delete process.env["TZ"];
    else process.env["TZ"] = zone;
    expect(texts.size).toBe(1);
  });
});

describe("what is refused", () => {
  test("without a plan there is nothing to print, and the refusal says what to do", async () => {
    const program = await testProgram({ setUp: true });
    const ask = asking({ program, paper: paperAnswers(program.context, async () => null) });
    for (const asked of [ask.tickets(), ask.threadingList(), ask.pickList(), ask.machineDay()]) {
      await expect(asked).rejects.toMatchObject({
        code: "no-plan",
        kind: { status: 409, advice: expect.stringContaining("Make a plan") },
      });
    }
    expect(new TextDecoder().decode((await ask.table("plan")).bytes)).toMatch(/^machine,/);
    expect(await ask.calendar()).toContain("END:VCALENDAR");
    await program.close();
  });

  test("a machine, a day, a piece or a table that is not there is refused with what is", async () => {
    const ask = asking(day);
    await expect(ask.tickets({ machine: "mc_9" })).rejects.toMatchObject({
      code: "machine-unknown",
      kind: { status: 404 },
    });
    await expect(ask.machineDay({ day: "2027-01-01" })).rejects.toMatchObject({
      code: "nothing-planned",
      kind: { status: 409 },
      details: [{ expected: "one of 2026-11-25" }],
    });
    await expect(ask.tickets({ piece: "pc_99" })).rejects.toMatchObject({
      code: "piece-not-planned",
      kind: { status: 409 },
    });
    await expect(ask.table("__proto__")).rejects.toMatchObject({
      code: "table-unknown",
      kind: { status: 404 },
    });
  });
});
