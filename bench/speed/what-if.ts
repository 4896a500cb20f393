/**
 * A sweep of 200 shops over worker processes on one PostgreSQL server: one worker with one thread against two, in turn
 * on the same question; bar 1.7 times on a computer with two free cores. Seconds from the first season taken to the
 * last one done by warm threads, so that starting them does not count. Beside it what two bare threads are to one in
 * the same minute: cores that share their caches or their way to memory give less than twice of one, whoever asks.
 */
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { cpus, loadavg } from "node:os";
import { openStore, type Store } from "#store";
import { startPostgres } from "#test/postgres";
import { startThread } from "../../src/app/threads";
import type { PlayOrder, PlayTold } from "../../src/app/what-if-worker";
import { someBasis } from "../../test/support/some-basis";
import { layQuestion } from "../../test/support/what-if-question";

const SHOPS = 200;
/** A thread is slow for its first forty seasons or so, while its code is compiled. */
const WARM_SEASONS = 120;
const ROUNDS = 3;
const basis = someBasis({ days: 182 });
const shopOf = (more: number): PlayOrder["plays"][number] => ({
  changes: [{ change: "hoops", hoop: "side", more }],
  season: 0,
});

/** Threads that play the same seasons with nothing about them: no queue, no database, no other process. */
async function bareThread() {
  const thread = startThread("what-if-worker", null);
  let isNew = true;
  const play = async (from: number, count: number): Promise<void> => {
    const plays = Array.from({ length: count }, (_, at) => shopOf(from + at));
    thread.postMessage({ runId: "bare", basis: isNew ? basis : null, plays } satisfies PlayOrder);
    isNew = false;
    const [told] = (await once(thread, "message")) as [PlayTold];
    if ("trouble" in told) throw new Error(told.trouble);
  };
  await play(0, WARM_SEASONS);
  return { play, end: () => thread.terminate() };
}

/** Seconds of so many bare threads for all shops, each for its share of them. */
async function bareSeconds(count: number): Promise<number> {
  const threads = await Promise.all(Array.from({ length: count }, bareThread));
  const share = SHOPS / count;
  const startedMs = performance.now();
  await Promise.all(threads.map(({ play }, at) => play(at * share, share)));
  const seconds = (performance.now() - startedMs) / 1000;
  await Promise.all(threads.map(({ end }) => end()));
  return seconds;
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

/** Small questions until each worker has played its share of them: its process and its thread are warm. */
async function warmUp(store: Store, workers: number, id: string): Promise<void> {
  for (let round = 0; ; round++) {
    const run = `${id} warm ${round}`;
    await layQuestion(store, run, basis, { most: WARM_SEASONS, seasons: 1 });
    await until(isDone(store, run));
    const played = await store.db
      .selectFrom("what_if_plays")
      .select(({ fn }) => fn.countAll<number>().as("seasons"))
      .where("run_id", "like", `${id} warm %`)
      .groupBy("worker")
      .execute();
    if (played.filter(({ seasons }) => Number(seasons) >= WARM_SEASONS).length === workers) return;
  }
}

const isDone = (store: Store, run: string) => async (): Promise<boolean> =>
  (await store.db.selectFrom("what_if_runs").select("state").where("id", "=", run).executeTakeFirstOrThrow())
    .state === "done"; // prettier-ignore

async function sweep(store: Store, databaseUrl: string, workers: number, id: string): Promise<number> {
  const running = Array.from({ length: workers }, () => startWorker(databaseUrl));
  await warmUp(store, workers, id);
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
  const ended = await until(isDone(store, id));
  const ends = running.map((worker) => once(worker, "exit"));
  running.forEach((worker) => worker.kill("SIGTERM"));
  await Promise.all(ends);
  return (ended - started) / 1000;
}

const middle = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)]!;
const told = (one: number, two: number): string =>
  `${one.toFixed(2)} s, two ${two.toFixed(2)} s, ${(one / two).toFixed(2)} times as fast`;

const postgres = await startPostgres();
const databaseUrl = await postgres.freshDatabase();
let n = 0;
const store = await openStore({
  data: "memory",
  databaseUrl,
  nowMs: () => Date.now(),
  newId: (prefix) => `${prefix}_${++n}`,
});
console.log(`${cpus().length} cores, ${loadavg()[0]!.toFixed(1)} wanting one; ${SHOPS} shops of one season`);
const found: { bare: readonly [number, number]; one: number; two: number }[] = [];
for (let round = 1; round <= ROUNDS; round++) {
  const bare = [await bareSeconds(1), await bareSeconds(2)] as const;
  const one = await sweep(store, databaseUrl, 1, `one ${round}`);
  const two = await sweep(store, databaseUrl, 2, `two ${round}`);
  found.push({ bare, one, two });
  console.log(`  bare: one thread ${told(...bare)}; one worker ${told(one, two)}`);
}
const [bareOne, bareTwo] = [0, 1].map((at) => middle(found.map(({ bare }) => bare[at]!))) as [number, number];
console.log(`Bare threads, no queue and no database: one ${told(bareOne, bareTwo)}; a season takes ${((1000 * bareOne) / SHOPS).toFixed(0)} ms`); // prettier-ignore
const [one, two] = [middle(found.map((each) => each.one)), middle(found.map((each) => each.two))];
console.log(`Worker processes, the middle of ${ROUNDS}: one ${told(one, two)} (bar 1.7)`);
await store.close();
await postgres.stop();
