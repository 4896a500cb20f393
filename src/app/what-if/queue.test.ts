import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { openStore, type Store } from "#store";
import { startPostgres, type TestPostgres } from "#test/postgres";
import { someBasis } from "../../../test/support/some-basis";
import { layQuestion } from "../../../test/support/what-if-question";
import { claimPlays, giveBack, keepOutcomes, type Play, setRun } from "./queue";
import { createRunner } from "./runner";
import { playSeason } from "./season";

let postgres: TestPostgres;
beforeAll(async () => {
  postgres = await startPostgres();
}, 120_000);
afterAll(() => postgres.stop());

const basis = someBasis({ days: 7 });
const outcome = playSeason(basis, [], 0);
const asked = (worker: string, nowMs: number, count = 100) => ({ worker, count, nowMs, leaseMs: 1000 });
const quiet = { info: () => undefined, warn: () => undefined, error: () => undefined };

describe.each(["sqlite", "postgres"] as const)("seasons to be played, on %s", (kind) => {
  let store: Store;
  beforeEach(async () => {
    let n = 0;
    store = await openStore({
      data: "memory",
      databaseUrl: kind === "postgres" ? await postgres.freshDatabase() : undefined,
      nowMs: () => 1,
      newId: (prefix) => `${prefix}_${++n}`,
    });
  });
  afterEach(() => store.close());

  const keep = (worker: string, play: Play) =>
    keepOutcomes(store, { worker, played: [{ play, outcome }], nowMs: 5 });
  const state = async () =>
    (await store.db.selectFrom("what_if_runs").select("state").executeTakeFirstOrThrow()).state;

  it("are taken once each, however many take at the same time", async () => {
    const plays = await layQuestion(store, "q", basis, { most: 3, seasons: 3 });
    const taken = (
      await Promise.all(["a", "b", "c", "d"].map((worker) => claimPlays(store, asked(worker, 10, 4))))
    ).flat();
    expect(taken.length).toBeLessThanOrEqual(plays);
    expect(new Set(taken.map((play) => JSON.stringify(play))).size).toBe(taken.length);
  });

  it("are taken in portions that leave as much for the threads of others, down to one at the end", async () => {
    const plays = await layQuestion(store, "q", basis, { most: 19, seasons: 1 });
    expect(plays).toBe(20);
    const take = async (worker: string) =>
      (await claimPlays(store, { ...asked(worker, 10, 16), threads: 2 })).length;
    // Half of the share of each thread: of two while one player is at it, of four with another.
    expect(await take("a")).toBe(5);
    expect(await take("b")).toBe(2);
    expect(await take("a")).toBe(2);
    const all = [9];
    while (all.at(-1)! > 0) all.push(await take("a"));
    expect(all).toEqual([9, 2, 2, ...Array<number>(7).fill(1), 0]);
    // Those who went silent are not reckoned with, and what they held is.
    expect((await claimPlays(store, { ...asked("c", 2000, 16), threads: 2 })).length).toBe(5);
  });

  it("are kept together, beside what another has brought already", async () => {
    const plays = await layQuestion(store, "q", basis, { most: 2, seasons: 2 });
    const mine = await claimPlays(store, asked("a", 0));
    await keep("b", mine[2]!);
    const other = { ...outcome, pieces: outcome.pieces + 1 };
    const played = mine.map((play) => ({ play, outcome: other }));
    expect(await keepOutcomes(store, { worker: "a", played, nowMs: 5 })).toBe(plays - 1);
    const rows = await store.db.selectFrom("what_if_plays").selectAll().execute();
    const brought = rows.map(({ worker, outcome: text }) => [worker, (JSON.parse(text!) as typeof other).pieces]);
    expect(brought.filter(([worker]) => worker === "b")).toEqual([["b", outcome.pieces]]);
    expect(brought.filter(([worker, pieces]) => worker === "a" && pieces === other.pieces)).toHaveLength(plays - 1);
    expect(await state()).toBe("done");
    expect(await keepOutcomes(store, { worker: "a", played, nowMs: 6 })).toBe(0);
  }); // prettier-ignore

  it("are taken again when the lease of a silent player has ended, and counted once", async () => {
    const plays = await layQuestion(store, "q", basis, { most: 2, seasons: 2 });
    const lost = await claimPlays(store, asked("silent", 0));
    expect(lost).toHaveLength(plays);
    expect(await claimPlays(store, asked("other", 1000))).toEqual([]);
    const again = await claimPlays(store, asked("other", 1001));
    expect(again).toEqual(lost);
    expect(await keep("other", again[0]!)).toBe(1);
    // The silent one comes back: what it brings is there already.
    expect(await keep("silent", lost[0]!)).toBe(0);
    expect(await state()).toBe("running");
    for (const play of again.slice(1)) await keep("other", play);
    expect(await state()).toBe("done");
  });

  it("are free again when a player ends, and rest while the question is stopped", async () => {
    const plays = await layQuestion(store, "q", basis, { most: 2, seasons: 2 });
    const [first] = await claimPlays(store, asked("a", 0));
    await keep("a", first!);
    await giveBack(store, "a");
    await setRun(store, "Mara", "q", "stopped");
    expect(await claimPlays(store, asked("b", 1))).toEqual([]);
    await setRun(store, "Mara", "q", "running");
    expect(await claimPlays(store, asked("b", 2))).toHaveLength(plays - 1);
  });

  it("are played by threads to the same end as by hand, and taken up where they were left", async () => {
    const plays = await layQuestion(store, "q", basis, { most: 2, seasons: 2 });
    const [first] = await claimPlays(store, asked("killed", 0, 1));
    const runner = createRunner({ store, nowMs: () => 5000, log: quiet, threads: 2, worker: "threads", leaseMs: 60_000 });
    runner.kick();
    await runner.settled();
    expect(runner.played()).toBe(plays);
    await runner.close();
    const rows = await store.db.selectFrom("what_if_plays").selectAll().execute();
    expect(rows.every((row) => row.state === "done")).toBe(true);
    const own = rows.find((row) => row.candidate === first!.candidate && row.season === first!.season)!;
    expect(JSON.parse(own.outcome!)).toEqual(outcome);
    const run = await store.db.selectFrom("what_if_runs").selectAll().executeTakeFirstOrThrow();
    expect([run.state, run.sentence.length > 20]).toEqual(["done", true]);
  }, 120_000); // prettier-ignore

  it("of one question after the other are played by the same threads, each in its own shop", async () => {
    const runner = createRunner({ store, nowMs: () => 5000, log: quiet, threads: 1, worker: "threads", leaseMs: 60_000 });
    const shops = { first: basis, second: someBasis({ days: 14 }) };
    let plays = 0;
    for (const [id, shop] of Object.entries(shops)) {
      plays += await layQuestion(store, id, shop, { most: 1, seasons: 2 });
      runner.kick();
      await runner.settled();
      const row = await store.db
        .selectFrom("what_if_plays")
        .selectAll()
        .where("run_id", "=", id)
        .where("candidate", "=", 0)
        .where("season", "=", 1)
        .executeTakeFirstOrThrow();
      expect(JSON.parse(row.outcome!)).toEqual(playSeason(shop, [], 1));
    }
    expect(runner.played()).toBe(plays);
    await runner.close();
    // Nothing is played, and no thread is left, after that.
    runner.kick();
    await runner.settled();
  }, 120_000); // prettier-ignore
});
