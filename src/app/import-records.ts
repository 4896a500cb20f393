import type { shapes } from "#contract";
import type { ImportTable, Store } from "#store";
import { type Lookup, lookupOf } from "./csv/lookup";
import { refuseCsv } from "./csv/refusals";
import type { RowRules } from "./csv/rows";
import { allOf, type StudioKept, studioOf } from "./records";
import { refuseApp } from "./refusals";

/** What is kept of an import beside its columns. */
export interface ImportBody {
  readonly recognised: readonly string[];
  readonly remembered: boolean;
  readonly reading: shapes.ImportReading;
  readonly headings: readonly string[];
  readonly rows: number;
  readonly sample: readonly (readonly string[])[];
  readonly progress: { readonly done: number; readonly of: number };
  readonly counts: shapes.ImportRecord["counts"];
  readonly failure: string | null;
  readonly notes: readonly string[];
  readonly shapeKey: string;
  /** Rows a person has mended, by their line: they stand for the file's own when it is run again. */
  readonly mended: Readonly<Record<string, readonly string[]>>;
}

export interface Import {
  readonly id: string;
  readonly fileName: string;
  readonly fileHash: string;
  readonly madeAtMs: number;
  readonly state: shapes.ImportRecord["state"];
  readonly body: ImportBody;
}

export const noCounts = { ordersAdded: 0, linesAdded: 0, piecesAdded: 0, alreadyThere: 0, bad: 0 } as const;
export const MOST_NOTES = 200;

export const importOf = (row: ImportTable): Import => ({
  id: row.id,
  fileName: row.file_name,
  fileHash: row.file_hash,
  madeAtMs: row.made_at_ms,
  state: row.state as Import["state"],
  body: JSON.parse(row.body) as ImportBody,
});

export const rowOfImport = (one: Import): ImportTable => ({
  id: one.id,
  file_name: one.fileName,
  file_hash: one.fileHash,
  made_at_ms: one.madeAtMs,
  state: one.state,
  body: JSON.stringify(one.body),
});

/** An import as it travels. One that says it is running but is not was cut short when the program ended. */
export function importRecordOf(one: Import, isRunning: boolean): shapes.ImportRecord {
  const { shapeKey: _key, mended: _mended, ...body } = one.body;
  const cutShort = one.state === "running" && !isRunning;
  return {
    id: one.id,
    fileName: one.fileName,
    madeAtMs: one.madeAtMs,
    ...body,
    recognised: [...body.recognised],
    headings: [...body.headings],
    sample: body.sample.map((row) => [...row]),
    notes: [...body.notes],
    state: cutShort ? "failed" : one.state,
    failure: cutShort
      ? `The program ended after ${body.progress.done} of ${body.progress.of} rows. What is in stays in; bring the file in again for the rest, nothing is added twice.`
      : body.failure,
  };
}

export async function importRow(db: Store["db"], id: string): Promise<Import> {
  const row = await db.selectFrom("imports").selectAll().where("id", "=", id).executeTakeFirst();
  if (!row) throw refuseCsv("import-unknown", `There is no import ${id}.`, [{ field: "id", found: id }]);
  return importOf(row);
}

export interface Surroundings {
  readonly studio: StudioKept;
  readonly lookup: Lookup;
  rules(reading: shapes.ImportReading, headings: readonly string[]): RowRules;
}

/** The studio and the names a file may use: products, designs and threads that are not archived. */
export async function surroundings(db: Store["db"]): Promise<Surroundings> {
  const studio = await studioOf(db);
  if (!studio) throw refuseApp("not-set-up", "This data folder has no studio yet.");
  const designs = await db
    .selectFrom("designs")
    .select(["id", "name"])
    .where("kind", "=", "picture")
    .where("archived", "=", 0)
    .execute();
  const kept = <T extends { archived: boolean }>(records: ReadonlyMap<string, T>) =>
    [...records.values()].filter((one) => !one.archived);
  const lookup = lookupOf({
    products: kept(await allOf(db, "products")),
    threads: kept(await allOf(db, "threads")),
    designs,
  });
  return {
    studio,
    lookup,
    rules: (reading, headings) => ({
      reading,
      headings,
      lookup,
      currency: studio.body.currency,
    }),
  };
}
