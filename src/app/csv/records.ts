import { setImmediate } from "node:timers/promises";
import { type CsvError, parse } from "csv-parse";
import { parse as parseWhole } from "csv-parse/sync";
import { refuseCsv } from "./refusals";

/**
 * The file's records with the line of the FILE each starts on. csv-parse reads strictly (RFC 4180); where a record
 * breaks the rules of quotes, only its first line is set aside as broken, and reading goes on at the next line, so
 * that one stray quote never swallows the rest of a file.
 */
export interface CsvRecord {
  /** From 1, line ends inside cells counted. */
  readonly line: number;
  readonly cells: readonly string[];
  /** Why the record's quotes cannot be followed; null when they can. The cells are then split at the delimiter. */
  readonly broken: string | null;
}

export type Delimiter = "," | ";" | "\t" | "|";

export const MOST_ROWS = 100_000;
export const MOST_COLUMNS = 200;
export const LONGEST_CELL_BYTES = 32_768;
/** A record longer than this is a quote that was never closed. */
const LONGEST_RECORD_BYTES = 1_000_000;
const CHUNK_BYTES = 8 * 1024;
/** So many broken lines, and it is no CSV at all. */
const MOST_BROKEN = 2_000;

const options = (delimiter: string) => ({
  delimiter,
  record_delimiter: ["\r\n", "\n", "\r"],
  relax_column_count: true,
  max_record_size: LONGEST_RECORD_BYTES,
});

/**
 * Reads all records of UTF-8 bytes; empty lines are left out but counted. Gives way to other work every 8 kB.
 * Refuses more rows or columns than the caps, and files whose quotes break again and again.
 */
export async function readRecords(bytes: Uint8Array, delimiter: Delimiter): Promise<CsvRecord[]> {
  const found: CsvRecord[] = [];
  const lines = lineCounter(bytes);
  let from = skipSeparatorLine(bytes);
  let broken = 0;
  while (from < bytes.length) {
    const start = from;
    let at = start;
    const error = await feed(bytes.subarray(start), delimiter, (cells, end) => {
      if (cells.length > 1 || cells[0] !== "") found.push({ line: lines.lineAt(at), cells, broken: null });
      at = start + end;
      refuseTooMany(found, cells.length);
    });
    if (error === null) break;
    const end = lineEnd(bytes, at);
    found.push({ line: lines.lineAt(at), ...mendLine(bytes.subarray(at, end), delimiter, error) });
    if (found.at(-1)!.broken !== null && ++broken > MOST_BROKEN)
      throw refuseCsv(
        "import-unreadable",
        `More than ${MOST_BROKEN} lines have quotes that cannot be followed; the first is line ${found.find((one) => one.broken)!.line}.`,
      );
    refuseTooMany(found, found.at(-1)!.cells.length);
    from = afterLineEnd(bytes, end);
    if (broken % 50 === 49) await setImmediate();
  }
  return found;
}

/** The records of a short sample, at once; broken ones as errors counted. */
export function sampleRecords(bytes: Uint8Array, delimiter: Delimiter): { rows: string[][]; errors: number } {
  const rows: string[][] = [];
  let errors = 0;
  let rest = bytes.subarray(skipSeparatorLine(bytes));
  for (let round = 0; round < 20 && rest.length > 0; round++) {
    let at = 0;
    try {
      parseWhole(Buffer.from(rest), {
        ...options(delimiter),
        on_record: (record: string[], { bytes: end }): string[] | null => {
          at = end;
          if (record.length > 1 || record[0] !== "") rows.push(record);
          return null;
        },
      });
      break;
    } catch (error) {
      if (!isCsvError(error)) throw error;
      const end = lineEnd(rest, at);
      const mended = mendLine(rest.subarray(at, end), delimiter, error);
      if (mended.broken === null) rows.push([...mended.cells]);
      else errors++;
      rest = rest.subarray(afterLineEnd(rest, end));
    }
  }
  return { rows, errors };
}

const isCsvError = (error: unknown): error is CsvError =>
  error instanceof Error && "code" in error && /^(CSV_|INVALID_)/.test(String(error.code));

/** Feeds bytes in chunks; calls back with each record and the byte after it; gives the error that stopped it. */
async function feed(
  bytes: Uint8Array,
  delimiter: Delimiter,
  onRecord: (cells: string[], endByte: number) => void,
): Promise<CsvError | null> {
  let failure: unknown = null;
  // Records are taken as they are made, not from the stream: an error would throw away those still waiting there.
  const parser = parse({
    ...options(delimiter),
    on_record: (record: string[], { bytes: end }): string[] | null => {
      if (failure === null) onRecord(record, end);
      return null;
    },
  });
  parser.on("error", (error: unknown) => (failure ??= error));
  parser.resume();
  const ended = new Promise<void>((resolve) => parser.once("close", resolve).once("end", resolve));
  // Small portions first: after a broken line the next one may be broken too.
  let portion = 4096;
  for (
    let at = 0;
    at < bytes.length && failure === null;
    at += portion, portion = Math.min(2 * portion, CHUNK_BYTES)
  ) {
    parser.write(Buffer.from(bytes.buffer, bytes.byteOffset + at, Math.min(portion, bytes.length - at)));
    // Each chunk is parsed in its own turn of the event loop, so that pages are answered meanwhile.
    await setImmediate();
  }
  if (failure === null) {
    parser.end();
    await ended;
  }
  parser.destroy();
  if (failure === null || isCsvError(failure)) return failure;
  throw failure;
}

/**
 * One line that breaks the rules, read more kindly where there is no doubt: blanks before an opening quote, and
 * quotes in the middle of cells that do not start with one (24" wide).
 */
function mendLine(
  line: Uint8Array,
  delimiter: Delimiter,
  error: CsvError,
): { cells: string[]; broken: string | null } {
  const text = Buffer.from(line).toString("utf8");
  try {
    return {
      cells: (parseWhole(text, { delimiter, trim: true, relax_column_count: true }) as string[][])[0] ?? [""],
      broken: null,
    };
  } catch {
    const cells = text.split(delimiter);
    if (!cells.some((cell) => cell.trimStart().startsWith('"'))) return { cells, broken: null };
    return { cells: cells.map((cell) => cell.trim()), broken: inWords(error) };
  }
}

function inWords(error: CsvError): string {
  const code = String(error.code);
  if (code === "CSV_QUOTE_NOT_CLOSED" || code === "CSV_MAX_RECORD_SIZE")
    return "a quote is opened here and never closed";
  if (code === "CSV_INVALID_CLOSING_QUOTE")
    return "after a closing quote there is more text before the next delimiter";
  return "a quote stands where none may stand";
}

function refuseTooMany(found: readonly CsvRecord[], columns: number): void {
  if (found.length > MOST_ROWS + 1)
    throw refuseCsv("import-too-large", `The file has more than ${MOST_ROWS.toLocaleString("en")} rows.`, [
      { expected: `at most ${MOST_ROWS} rows` },
    ]);
  if (columns > MOST_COLUMNS)
    throw refuseCsv(
      "import-too-large",
      `Line ${found.at(-1)?.line ?? 1} has ${columns} columns; at most ${MOST_COLUMNS} are read.`,
      [{ found: `${columns} columns`, expected: `at most ${MOST_COLUMNS} columns` }],
    );
}

/** A first line `sep=;` names the delimiter for some spreadsheets and is no row. Gives the byte after it. */
function skipSeparatorLine(bytes: Uint8Array): number {
  return separatorLine(bytes) === null ? 0 : afterLineEnd(bytes, lineEnd(bytes, 0));
}

/** The delimiter a first line `sep=…` names, or null. */
export function separatorLine(bytes: Uint8Array): Delimiter | null {
  const start = Buffer.from(bytes.subarray(0, 8)).toString("latin1");
  const found = /^sep=([,;\t|])[\r\n]/i.exec(start);
  return found ? (found[1] as Delimiter) : null;
}

function lineEnd(bytes: Uint8Array, from: number): number {
  let at = from;
  while (at < bytes.length && bytes[at] !== 10 && bytes[at] !== 13) at++;
  return at;
}

const afterLineEnd = (bytes: Uint8Array, end: number): number =>
  bytes[end] === 13 && bytes[end + 1] === 10 ? end + 2 : end + 1;

/** Lines counted onward only: asked with rising bytes. A line ends at CR LF, LF or CR. */
function lineCounter(bytes: Uint8Array) {
  let at = 0;
  let line = 1;
  return {
    lineAt(byte: number): number {
      for (; at < byte; at++) if (bytes[at] === 10 || (bytes[at] === 13 && bytes[at + 1] !== 10)) line++;
      return line;
    },
  };
}
