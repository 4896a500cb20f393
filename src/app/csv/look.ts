import { setImmediate } from "node:timers/promises";
import type { shapes } from "#contract";
import type { CalendarDate } from "#core/shop";
import { guessColumns, hasHeadings, meaningWords, shapeKey } from "./columns";
import { orderNames, recogniseDateOrder } from "./dates";
import { delimiterNames, recogniseDelimiter } from "./delimiter";
import { recogniseEncoding, toUtf8 } from "./encoding";
import type { Lookup } from "./lookup";
import { recogniseDecimal } from "./numbers";
import { type CsvRecord, readRecords } from "./records";
import { refuseCsv } from "./refusals";

/** A file as it is read: its rows, and how and why they were read so. */
export interface Looked {
  readonly reading: shapes.ImportReading;
  readonly headings: readonly string[];
  readonly rows: readonly CsvRecord[];
  readonly shapeKey: string;
  /** What was recognised and why, in words. */
  readonly recognised: readonly string[];
  readonly remembered: boolean;
}

export interface LookAsked {
  readonly bytes: Uint8Array;
  readonly today: CalendarDate;
  readonly lookup: Lookup;
  /** How a file of this shape was read before, if it was. */
  readonly remembered: (key: string) => Promise<shapes.ImportReading | null>;
}

const dateMeanings: readonly (shapes.ColumnMeaning | null)[] = ["placed-on", "promise-date", "ship-by"];
const SAMPLE_ROWS = 300;

/** Recognises everything about a file. Refuses what is no CSV, what is empty, and what is past the caps. */
export async function lookAt(asked: LookAsked): Promise<Looked> {
  const { bytes, today, lookup } = asked;
  const { encoding, why: lettersWhy } = recogniseEncoding(bytes);
  const utf8 = toUtf8(bytes, encoding);
  refuseBlank(utf8);
  const { delimiter, why: delimiterWhy } = recogniseDelimiter(utf8);
  const records = await readRecords(utf8, delimiter);
  await setImmediate();
  const headerRow = hasHeadings(
    records[0]!.cells,
    records.slice(1, SAMPLE_ROWS).map((one) => one.cells),
  );
  const { headings, rows } = split(records, headerRow);
  const key = shapeKey(headings);
  const before = await asked.remembered(key);
  const fits = before !== null && before.columns.length === headings.length && before.headerRow === headerRow;
  const columns = fits
    ? before.columns
    : guessColumns(
        headings,
        rows.slice(0, SAMPLE_ROWS).map((one) => one.cells),
        lookup,
      );
  await setImmediate();
  const dates = recogniseDateOrder(cellsOf(rows, columns, dateMeanings), today);
  const dateOrder = fits && dates.open ? before.dateOrder : dates.order;
  await setImmediate();
  const decimal =
    recogniseDecimal(cellsOf(rows, columns, ["price"])) ??
    (fits ? before.decimal : delimiter === ";" ? "," : ".");
  const reading: shapes.ImportReading = {
    encoding,
    delimiter,
    headerRow,
    decimal,
    dateOrder,
    columns,
    promiseDays: fits ? before.promiseDays : null,
  };
  const datesWhy =
    fits && dates.open
      ? `dates can be read both ways; read as ${orderNames[dateOrder]}, as in the last file of this shape`
      : dates.why;
  return {
    reading,
    headings,
    rows,
    shapeKey: key,
    remembered: fits,
    recognised: [
      `Letters: ${lettersWhy}.`,
      `Columns: ${delimiterWhy}.`,
      headerRow
        ? `${counted(rows.length, "row")} below a line of headings.`
        : `${counted(rows.length, "row")}; the first line holds no headings.`,
      ...(datesWhy ? [`Dates: ${datesWhy}.`] : []),
      ...(columns.includes("price") ? [`Prices: decimal ${decimal === "." ? "point" : "comma"}.`] : []),
      ...(fits ? ["The columns are read as in the last file of this shape."] : []),
      ...columnWords(headings, columns),
      ...(columns.includes("promise-date") || reading.promiseDays !== null
        ? []
        : ["No column is the promise date: say how many days after placing an order is promised."]),
    ],
  };
}

/** Reads the file the way a person says; columns are guessed anew where another delimiter made other columns. */
export async function lookAgain(
  asked: Pick<LookAsked, "bytes" | "lookup">,
  reading: shapes.ImportReading,
): Promise<Looked> {
  const utf8 = toUtf8(asked.bytes, reading.encoding);
  refuseBlank(utf8);
  const records = await readRecords(utf8, reading.delimiter);
  const { headings, rows } = split(records, reading.headerRow);
  const same = reading.columns.length === headings.length;
  const columns = same
    ? reading.columns
    : guessColumns(
        headings,
        rows.slice(0, SAMPLE_ROWS).map((one) => one.cells),
        asked.lookup,
      );
  return {
    reading: { ...reading, columns },
    headings,
    rows,
    shapeKey: shapeKey(headings),
    remembered: false,
    recognised: [
      `Read as you say: ${delimiterNames[reading.delimiter]} between columns, dates ${orderNames[reading.dateOrder]}, decimal ${reading.decimal === "." ? "point" : "comma"}.`,
      `${counted(rows.length, "row")}${reading.headerRow ? " below a line of headings" : ""}.`,
      ...(same
        ? []
        : [
            `Read like this the file has ${counted(headings.length, "column")}; what they are was guessed anew.`,
          ]),
      ...columnWords(headings, columns),
    ],
  };
}

function split(
  records: readonly CsvRecord[],
  headerRow: boolean,
): { headings: string[]; rows: readonly CsvRecord[] } {
  const rows = headerRow ? records.slice(1) : records;
  if (rows.length === 0)
    throw refuseCsv("import-empty", "The file has a line of headings and no rows below it.", [
      { found: "0 rows", expected: "at least one order line" },
    ]);
  const width = headerRow
    ? records[0]!.cells.length
    : Math.max(...rows.slice(0, SAMPLE_ROWS).map((row) => row.cells.length));
  const names = Array.from(
    { length: width },
    (_, column) =>
      (headerRow ? (records[0]!.cells[column] ?? "").replace(/\s+/g, " ").trim().slice(0, 120) : "") ||
      `Column ${column + 1}`,
  );
  return { headings: names, rows };
}

function refuseBlank(utf8: Uint8Array): void {
  if (utf8.every((byte) => byte === 32 || byte === 9 || byte === 10 || byte === 13))
    throw refuseCsv("import-empty", "The file is empty.", [
      { found: `${utf8.length} bytes without text`, expected: "a line of headings and at least one row" },
    ]);
}

function* cellsOf(
  rows: readonly CsvRecord[],
  columns: readonly (shapes.ColumnMeaning | null)[],
  meanings: readonly (shapes.ColumnMeaning | null)[],
): Generator<string> {
  const wanted = columns.flatMap((meaning, column) =>
    meaning !== null && meanings.includes(meaning) ? [column] : [],
  );
  for (const row of rows) for (const column of wanted) yield row.cells[column] ?? "";
}

function columnWords(
  headings: readonly string[],
  columns: readonly (shapes.ColumnMeaning | null)[],
): string[] {
  const used = columns.flatMap((meaning, column) =>
    meaning === null ? [] : [`“${headings[column]}” is the ${meaningWords[meaning]}`],
  );
  const left = columns.flatMap((meaning, column) => (meaning === null ? [`“${headings[column]}”`] : []));
  const seen = new Map<string, number>();
  for (const heading of headings) seen.set(heading.toLowerCase(), (seen.get(heading.toLowerCase()) ?? 0) + 1);
  const twice = [...new Set(headings.filter((heading) => seen.get(heading.toLowerCase())! > 1))];
  return [
    ...(used.length > 0 ? [`${used.join(", ")}.`] : ["No column was recognised; please say which is what."]),
    ...(left.length > 0 ? [`Left out: ${left.slice(0, 20).join(", ")}${left.length > 20 ? " …" : ""}.`] : []),
    ...(twice.length > 0
      ? [
          `The heading ${twice.map((one) => `“${one}”`).join(", ")} stands over more than one column; the first was taken. Please check.`,
        ]
      : []),
  ];
}

export const counted = (count: number, noun: string): string =>
  `${count.toLocaleString("en")} ${noun}${count === 1 ? "" : "s"}`;
