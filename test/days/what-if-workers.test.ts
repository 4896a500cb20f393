import { type ChildProcess, spawn } from "node:child_process";
import { afterAll, beforeAll, expect, it } from "vitest";
import { openStore, type Store } from "#store";
import { startPostgres, type TestPostgres } from "#test/postgres";
import { playSeason } from "../../src/app/what-if/season";
import { someBasis } from "../support/some-basis";
import { layQuestion } from "../support/what-if-question";

/** One question on a PostgreSQL server, played by worker processes, one of which is killed in the middle. */

let postgres: TestPostgres;
let store: Store;
const workers: ChildProcess[] = [];
beforeAll(async () => {
  postgres = await startPostgres();
}, 120_000);
afterAll(async () => {
  workers.forEach((worker) => worker.kill("SIGKILL"));
  await store?.close();
  await postgres.stop();
});

function startWorker(databaseUrl: string): ChildProcess {
  const words = ["--import", "tsx", "src/cli/main.ts", "worker", "--threads", "1", "--lease", "3"];
  const worker = spawn(process.execPath, words, { env: { ...process.env, DATABASE_URL: databaseUrl } });
  workers.push(worker);
  return worker;
}

async function until(holds: () => Promise<boolean>): Promise<void> {
  while (!(await holds())) await new Promise((resolve) => setTimeout(resolve, 20));
}

it("finishes right when a worker is killed in the middle: what it held is played again, nothing twice", async () => {
  const databaseUrl = await postgres.freshDatabase();
  let n = 0;
  store = await openStore({
    data: "memory",
    databaseUrl,
    nowMs: () => Date.now(),
    newId: (prefix) => `${prefix}_${++n}`,
  });
  const basis = someBasis({ days: 91 });
  const plays = await layQuestion(store, "q", basis, { most: 6, seasons: 3 });
  const rows = () => store.db.selectFrom("what_if_plays").selectAll().execute();
  const first = startWorker(databaseUrl);
  // In the middle: some seasons are done, and some are in its hands.
  await until(async () => {
    const found = await rows();
    return found.some(({ state }) => state === "done") && found.some(({ state }) => state === "taken");
  });
  first.kill("SIGKILL");
  const held = (await rows()).filter(({ state }) => state === "taken");
  const before = (await rows()).filter(({ state }) => state === "done");
  expect(held.length).toBeGreaterThan(0);
  expect(before.length).toBeLessThan(plays);
  const second = startWorker(databaseUrl);
  const third = startWorker(databaseUrl);
  const state = async () => (await store.db.selectFrom("what_if_runs").select("state").executeTakeFirstOrThrow()).state;
  await until(async () => (await state()) === "done");
  const after = await rows();
  expect(after).toHaveLength(plays);
  expect(after.every((row) => row.state === "done" && row.outcome !== null)).toBe(true);
  // What was done before was not touched; what the killed one held was done by another.
  const key = (row: { candidate: number; season: number }) => `${row.candidate} ${row.season}`;
  const now = new Map(after.map((row) => [key(row), row]));
  for (const row of before) expect(now.get(key(row))).toEqual(row);
  for (const row of held) expect(now.get(key(row))!.worker).not.toBe(row.worker);
  // The figures are those of one thread alone.
  const own = now.get(key(held[0]!))!;
  const { changes } = await store.db
    .selectFrom("what_if_candidates")
    .select("changes")
    .where("number", "=", own.candidate)
    .executeTakeFirstOrThrow();
  expect(JSON.parse(own.outcome!)).toEqual(playSeason(basis, JSON.parse(changes) as never, own.season));
  // Told to end, workers end by themselves.
  const ended = [second, third].map((worker) => new Promise((resolve) => worker.once("exit", resolve)));
  [second, third].forEach((worker) => worker.kill("SIGTERM"));
  expect(await Promise.all(ended)).toEqual([0, 0]);
}, 300_000); // prettier-ignore
