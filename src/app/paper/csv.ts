import { stringify } from "csv-stringify/sync";

/** A cell: text, a number, yes or no, or nothing. Numbers stay numbers; only text can be taken for a formula. */
export type Cell = string | number | boolean | null;

/**
 * What a spreadsheet may take for a formula at a cell's start: = + - @, tab, line ends, and their full-width forms,
 * blanks before them included (OWASP, "CSV Injection"). The apostrophe itself is among them so that
 * reading back loses nothing: one leading apostrophe is always ours.
 */
const risky = /^(?:[\t\r\n']|\s*[=+\-@＝＋－＠])/u;

/** The cell as it is written: risky text gets an apostrophe before it, which a spreadsheet hides. */
export function safeCell(cell: Cell): string {
  if (cell === null) return "";
  if (typeof cell === "number") return Number.isFinite(cell) ? String(cell) : "";
  if (typeof cell === "boolean") return cell ? "yes" : "no";
  return risky.test(cell) ? `'${cell}` : cell;
}

/** The text of a cell that `safeCell` wrote. */
export const plainCell = (written: string): string => (written.startsWith("'") ? written.slice(1) : written);

/**
 * A table as CSV: RFC 4180 (comma, CRLF, quotes doubled, the header line first), UTF-8 with a byte order mark, which
 * spreadsheets need to see the encoding.
 */
export function writeCsv(headings: readonly string[], rows: Iterable<readonly Cell[]>): Uint8Array {
  const text = stringify([headings.map(safeCell), ...Array.from(rows, (row) => row.map(safeCell))], {
    bom: true,
    record_delimiter: "windows",
    // A lone CR or LF inside a cell must be quoted too (RFC 4180, section 2, rule 6).
    quoted_match: /[\r\n]/,
  });
  return new TextEncoder().encode(text);
}
