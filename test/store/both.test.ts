import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import Database from "better-sqlite3";
import { sql } from "kysely";
import { seededChance } from "#core/base";
import {
  appendFloorEvents,
  type CatalogueTable,
  firstBrokenLink,
  migrations,
  openStore,
  type Store,
} from "#store";
import { startPostgres, type TestPostgres } from "#test/postgres";

/** One suite, both databases. */
let postgres: TestPostgres;
beforeAll(async () => {
  postgres = await startPostgres();
});
afterAll(() => postgres.stop());

const thread = (id: string, own: Partial<CatalogueTable> = {}): CatalogueTable => ({
  id,
  version: 1,
  archived: 0,
  created_at_ms: 1,
  updated_at_ms: 1,
  code: id,
  name: "Tide",
  search: "tide",
  body: "{}",
  ...own,
});
const asked = (what: string) => ({ who: "Mara", what });

describe.each(["sqlite", "postgres"] as const)("the store on %s", (kind) => {
  let store: Store;
  let touched: { lists: readonly string[]; ids: readonly string[] }[];
  let nowMs = 1_000;
  let folder: string;
  let url: string | undefined;

  const open = () => {
    let n = 0;
    return openStore({
      data: folder,
      databaseUrl: url,
      nowMs: () => nowMs,
      newId: (prefix) => `${prefix}_${nowMs}_${++n}`,
      onTouched: (lists, ids) => touched.push({ lists, ids }),
    });
  };
  beforeEach(async () => {
    folder = mkdtempSync(path.join(tmpdir(), "store-"));
    url = kind === "postgres" ? await postgres.freshDatabase() : undefined;
    touched = [];
    nowMs = 1_000;
    store = await open();
  });
  afterEach(async () => {
    await store.close();
    rmSync(folder, { recursive: true, force: true });
  });

  it("has every column tables.ts names and no other", async () => {
    const tables = (await store.db.introspection.getTables()).filter(
      (table) => table.name !== "schema_steps",
    );
    const found = Object.fromEntries(
      tables.map((table) => [table.name, table.columns.map((column) => column.name).sort()]),
    );
    expect(found).toEqual(columnsOfTables());
  });

  it("keeps whole numbers as numbers and sorts text by its bytes", async () => {
    await store.write(asked("Added"), async (writing) => {
      for (const id of ["b", "B", "a", "Ä", "_"])
        await writing.insert("threads", thread(id, { created_at_ms: 1_795_597_200_000 }));
    });
    const rows = await store.db.selectFrom("threads").select(["id", "created_at_ms"]).orderBy("id").execute();
    expect(rows.map((row) => row.id)).toEqual(["B", "_", "a", "b", "Ä"]);
    expect(rows[0]!.created_at_ms).toBe(1_795_597_200_000);
    const sum = await store.db
      .selectFrom("threads")
      .select((of) => [of.fn.countAll<number>().as("n"), of.fn.sum<number>("version").as("sum")])
      .executeTakeFirstOrThrow();
    expect(sum).toEqual({ n: 5, sum: 5 });
  });

  it("a write that throws leaves nothing behind and tells nobody", async () => {
    const failing = store.write(asked("Added"), async (writing) => {
      await writing.insert("threads", thread("t1"));
      throw new Error("half way");
    });
    await expect(failing).rejects.toThrow("half way");
    expect(await store.db.selectFrom("threads").selectAll().execute()).toEqual([]);
    expect(await store.db.selectFrom("changes").selectAll().execute()).toEqual([]);
    expect(touched).toEqual([]);
  });

  it("a hundred writes at once are done one after the other, none inside another", async () => {
    await store.write(asked("Added"), (writing) => writing.insert("threads", thread("t1", { body: "0" })));
    const raises = Array.from({ length: 100 }, (_, n) =>
      store.write(asked(`Raise ${n}`), async (writing) => {
        const row = await writing.db
          .selectFrom("threads")
          .selectAll()
          .where("id", "=", "t1")
          .executeTakeFirstOrThrow();
        await Promise.resolve();
        if (n % 10 === 3) throw new Error("every tenth fails");
        await writing.update("threads", "t1", { body: String(Number(row.body) + 1) });
      }),
    );
    const reads = Array.from({ length: 50 }, () => store.db.selectFrom("threads").selectAll().execute());
    const done = await Promise.allSettled(raises);
    expect(done.filter((one) => one.status === "rejected")).toHaveLength(10);
    expect((await Promise.all(reads)).every((rows) => rows.length === 1)).toBe(true);
    const row = await store.db.selectFrom("threads").selectAll().executeTakeFirstOrThrow();
    expect(row).toMatchObject({ body: "90", version: 91 });
    const seqs = (await store.db.selectFrom("changes").select("seq").orderBy("seq").execute()).map(
      (one) => one.seq,
    );
    expect(seqs).toHaveLength(91);
  });

  it("many rows changed at once are kept, told and taken back as each alone would be", async () => {
    await store.write(asked("Added"), (writing) =>
      writing.insertAll(
        "threads",
        Array.from({ length: 123 }, (_, n) => thread(`t${n}`, { version: n % 2 === 0 ? 1 : 7 })),
      ),
    );
    nowMs = 2_000;
    const ids = ["t5", ...Array.from({ length: 115 }, (_, n) => `t${n}`), "t5"];
    const { result, changeId } = await store.write(asked("Renamed"), (writing) =>
      writing.updateAll("threads", ids, { name: "Foam" }),
    );
    expect(result.map((row) => row.id)).toEqual(ids);
    expect(result[0]).toMatchObject({ name: "Foam", version: 8, updated_at_ms: 2_000 });
    expect(result[1]).toMatchObject({ name: "Foam", version: 2 });
    expect(new Set(touched.at(-1)!.ids)).toEqual(new Set(ids));
    const named = async (name: string) =>
      (await store.db.selectFrom("threads").select("id").where("name", "=", name).execute()).length;
    expect([await named("Foam"), await named("Tide")]).toEqual([115, 8]);
    await store.undo("Mara", changeId!);
    expect([await named("Foam"), await named("Tide")]).toEqual([0, 123]);
    await expect(
      store.write(asked("Renamed"), (writing) =>
        writing.updateAll("threads", ["t1", "none"], { name: "Foam" }),
      ),
    ).rejects.toThrow("There is no record none");
    expect(await named("Foam")).toBe(0);
  });

  it("writes done together are changes of their own that stand or fall together", async () => {
    const seen = await store.together(async (within) => {
      await within.write(asked("One"), (writing) => writing.insert("threads", thread("t1")));
      await within.write(asked("Two"), (writing) => writing.update("threads", "t1", { name: "Foam" }));
      expect(touched).toEqual([]);
      return within.db.selectFrom("threads").select("name").execute();
    });
    expect(seen).toEqual([{ name: "Foam" }]);
    expect(touched).toEqual([{ lists: ["threads"], ids: ["t1"] }]);
    const changes = await store.db.selectFrom("changes").select(["id", "what"]).orderBy("seq").execute();
    expect(changes.map((change) => change.what)).toEqual(["One", "Two"]);
    await store.undo("Mara", changes[1]!.id);
    expect(await store.db.selectFrom("threads").select("name").execute()).toEqual([{ name: "Tide" }]);
  });

  it("a write that fails takes those done together with it, even where its caller goes on", async () => {
    const going = store.together(async (within) => {
      await within.write(asked("One"), (writing) => writing.insert("threads", thread("t1")));
      await within
        .write(asked("Two"), async (writing) => {
          await writing.insert("threads", thread("t2"));
          throw new Error("half way");
        })
        .catch(() => undefined);
    });
    await expect(going).rejects.toThrow("half way");
    expect(await store.db.selectFrom("threads").selectAll().execute()).toEqual([]);
    expect(await store.db.selectFrom("changes").selectAll().execute()).toEqual([]);
    expect(touched).toEqual([]);
  });

  it("using the store itself inside a write is a fault that is told, not a wait without end", async () => {
    const nested = store.write(
      asked("Added"),
      async () => void (await store.db.selectFrom("threads").selectAll().execute()),
    );
    await expect(nested).rejects.toThrow(/inside a write/);
    const twice = store.write(
      asked("Added"),
      async () =>
        void (await store.write(asked("Added"), (writing) => writing.insert("threads", thread("t1")))),
    );
    await expect(twice).rejects.toThrow(/inside a write/);
    await store.write(asked("Added"), (writing) => writing.insert("threads", thread("t2")));
  });

  it("raises the version and the time of what is changed, and tells which lists changed after the commit", async () => {
    await store.write(asked("Added"), (writing) => writing.insert("threads", thread("t1")));
    nowMs = 5_000;
    const done = await store.write(asked("Changed"), async (writing) => {
      writing.touch("plan", "p1");
      return writing.update("threads", "t1", { name: "Ebb" });
    });
    expect(done.result).toMatchObject({ name: "Ebb", version: 2, updated_at_ms: 5_000 });
    expect(touched.at(-1)).toEqual({ lists: ["plan", "threads"], ids: ["p1", "t1"] });
    expect(await store.lastChange()).toBe(done.seq);
  });

  describe("taking back", () => {
    it("puts many rows back as they were, and can itself be taken back", async () => {
      await store.write(asked("Added"), async (writing) => {
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
          latest_version_id: null,
        });
        await writing.insert("threads", thread("t1"));
        await writing.insert("threads", thread("t2"));
      });
      const before = await store.db.selectFrom("threads").selectAll().orderBy("id").execute();
      const { changeId } = await store.write(asked("Much at once"), async (writing) => {
        await writing.update("threads", "t1", { name: "A" });
        await writing.update("threads", "t1", { name: "B" });
        await writing.remove("threads", "t2");
        await writing.insert("threads", thread("t3"));
        await writing.insert("threads", thread("t4"));
        await writing.remove("threads", "t4");
      });
      const undo = await store.undo("Mara", changeId!);
      const names = async () =>
        (await store.db.selectFrom("threads").select(["id", "name"]).orderBy("id").execute()).map(
          (row) => `${row.id} ${row.name}`,
        );
      expect(await names()).toEqual(before.map((row) => `${row.id} ${row.name}`));
      await store.undo("Mara", undo.changeId);
      expect(await names()).toEqual(["t1 B", "t3 Tide"]);
      await expect(store.undo("Mara", undo.changeId)).rejects.toMatchObject({
        code: "change-undone-already",
      });
      await expect(store.undo("Mara", "ch_none")).rejects.toMatchObject({ code: "change-unknown" });
    });

    it("refuses when a row was changed since, by a tracked write or not, and leaves everything", async () => {
      const added = await store.write(asked("Added two"), async (writing) => {
        await writing.insert("threads", thread("t1"));
        await writing.insert("threads", thread("t2"));
      });
      await store.write({ who: "Jonas", what: "Renamed" }, (writing) =>
        writing.update("threads", "t1", { name: "Ebb" }),
      );
      await expect(store.undo("Mara", added.changeId!)).rejects.toMatchObject({
        code: "changed-since",
        message: expect.stringContaining("Renamed” (Jonas)") as string,
      });
      expect(await store.db.selectFrom("threads").selectAll().execute()).toHaveLength(2);
    });

    it("refuses to take away what something else points to", async () => {
      const { changeId } = await store.write(asked("Added a design"), (writing) =>
        writing.insert("designs", {
          id: "d1",
          version: 1,
          archived: 0,
          created_at_ms: 1,
          updated_at_ms: 1,
          name: "Gull",
          note: "",
          search: "gull",
          kind: "picture",
          latest_version_id: null,
        }),
      );
      await store.write(asked("Added a version"), (writing) =>
        writing.insert("design_versions", {
          id: "v1",
          design_id: "d1",
          number: 1,
          source: "made",
          file_name: "",
          made_at_ms: 1,
          file_hash: "",
          making: null,
          making_key: null,
          stitches: 0,
          jumps: 0,
          stops: 0,
          trims: 0,
          report: "{}",
          findings: "[]",
          thread_ids: "[]",
        }),
      );
      await expect(store.undo("Mara", changeId!)).rejects.toMatchObject({ code: "still-used" });
      expect(await store.db.selectFrom("designs").selectAll().execute()).toHaveLength(1);
    });

    it("of two who take the same back at once, one does", async () => {
      const { changeId } = await store.write(asked("Added"), (writing) =>
        writing.insert("threads", thread("t1")),
      );
      const both = await Promise.allSettled([store.undo("Mara", changeId!), store.undo("Jonas", changeId!)]);
      expect(both.map((one) => one.status).sort()).toEqual(["fulfilled", "rejected"]);
    });
  });

  it("nothing points to what is not there", async () => {
    const dangling = store.write(asked("Added"), (writing) =>
      writing.insert("order_lines", {
        id: "l1",
        order_id: "or_none",
        position: 0,
        product_id: "pr_none",
        quantity: 1,
        personal_text: "",
        design_id: null,
        thread_ids: null,
        text_thread_id: null,
        price_cents: null,
        note: "",
        line_reference: null,
      }),
    );
    await expect(dangling).rejects.toMatchObject({ code: "still-used" });
  });

  it("an order's reference is there once", async () => {
    const order = (id: string) => ({
      id,
      version: 1,
      archived: 0,
      created_at_ms: 1,
      updated_at_ms: 1,
      reference: "1001",
      customer: "",
      channel: "",
      placed_on: "2026-11-25",
      promise_date: "2026-11-25",
      ship_by: "2026-11-25",
      note: "",
      search: "",
      open_pieces: 0,
    });
    await store.write(asked("Added"), (writing) => writing.insert("orders", order("or_1")));
    await expect(
      store.write(asked("Added"), (writing) => writing.insert("orders", order("or_2"))),
    ).rejects.toMatchObject({ code: "already-there" });
  });

  it("hostile text is kept letter by letter", async () => {
    const texts = [
      "'; drop table threads; --",
      '"',
      "\\",
      "%_",
      "🧵 Möwe\u202e",
      "a\nb\tc",
      "x".repeat(100_000),
      "$1 ? :name",
    ];
    await store.write(asked(texts[0]!), async (writing) => {
      for (const [i, name] of texts.entries()) await writing.insert("threads", thread(`t${i}`, { name }));
    });
    expect(
      (await store.db.selectFrom("threads").select("name").orderBy("id").execute()).map((row) => row.name),
    ).toEqual(texts);
    expect(await store.db.selectFrom("changes").select("what").executeTakeFirst()).toEqual({
      what: texts[0],
    });
  });

  it("the record of the floor is a chain in which a changed event is seen", async () => {
    const event = (n: number) => ({
      id: `e${n}`,
      at_ms: n,
      recorded_at_ms: n,
      person_id: null,
      who: "Mara",
      kind: "state",
      piece_id: "p1",
      job_id: null,
      machine_id: null,
      data: "{}",
    });
    for (const part of [[1, 2, 3], [4], [5, 6]])
      await store.write(asked("Moved"), (writing) => appendFloorEvents(writing.db, part.map(event)));
    expect(await firstBrokenLink(store.db)).toEqual({ checked: 6, brokenSeq: null });
    await store.db.updateTable("floor_events").set({ who: "Nobody" }).where("id", "=", "e4").execute();
    expect(await firstBrokenLink(store.db)).toEqual({ checked: 3, brokenSeq: 4 });
    await store.db.updateTable("floor_events").set({ who: "Mara" }).where("id", "=", "e4").execute();
    await store.db.deleteFrom("floor_events").where("id", "=", "e2").execute();
    expect((await firstBrokenLink(store.db)).brokenSeq).toBe(3);
  });

  it("files are kept under what they hold, once, and a damaged one is not given out", async () => {
    const bytes = Uint8Array.from({ length: 100_000 }, (_, i) => (i * 7) & 255);
    const hash = await store.files.put(bytes);
    expect(await store.files.put(bytes)).toBe(hash);
    expect(Buffer.compare(await store.files.get(hash), bytes)).toBe(0);
    await expect(store.files.get("../../etc/passwd")).rejects.toMatchObject({ code: "file-unknown" });
    await expect(store.files.get("0".repeat(64))).rejects.toMatchObject({ code: "file-unknown" });
    writeFileSync(path.join(folder, "files", hash.slice(0, 2), hash), Buffer.from(bytes).fill(1, 0, 1));
    await store.files.get(hash).then(
      () => expect.unreachable(),
      (error: { code: string }) => expect(error.code).toBe("database-damaged"),
    );
  });

  it("what was written is there after closing and opening, and a closed store lets its folder go", async () => {
    await store.write(asked("Added"), (writing) => writing.insert("threads", thread("t1")));
    await expect(open()).rejects.toMatchObject({ code: "data-folder-in-use" });
    await store.close();
    store = await open();
    expect(await store.db.selectFrom("threads").select("id").execute()).toEqual([{ id: "t1" }]);
  });

  it("a newer schema is refused with both versions named, and nothing is changed", async () => {
    await sql`insert into schema_steps (number, name, at_ms) values (${migrations.length + 1}, 'from-the-future', 1)`.execute(
      store.db,
    );
    await store.close();
    await expect(open()).rejects.toMatchObject({
      code: "schema-newer",
      message: expect.stringMatching(
        new RegExp(`schema ${migrations.length + 1} .*knows schema ${migrations.length} `),
      ) as string,
    });
    store = await openStore({
      data: folder,
      databaseUrl: url,
      nowMs: () => 1,
      newId: (prefix) => `${prefix}_x`,
      steps: [...migrations, { name: "from-the-future", sql: "" }],
    });
  });

  it("a schema is raised after a copy was made, and a step that fails leaves the old one", async () => {
    await store.write(asked("Added"), (writing) => writing.insert("threads", thread("t1")));
    await store.close();
    const notices: string[] = [];
    const ask = {
      data: folder,
      databaseUrl: url,
      nowMs: () => 2_000,
      newId: (prefix: string) => `${prefix}_y${seededChance(1).below(9)}`,
      onNotice: (words: string) => void notices.push(words),
    };
    const broken = [
      ...migrations,
      { name: "broken", sql: "create table half (id $text);\ninsert into nowhere values (1);" },
    ];
    await expect(openStore({ ...ask, steps: broken })).rejects.toThrow();
    store = await open();
    expect((await store.db.introspection.getTables()).some((table) => table.name === "half")).toBe(false);
    await store.close();
    const raised = await openStore({
      ...ask,
      steps: [...migrations, { name: "whole", sql: "create table more (id $text);" }],
    });
    expect(raised.schema).toBe(migrations.length + 1);
    expect(await raised.db.selectFrom("threads").select("id").execute()).toEqual([{ id: "t1" }]);
    await raised.close();
    expect(notices.at(-1)).toContain(`from schema ${migrations.length} to ${migrations.length + 1}`);
    if (kind === "sqlite") {
      const copies = notices.flatMap((words) => /copied to (\S+)/.exec(words)?.[1] ?? []);
      expect(new Set(copies).size).toBe(2);
      for (const copy of copies) {
        const db = new Database(copy, { readonly: true });
        expect(db.prepare("select id from threads").all()).toEqual([{ id: "t1" }]);
        db.close();
      }
    }
    store = await openStore({
      ...ask,
      steps: [...migrations, { name: "whole", sql: "create table more (id $text);" }],
    });
  });
});

/** The columns as tables.ts writes them, read out of its text: what is typed and what is made must not drift apart. */
function columnsOfTables(): Record<string, string[]> {
  const text = readTables();
  const columns = new Map<string, string[]>();
  for (const [, name, parent, body] of text.matchAll(/interface (\w+)(?: extends (\w+))? \{\n(.*?)\n\}/gs)) {
    const own = [...body!.matchAll(/^ {2}(\w+): /gm)].map((found) => found[1]!);
    columns.set(name!, [...(parent ? columns.get(parent)! : []), ...own].sort());
  }
  const all = text.slice(text.indexOf("export interface Tables {"));
  return Object.fromEntries(
    [...all.matchAll(/^ {2}(\w+): (\w+);$/gm)].map(([, table, type]) => [table!, columns.get(type!)!]),
  );
}

function readTables(): string {
  return readFileSync(new URL("../../src/store/tables.ts", import.meta.url), "utf8");
}
