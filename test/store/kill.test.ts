import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { createInterface } from "node:readline";
import { build } from "vite";
import { expect, it } from "vitest";
import { seededChance } from "#core/base";
import { checkData, firstBrokenLink, openStore } from "#store";

const KILLS = 30;

/** RELIABILITY F1: what was acknowledged is there after kill -9; what was not is there whole or not at all. */
it(`loses and tears nothing in ${KILLS} kills`, async () => {
  const program = await builtChild();
  const folder = mkdtempSync(path.join(tmpdir(), "kill-"));
  const chance = seededChance(20261125);
  const acknowledged: string[] = [];
  try {
    for (let run = 0; run < KILLS; run++) {
      const child = spawn(process.execPath, [program.file, folder, String(run)], {
        stdio: ["ignore", "pipe", "inherit"],
      });
      const lines = createInterface({ input: child.stdout });
      // Killed at a random moment of a write: after so many acknowledgements, and a little chance of time.
      const killAfter = 1 + chance.below(25);
      let seen = 0;
      lines.on("line", (line) => {
        if (line === "open") return;
        acknowledged.push(line);
        if (++seen === killAfter)
          for (let spin = chance.below(2_000_000); spin > 0; spin--) if (spin === 1) child.kill("SIGKILL");
        if (seen === killAfter && !child.killed) child.kill("SIGKILL");
      });
      await Promise.all([once(child, "exit"), once(lines, "close")]);
    }
    const store = await openStore({ data: folder, nowMs: () => 1, newId: (prefix) => `${prefix}_after` });
    const ids = async (table: "threads" | "stock") =>
      (await store.db.selectFrom(table).select(["id", "name"]).execute()).map((row) => ({
        id: row.id.slice(2),
        hash: row.name,
      }));
    const [threads, stock] = [await ids("threads"), await ids("stock")];
    const there = new Set(threads.map((row) => row.id));
    expect(acknowledged.length).toBeGreaterThan(KILLS * 5);
    expect(acknowledged.filter((id) => !there.has(id))).toEqual([]);
    expect(stock.map((row) => row.id).sort()).toEqual([...there].sort());
    expect(
      (await store.db.selectFrom("floor_events").select("id").execute()).map((row) => row.id.slice(2)).sort(),
    ).toEqual([...there].sort());
    expect(
      (await store.db.selectFrom("changes").select("what").execute())
        .map((row) => row.what.slice("Wrote ".length))
        .sort(),
    ).toEqual([...there].sort());
    expect((await firstBrokenLink(store.db)).brokenSeq).toBeNull();
    for (const { id, hash } of threads)
      expect(Buffer.from(await store.files.get(hash)).toString()).toBe(`the file of ${id}`);
    // At most the one write that was under way at each kill came through unacknowledged.
    expect(there.size - acknowledged.length).toBeLessThanOrEqual(KILLS);
    await store.close();
    expect(await checkData(folder)).toMatchObject({ sound: true, database: "ok", danglingRows: 0 });
  } finally {
    rmSync(folder, { recursive: true, force: true });
    rmSync(program.folder, { recursive: true, force: true });
  }
}, 240_000);

/** The child in one file of JavaScript, so that thirty starts take seconds; inside the checkout, where its packages are found. */
async function builtChild(): Promise<{ readonly file: string; readonly folder: string }> {
  const root = path.join(import.meta.dirname, "../..");
  mkdirSync(path.join(root, "tmp"), { recursive: true });
  const folder = mkdtempSync(path.join(root, "tmp", "kill-"));
  const input = path.join(import.meta.dirname, "writer-child.ts");
  await build({
    configFile: false,
    root,
    logLevel: "error",
    build: {
      ssr: true,
      outDir: folder,
      target: "node20",
      rollupOptions: { input, output: { entryFileNames: "child.mjs" } },
    },
  });
  return { file: path.join(folder, "child.mjs"), folder };
}
