import { decode } from "fast-png";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { lineOf, type OrderBook, orderBook } from "#test/order-book";

let book: OrderBook;
beforeAll(async () => {
  book = await orderBook();
});
afterAll(() => book.program.close());

const proof = async (id: string) => {
  const { bytes, saveAs } = (await book.program.ask("jobProof" as never, { params: { id } } as never)) as unknown as { bytes: Uint8Array; saveAs: string }; // prettier-ignore
  return { picture: decode(bytes), saveAs };
};
const jobOf = async (reference: string, personalText: string) => {
  const order = await book.order({ reference, lines: [lineOf(book.robe, { personalText })] });
  return (await book.pieces(order.id))[0]!.jobs[0]!;
};

describe("a proof for the customer", () => {
  it("is a PNG (ISO/IEC 15948, read back by a general library) with the name in large ink letters and thread below", async () => {
    const { picture, saveAs } = await proof((await jobOf("3001", "Iris")).id);
    expect(saveAs).toBe("proof-3001-1.png");
    expect(picture.width).toBe(1400);
    const inkRows = rowsOf(picture, ([r, g, b]) => r < 60 && g < 60 && b < 70);
    // The name: 18 mm letters on a sheet 180 mm wide; capitals stand some 12 mm high, 95 dots.
    const inUpperPart = inkRows.filter((row) => row < 330).length;
    expect(inUpperPart).toBeGreaterThan(80);
    // The wave's gold lies below the name.
    const gold = rowsOf(picture, ([r, g, b]) => r > 150 && g > 110 && b < 90);
    expect(gold.length).toBeGreaterThan(40);
    expect(Math.min(...gold)).toBeGreaterThan(Math.min(...inkRows));
  });
  it("is not there for a run without a design, and says why", async () => {
    const order = await book.order({ reference: "3002", lines: [lineOf(book.bag)] });
    const { id } = (await book.pieces(order.id))[0]!.jobs[0]!;
    await expect(proof(id)).rejects.toMatchObject({ code: "proof-no-design" });
    await expect(proof("jb_none")).rejects.toMatchObject({ code: "job-unknown" });
  });
});

type Dot = readonly [number, number, number];

/** Rows of a picture that hold a dot of a kind. */
function rowsOf({ width, height, data, channels }: ReturnType<typeof decode>, is: (dot: Dot) => boolean): number[] {
  const rows: number[] = [];
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) {
      const at = (y * width + x) * channels;
      if (!is([data[at]!, data[at + 1]!, data[at + 2]!])) continue;
      rows.push(y);
      break;
    }
  return rows;
} // prettier-ignore
