import { existsSync } from "node:fs";
import { mkdir } from "node:fs/promises";
import path from "node:path";
import type Database from "better-sqlite3";
import { Kysely } from "kysely";
import { memoryFileStore, fileStore } from "./files";
import { dataFolder, lockFolder, makeFolder } from "./folder";
import { migrate, schemaOf } from "./migrate";
import { type Migration, migrations } from "./migrations";
import { assertDurableServer, postgresDialect, postgresPool } from "./postgres";
import { refuseStore } from "./refusals";
import { keyedRequests } from "./requests";
import { openSqliteFile, sqliteDialect } from "./sqlite";
import { finishRestore } from "./safety";
import type { Store } from "./store";
import type { Tables } from "./tables";
import { writer } from "./writing";

export interface StoreAsked {
  /** The data folder, or "memory" for a database that is gone when it is closed. */
  readonly data: string;
  /** A PostgreSQL address; without one the database is SQLite in the data folder. */
  readonly databaseUrl?: string | undefined;
  readonly nowMs: () => number;
  readonly newId: (prefix: string) => string;
  /** Told after each commit which lists changed. */
  readonly onTouched?: (lists: readonly string[], ids: readonly string[]) => void;
  /** Told in words what happens at the start: a copy made, a schema raised. */
  readonly onNotice?: (words: string) => void;
  /** The steps of the schema; tests give their own. */
  readonly steps?: readonly Migration[];
}

/**
 * Opens the store: takes the folder, looks the database over, copies it before its schema is raised, raises it.
 * Refuses a folder in use, a damaged database, a newer schema, and settings that would lose acknowledged writes.
 */
export async function openStore(asked: StoreAsked): Promise<Store> {
  const releases: (() => void | Promise<void>)[] = [];
  const release = async () => {
    for (const one of releases.splice(0).reverse()) await one();
  };
  try {
    const inMemory = asked.data === "memory";
    const folder = dataFolder(inMemory ? "." : asked.data);
    if (!inMemory) {
      makeFolder(folder);
      const lock = lockFolder(folder);
      releases.push(() => lock.release());
      const kept = await finishRestore(folder);
      if (kept)
        asked.onNotice?.(
          `A restore that was cut short has been carried through; what was there before is in ${kept}.`,
        );
    }
    const steps = asked.steps ?? migrations;
    const opened = asked.databaseUrl
      ? await openPostgres(asked.databaseUrl, asked)
      : openSqlite(inMemory ? ":memory:" : folder.database);
    releases.push(() => opened.db.destroy());
    const schema = await schemaOf(opened.db, opened.kind, steps);
    if (schema > 0 && schema < steps.length) {
      if (opened.file && !inMemory) {
        const copy = await copyBeforeUpgrade(opened.file, folder.backups, schema, asked.nowMs());
        asked.onNotice?.(`The database was copied to ${copy} before its upgrade.`);
      } else
        asked.onNotice?.("The database is upgraded; its copies are made by the database server's own tools.");
    }
    await migrate(opened.db, opened.kind, asked.nowMs(), steps);
    if (schema > 0 && schema < steps.length)
      asked.onNotice?.(`The database went from schema ${schema} to ${steps.length}.`);
    return assemble(asked, {
      ...opened,
      schema: steps.length,
      files: inMemory ? memoryFileStore() : fileStore(folder.files),
      release,
    });
  } catch (error) {
    await release();
    throw error;
  }
}

interface Opened {
  readonly kind: "sqlite" | "postgres";
  readonly db: Kysely<Tables>;
  readonly file?: Database.Database;
}

async function assemble(
  asked: StoreAsked,
  opened: Opened & { schema: number; files: Store["files"]; release: () => Promise<void> },
): Promise<Store> {
  const { kind, db, schema, files } = opened;
  const { onWriting, ...requests } = keyedRequests(db, asked.nowMs);
  const { write, together, undo, lastChange } = writer({
    db,
    kind,
    nowMs: asked.nowMs,
    newId: asked.newId,
    onWriting,
    onTouched: asked.onTouched ?? (() => undefined),
  });
  await requests.sweep();
  let closing: Promise<void> | undefined;
  const store: Store = {
    kind,
    db,
    schema,
    files,
    requests,
    lastChange,
    undo,
    write: (about, work) => write(about, work),
    together: (work) =>
      together((within) => {
        const whole: Store = { ...store, ...within, together: (inner) => inner(whole) };
        return work(whole);
      }),
    close: () => (closing ??= closeWhole(opened)),
  };
  return store;
}

/** Waits for its turn behind the writes under way, folds the write-ahead log into the database, lets the folder go. */
async function closeWhole(opened: Opened & { release: () => Promise<void> }): Promise<void> {
  await opened.db.selectFrom("settings").select("key").limit(1).execute();
  if (opened.file?.open && !opened.file.memory) opened.file.pragma("wal_checkpoint(TRUNCATE)");
  await opened.release();
}

function openSqlite(name: string): Opened {
  let file: Database.Database | undefined;
  try {
    file = openSqliteFile(name);
    const found = file.pragma("quick_check(5)") as { quick_check: string }[];
    if (found[0]?.quick_check !== "ok")
      throw refuseStore(
        "database-damaged",
        `${name} is damaged: ${found.map((row) => row.quick_check).join("; ")}.`,
      );
    return { kind: "sqlite", db: new Kysely<Tables>({ dialect: sqliteDialect(file) }), file };
  } catch (error) {
    file?.close();
    const code = (error as { code?: string }).code ?? "";
    if (code === "SQLITE_NOTADB" || code.startsWith("SQLITE_CORRUPT"))
      throw refuseStore("database-damaged", `${name} is damaged (${(error as Error).message}).`);
    if (
      code.startsWith("SQLITE_CANTOPEN") ||
      code.startsWith("SQLITE_READONLY") ||
      code.startsWith("SQLITE_IOERR")
    )
      throw refuseStore("data-folder-unusable", `${name} cannot be opened for writing (${code}).`);
    throw error;
  }
}

async function openPostgres(url: string, asked: StoreAsked): Promise<Opened> {
  const pool = postgresPool(url, (error) =>
    asked.onNotice?.(`A connection to the database was lost: ${error.message}`),
  );
  try {
    await assertDurableServer(pool);
  } catch (error) {
    await pool.end();
    throw error;
  }
  return { kind: "postgres", db: new Kysely<Tables>({ dialect: postgresDialect(pool) }) };
}

/** A copy through SQLite's own backup (a plain file copy would miss the write-ahead log). Never over an older one. */
async function copyBeforeUpgrade(
  file: Database.Database,
  backups: string,
  schema: number,
  atMs: number,
): Promise<string> {
  await mkdir(backups, { recursive: true });
  const stamp = new Date(atMs).toISOString().replace(/[:.]/g, "-");
  let target = path.join(backups, `before-upgrade-from-schema-${schema}-${stamp}.sqlite`);
  for (let n = 2; existsSync(target); n++)
    target = path.join(backups, `before-upgrade-from-schema-${schema}-${stamp}-${n}.sqlite`);
  await file.backup(target);
  return target;
}
