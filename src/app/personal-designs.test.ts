import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { countStitches, readMachineFile, stitchExtents } from "#core/stitch";
import { placementBody, productBody } from "#test/catalogue";
import { lineOf, type OrderBook, orderBook } from "#test/order-book";

// Recipes with several text lines: each of an order's texts goes to the line it belongs to.

let book: OrderBook;
let shirt: string;
beforeAll(async () => {
  book = await orderBook();
  const line = { maxWidthMm: 90, threadId: book.navy };
  const { id } = await book.program.ask("products.create", {
    body: productBody({
      code: "TEAM",
      name: "Team towel",
      cloth: "woven",
      placements: [
        placementBody({
          hoopId: book.hoop,
          designId: book.wave.designId,
          lettering: {
            ...line,
            heightMm: 12,
            place: "below",
            further: [
              { ...line, heightMm: 8, place: "below" },
              { ...line, heightMm: 9, place: "above", threadId: book.gold },
            ],
          },
        }),
      ],
    }),
  });
  shirt = id;
});
afterAll(() => book.program.close());

const jobOf = async (reference: string, personalText: string, more: object = {}) => {
  const order = await book.order({ reference, lines: [lineOf(shirt, { personalText, ...more })] });
  return (await book.pieces(order.id))[0]!.jobs[0]!;
};
const stitchesOf = async (versionId: string) => {
  const { bytes } = (await book.program.ask("designFile" as never, { params: { id: versionId } })) as unknown as { bytes: Uint8Array }; // prettier-ignore
  return readMachineFile(bytes).stitches;
};

describe("a recipe with several lines", () => {
  it("sets each text where it belongs, in the line's thread; neighbours of one thread are one part", async () => {
    const job = await jobOf("2001", "Maren / 2019 / Harbour");
    expect(job.trouble).toBeNull();
    // The picture's two, then both lines below in navy as one part, then the one above in gold.
    expect(job.threadIds).toEqual([book.navy, book.gold, book.navy, book.gold]);
    const all = await stitchesOf(job.designVersionId!);
    expect(countStitches(all).parts).toHaveLength(4);
    const [one, three] = [stitchExtents(await stitchesOf((await jobOf("2002", "Maren")).designVersionId!)), stitchExtents(all)]; // prettier-ignore
    // 8 mm of letters with 4 mm between, and 9 mm with 4.5 mm between (letters reach a little over their height).
    expect((three.top - three.bottom - (one.top - one.bottom)) / 10).toBeGreaterThan(8 + 4 + 9 + 4.5 - 1);
    expect(Math.abs(three.top + three.bottom)).toBeLessThanOrEqual(1);
  });
  it("reads texts line by line too, and leaves a line out whose text is not given", async () => {
    const slashed = await jobOf("2003", "Maren / 2019");
    const lined = await jobOf("2004", "Maren\n2019");
    expect(lined.designVersionId).toBe(slashed.designVersionId);
    expect(lined.threadIds).toEqual([book.navy, book.gold, book.navy]);
  });
  it("gives all lines the thread the order asks for", async () => {
    const { threadIds } = await jobOf("2005", "Ida / 2019 / Quay", { textThreadId: book.gold });
    expect(threadIds).toEqual([book.navy, book.gold, book.gold, book.gold]);
  });
  it("waits for a person when the order gives a text nobody sews", async () => {
    const { trouble } = await jobOf("2006", "Ida / 2019 / Quay / gift");
    expect(trouble).toBe("The order gives more texts than Team towel sews: nothing sews “gift”.");
  });
  it("names the line that cannot be made", async () => {
    const { trouble } = await jobOf("2007", "Ida / A very long line of words that goes on and on and on");
    expect(trouble).toContain("“A very long line");
  });
  it("refuses a further line with a thread that is not there, or wider than the hoop", async () => {
    const body = productBody({
      code: "TEAM2",
      placements: [
        placementBody({
          hoopId: book.hoop,
          lettering: {
            heightMm: 12,
            maxWidthMm: 90,
            threadId: null,
            place: "alone",
            further: [{ heightMm: 8, maxWidthMm: 900, threadId: "th_none", place: "below" }],
          },
        }),
      ],
    });
    await expect(book.program.ask("products.create", { body })).rejects.toThrow(
      /further\.0\.threadId: no record th_none.*further\.0\.maxWidthMm: 900 mm/,
    );
  });
});

describe("a design chosen by hand", () => {
  it("is held against the order's text, where its own is known, and stops the piece when a letter differs", async () => {
    const right = await jobOf("2010", "Ida");
    const wrong = await jobOf("2011", "Ada");
    const set = (designVersionId: string | null) =>
      book.program.ask(
        "changeJob",
        {
          params: { id: wrong.id },
          body: {
            designVersionId,
            threadIds: right.threadIds,
            hoopId: book.hoop,
            machineIds: null,
            hoopS: null,
            unhoopS: null,
            finishS: null,
          },
        },
        { who: "Mara", ifMatch: wrong.version },
      );
    const changed = await set(right.designVersionId);
    expect(changed.trouble).toContain("The design says “Ida”, the order “Ada”: letter 1 is “I”, not “A”.");
    const looked = await book.program.ask("checkDesignVersion", {
      params: { id: right.designVersionId! },
      query: { machineId: "", jobId: wrong.id },
    });
    expect(looked.findings.map(({ code }) => code)).toContain("text-not-as-ordered");
    const asOrdered = await book.program.ask("checkDesignVersion", {
      params: { id: right.designVersionId! },
      query: { machineId: "", jobId: right.id },
    });
    expect(asOrdered.findings.map(({ code }) => code)).not.toContain("text-not-as-ordered");
  });
});
