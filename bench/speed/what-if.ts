/**
 * A sweep of 200 shops over worker processes on one PostgreSQL server: one worker with one thread against two, in turn
 * on the same question; bar 1.7 times on a computer with two free cores. Seconds from the first season taken to the
 * last one done, so that starting a process does not count. And what a season takes by itself.
 */
import { type ChildProcess, spawn } from "node:child_process";
import { cpus, loadavg } from "node:os";
import { openStore, type Store } from "#store";
import { startPostgres } from "#test/postgres";
import { playSeason } from "../../src/app/what-if/season";
import { someBasis } from "../../test/support/some-basis";
import { layQuestion } from "../../test/support/what-if-question";

const SHOPS = 200;
const basis = someBasis({ days: 182 });

function seasonSeconds(): number {
  playSeason(basis, [], 0);
  const startedMs = performance.now();
  for (let season = 1; season <= 5; season++) playSeason(basis, [], season);
  return (performance.now() - startedMs) / 5000;
}

const startWorker = (databaseUrl: string): ChildProcess =>
  spawn(process.execPath, ["--import", "tsx", "src/cli/main.ts", "worker", "--threads", "1"], {
    env: { ...process.env, DATABASE_URL: databaseUrl },
    stdio: "ignore",
  });

async function until(holds: () => Promise<boolean>): Promise<number> {
  while (!(await holds())) await new Promise((resolve) => setTimeout(resolve, 50));
  return performance.now();
}

async function sweep(store: Store, databaseUrl: string, workers: number, id: string): Promise<number> {
  // Small questions until each worker has a part in one: its process and its thread are warm.
  const running = Array.from({ length: workers }, () => startWorker(databaseUrl));
  const isDone = (run: string) => async () =>
    (await store.db.selectFrom("what_if_runs").select("state").where("id", "=", run).executeTakeFirstOrThrow())
      .state === "done"; // prettier-ignore
  for (let round = 0, warm = 0; warm < workers; round++) {
    const run = `${id} warm ${round}`;
    await layQuestion(store, run, basis, { most: 20, seasons: 1 });
    await until(isDone(run));
    const rows = await store.db
      .selectFrom("what_if_plays")
      .select("worker")
      .where("run_id", "=", run)
      .execute();
    warm = new Set(rows.map(({ worker }) => worker)).size;
  }
  await layQuestion(store, id, basis, { most: SHOPS - 1, seasons: 1 });
  const started = await until(async () => {
    const taken = await store.db
      .selectFrom("what_if_plays")
      .select("state")
      .where("run_id", "=", id)
      .where("state", "!=", "open")
      .limit(1)
      .executeTakeFirst();
    return taken !== undefined;
  });
  const ended = await until(isDone(id));
  running.forEach((worker) => worker.kill("SIGTERM"));
  return (ended - started) / 1000;
}

const postgres = await startPostgres();
const databaseUrl = await postgres.freshDatabase();
let n = 0;
const store = await openStore({
  data: "memory",
  databaseUrl,
  nowMs: () => Date.now(),
  newId: (prefix) => `${prefix}_${++n}`,
});
console.log(
  `${cpus().length} cores, ${loadavg()[0]!.toFixed(1)} wanting one; a season takes ${(1000 * seasonSeconds()).toFixed(0)} ms`,
);
const one = await sweep(store, databaseUrl, 1, "one");
const two = await sweep(store, databaseUrl, 2, "two");
console.log(
  `${SHOPS} shops: one worker ${one.toFixed(1)} s, two ${two.toFixed(1)} s, ${(one / two).toFixed(2)} times as fast (bar 1.7)`,
);
await store.close();
await postgres.stop(); // prettier-ignore
