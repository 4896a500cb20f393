import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { type PDFiumDocument, PDFiumLibrary } from "@hyzyla/pdfium";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { Bytes } from "#contract";
import { gridSheet, MARKER_CELLS, MARKER_COUNT, markerCells, SHEET_FIRST_ID } from "#core/placing";
import { type OrderBook, orderBook } from "#test/order-book";

/**
 * True scale, measured from the rendered page: by poppler's pdftoppm (where it is installed; without it this is said
 * and pdfium alone judges) and by pdfium. ISO 32000-1, 8.3.2.3: a unit of default user space is 1/72 inch.
 */

let book: OrderBook;
let pdfium: Awaited<ReturnType<typeof PDFiumLibrary.init>>;
let hoop: string;
beforeAll(async () => {
  pdfium = await PDFiumLibrary.init();
  book = await orderBook();
  hoop = (await book.program.ask("addTaughtHoop", { body: { hoopId: book.hoop, label: "Broad 1" } })).id;
});
afterAll(async () => {
  await book.program.close();
  pdfium.destroy();
});

const bytesOf = async (
  name: "gridSheet" | "hoopMarkers",
  asked: Parameters<OrderBook["program"]["ask"]>[1],
): Promise<Uint8Array> => ((await book.program.ask(name, asked)) as unknown as Bytes).bytes;

const DPI = 300;
/** A ruler is as long between the middles of its end ticks; the ink reaches half a hairline of 0.2 mm further at each end. */
const HAIRLINE_MM = 0.2;

interface Page {
  readonly width: number;
  readonly height: number;
  /** 0 black to 255 white, row by row. */
  readonly grey: Uint8Array;
  readonly mmPerPx: number;
}

function byPoppler(bytes: Uint8Array): Page | null {
  const folder = mkdtempSync(path.join(tmpdir(), "sheets-"));
  const file = path.join(folder, "sheet.pdf");
  writeFileSync(file, bytes);
  try {
    execFileSync("pdftoppm", ["-r", String(DPI), "-gray", "-singlefile", file, path.join(folder, "page")]);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw error;
  }
  // Netpbm PGM (P5): words, then the picture row by row.
  const whole = readFileSync(path.join(folder, "page.pgm"));
  const head = /^P5\s+(\d+)\s+(\d+)\s+255\s/.exec(whole.subarray(0, 40).toString("latin1"))!;
  return {
    width: Number(head[1]),
    height: Number(head[2]),
    grey: whole.subarray(head[0].length),
    mmPerPx: 25.4 / DPI,
  };
}

async function byPdfium(bytes: Uint8Array): Promise<Page> {
  const document: PDFiumDocument = await pdfium.loadDocument(bytes);
  try {
    const first = document.getPage(0);
    const { originalWidth } = first.getOriginalSize();
    const { data, width, height } = await first.render({ scale: DPI / 72 });
    const grey = Uint8Array.from({ length: width * height }, (_, i) => data[4 * i + 1]!);
    // It rounds the picture's size to whole pixels of its own; the page's size stands in the file.
    return { width, height, grey, mmPerPx: (originalWidth * 25.4) / 72 / width };
  } finally {
    document.destroy();
  }
}

const pagesOf = async (bytes: Uint8Array): Promise<[string, Page][]> => {
  const poppler = byPoppler(bytes);
  if (!poppler) process.stderr.write("pdftoppm is not installed: the sheets are measured by pdfium alone\n");
  return [["pdfium", await byPdfium(bytes)], ...(poppler ? [["poppler", poppler] as [string, Page]] : [])];
};

/** The stretches of ink along a row, in pixels with the edges' grey counted as parts of one. */
function inkAlong({ width, grey }: Page, y: number, fromX: number, toX: number): number {
  let ink = 0;
  for (let x = fromX; x < toX; x++) ink += 1 - grey[y * width + x]! / 255;
  return ink;
}

/** The longest unbroken line of ink in the page: across, or up and down. */
function longestLine({ width, height, grey }: Page, way: "across" | "up"): number {
  let most = 0;
  const [outer, inner] = way === "across" ? [height, width] : [width, height];
  for (let a = 0; a < outer; a++) {
    let run = 0;
    for (let b = 0; b < inner; b++) {
      const dark = grey[way === "across" ? a * width + b : b * width + a]! < 160;
      run = dark ? run + 1 : 0;
      if (run > most) most = run;
    }
  }
  return most;
}

const PAPERS = { A4: [210, 297], Letter: [215.9, 279.4] } as const;

describe.each(["A4", "Letter"] as const)("the grid sheet on %s", (paper) => {
  const grid = gridSheet({
    widthMm: PAPERS[paper][0],
    heightMm: PAPERS[paper][1],
    freeMm: 6,
    firstId: SHEET_FIRST_ID,
    count: MARKER_COUNT - SHEET_FIRST_ID,
  });

  test("is as large as the paper, and its rulers as long as they say", async () => {
    const bytes = await bytesOf("gridSheet", { query: { paper } });
    for (const [, page] of await pagesOf(bytes)) {
      expect(Math.abs(page.mmPerPx * page.width - PAPERS[paper][0])).toBeLessThan(0.15);
      expect(Math.abs(page.mmPerPx * page.height - PAPERS[paper][1])).toBeLessThan(0.25);
      const [across, up] = grid.rulers;
      expect(
        Math.abs(page.mmPerPx * longestLine(page, "across") - HAIRLINE_MM - across!.lengthMm),
      ).toBeLessThan(0.2);
      expect(Math.abs(page.mmPerPx * longestLine(page, "up") - HAIRLINE_MM - up!.lengthMm)).toBeLessThan(0.2);
    }
  });

  test("has every marker where the geometry says, cell by cell, to a tenth of a millimetre", async () => {
    const bytes = await bytesOf("gridSheet", { query: { paper } });
    for (const [by, page] of await pagesOf(bytes)) {
      const pixel = 1 / page.mmPerPx;
      for (const marker of grid.markers) {
        const cells = markerCells(marker.id);
        const cell = (marker.sideMm / MARKER_CELLS) * pixel;
        const left = page.width / 2 + marker.centre.xMm * pixel - (marker.sideMm / 2) * pixel;
        const top = page.height / 2 - marker.centre.yMm * pixel - (marker.sideMm / 2) * pixel;
        cells.forEach((dark, i) => {
          const x = Math.round(left + ((i % MARKER_CELLS) + 0.5) * cell);
          const y = Math.round(top + (Math.floor(i / MARKER_CELLS) + 0.5) * cell);
          expect(page.grey[y * page.width + x]! < 128, `${by}: marker ${marker.id}, cell ${i}`).toBe(
            dark === 1,
          );
        });
        // The dark ring's side by its ink along the top row of cells, half a pixel of blur at each end counted in.
        const y = Math.round(top + cell / 2);
        const ink = inkAlong(
          page,
          y,
          Math.round(left - cell),
          Math.round(left + marker.sideMm * pixel + cell),
        );
        expect(Math.abs(page.mmPerPx * ink - marker.sideMm), `${by}: marker ${marker.id}`).toBeLessThan(0.1);
      }
    }
  });
});

describe("a hoop's markers", () => {
  test("are printed at true scale with a ruler of 100 mm, each with its number and where it goes", async () => {
    const bytes = await bytesOf("hoopMarkers", { params: { id: hoop } });
    for (const [, page] of await pagesOf(bytes)) {
      expect(Math.abs(page.mmPerPx * longestLine(page, "across") - HAIRLINE_MM - 100)).toBeLessThan(0.1);
    }
    const document = await pdfium.loadDocument(bytes);
    const text = document.getPage(0).getText().replace(/\s+/g, " ");
    document.destroy();
    for (const words of [
      "Broad 1",
      "Print at 100 %",
      "100 mm",
      "0 · left, away from you",
      "3 · left, towards you",
      "Magnetic hoops pinch",
    ])
      expect(text).toContain(words);
  });

  test("come on the studio's own paper, and an unknown hoop has none", async () => {
    const bytes = await bytesOf("hoopMarkers", {
      params: { id: hoop },
      query: { paper: "Letter" },
    });
    const page = await byPdfium(bytes);
    expect(Math.abs(page.mmPerPx * page.width - 215.9)).toBeLessThan(0.15);
    await expect(book.program.ask("hoopMarkers", { params: { id: "tf_none" } })).rejects.toThrow(
      /no taught hoop/,
    );
  });
});
