import {
  closeSync,
  copyFileSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  rmSync,
  truncateSync,
  writeFileSync,
  writeSync,
} from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { backUp, type CatalogueTable, checkData, migrations, openStore, restore, type Store } from "#store";
import { assertDurable, openSqliteFile } from "../../src/store/sqlite";

let root: string;
let data: string;
beforeEach(() => {
  root = mkdtempSync(path.join(tmpdir(), "safety-"));
  data = path.join(root, "data");
});
afterEach(() => rmSync(root, { recursive: true, force: true }));

let ids = 0;
const open = (folder = data) =>
  openStore({ data: folder, nowMs: () => 1_795_597_200_000, newId: (prefix) => `${prefix}_${++ids}` });
const thread = (id: string): CatalogueTable => ({
  id,
  version: 1,
  archived: 0,
  created_at_ms: 1,
  updated_at_ms: 1,
  code: id,
  name: "Tide",
  search: "",
  body: "{}",
});

async function fill(store: Store, n: number): Promise<void> {
  for (let i = 0; i < n; i++)
    await store.write({ who: "Mara", what: `Added ${i}` }, (writing) =>
      writing.insert("threads", thread(`t${i}`)),
    );
  const hash = await store.files.put(Buffer.from("a machine file"));
  await store.write({ who: "Mara", what: "Brought in" }, async (writing) => {
    await writing.insert("designs", {
      id: "d1",
      version: 1,
      archived: 0,
      created_at_ms: 1,
      updated_at_ms: 1,
      name: "Gull",
      note: "",
      search: "gull",
      kind: "picture",
      latest_version_id: "v1",
    });
    await writing.insert("design_versions", {
      id: "v1",
      design_id: "d1",
      number: 1,
      source: "made",
      file_name: "gull.dst",
      made_at_ms: 1,
      file_hash: hash,
      making: null,
      making_key: null,
      stitches: 0,
      jumps: 0,
      stops: 0,
      trims: 0,
      report: "{}",
      findings: "[]",
      thread_ids: "[]",
    });
  });
}
const countThreads = async (folder: string) => {
  const store = await open(folder);
  const rows = await store.db.selectFrom("threads").select("id").execute();
  await store.close();
  return rows.length;
};
const backup = () =>
  backUp({ data, into: path.join(root, "backups"), program: "1.2.3", nowMs: 1_795_597_200_000 });

describe("every connection", () => {
  it("has synchronous=FULL, foreign keys and the write-ahead log on, and one that has not is refused", () => {
    const file = path.join(root, "x.sqlite");
    const db = openSqliteFile(file);
    expect(db.pragma("synchronous", { simple: true })).toBe(2);
    for (const [pragma, back] of [
      ["synchronous = NORMAL", "synchronous = FULL"],
      ["foreign_keys = OFF", "foreign_keys = ON"],
    ] as const) {
      db.pragma(pragma);
      expect(() => assertDurable(db, file)).toThrow(
        expect.objectContaining({ code: "database-unsafe" }) as Error,
      );
      db.pragma(back);
    }
    db.close();
  });
});

describe("a backup", () => {
  it("taken while the program writes holds everything acknowledged before it, and comes back on an empty computer", async () => {
    const store = await open();
    await fill(store, 50);
    let going = true;
    const writing = (async () => {
      for (let i = 100; going; i++)
        await store
          .write({ who: "Mara", what: "More" }, (one) => one.insert("threads", thread(`t${i}`)))
          .then(() => new Promise((turn) => setImmediate(turn)));
    })();
    const file = await backup();
    going = false;
    await writing;
    await store.close();
    const elsewhere = path.join(root, "elsewhere");
    expect(await restore({ data: elsewhere, file, nowMs: 0 })).toMatchObject({
      keptIn: null,
      schema: migrations.length,
    });
    expect(await countThreads(elsewhere)).toBeGreaterThanOrEqual(50);
    expect(await checkData(elsewhere)).toMatchObject({ sound: true, filesChecked: 1 });
  });

  it("never lies over an older one, and leaves nothing half-written beside it", async () => {
    await fill(await open().then((store) => store), 1).catch(() => undefined);
    const [one, two] = [await backup(), await backup()];
    expect(one).not.toBe(two);
    expect(readdirSync(path.join(root, "backups")).sort()).toEqual(
      [one, two].map((file) => path.basename(file)).sort(),
    );
  });

  it("is refused when a file the records name is missing", async () => {
    const store = await open();
    await fill(store, 1);
    rmSync(path.join(data, "files"), { recursive: true });
    await expect(backup()).rejects.toMatchObject({ code: "file-unknown" });
    expect(readdirSync(path.join(root, "backups"))).toEqual([]);
    await store.close();
  });
});

describe("restoring", () => {
  it("keeps what was there aside, with its write-ahead log, which never lies beside the restored database", async () => {
    const store = await open();
    await fill(store, 3);
    const file = await backup();
    for (let i = 10; i < 20; i++)
      await store.write({ who: "Mara", what: "Later" }, (writing) =>
        writing.insert("threads", thread(`t${i}`)),
      );
    // As after a kill: the log of the later writes stands beside the database.
    const killed = path.join(root, "killed");
    cpSync(data, killed, { recursive: true });
    rmSync(path.join(killed, "lock.sqlite"), { force: true });
    await store.close();
    expect(existsSync(path.join(killed, "spoolwright.sqlite-wal"))).toBe(true);
    const done = await restore({ data: killed, file, nowMs: 0 });
    expect(await countThreads(killed)).toBe(3);
    const aside = new Database(path.join(done.keptIn!, "spoolwright.sqlite"), { readonly: true });
    expect(aside.prepare("select count(*) from threads").pluck().get()).toBe(13);
    aside.close();
  });

  it("is refused while the program runs", async () => {
    const store = await open();
    await fill(store, 1);
    const file = await backup();
    await expect(restore({ data, file, nowMs: 0 })).rejects.toMatchObject({ code: "data-folder-in-use" });
    await store.close();
  });

  it("of a damaged, cut or foreign file changes nothing", async () => {
    const store = await open();
    await fill(store, 5);
    const good = await backup();
    await store.close();
    const whole = readFileSync(good);
    const bad: Record<string, Buffer> = {
      "cut.gz": whole.subarray(0, whole.length / 2),
      "cut-at-end.gz": whole.subarray(0, whole.length - 9),
      "flipped.gz": Buffer.from(
        whole.map((byte, i) => (i === Math.floor(whole.length / 2) ? byte ^ 0x10 : byte)),
      ),
      "words.gz": Buffer.from("not a backup"),
      "empty.gz": Buffer.alloc(0),
    };
    for (const [name, bytes] of Object.entries(bad)) {
      writeFileSync(path.join(root, name), bytes);
      await expect(restore({ data, file: path.join(root, name), nowMs: 0 }), name).rejects.toMatchObject({
        code: "backup-unreadable",
      });
    }
    await expect(restore({ data, file: path.join(root, "none.gz"), nowMs: 0 })).rejects.toMatchObject({
      code: "backup-unreadable",
    });
    expect(await countThreads(data)).toBe(5);
    expect(
      readdirSync(data).filter((name) => name.startsWith("restoring") || name.startsWith("replaced")),
    ).toEqual([]);
  });

  it("that was cut short between its two moves is carried through at the next start", async () => {
    const store = await open();
    await fill(store, 4);
    await store.close();
    const staging = path.join(data, "restoring");
    mkdirSync(path.join(staging, "files"), { recursive: true });
    copyFileSync(path.join(data, "spoolwright.sqlite"), path.join(staging, "database.sqlite"));
    writeFileSync(path.join(staging, "verified"), JSON.stringify({ aside: path.join(data, "replaced-x") }));
    // The old database has been moved aside, the new one has not been moved in: a naive start would begin empty.
    mkdirSync(path.join(data, "replaced-x"));
    cpSync(path.join(data, "spoolwright.sqlite"), path.join(data, "replaced-x", "spoolwright.sqlite"));
    rmSync(path.join(data, "spoolwright.sqlite"));
    expect(await countThreads(data)).toBe(4);
    expect(existsSync(staging)).toBe(false);
  });
});

describe("a damaged database", () => {
  const damage: Record<string, (file: string) => void> = {
    "a zeroed page": (file) => write(file, Buffer.alloc(4096), 4096 * 3),
    "another file's bytes": (file) => writeFileSync(file, Buffer.from("no database at all ".repeat(500))),
    "half of it gone": (file) => truncateSync(file, 4096 * 20),
  };
  const write = (file: string, bytes: Buffer, at: number) => {
    const handle = openSync(file, "r+");
    writeSync(handle, bytes, 0, bytes.length, at);
    closeSync(handle);
  };
  it.each(Object.keys(damage))("(%s) is refused at the start and left as it is", async (what) => {
    const store = await open();
    await fill(store, 30);
    await store.close();
    const file = path.join(data, "spoolwright.sqlite");
    damage[what]!(file);
    const before = readFileSync(file);
    await expect(open()).rejects.toMatchObject({ code: "database-damaged" });
    expect(Buffer.compare(readFileSync(file), before)).toBe(0);
  });
});

it("a missing and a damaged kept file are named by the check", async () => {
  const store = await open();
  await fill(store, 1);
  await store.close();
  const [folder] = readdirSync(path.join(data, "files"));
  const [hash] = readdirSync(path.join(data, "files", folder!));
  writeFileSync(path.join(data, "files", folder!, hash!), "another content");
  expect(await checkData(data)).toMatchObject({ sound: false, damagedFiles: [hash] });
  rmSync(path.join(data, "files", folder!, hash!));
  expect(await checkData(data)).toMatchObject({ sound: false, missingFiles: [hash] });
});
