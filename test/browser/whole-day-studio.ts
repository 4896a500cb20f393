import path from "node:path";
import { makeServer } from "#http";
import { hoopBody, machineBody, needleBody, personBody, productBody } from "#test/catalogue";
import { lineOf, type OrderBook, orderBook } from "#test/order-book";
import { TEST_NOW_MS } from "#test/program";

/** A small studio in the test's own process, behind real HTTP, whose clock runs and can be moved on. */
export interface SmallStudio {
  readonly book: OrderBook;
  readonly address: string;
  readonly machines: readonly { readonly id: string; readonly name: string }[];
  readonly people: readonly { readonly id: string; readonly name: string }[];
  /** The orders of the morning; who brings in another adds it. */
  readonly orderIds: string[];
  nowMs(): number;
  /** Moves the program's clock on; the pages' clocks are moved by who opened them. */
  pass(ms: number): void;
  close(): Promise<void>;
}

/** Two embroidery machines, one that sews straight, two people, eight named pieces and four napkins. */
export async function smallStudio(): Promise<SmallStudio> {
  const began = performance.now();
  let passedMs = 0;
  const nowMs = () => Math.round(TEST_NOW_MS + passedMs + performance.now() - began);
  const book = await orderBook({ planning: { threads: 1, byItself: true }, nowMs });
  const { program } = book;
  Object.defineProperty(program.clock, "nowMs", { get: nowMs });
  await slow(book);
  const people = [];
  for (const name of ["Mara", "Ivor"])
    people.push({
      name,
      id: (await program.ask("people.create", { body: personBody({ name, skills: ["hoop", "embroider", "finish", "sew"] }) })).id, // prettier-ignore
    });
  const machines = [
    { id: book.machine, name: "Heron" },
    await machineOf(book, { name: "Gannet", needles: [needleBody(1), needleBody(2), needleBody(3)] }),
    await machineOf(book, { name: "Tern", kind: "straight-stitch", needles: [] }),
  ];
  const orderIds = await orders(book);
  await program.ask("makePlan", { body: { seconds: 0.5 } });
  const server = makeServer({ program, web: path.resolve("dist/web"), checkAnswers: true });
  return {
    book,
    machines,
    people,
    orderIds,
    address: await server.listen(0),
    nowMs,
    pass: (ms) => void (passedMs += ms),
    async close() {
      await server.close();
      await program.close();
    },
  };
}

/** Slow machines, so that one alone would not do, and hoops enough for all pieces. */
const SLOW = { stitchesPerMinute: 150 };
async function slow(book: OrderBook): Promise<void> {
  const { program, hoop, machine } = book;
  const hoops = hoopBody({ name: "Broad", fieldWidthMm: 200, fieldHeightMm: 140, count: 9 });
  await program.ask("hoops.change", { params: { id: hoop }, body: hoops }, { ifMatch: 1 });
  const heron = machineBody({ name: "Heron", hoopIds: [hoop], ...SLOW });
  await program.ask("machines.change", { params: { id: machine }, body: heron }, { ifMatch: 1 });
}

async function machineOf(
  book: OrderBook,
  own: Parameters<typeof machineBody>[0] & { readonly name: string },
) {
  const body = machineBody({ hoopIds: own.kind === undefined ? [book.hoop] : [], ...SLOW, ...own });
  return { name: own.name, id: (await book.program.ask("machines.create", { body })).id };
}

const names = ["Maren", "Jory", "Tamsin", "Piran", "Lowen", "Elowen", "Merryn", "Cador"];

/** Three orders of short names, no name twice, so that a sentence says which piece it means. */
async function orders(book: OrderBook): Promise<string[]> {
  const bunting = await book.program.ask("products.create", {
    body: productBody({ code: "BUNT", name: "Bunting", kind: "sewn", placements: [], sewS: 240 }),
  });
  const named = (product: string, from: number, to: number) =>
    names.slice(from, to).map((personalText) => lineOf(product, { personalText }));
  const lines = [
    [...named(book.robe, 0, 2), ...named(book.towel, 2, 4)],
    [...named(book.towel, 4, 7), lineOf(book.napkin, { quantity: 4 })],
    [...named(book.robe, 7, 8), lineOf(bunting.id, { quantity: 2 })],
  ];
  const ids: string[] = [];
  for (const [at, own] of lines.entries())
    ids.push((await book.order({ reference: `${2001 + at}`, lines: own })).id);
  return ids;
}
