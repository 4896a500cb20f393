import { z } from "zod";
import { row } from "./row";
import { atMs, id } from "./values";

/** Bringing in orders from CSV: look at the file, say which column is what, mend what is bad, bring in. */

/** What a column of the file may be. */
export const columnMeaning = z.enum([
  "reference",
  "line-reference",
  "customer",
  "channel",
  "placed-on",
  "promise-date",
  "ship-by",
  "product",
  "quantity",
  "personal-text",
  "design",
  "threads",
  "text-thread",
  "price",
  "note",
  "line-note",
]);

export const reading = z.strictObject({
  encoding: z.enum(["utf-8", "utf-16le", "utf-16be", "windows-1252"]),
  delimiter: z.enum([",", ";", "\t", "|"]),
  headerRow: z.boolean(),
  decimal: z.enum([".", ","]),
  dateOrder: z.enum(["ymd", "dmy", "mdy"]),
  /** For each column of the file what it is; null is left out. */
  columns: z.array(columnMeaning.nullable()).max(200),
  /** Days from placing to promise for rows without a promise date; null refuses such rows. */
  promiseDays: z.int().min(0).max(365).nullable(),
});

export const badRow = z.object({
  /** Line of the file on which the row starts, from 1. */
  line: z.int(),
  cells: z.array(z.string()),
  reasons: z.array(
    z.object({ column: z.int().nullable(), heading: z.string(), found: z.string(), message: z.string() }),
  ),
});

export const importRecord = z.object({
  id,
  fileName: z.string(),
  madeAtMs: atMs,
  state: z.enum(["looked-at", "running", "done", "failed", "cancelled"]),
  /** What was recognised and why, in words. */
  recognised: z.array(z.string()),
  /** Whether the mapping was remembered from an earlier file of this shape. */
  remembered: z.boolean(),
  reading,
  headings: z.array(z.string()),
  rows: z.int(),
  /** The first rows, as read. */
  sample: z.array(z.array(z.string())),
  progress: z.object({ done: z.int(), of: z.int() }),
  counts: z.object({
    ordersAdded: z.int(),
    linesAdded: z.int(),
    piecesAdded: z.int(),
    alreadyThere: z.int(),
    bad: z.int(),
  }),
  failure: z.string().nullable(),
  /** What was noticed while bringing in, in words: orders that stand otherwise here than in the file, and so on. */
  notes: z.array(z.string()),
});

export const importRows = {
  lookAtFile: row({
    method: "POST",
    path: "/api/imports",
    summary: "Takes a CSV file in, recognises its form, and shows it; nothing is brought in yet",
    query: z.strictObject({ name: z.string().min(1).max(400) }),
    body: "bytes",
    bodyLimitBytes: 20_000_000,
    output: importRecord,
    carriage: "json",
  }),
  listImports: row({
    method: "GET",
    path: "/api/imports",
    summary: "Imports, newest first",
    output: z.object({ items: z.array(importRecord) }),
    carriage: "json",
  }),
  readImport: row({
    method: "GET",
    path: "/api/imports/:id",
    summary: "One import with its progress",
    output: importRecord,
    carriage: "json",
  }),
  changeReading: row({
    method: "PUT",
    path: "/api/imports/:id/reading",
    summary: "Reads the file another way",
    body: reading,
    output: importRecord,
    carriage: "json",
  }),
  runImport: row({
    method: "POST",
    path: "/api/imports/:id/run",
    summary: "Brings the rows in; those already there add nothing",
    output: importRecord,
    carriage: "json",
  }),
  cancelImport: row({
    method: "POST",
    path: "/api/imports/:id/cancel",
    summary: "Stops an import; what is in stays in",
    output: importRecord,
    carriage: "json",
  }),
  listBadRows: row({
    method: "GET",
    path: "/api/imports/:id/bad-rows",
    summary: "Rows that could not be brought in, with line, column and reason",
    query: z.strictObject({
      offset: z.coerce.number().int().min(0).default(0),
      limit: z.coerce.number().int().min(1).max(500).default(100),
    }),
    output: z.object({ items: z.array(badRow), total: z.int() }),
    carriage: "json",
  }),
  mendRow: row({
    method: "PUT",
    path: "/api/imports/:id/bad-rows/:line",
    summary: "Brings a mended row in; what is still bad comes back with its reasons",
    body: z.strictObject({ cells: z.array(z.string().max(32_000)).max(200) }),
    output: z.object({ mended: z.boolean(), row: badRow.nullable(), import: importRecord }),
    carriage: "json",
  }),
  badRowsFile: row({
    method: "GET",
    path: "/api/imports/:id/bad-rows.csv",
    summary: "The bad rows as they stood, with a column of reasons",
    carriage: "bytes",
    mediaType: "text/csv",
  }),
};
