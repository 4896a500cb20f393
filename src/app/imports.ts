import { setImmediate } from "node:timers/promises";
import type { Answers, Call, Context } from "./context";
import { lookAgain, lookAt, type Looked } from "./csv/look";
import { refuseCsv } from "./csv/refusals";
import { readRow } from "./csv/rows";
import {
  type Import,
  type ImportBody,
  importOf,
  importRecordOf,
  importRow,
  noCounts,
  rowOfImport,
  surroundings,
} from "./import-records";
import { badGroups, bringInRow, failureOf, keepBadRows, runRows, saveImport, sortRows } from "./import-run";
import type { shapes } from "#contract";
import { todayOf } from "./orders";
import { writeCsv } from "./paper/csv";
import { Workshop } from "./piece-jobs";

type ImportAnswers = Pick<
  Answers,
  | "lookAtFile"
  | "listImports"
  | "readImport"
  | "changeReading"
  | "runImport"
  | "cancelImport"
  | "listBadRows"
  | "mendRow"
  | "badRowsFile"
>;

interface Running {
  cancelled: boolean;
  /** Where it stands, newer than what is kept between two portions. */
  now: Import;
  done: Promise<void>;
}

/** Imports under way, by program; they end with it. */
const underWay = new WeakMap<Context, Map<string, Running>>();
const runningOf = (context: Context): Map<string, Running> => {
  const known = underWay.get(context) ?? new Map<string, Running>();
  underWay.set(context, known);
  return known;
};

/** Ends the imports under way after the portion they are at; for the program's end. */
export async function stopImports(context: Context): Promise<void> {
  const all = [...runningOf(context).values()];
  for (const one of all) one.cancelled = true;
  await Promise.all(all.map((one) => one.done));
}

/** Waits until an import that is under way has ended; at once when it is not. */
export const importEnded = async (context: Context, id: string): Promise<void> =>
  runningOf(context).get(id)?.done;

const SAMPLE_SHOWN = 20;
const shown = (cell: string): string =>
  (cell.length > 300 ? `${cell.slice(0, 300)}…` : cell).replaceAll("\u0000", "\ufffd");

/** The answers about CSV files: looking, reading otherwise, bringing in, mending. */
export function importAnswers(context: Context): ImportAnswers {
  const { store, nowMs, newId } = context;
  const running = runningOf(context);
  const recordOf = (one: Import) => importRecordOf(running.get(one.id)?.now ?? one, running.has(one.id));
  const tell = (one: Import) =>
    context.tell({ topic: "import", import: importRecordOf(one, running.has(one.id)) });

  async function atRest(id: string): Promise<Import> {
    const one = await importRow(store.db, id);
    if (running.has(id))
      throw refuseCsv(
        "import-running",
        `${one.fileName} is being brought in: ${running.get(id)!.now.body.progress.done} of ${one.body.rows} rows.`,
      );
    return one;
  }

  const bodyOf = (looked: Looked, bad: number): Omit<ImportBody, "mended"> => ({
    recognised: looked.recognised,
    remembered: looked.remembered,
    reading: looked.reading,
    headings: looked.headings,
    rows: looked.rows.length,
    sample: looked.rows
      .slice(0, SAMPLE_SHOWN)
      .map((row) => row.cells.slice(0, looked.headings.length).map(shown)),
    progress: { done: 0, of: looked.rows.length },
    counts: { ...noCounts, bad },
    failure: null,
    notes: [],
    shapeKey: looked.shapeKey,
  });

  /** Which rows could not go in as the file is read now. */
  async function badRowsOf(looked: Looked, around: Awaited<ReturnType<typeof surroundings>>) {
    const rules = around.rules(looked.reading, looked.headings);
    const { groups, bad } = await sortRows(looked.rows, rules, {});
    const known = await knownReferences(groups.map((group) => group.reference));
    const cells = new Map(looked.rows.map((row) => [row.line, row.cells]));
    const all = [...bad, ...(await badGroups(groups, known, cells, rules, await todayOf(context)))].sort(
      (a, b) => a.line - b.line,
    );
    const note =
      all.length === looked.rows.length && isMapped(looked.reading)
        ? [
            all.length === 1
              ? "The only row cannot be brought in as it stands; the reason is listed."
              : `None of the ${all.length} rows can be brought in as it stands; the reasons are listed.`,
          ]
        : [];
    return { all, note };
  }

  async function knownReferences(references: readonly string[]): Promise<Set<string>> {
    const found = new Set<string>();
    for (let from = 0; from < references.length; from += 500) {
      await setImmediate();
      for (const row of await store.db
        .selectFrom("orders")
        .select("reference")
        .where("reference", "in", references.slice(from, from + 500))
        .execute())
        found.add(row.reference);
    }
    return found;
  }

  return {
    async lookAtFile({ query, body }, call) {
      const around = await surroundings(store.db);
      const looked = await lookAt({
        bytes: body,
        today: await todayOf(context),
        lookup: around.lookup,
        remembered: async (key) => {
          const row = await store.db
            .selectFrom("import_shapes")
            .select("reading")
            .where("shape_key", "=", key)
            .executeTakeFirst();
          return row ? (JSON.parse(row.reading) as shapes.ImportReading) : null;
        },
      });
      const { all, note } = await badRowsOf(looked, around);
      const bodyNow = bodyOf({ ...looked, recognised: [...looked.recognised, ...note] }, all.length);
      const fileName = query.name.split(/[\\/]/).at(-1)!.slice(0, 200);
      const one: Import = {
        id: newId("im"),
        fileName,
        fileHash: await store.files.put(body),
        madeAtMs: nowMs(),
        state: "looked-at",
        body: { ...bodyNow, mended: {} },
      };
      await store.write({ who: call.who, what: `Looked at ${fileName}` }, async (writing) => {
        await writing.db.insertInto("imports").values(rowOfImport(one)).execute();
        await keepBadRows(writing.db, one.id, all);
        writing.touch("imports", one.id);
      });
      return recordOf(one);
    },

    async listImports() {
      const rows = await store.db
        .selectFrom("imports")
        .selectAll()
        .orderBy("made_at_ms", "desc")
        .orderBy("id", "desc")
        .limit(100)
        .execute();
      return { items: rows.map((row) => recordOf(importOf(row))) };
    },

    readImport: async ({ params }) => recordOf(await importRow(store.db, params.id)),

    async changeReading({ params, body }, call) {
      const one = await atRest(params.id);
      refuseTwice(body);
      const around = await surroundings(store.db);
      const looked = await lookAgain(
        { bytes: await store.files.get(one.fileHash), lookup: around.lookup },
        body,
      );
      const { all, note } = await badRowsOf(looked, around);
      const next: Import = {
        ...one,
        state: "looked-at",
        body: {
          ...bodyOf({ ...looked, recognised: [...looked.recognised, ...note] }, all.length),
          mended: one.body.mended,
        },
      };
      await store.write({ who: call.who, what: `Read ${one.fileName} another way` }, async (writing) => {
        await writing.db.deleteFrom("import_bad_rows").where("import_id", "=", one.id).execute();
        await keepBadRows(writing.db, one.id, all);
        await saveImport(writing, next);
        writing.touch("imports", one.id);
      });
      return recordOf(next);
    },

    async runImport({ params }, call) {
      const one = await atRest(params.id);
      refuseUnmapped(one.body.reading);
      const start: Import = {
        ...one,
        state: "running",
        body: {
          ...one.body,
          progress: { done: 0, of: one.body.rows },
          counts: noCounts,
          failure: null,
          notes: [],
        },
      };
      const own: Running = { cancelled: false, now: start, done: Promise.resolve() };
      running.set(one.id, own);
      try {
        await store.write({ who: call.who, what: `Began bringing in ${one.fileName}` }, async (writing) => {
          const row = {
            shape_key: one.body.shapeKey,
            reading: JSON.stringify(one.body.reading),
            updated_at_ms: nowMs(),
          };
          await writing.db
            .insertInto("import_shapes")
            .values(row)
            .onConflict((conflict) =>
              conflict
                .column("shape_key")
                .doUpdateSet({ reading: row.reading, updated_at_ms: row.updated_at_ms }),
            )
            .execute();
          await saveImport(writing, start);
        });
      } catch (error) {
        running.delete(one.id);
        throw error;
      }
      own.done = follow(own, call);
      return recordOf(start);
    },

    async cancelImport({ params }) {
      const one = await importRow(store.db, params.id);
      const own = running.get(one.id);
      if (!own) throw refuseCsv("import-not-running", `${one.fileName} is not being brought in just now.`);
      own.cancelled = true;
      await own.done;
      return recordOf(await importRow(store.db, one.id));
    },

    async listBadRows({ params, query }) {
      const one = await importRow(store.db, params.id);
      const all = store.db.selectFrom("import_bad_rows").where("import_id", "=", one.id);
      const rows = await all.selectAll().orderBy("line").offset(query.offset).limit(query.limit).execute();
      const { total } = await all
        .select((build) => build.fn.countAll<number>().as("total"))
        .executeTakeFirstOrThrow();
      return { items: rows.map(badRowOf), total: Number(total) };
    },

    async mendRow({ params, body }, call) {
      const one = await atRest(params.id);
      const line = Number(params.line);
      const unknown = () =>
        refuseCsv("bad-row-unknown", `Line ${params.line} of ${one.fileName} is not among its bad rows.`, [
          { field: "line", found: params.line },
        ]);
      if (!Number.isInteger(line)) throw unknown();
      refuseUnmapped(one.body.reading);
      const around = await surroundings(store.db);
      const rules = around.rules(one.body.reading, one.body.headings);
      const today = await todayOf(context);
      const read = readRow({ line, cells: body.cells, broken: null }, rules);
      const workshop = await Workshop.open(context, store.db);
      if ("draft" in read) await workshop.prepare(store.db, [read.draft]);
      const { result, changeId } = await store.write(
        { who: call.who, what: `Mended line ${line} of ${one.fileName}` },
        async (writing) => {
          const at = writing.db
            .selectFrom("import_bad_rows")
            .select("line")
            .where("import_id", "=", one.id)
            .where("line", "=", line);
          if (!(await at.executeTakeFirst())) throw unknown();
          const now = await importRow(writing.db, one.id);
          const did =
            "draft" in read
              ? await bringInRow({ context, writing, workshop, row: read.draft, rules, today })
              : { reasons: [...read.reasons] };
          if ("reasons" in did) {
            const row: shapes.BadRow = { line, cells: [...body.cells], reasons: did.reasons };
            await keepBadRows(writing.db, one.id, [row]);
            return { row, now };
          }
          await writing.db
            .deleteFrom("import_bad_rows")
            .where("import_id", "=", one.id)
            .where("line", "=", line)
            .execute();
          const { counts } = now.body;
          const next: Import = {
            ...now,
            body: {
              ...now.body,
              counts: {
                ordersAdded: counts.ordersAdded + did.ordersAdded,
                linesAdded: counts.linesAdded + did.linesAdded,
                piecesAdded: counts.piecesAdded + did.piecesAdded,
                alreadyThere: counts.alreadyThere + did.alreadyThere,
                bad: Math.max(0, counts.bad - 1),
              },
              mended: { ...now.body.mended, [String(line)]: body.cells },
            },
          };
          await saveImport(writing, next);
          writing.touch("imports", one.id);
          return { row: null, now: next };
        },
      );
      call.note({ changeId });
      return { mended: result.row === null, row: result.row, import: recordOf(result.now) };
    },

    async badRowsFile({ params }) {
      const one = await importRow(store.db, params.id);
      const rows = (
        await store.db
          .selectFrom("import_bad_rows")
          .selectAll()
          .where("import_id", "=", one.id)
          .orderBy("line")
          .execute()
      ).map(badRowOf);
      const width = Math.max(one.body.headings.length, ...rows.map((row) => row.cells.length));
      const headings = [
        ...Array.from({ length: width }, (_, column) => one.body.headings[column] ?? ""),
        "Line of the file",
        "Reasons",
      ];
      const table = rows.map((row) => [
        ...Array.from({ length: width }, (_, column) => row.cells[column] ?? ""),
        row.line,
        row.reasons
          .map((reason) => (reason.heading === "" ? reason.message : `${reason.heading}: ${reason.message}`))
          .join("; "),
      ]);
      const name = one.fileName.replace(/\.[a-z0-9]{1,5}$/i, "");
      return {
        bytes: writeCsv(headings, table),
        mediaType: "text/csv; charset=utf-8",
        saveAs: `${name} bad rows.csv`,
      };
    },
  };

  /** Runs an import to its end in the background, keeping where it stands and telling open pages. */
  async function follow(own: Running, call: Call): Promise<void> {
    const { id, fileHash, body } = own.now;
    let ended: Import;
    try {
      const around = await surroundings(store.db);
      const looked = await lookAgain(
        { bytes: await store.files.get(fileHash), lookup: around.lookup },
        body.reading,
      );
      ended = await runRows({
        context,
        who: call.who,
        start: own.now,
        looked: { rows: looked.rows, headings: body.headings },
        rules: around.rules(body.reading, body.headings),
        today: await todayOf(context),
        isCancelled: () => own.cancelled,
        onProgress: (now) => {
          own.now = now;
          tell(now);
        },
      });
    } catch (error) {
      ended = {
        ...own.now,
        state: "failed",
        body: { ...own.now.body, failure: failureOf(context, error, own.now) },
      };
    }
    own.now = ended;
    try {
      await store.write({ who: call.who, what: `Brought in ${ended.fileName}` }, async (writing) => {
        await saveImport(writing, ended);
        writing.touch("imports", id);
      });
    } catch (error) {
      context.log.error("The end of an import could not be kept", { importId: id, error });
    } finally {
      running.delete(id);
    }
    tell(ended);
  }
}

const badRowOf = (row: { line: number; cells: string; reasons: string }): shapes.BadRow => ({
  line: row.line,
  cells: JSON.parse(row.cells) as string[],
  reasons: JSON.parse(row.reasons) as shapes.BadRow["reasons"],
});

const isMapped = (reading: shapes.ImportReading) =>
  reading.columns.includes("reference") && reading.columns.includes("product");

function refuseUnmapped(reading: shapes.ImportReading): void {
  const missing = [
    ...(reading.columns.includes("reference") ? [] : ["the order's reference"]),
    ...(reading.columns.includes("product") ? [] : ["the product"]),
    ...(reading.columns.includes("promise-date") || reading.promiseDays !== null
      ? []
      : ["the promise date, or days after placing"]),
  ];
  if (missing.length > 0)
    throw refuseCsv(
      "import-reading",
      `It is not said which column is ${missing.join(", nor ")}.`,
      missing.map((what) => ({ field: "columns", expected: what })),
    );
}

function refuseTwice(reading: shapes.ImportReading): void {
  const meanings = reading.columns.filter((meaning) => meaning !== null);
  // Texts may stand in several columns.
  const twice = meanings.find(
    (meaning, index) => meaning !== "personal-text" && meanings.indexOf(meaning) !== index,
  );
  if (twice)
    throw refuseCsv("import-reading", `Two columns are said to be the ${twice.replace("-", " ")}.`, [
      { field: "columns", found: twice, expected: "each meaning once" },
    ]);
}
