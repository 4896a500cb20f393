import { execFileSync } from "node:child_process";
import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { type PDFiumDocument, PDFiumLibrary } from "@hyzyla/pdfium";
import jsQR from "jsqr";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { asking, PHONE_ORIGIN } from "./asked";
import { fingerprint, type FloorDay, floorDay } from "./floor-day";

let day: FloorDay;
let pdfium: Awaited<ReturnType<typeof PDFiumLibrary.init>>;
beforeAll(async () => {
  pdfium = await PDFiumLibrary.init();
  day = await floorDay({ runs: 9, colours: [3, 6, 2, 7, 14] });
});
afterAll(async () => {
  await day.program.close();
  pdfium.destroy();
});

async function opened<T>(bytes: Uint8Array, look: (document: PDFiumDocument) => T | Promise<T>): Promise<T> {
  const document = await pdfium.loadDocument(bytes);
  try {
    return await look(document);
  } finally {
    document.destroy();
  }
}
const pagesOf = (document: PDFiumDocument) => [...document.pages()];
const textOf = (bytes: Uint8Array) =>
  opened(bytes, (document) =>
    pagesOf(document)
      .map((page) => page.getText())
      .join("\n"),
  );
/** Whether a program of Debian's poppler-utils is here; without it pdfium alone judges. */
function poppler(program: string, args: readonly string[], bytes: Uint8Array): string | null {
  const file = path.join(mkdtempSync(path.join(tmpdir(), "paper-")), "sheet.pdf");
  writeFileSync(file, bytes);
  try {
    return execFileSync(program, [...args, file], { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw error;
  }
}

describe("page sizes", () => {
  // ISO 216: A4 is 210 × 297 mm. ANSI/ASME Y14.1, size A: 8.5 × 11 in. ISO 32000-1, 8.3.2.3: a unit of default user
  // space is 1/72 inch. 210 / 25.4 × 72 = 595.276 and 297 / 25.4 × 72 = 841.890.
  const sizes = [
    { paper: "A4", width: 595.276, height: 841.89 },
    { paper: "Letter", width: 612, height: 792 },
  ];
  test.each(sizes)("every sheet is truly $paper, by two readers of PDF", async ({ paper, width, height }) => {
    const ask = asking(day);
    for (const bytes of [
      await ask.tickets({ paper }),
      await ask.threadingList({ paper }),
      await ask.pickList({ paper }),
    ]) {
      await opened(bytes, (document) => {
        for (const page of pagesOf(document)) {
          const { originalWidth, originalHeight } = page.getOriginalSize();
          expect(originalWidth).toBeCloseTo(width, 2);
          expect(originalHeight).toBeCloseTo(height, 2);
        }
      });
      const said = poppler("pdfinfo", [], bytes);
      if (said === null) continue;
      const [, saidWidth, saidHeight] = /Page size:\s+([\d.]+) x ([\d.]+) pts/.exec(said)!;
      expect(Number(saidWidth)).toBeCloseTo(width, 1);
      expect(Number(saidHeight)).toBeCloseTo(height, 1);
    }
  });

  test("the studio's paper is taken when none is named", async () => {
    const bytes = await asking(day).tickets();
    await opened(bytes, (document) =>
      expect(Math.round(document.getPage(0).getOriginalSize().originalHeight)).toBe(842),
    );
  });
});

describe("job tickets", () => {
  test("each run has a ticket: two a page, and a page alone where there are very many colours", async () => {
    const bytes = await asking(day).tickets();
    const text = await textOf(bytes);
    for (const { job } of day.view.plan.runs.map((run) => ({
      job: day.view.jobs.find((one) => one.jobId === run.job)!,
    })))
      expect(text).toContain(job.pieceCode);
    const usual = await floorDay({ runs: 9, colours: [3] });
    await opened(await asking(usual).tickets(), (document) => expect(document.getPageCount()).toBe(5));
    const many = await floorDay({ runs: 2, colours: [30], needles: [15] });
    await opened(await asking(many).tickets(), (document) => expect(document.getPageCount()).toBe(2));
    await usual.program.close();
    await many.program.close();
  });

  test("names stand whole, with their marks, in letters of several scripts", async () => {
    const text = (await textOf(await asking(day).tickets())).normalize("NFC");
    for (const name of [
      "Łukasz",
      "Ľubomír",
      "Ångström",
      "Saoirse & Fionn",
      "Tōnui",
      "Maximiliana-Theodora Featherstonehaugh",
      "Gráinne Ní Mhaoláin",
    ]) {
      expect(text.replace(/\s+/g, " ")).toContain(name);
    }
    expect(text).not.toContain("…");
    const fonts = poppler("pdffonts", [], await asking(day).tickets());
    // Every font is embedded and its letters can be read back ("emb" and "uni" of pdffonts).
    if (fonts !== null)
      for (const line of fonts.trim().split("\n").slice(2)) expect(line).toMatch(/\byes yes yes\b/);
  });

  test("a text of two hundred letters and a letter no typeface has are not lost", async () => {
    const long = await floorDay({
      runs: 2,
      names: [
        "For the whole crew of the harbour ferry, who swam every morning of the winter "
          .repeat(3)
          .slice(0, 200)
          .trim(),
        "Ida 🦀 漢",
      ],
    });
    const text = (await textOf(await asking(long).tickets())).replace(/\s+/g, " ");
    expect(text).toContain("who swam every morning of the winter");
    expect(text).toContain("Ida \uFFFD \uFFFD");
    await long.program.close();
  });

  test("a ticket tells hoop, placement, backing, needle, dates, machine file and its cautions", async () => {
    const text = (await textOf(await asking(day).tickets({ piece: "pc_0" }))).replace(/\s+/g, " ");
    for (const words of [
      "side magnetic, no. 1",
      "left chest: 200 mm down from the shoulder seam",
      "cut-away 60 g",
      "soluble film",
      "75/11 sharp",
      "Thu 26 Nov",
      "Fri 27 Nov",
      "01LUKASZ.dst",
      "Heron",
      "09:05",
      "implanted device",
      "Worn by children",
    ]) {
      expect(text).toContain(words);
    }
    // A screw hoop has no magnet to warn of.
    expect(await textOf(await asking(day).tickets({ piece: "pc_2" }))).not.toContain("implanted");
  });

  test("the QR code on each ticket leads to its piece (ISO/IEC 18004, read by jsQR from the rendered page)", async () => {
    const read: (string | undefined)[] = [];
    await opened(await asking(day).tickets({ machine: "mc_1" }), async (document) => {
      for (const page of pagesOf(document)) {
        const { data, width, height } = await page.render({ scale: 3, render: "bitmap" });
        const pixels = new Uint8ClampedArray(data);
        for (const half of [0, 1]) {
          const rows = Math.floor(height / 2);
          const part = pixels.slice(half * rows * width * 4, (half + 1) * rows * width * 4);
          const found = jsQR(part, width, rows);
          if (found) read.push(found.data);
        }
      }
    });
    const pieces = day.view.jobs
      .filter((_, index) => index % 3 === 0)
      .map((job) => `${PHONE_ORIGIN}/pieces/${job.pieceId}`);
    expect(read).toEqual(pieces);
  });

  test("the same plan gives the same bytes", async () => {
    const ask = asking(day);
    expect(fingerprint(await ask.tickets())).toBe(fingerprint(await ask.tickets()));
  });
});

describe("threading list and pick list", () => {
  test("a machine's list names each needle with what comes off and what goes on, mid-stops apart", async () => {
    const text = (await textOf(await asking(day).threadingList({ machine: "mc_1" }))).replace(/\s+/g, " ");
    expect(text).toContain("Threading: Heron");
    const threadings = day.view.plan.tasks.filter(
      (task) => task.do === "thread" && task.machine === "mc_1",
    ).length;
    expect(text).toContain(`${threadings} threadings for 3 runs`);
    expect((text.match(/needle \d+/g) ?? []).length).toBe(threadings);
    expect(text).toMatch(/mid-stop: thread before part \d+/);
    expect(text).toContain("Power off and hands clear");
  });

  test("a machine with nothing to thread says so", async () => {
    const idle = await floorDay({ runs: 1, needles: [6, 6] });
    expect(await textOf(await asking(idle).threadingList({ machine: "mc_2" }))).toContain(
      "Nothing to thread for 0 runs.",
    );
    await idle.program.close();
  });

  test("the pick list counts blanks, backing and topping, and says what is short", async () => {
    const many = await floorDay({ runs: 12 });
    const text = (await textOf(await asking(many).pickList())).replace(/\s+/g, " ");
    expect(text).toContain("For 12 pieces");
    expect(text).toContain("Beach towel · sea green · 90 × 170 cm");
    expect(text).toContain("short 1");
    await many.program.close();
  });

  test("a day of forty pieces prints every piece once", async () => {
    const busy = await floorDay({ runs: 40, colours: [2, 3] });
    const text = await textOf(await asking(busy).tickets());
    for (const job of busy.view.jobs)
      expect(text.match(new RegExp(`${job.pieceCode}(?!\\d)`, "g")), job.pieceCode).toHaveLength(1);
    await busy.program.close();
  });
});
