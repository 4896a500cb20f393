import { setImmediate } from "node:timers/promises";
import { CompiledQuery, type Kysely, sql, type Transaction } from "kysely";
import { refuseStore } from "./refusals";
import { insideWrite } from "./sqlite";
import type { Store, TrackedTable, WriteAsked, Writing } from "./store";
import type { ChangeTable, Tables } from "./tables";

/** One row as it stood before and after a change; null where it was not there. */
export interface Entry {
  readonly table: TrackedTable;
  readonly id: string;
  readonly before: Readonly<Record<string, unknown>> | null;
  readonly after: Readonly<Record<string, unknown>> | null;
}

export interface WriterOptions {
  readonly db: Kysely<Tables>;
  readonly kind: "sqlite" | "postgres";
  readonly nowMs: () => number;
  readonly newId: (prefix: string) => string;
  /** Called inside each write's transaction before its work. */
  readonly onWriting: (trx: Transaction<Tables>) => Promise<void>;
  /** Told after a commit: the lists that changed, with ids. */
  readonly onTouched: (lists: readonly string[], ids: readonly string[]) => void;
}

const versioned: ReadonlySet<TrackedTable> = new Set([
  "studio",
  "people",
  "machines",
  "hoops",
  "threads",
  "stock",
  "products",
  "designs",
  "fonts",
  "orders",
  "pieces",
  "jobs",
  "phones",
  "taught_hoops",
  "placement_rules",
  "machine_steps",
  "placings",
  "cost_settings",
  "cost_figures",
  "quotes",
  "purchases",
]);
const dated: ReadonlySet<TrackedTable> = versioned;

/** The list of pages a table's rows are shown in. */
const listOf: Readonly<Record<TrackedTable, string>> = {
  studio: "studio",
  people: "people",
  machines: "machines",
  hoops: "hoops",
  threads: "threads",
  stock: "stock",
  products: "products",
  designs: "designs",
  design_versions: "designs",
  fonts: "fonts",
  orders: "orders",
  order_lines: "orders",
  pieces: "pieces",
  jobs: "pieces",
  phones: "placing",
  taught_hoops: "placing",
  placement_rules: "placing",
  machine_steps: "placing",
  placings: "placing",
  cost_settings: "costs",
  cost_figures: "costs",
  quotes: "costs",
  purchases: "costs",
};

/** Any number; the same for every program on this database. */
const WRITE_LOCK = 7_205_759;

/** Always the same few sizes of statement, so that the prepared ones are found again. */
const sizes = [100, 10, 1] as const;

type AnyRow = Record<string, unknown>;
type Untyped = {
  selectFrom(table: string): {
    selectAll(): {
      where(c: string, o: "=", v: string): { executeTakeFirst(): Promise<AnyRow | undefined> };
      where(c: string, o: "in", v: readonly string[]): { execute(): Promise<AnyRow[]> };
    };
  };
  insertInto(table: string): { values(row: AnyRow): { execute(): Promise<unknown> } };
  updateTable(table: string): {
    set(row: AnyRow): {
      where(c: string, o: "=", v: string): { execute(): Promise<unknown> };
      where(c: string, o: "in", v: readonly string[]): { returningAll(): { execute(): Promise<AnyRow[]> } };
    };
  };
  deleteFrom(table: string): { where(c: string, o: "=", v: string): { execute(): Promise<unknown> } };
};

/** The tracked writes and their taking back. */
export function writer(options: WriterOptions) {
  const { db, kind, nowMs, newId, onTouched } = options;

  /** One transaction, alone: SQLite has one connection; PostgreSQL is given a lock, so that both behave alike. */
  async function transact<T>(work: (trx: Transaction<Tables>) => Promise<T>): Promise<T> {
    try {
      return await db.transaction().execute(async (trx) => {
        if (kind === "postgres") await sql`select pg_advisory_xact_lock(${WRITE_LOCK})`.execute(trx);
        return insideWrite.run(true, () => work(trx));
      });
    } catch (error) {
      throw explained(error);
    }
  }

  async function write<T>(asked: WriteAsked, work: (writing: Writing) => Promise<T>, changeId = newId("ch")) {
    const { touch, tell } = touches();
    const done = await transact((trx) => writeIn(trx, touch, { ...asked, changeId }, work));
    tell();
    return done;
  }

  /** Several writes, each a change of its own, in one transaction. */
  async function together<T>(
    work: (within: { readonly db: Transaction<Tables>; readonly write: Store["write"] }) => Promise<T>,
  ): Promise<T> {
    const { touch, tell } = touches();
    const result = await transact(async (trx) => {
      let failed: { readonly reason: unknown } | null = null;
      const within = {
        db: trx,
        write: <R>(asked: WriteAsked, one: (writing: Writing) => Promise<R>) =>
          writeIn(trx, touch, { ...asked, changeId: newId("ch") }, one).catch((reason: unknown) => {
            failed ??= { reason };
            throw reason;
          }),
      };
      const done = await work(within);
      // A write that failed has left half of itself in the transaction, even where its caller went on.
      const after = failed as { readonly reason: unknown } | null;
      if (after) throw after.reason;
      return done;
    });
    tell();
    return result;
  }

  function touches() {
    const touched = new Map<string, Set<string>>();
    const touch: Writing["touch"] = (list, ...ids) => {
      const known = touched.get(list) ?? new Set<string>();
      ids.forEach((id) => known.add(id));
      touched.set(list, known);
    };
    const tell = () => {
      if (touched.size > 0)
        onTouched([...touched.keys()], [...new Set([...touched.values()].flatMap((ids) => [...ids]))]);
    };
    return { touch, tell };
  }

  async function writeIn<T>(
    trx: Transaction<Tables>,
    touch: Writing["touch"],
    asked: WriteAsked & { changeId: string },
    work: (writing: Writing) => Promise<T>,
  ) {
    const log: Entry[] = [];
    await options.onWriting(trx);
    const result = await work(tracked(trx, log, touch));
    const entries = netEntries(log);
    if (entries.length === 0) return { result, changeId: null, seq: await newestChange(trx) };
    return { result, ...(await keepChange(trx, asked, entries)) };
  }

  function tracked(trx: Transaction<Tables>, log: Entry[], touch: Writing["touch"]): Writing {
    const raw = trx as unknown as Untyped;
    const read = (table: TrackedTable, id: string) =>
      raw.selectFrom(table).selectAll().where("id", "=", id).executeTakeFirst();
    return {
      db: trx,
      touch,
      async insert(table, row) {
        await raw
          .insertInto(table)
          .values(row as unknown as AnyRow)
          .execute();
        const after = await read(table, row.id);
        log.push({ table, id: row.id, before: null, after: after! });
        touch(listOf[table], row.id);
      },
      async insertAll(table, rows) {
        for (let at = 0; at < rows.length;) {
          const size = sizes.find((one) => one <= rows.length - at)!;
          const portion = rows.slice(at, at + size) as unknown as AnyRow[];
          // The database's statements are done at once; between them others get their answers.
          if (at > 0) await setImmediate();
          await insertRows(trx, table, portion);
          for (const row of portion) log.push({ table, id: row.id as string, before: null, after: row });
          at += size;
        }
        if (rows.length > 0) touch(listOf[table], ...rows.map((row) => row.id));
      },
      async update(table, id, set) {
        const before = await read(table, id);
        if (!before) throw refuseStore("record-unknown", `There is no record ${id} among ${listOf[table]}.`);
        const whole: AnyRow = { ...set };
        if (versioned.has(table)) whole.version = (before.version as number) + 1;
        if (dated.has(table) && whole.updated_at_ms === undefined) whole.updated_at_ms = nowMs();
        if (Object.keys(whole).length > 0)
          await raw.updateTable(table).set(whole).where("id", "=", id).execute();
        const after = (await read(table, id))!;
        log.push({ table, id, before, after });
        touch(listOf[table], id);
        return after as never;
      },
      async updateAll(table, ids, set) {
        const rows = new Map<string, AnyRow>();
        const whole: AnyRow = { ...set };
        if (versioned.has(table)) whole.version = sql`version + 1`;
        if (dated.has(table) && whole.updated_at_ms === undefined) whole.updated_at_ms = nowMs();
        const wanted = [...new Set(ids)];
        for (let at = 0; at < wanted.length;) {
          const size = sizes.find((one) => one <= wanted.length - at)!;
          const portion = wanted.slice(at, at + size);
          const before = new Map(
            (await raw.selectFrom(table).selectAll().where("id", "in", portion).execute()).map((row) => [
              row.id as string,
              row,
            ]),
          );
          const missing = portion.find((id) => !before.has(id));
          if (missing !== undefined)
            throw refuseStore("record-unknown", `There is no record ${missing} among ${listOf[table]}.`);
          for (const after of await raw
            .updateTable(table)
            .set(whole)
            .where("id", "in", portion)
            .returningAll()
            .execute()) {
            const id = after.id as string;
            log.push({ table, id, before: before.get(id)!, after });
            rows.set(id, after);
          }
          at += size;
        }
        if (wanted.length > 0) touch(listOf[table], ...wanted);
        return ids.map((id) => rows.get(id)!) as never;
      },
      async remove(table, id) {
        const before = await read(table, id);
        if (!before) throw refuseStore("record-unknown", `There is no record ${id} among ${listOf[table]}.`);
        await raw.deleteFrom(table).where("id", "=", id).execute();
        log.push({ table, id, before, after: null });
        touch(listOf[table], id);
      },
    };
  }

  async function keepChange(
    trx: Transaction<Tables>,
    asked: WriteAsked & { changeId: string },
    entries: readonly Entry[],
  ) {
    const { changeId } = asked;
    const { seq } = await trx
      .insertInto("changes")
      .values({
        id: changeId,
        at_ms: nowMs(),
        who: asked.who,
        what: asked.what,
        entries: JSON.stringify(entries),
        undone_by: null,
      })
      .returning("seq")
      .executeTakeFirstOrThrow();
    const ids = [...new Set(entries.map((entry) => entry.id))];
    for (let at = 0; at < ids.length;) {
      const size = sizes.find((one) => one <= ids.length - at)!;
      if (at > 0 && at % 1000 === 0) await setImmediate();
      await insertRows(
        trx,
        "change_records",
        ids.slice(at, at + size).map((id) => ({ change_seq: seq, record_id: id })),
      );
      at += size;
    }
    return { changeId, seq };
  }

  const texts = new Map<string, string>();
  /** The statement that adds so many rows, written once: putting it together anew would cost more than running it. */
  function insertText(table: string, columns: readonly string[], rows: number): string {
    const key = `${table} ${rows} ${columns.join(" ")}`;
    const known = texts.get(key);
    if (known !== undefined) return known;
    let number = 0;
    const mark = () => (kind === "postgres" ? `$${++number}` : "?");
    const row = () => `(${columns.map(mark).join(", ")})`;
    const names = columns.map((column) => `"${column}"`).join(", ");
    const text = `insert into "${table}" (${names}) values ${Array.from({ length: rows }, row).join(", ")}`;
    texts.set(key, text);
    return text;
  }

  async function insertRows(trx: Transaction<Tables>, table: string, rows: readonly AnyRow[]): Promise<void> {
    const columns = Object.keys(rows[0]!);
    const values: unknown[] = [];
    for (const row of rows) for (const column of columns) values.push(row[column]);
    await trx.executeQuery(CompiledQuery.raw(insertText(table, columns, rows.length), values));
  }

  async function undo(who: string, changeId: string): Promise<{ changeId: string }> {
    const change = await db.selectFrom("changes").selectAll().where("id", "=", changeId).executeTakeFirst();
    if (!change) throw refuseStore("change-unknown", `There is no change ${changeId}.`);
    const what = change.what.startsWith("Took back: ")
      ? `Did again: ${change.what.slice(11)}`
      : `Took back: ${change.what}`;
    const by = newId("ch");
    const undoing = async (writing: Writing) => {
      const now = await writing.db
        .selectFrom("changes")
        .selectAll()
        .where("id", "=", changeId)
        .executeTakeFirstOrThrow();
      if (now.undone_by !== null)
        throw refuseStore("change-undone-already", `“${change.what}” has been taken back already.`);
      const entries = JSON.parse(change.entries) as Entry[];
      for (const entry of [...entries].reverse()) await takeBack(writing, entry, change);
      await writing.db.updateTable("changes").set({ undone_by: by }).where("id", "=", changeId).execute();
    };
    await write({ who, what }, undoing, by);
    return { changeId: by };
  }

  async function takeBack(writing: Writing, entry: Entry, change: ChangeTableRow): Promise<void> {
    const raw = writing.db as unknown as Untyped;
    const stands =
      (await raw.selectFrom(entry.table).selectAll().where("id", "=", entry.id).executeTakeFirst()) ?? null;
    if (!sameRow(stands, entry.after)) throw await changedSince(writing.db, entry, change);
    if (entry.before === null) await writing.remove(entry.table, entry.id);
    else if (entry.after === null) await writing.insert(entry.table, entry.before as never);
    else {
      const { id: _id, version: _version, updated_at_ms: _at, ...set } = entry.before;
      await writing.update(entry.table, entry.id, set as never);
    }
  }

  async function changedSince(trx: Kysely<Tables>, entry: Entry, change: ChangeTableRow) {
    const later = await trx
      .selectFrom("change_records")
      .innerJoin("changes", "changes.seq", "change_records.change_seq")
      .select(["changes.who", "changes.what", "changes.id"])
      .where("record_id", "=", entry.id)
      .where("changes.seq", ">", change.seq)
      .orderBy("changes.seq", "desc")
      .executeTakeFirst();
    const by = later ? `“${later.what}” (${later.who}) came after it` : "it was changed since by other work";
    return refuseStore(
      "changed-since",
      `“${change.what}” cannot be taken back: ${by}.`,
      [{ field: `${entry.table}.${entry.id}` }],
      later ? { laterChange: later.id } : {},
    );
  }

  async function newestChange(from: Kysely<Tables>): Promise<number> {
    const row = await from
      .selectFrom("changes")
      .select("seq")
      .orderBy("seq", "desc")
      .limit(1)
      .executeTakeFirst();
    return row?.seq ?? 0;
  }

  return { write, together, undo, lastChange: () => newestChange(db), transact };
}

type ChangeTableRow = Omit<ChangeTable, "seq"> & { readonly seq: number };

/** Several writes of one row in one change become one entry, in the order of the first. */
function netEntries(log: readonly Entry[]): Entry[] {
  const net = new Map<string, Entry>();
  for (const entry of log) {
    const key = `${entry.table} ${entry.id}`;
    const known = net.get(key);
    net.set(key, known ? { ...known, after: entry.after } : entry);
  }
  return [...net.values()].filter((entry) => entry.before !== null || entry.after !== null);
}

function sameRow(a: Readonly<AnyRow> | null, b: Readonly<AnyRow> | null): boolean {
  if (a === null || b === null) return a === b;
  const columns = new Set([...Object.keys(a), ...Object.keys(b)]);
  return [...columns].every((column) => (a[column] ?? null) === (b[column] ?? null));
}

/** A database's own error in the studio's words, where it is one that may be expected. */
export function explained(error: unknown): unknown {
  const code = (error as { code?: unknown } | null)?.code;
  if (typeof code !== "string") return error;
  if (code === "SQLITE_CONSTRAINT_FOREIGNKEY" || code === "SQLITE_CONSTRAINT_TRIGGER")
    return refuseStore(
      "still-used",
      "Another record points to this one, or this one points to a record that is not there.",
    );
  if (code === "23503" || code === "23001")
    return refuseStore(
      "still-used",
      "Another record points to this one, or this one points to a record that is not there.",
    );
  if (code === "SQLITE_CONSTRAINT_UNIQUE" || code === "SQLITE_CONSTRAINT_PRIMARYKEY" || code === "23505")
    return refuseStore("already-there", "A record with this name or number is there already.");
  if (code === "SQLITE_FULL" || code === "53100")
    return refuseStore("disk-full", "The disk has no room for this.");
  if (code === "SQLITE_CORRUPT" || code === "SQLITE_NOTADB")
    return refuseStore("database-damaged", "The database file is damaged.");
  if (
    code === "57P01" ||
    code === "57P03" ||
    code === "08006" ||
    code === "08003" ||
    code === "ECONNREFUSED" ||
    code === "ECONNRESET"
  )
    return refuseStore("database-unreachable", "The database server does not answer just now.");
  return error;
}
