import type { shapes } from "#contract";
import { amountText, minorUnits } from "#core/base";
import { addDays, type CalendarDate } from "#core/shop";
import { tidyLines, tidyText } from "../fold";
import { readDate } from "./dates";
import type { Found, Lookup } from "./lookup";
import { readNumber } from "./numbers";
import { type CsvRecord, LONGEST_CELL_BYTES } from "./records";

type Meaning = shapes.ColumnMeaning;
type Reason = shapes.BadRow["reasons"][number];

/** What one good row says: its order's reference and facts, and its line. Null stands for an empty cell. */
export interface RowDraft {
  readonly line: number;
  readonly reference: string;
  readonly customer: string | null;
  readonly channel: string | null;
  readonly placedOn: CalendarDate | null;
  readonly promiseDate: CalendarDate | null;
  readonly shipBy: CalendarDate | null;
  readonly note: string | null;
  readonly lineReference: string | null;
  readonly productId: string;
  readonly quantity: number;
  readonly personalText: string;
  readonly designId: string | null;
  readonly threadIds: readonly string[] | null;
  readonly textThreadId: string | null;
  readonly priceCents: number | null;
  readonly lineNote: string;
}

export interface RowRules {
  readonly reading: shapes.ImportReading;
  readonly headings: readonly string[];
  readonly lookup: Lookup;
  /** The studio's, three letters of ISO 4217: it says how many decimals a price has. */
  readonly currency: string;
}

export type RowRead = { readonly draft: RowDraft } | { readonly reasons: readonly Reason[] };

const longest: Partial<Record<Meaning, number>> = {
  reference: 80,
  "line-reference": 80,
  customer: 200,
  channel: 80,
  "personal-text": 200,
  note: 2000,
  "line-note": 2000,
};

/** The apostrophe our own exports put before what a spreadsheet might take for a formula. */
const guarded = /^'(?=[\t\r\n']|\s*[=+\-@＝＋－＠])/u;

/** Reads a record as one order line; all that is wrong with it comes back at once. */
export function readRow(record: CsvRecord, rules: RowRules): RowRead {
  const { reading, headings, lookup } = rules;
  const reasons: Reason[] = [];
  // A meaning that no column has (-1) is the row's own trouble.
  const blame = (at: number | null, message: string) => {
    const column = at === null || at < 0 ? null : at;
    reasons.push({
      column,
      heading: column === null ? "" : (headings[column] ?? `Column ${column + 1}`),
      found: column === null ? "" : (record.cells[column] ?? "").slice(0, 200),
      message,
    });
  };
  if (record.broken !== null) blame(null, record.broken);
  if (
    record.cells.length > headings.length &&
    record.cells.slice(headings.length).some((cell) => cell.trim() !== "")
  )
    blame(
      null,
      `the row has ${record.cells.length} cells, the headings are ${headings.length}; is a delimiter inside a cell without quotes?`,
    );
  record.cells.forEach((cell, column) => {
    if (cell.length > LONGEST_CELL_BYTES / 4 && Buffer.byteLength(cell) > LONGEST_CELL_BYTES)
      blame(
        column,
        `the cell has ${Math.ceil(Buffer.byteLength(cell) / 1024)} kB; at most ${LONGEST_CELL_BYTES / 1024} kB are read`,
      );
  });
  if (reasons.length > 0) return { reasons };

  const columnOf = (meaning: Meaning) => reading.columns.indexOf(meaning);
  const text = (meaning: Meaning): string => {
    const column = columnOf(meaning);
    const cell = (column < 0 ? "" : (record.cells[column] ?? "")).replace(guarded, "");
    if (cell.includes("\ufffd")) blame(column, "a letter is damaged (\ufffd); type it as it should be");
    const tidy =
      meaning === "note" || meaning === "line-note"
        ? cell.normalize("NFC").replaceAll("\u0000", "").trim()
        : tidyText(cell);
    const most = longest[meaning];
    if (most !== undefined && tidy.length > most)
      blame(column, `${tidy.length} characters; at most ${most} are kept`);
    return tidy;
  };
  // Several columns may hold texts: each keeps its place, one a line.
  const personalText = (): string => {
    const columns = reading.columns.flatMap((meaning, column) =>
      meaning === "personal-text" ? [column] : [],
    );
    const cells = columns.map((column) => {
      const cell = (record.cells[column] ?? "").replace(guarded, "");
      if (cell.includes("\ufffd")) blame(column, "a letter is damaged (\ufffd); type it as it should be");
      return tidyLines(cell);
    });
    const whole = cells.join("\n").trimEnd();
    const most = longest["personal-text"]!;
    if (whole.length > most)
      blame(columns[0] ?? null, `${whole.length} characters; at most ${most} are kept`);
    return whole;
  };
  const date = (meaning: Meaning): CalendarDate | null => {
    const cell = text(meaning);
    if (cell === "") return null;
    const read = readDate(cell, reading.dateOrder);
    if ("date" in read) return read.date;
    blame(columnOf(meaning), read.why);
    return null;
  };
  const one = (
    meaning: Meaning,
    cell: string,
    found: Found,
    noun: string,
    near: readonly string[] = [],
  ): string | null => {
    if (cell === "") return null;
    if (found.kind === "one") return found.id;
    if (found.kind === "many")
      blame(columnOf(meaning), `${found.count} ${noun}s are called “${cell.slice(0, 60)}”; use the code`);
    else
      blame(
        columnOf(meaning),
        `there is no ${noun} “${cell.slice(0, 60)}”${near.length > 0 ? `; perhaps ${near.join(" or ")}` : ""}`,
      );
    return null;
  };

  const reference = text("reference");
  if (reference === "") blame(columnOf("reference"), "the order's reference is missing");
  const productText = text("product");
  if (productText === "") blame(columnOf("product"), "the product is missing");
  const product = lookup.product(productText);
  const productId = one(
    "product",
    productText,
    product,
    "product",
    product.kind === "none" ? lookup.productsLike(productText) : [],
  );
  const designText = text("design");
  const designId = one("design", designText, lookup.design(designText), "design");
  const textThread = text("text-thread");
  const textThreadId = one("text-thread", textThread, lookup.thread(textThread), "thread");
  const threadIds = readThreads();
  const quantity = readQuantity();
  const priceCents = readPrice();
  const draft = {
    line: record.line,
    reference,
    customer: text("customer") || null,
    channel: text("channel") || null,
    placedOn: date("placed-on"),
    promiseDate: date("promise-date"),
    shipBy: date("ship-by"),
    note: text("note") || null,
    lineReference: text("line-reference") || null,
    productId: productId ?? "",
    quantity,
    personalText: personalText(),
    designId,
    threadIds,
    textThreadId,
    priceCents,
    lineNote: text("line-note"),
  };
  return reasons.length > 0 ? { reasons } : { draft };

  function readThreads(): string[] | null {
    const cell = text("threads");
    if (cell === "") return null;
    const whole = lookup.thread(cell);
    if (whole.kind === "one") return [whole.id];
    const words = cell.split(/\s*[;|/]\s*|\s*,\s*/).filter((word) => word !== "");
    const ids = words.map((word) => one("threads", word, lookup.thread(word), "thread"));
    if (ids.length > 200) blame(columnOf("threads"), `${ids.length} threads; at most 200 are kept`);
    return ids.every((id) => id !== null) ? ids : null;
  }
  function readQuantity(): number {
    const cell = text("quantity");
    if (cell === "") return 1;
    const number = readNumber(cell, reading.decimal);
    if (number === null || !Number.isInteger(number) || number < 1 || 10_000 < number) {
      blame(columnOf("quantity"), "expected a whole number from 1 to 10,000");
      return 1;
    }
    return number;
  }
  function readPrice(): number | null {
    const cell = text("price");
    if (cell === "") return null;
    const number = readNumber(cell, reading.decimal);
    const cents = number === null ? NaN : minorUnits(number, rules.currency);
    if (Number.isNaN(cents))
      blame(
        columnOf("price"),
        `expected a price such as ${amountText(1250, rules.currency).replace(".", reading.decimal)}`,
      );
    else if (Math.abs(cents) > 1_000_000_000) blame(columnOf("price"), "the price is too large");
    else return cents;
    return null;
  }
}

/** The promise date of an order whose rows give none: days after it was placed; null where the person set no days. */
export const promisedAfter = (placedOn: CalendarDate, reading: shapes.ImportReading): CalendarDate | null =>
  reading.promiseDays === null ? null : addDays(placedOn, reading.promiseDays);
