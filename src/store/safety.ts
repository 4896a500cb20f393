import { createHash, randomBytes } from "node:crypto";
import { createReadStream, createWriteStream, existsSync } from "node:fs";
import { mkdir, open, readdir, readFile, rename, rm, rmdir, stat } from "node:fs/promises";
import path from "node:path";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { createGunzip, createGzip } from "node:zlib";
import Database from "better-sqlite3";
import { Kysely, sql } from "kysely";
import { pathOfFile, syncFolder, writeWhole } from "./files";
import { firstBrokenLink } from "./floor-events";
import { dataFolder, type DataFolder, lockFolder, makeFolder } from "./folder";
import { schemaOf } from "./migrate";
import { refuseStore } from "./refusals";
import { sqliteDialect } from "./sqlite";
import { tarEnd, tarEntries, tarHeader, tarPadding } from "./tar";
import type { Tables } from "./tables";

/**
 * Backup, restore and check of a data folder. A backup is one file: the database copied by SQLite's own backup (a
 * plain copy would miss the write-ahead log), the kept files it names, and a list of what is in it.
 */

const FORMAT = "spoolwright/backup@1";
const DATABASE_ENTRY = "database.sqlite";
const LIST_ENTRY = "backup.json";
const STAGING = "restoring";
const VERIFIED = "verified";

interface BackupList {
  readonly format: typeof FORMAT;
  readonly program: string;
  readonly schema: number;
  readonly madeAt: string;
  readonly databaseSha256: string;
  readonly files: readonly string[];
}

export interface Checked {
  readonly schema: number;
  readonly database: "ok" | string;
  readonly danglingRows: number;
  readonly eventsChecked: number;
  readonly brokenEvent: number | null;
  readonly filesChecked: number;
  readonly missingFiles: readonly string[];
  readonly damagedFiles: readonly string[];
  readonly sound: boolean;
}

/** Looks everything over: the database's pages and keys, the chain of floor events, each kept file's hash. Changes nothing. */
export async function checkData(data: string): Promise<Checked> {
  const folder = dataFolder(data);
  return withReading(folder.database, async (db, file) => {
    const missingFiles: string[] = [];
    const damagedFiles: string[] = [];
    const hashes = await namedFiles(db);
    for (const hash of hashes) {
      const bytes = await readFile(pathOfFile(folder.files, hash)).catch(() => null);
      if (!bytes) missingFiles.push(hash);
      else if (createHash("sha256").update(bytes).digest("hex") !== hash) damagedFiles.push(hash);
    }
    const chain = await firstBrokenLink(db);
    const pages = (file.pragma("integrity_check(10)") as { integrity_check: string }[])
      .map((row) => row.integrity_check)
      .join("; ");
    const danglingRows = (file.pragma("foreign_key_check") as unknown[]).length;
    const sound =
      pages === "ok" &&
      danglingRows === 0 &&
      chain.brokenSeq === null &&
      missingFiles.length + damagedFiles.length === 0;
    return {
      schema: await schemaOf(db, "sqlite"),
      database: pages,
      danglingRows,
      eventsChecked: chain.checked,
      brokenEvent: chain.brokenSeq,
      filesChecked: hashes.length,
      missingFiles,
      damagedFiles,
      sound,
    };
  });
}

/** Writes a backup into the folder, also while the program runs; gives the file's path. */
export async function backUp(asked: {
  readonly data: string;
  readonly into: string;
  readonly program: string;
  readonly nowMs: number;
}): Promise<string> {
  const folder = dataFolder(asked.data);
  await mkdir(asked.into, { recursive: true });
  const stamp = new Date(asked.nowMs).toISOString().slice(0, 19).replaceAll(":", "-");
  const target = await freeName(
    path.join(path.resolve(asked.into), `spoolwright-backup-${stamp}`),
    ".tar.gz",
  );
  const copy = `${target}.${randomBytes(4).toString("hex")}.sqlite`;
  const part = `${target}.part`;
  try {
    await withReading(folder.database, async (_db, file) => {
      // A reading held open keeps the copy at one moment. Without it each write of the program begins the copy anew,
      // and one of a busy studio never ends.
      file.exec("begin");
      file.prepare("select count(*) from sqlite_master").get();
      await file.backup(copy);
      file.exec("commit");
    });
    const list = await withReading(copy, async (db, file): Promise<BackupList> => {
      file.pragma("quick_check(1)");
      return {
        format: FORMAT,
        program: asked.program,
        schema: await schemaOf(db, "sqlite"),
        madeAt: new Date(asked.nowMs).toISOString(),
        databaseSha256: await hashOfFile(copy),
        files: await namedFiles(db),
      };
    });
    await pipeline(
      Readable.from(entriesOf(folder, copy, list, asked.nowMs)),
      createGzip({ level: 6 }),
      createWriteStream(part, { mode: 0o600, flags: "wx" }),
    );
    await syncFile(part);
    await rename(part, target);
    await syncFolder(path.dirname(target));
    return target;
  } finally {
    for (const left of [copy, `${copy}-wal`, `${copy}-shm`, part]) await rm(left, { force: true });
  }
}

async function* entriesOf(
  folder: DataFolder,
  copy: string,
  list: BackupList,
  atMs: number,
): AsyncGenerator<Buffer> {
  const words = Buffer.from(JSON.stringify(list));
  yield tarHeader(LIST_ENTRY, words.length, atMs);
  yield words;
  yield tarPadding(words.length);
  const entries = [
    [DATABASE_ENTRY, copy],
    ...list.files.map((hash) => [`files/${hash}`, pathOfFile(folder.files, hash)]),
  ] as [string, string][];
  for (const [name, file] of entries) {
    const found = await stat(file).catch(() => null);
    if (!found)
      throw refuseStore(
        "file-unknown",
        `The kept file ${path.basename(file).slice(0, 12)}… is missing, so the backup would not be whole.`,
      );
    yield tarHeader(name, found.size, atMs);
    for await (const chunk of createReadStream(file)) yield chunk as Buffer;
    yield tarPadding(found.size);
  }
  yield tarEnd();
}

/**
 * Puts a backup in the place of what is in the data folder, once all of it has been read and found sound. What was
 * there is moved aside, never overwritten; the leftover write-ahead log goes with it. Gives the folder it is kept in.
 */
export async function restore(asked: {
  readonly data: string;
  readonly file: string;
  readonly nowMs: number;
}): Promise<{ readonly keptIn: string | null; readonly schema: number }> {
  const folder = dataFolder(asked.data);
  makeFolder(folder);
  const lock = lockFolder(folder);
  try {
    await finishRestore(folder);
    const staging = path.join(folder.root, STAGING);
    await rm(staging, { recursive: true, force: true });
    await mkdir(path.join(staging, "files"), { recursive: true, mode: 0o700 });
    try {
      const schema = await unpackBackup(asked.file, staging);
      const aside = await freeName(
        path.join(
          folder.root,
          `replaced-${new Date(asked.nowMs).toISOString().slice(0, 19).replaceAll(":", "-")}`,
        ),
        "",
      );
      await writeWhole(path.join(staging, VERIFIED), Buffer.from(JSON.stringify({ aside })));
      const keptIn = await finishRestore(folder);
      return { keptIn, schema };
    } catch (error) {
      if (!existsSync(path.join(staging, VERIFIED))) await rm(staging, { recursive: true, force: true });
      throw error;
    }
  } finally {
    lock.release();
  }
}

/** Carries a restore through that was found sound and then cut short; every step may be done twice. */
export async function finishRestore(folder: DataFolder): Promise<string | null> {
  const staging = path.join(folder.root, STAGING);
  const note = await readFile(path.join(staging, VERIFIED), "utf8").catch(() => null);
  if (note === null) return null;
  const { aside } = JSON.parse(note) as { aside: string };
  const places: [string, string][] = [
    [path.join(staging, DATABASE_ENTRY), folder.database],
    [path.join(staging, "files"), folder.files],
  ];
  for (const [fresh, place] of places) {
    if (!existsSync(fresh)) continue;
    for (const old of [`${place}-wal`, `${place}-shm`, place]) {
      if (!existsSync(old)) continue;
      // A folder of files that holds none is nothing to keep.
      if (
        old === folder.files &&
        (await rmdir(old).then(
          () => true,
          () => false,
        ))
      )
        continue;
      await mkdir(aside, { recursive: true, mode: 0o700 });
      await rename(old, path.join(aside, path.basename(old)));
    }
    await rename(fresh, place);
    await syncFolder(folder.root);
  }
  await rm(staging, { recursive: true, force: true });
  return existsSync(aside) ? aside : null;
}

async function unpackBackup(file: string, staging: string): Promise<number> {
  const unreadable = (why: string) =>
    refuseStore("backup-unreadable", `${path.basename(file)}: ${why}.`, [
      { field: "FILE", found: why, expected: "a whole backup made by spoolwright backup" },
    ]);
  let list: BackupList | null = null;
  const seen = new Map<string, string>();
  try {
    const unpacked = createGunzip();
    // Errors of the file reach the reader through what it reads from.
    const reading = pipeline(createReadStream(file), unpacked).catch(
      (error: unknown) => void unpacked.destroy(error as Error),
    );
    for await (const entry of tarEntries(unpacked)) {
      if (entry.name === LIST_ENTRY) list = listOf(await whole(entry.chunks, entry.size));
      else if (entry.name === DATABASE_ENTRY || /^files\/[0-9a-f]{64}$/.test(entry.name))
        seen.set(entry.name, await keep(entry.chunks, targetOf(staging, entry.name)));
      else throw new Error(`an entry that does not belong there (${entry.name.slice(0, 60)})`);
    }
    await reading;
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    if (code === "ENOSPC") throw refuseStore("disk-full", "The disk has no room to unpack the backup.");
    throw unreadable(
      code === "ENOENT"
        ? "there is no such file"
        : code?.startsWith("Z_")
          ? "damaged, or no backup"
          : (error as Error).message,
    );
  }
  if (!list) throw unreadable("its list is missing");
  if (seen.get(DATABASE_ENTRY) !== list.databaseSha256) throw unreadable("its database is damaged");
  for (const hash of list.files)
    if (seen.get(`files/${hash}`) !== hash)
      throw unreadable(
        `its file ${hash.slice(0, 12)}… is ${seen.has(`files/${hash}`) ? "damaged" : "missing"}`,
      );
  return withReading(targetOf(staging, DATABASE_ENTRY), async (db, opened) => {
    const pages = (opened.pragma("integrity_check(1)") as { integrity_check: string }[])[0]?.integrity_check;
    if (pages !== "ok") throw unreadable("its database is damaged");
    return schemaOf(db, "sqlite");
  }).finally(async () => {
    for (const left of ["-wal", "-shm"]) await rm(targetOf(staging, DATABASE_ENTRY) + left, { force: true });
  });
}

const targetOf = (staging: string, name: string) =>
  name === DATABASE_ENTRY
    ? path.join(staging, name)
    : pathOfFile(path.join(staging, "files"), name.slice("files/".length));

function listOf(bytes: Buffer): BackupList {
  const list = JSON.parse(bytes.toString("utf8")) as BackupList;
  if (list.format !== FORMAT || !Array.isArray(list.files))
    throw new Error(`of the form ${String(list.format).slice(0, 40)}, not ${FORMAT}`);
  return list;
}

async function whole(chunks: AsyncGenerator<Buffer>, size: number): Promise<Buffer> {
  if (size > 100_000_000) throw new Error("its list is too long");
  const parts: Buffer[] = [];
  for await (const chunk of chunks) parts.push(Buffer.from(chunk));
  return Buffer.concat(parts);
}

/** Writes what streams in and gives its SHA-256; synced before it counts. */
async function keep(chunks: AsyncGenerator<Buffer>, target: string): Promise<string> {
  await mkdir(path.dirname(target), { recursive: true, mode: 0o700 });
  const hash = createHash("sha256");
  const handle = await open(target, "wx", 0o600);
  try {
    for await (const chunk of chunks) {
      hash.update(chunk);
      await handle.writeFile(chunk);
    }
    await handle.sync();
  } finally {
    await handle.close();
  }
  return hash.digest("hex");
}

async function hashOfFile(file: string): Promise<string> {
  const hash = createHash("sha256");
  for await (const chunk of createReadStream(file)) hash.update(chunk as Buffer);
  return hash.digest("hex");
}

async function syncFile(file: string): Promise<void> {
  const handle = await open(file, "r+");
  await handle.sync();
  await handle.close();
}

const hasTable = async (db: Kysely<Tables>, name: string) =>
  (await sql`select 1 from sqlite_master where type = 'table' and name = ${name}`.execute(db)).rows.length >
  0;

async function namedFiles(db: Kysely<Tables>): Promise<string[]> {
  const rows = await Promise.all([
    db.selectFrom("design_versions").select("file_hash").distinct().execute(),
    db.selectFrom("imports").select("file_hash").distinct().execute(),
    // A folder that was not upgraded yet has no fonts.
    (await hasTable(db, "fonts")) ? db.selectFrom("fonts").select("file_hash").distinct().execute() : [],
    (await hasTable(db, "placing_photos"))
      ? db.selectFrom("placing_photos").select("file_hash").distinct().execute()
      : [],
  ]);
  // Artwork a design was made of is named in its making.
  const makings = await db
    .selectFrom("design_versions")
    .select("making")
    .where("making", "like", '%"fileHash"%')
    .execute();
  const drawn = makings.flatMap(({ making }) =>
    [...(making ?? "").matchAll(/"fileHash":"([0-9a-f]{64})"/g)].map((found) => found[1]!),
  );
  return [...new Set([...rows.flat().map((row) => row.file_hash), ...drawn])]
    .filter((hash) => /^[0-9a-f]{64}$/.test(hash))
    .sort();
}

/** A connection that reads only, closed afterwards; a file that is no database is refused. */
async function withReading<T>(
  file: string,
  work: (db: Kysely<Tables>, opened: Database.Database) => T | Promise<T>,
): Promise<T> {
  let opened: Database.Database;
  try {
    opened = new Database(file, { readonly: true, fileMustExist: true });
    opened.pragma("schema_version");
  } catch (error) {
    const code = (error as { code?: string }).code ?? "";
    if (code === "SQLITE_NOTADB" || code.startsWith("SQLITE_CORRUPT"))
      throw refuseStore("database-damaged", `${file} is damaged.`);
    throw refuseStore("data-folder-unusable", `There is no database to read at ${file}.`);
  }
  const db = new Kysely<Tables>({ dialect: sqliteDialect(opened) });
  try {
    return await work(db, opened);
  } catch (error) {
    if (String((error as { code?: string }).code).startsWith("SQLITE_CORRUPT"))
      throw refuseStore("database-damaged", `${file} is damaged.`);
    throw error;
  } finally {
    await db.destroy();
    if (opened.open) opened.close();
  }
}

async function freeName(stem: string, ending: string): Promise<string> {
  const taken = new Set(await readdir(path.dirname(stem)).catch(() => []));
  for (let n = 1; ; n++) {
    const name = `${stem}${n === 1 ? "" : `-${n}`}${ending}`;
    if (!taken.has(path.basename(name))) return name;
  }
}
