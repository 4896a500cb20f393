import type { Change } from "#core/floor";
import type { Store } from "#store";
import type { Context } from "../context";
import { claimPlays, failRun, giveBack, keepOutcomes, type Play, renewLeases } from "./queue";
import type { Basis } from "./season";
import { createThread, type Thread } from "./thread";

/** Plays what there is to be played, in threads of its own, as long as there is any. */

export interface RunnerAsked {
  readonly store: Store;
  readonly nowMs: () => number;
  readonly log: Context["log"];
  readonly threads: number;
  /** Names this player among all; no two may share it. */
  readonly worker: string;
  /** A player that has been silent for so long has lost what it took. */
  readonly leaseMs: number;
}

export interface Runner {
  /** There may be something to play. */
  kick(): void;
  /** Resolves when nothing is being played and nothing was found to play. */
  settled(): Promise<void>;
  /** Seasons played so far. */
  played(): number;
  close(): Promise<void>;
}

/** A thread that has played is kept so long for the next question: a new one loads its code and is slow for its first forty seasons. */
const KEPT_MS = 30_000;
const TRY_AGAIN_MS = 1000;
/** The next seasons are taken so long before a thread is expected to be free, so that it need not wait for them. */
const AHEAD_MS = 40;

export function createRunner(asked: RunnerAsked): Runner {
  const { store, nowMs, log, worker, leaseMs } = asked;
  const threads = Math.max(1, Math.floor(asked.threads));
  let closed = false;
  let again = false;
  let going: Promise<void> | null = null;
  let playedCount = 0;
  let takenCount = 0;
  const shops = createShops(store);
  const pool: Thread[] = [];
  let ending: NodeJS.Timeout | undefined;

  async function endThreads(): Promise<void> {
    clearTimeout(ending);
    shops.forget();
    await Promise.all(pool.splice(0).map((thread) => thread.end()));
  }

  async function keepPlaying(): Promise<void> {
    const before = takenCount;
    do {
      again = false;
      await playAll();
    } while (again && !closed);
    // Whoever looks in vain does not keep the threads longer.
    if (takenCount > before && !closed) endThreadsIn(KEPT_MS);
  }

  function endThreadsIn(ms: number): void {
    clearTimeout(ending);
    // Where something is just being looked for or played it is tried again; after playing the time begins anew.
    ending = setTimeout(() => (going ? endThreadsIn(TRY_AGAIN_MS) : void endThreads()), ms);
    ending.unref();
  }

  /** Each thread takes one season after the other; one that finds none has done. */
  async function playAll(): Promise<void> {
    while (pool.length < threads) pool.push(createThread());
    const lease = setInterval(() => {
      renewLeases(store, { worker, nowMs: nowMs(), leaseMs }).catch((reason: unknown) =>
        log.warn("A lease could not be renewed", { reason: String(reason) }),
      );
    }, leaseMs / 3);
    lease.unref();
    try {
      await Promise.all(pool.map((thread) => playOn(thread)));
    } finally {
      clearInterval(lease);
    }
  }

  /**
   * Takes some seasons, plays them, takes the next shortly before it is free, and goes on while what came out is being
   * kept. Where nothing is left to take it waits for what others still play: a ladder's next rung may come of that.
   */
  async function playOn(thread: Thread): Promise<void> {
    let isFree = Promise.resolve();
    while (!closed) {
      // What is found while something is being kept is not all: a next rung may come with it.
      const isAll = unsettled.size === 0;
      const plays = await claimPlays(store, {
        worker,
        count: thread.takes(),
        threads,
        nowMs: nowMs(),
        leaseMs,
      });
      takenCount += plays.length;
      await shops.readFor(plays);
      await isFree;
      if (closed) return;
      if (plays.length === 0) {
        if (isAll) return;
        if (unsettled.size > 0) await Promise.race(unsettled);
        continue;
      }
      let played!: () => void;
      isFree = new Promise<void>((resolve) => (played = resolve));
      settling(playSome(thread, plays, played));
      await soonerOf(isFree, thread.expectedMs(plays) - AHEAD_MS);
    }
  }

  const unsettled = new Set<Promise<void>>();
  function settling(work: Promise<void>): void {
    const settled = work
      .catch((reason: unknown) => log.error("What was played could not be kept", { reason }))
      .finally(() => unsettled.delete(settled));
    unsettled.add(settled);
  }

  /** Seasons of one question at a time; `played` is called when the thread is free again. */
  async function playSome(thread: Thread, plays: readonly Play[], played: () => void): Promise<void> {
    const runId = plays[0]!.runId;
    const own = plays.filter((play) => play.runId === runId);
    try {
      const { basis, changesOf } = await shops.of(runId);
      const changes = await changesOf(own.map(({ candidate }) => candidate));
      const asked = own.map(({ candidate, season }) => ({ changes: changes.get(candidate)!, season }));
      const outcomes = await thread.play(runId, basis, asked);
      if (own.length < plays.length && outcomes !== null)
        settling(playSome(thread, plays.slice(own.length), played));
      else played();
      if (closed || outcomes === null) return;
      const found = own.map((play, at) => ({ play, outcome: outcomes[at]! }));
      await keepOutcomes(store, { worker, played: found, nowMs: nowMs() });
      playedCount += own.length;
    } catch (reason) {
      played();
      if (closed) return;
      log.error("A season could not be played", { run: runId, reason });
      await failRun(store, runId, reason instanceof Error ? reason.message : String(reason));
    }
  }

  return {
    kick() {
      again = true;
      if (closed || going) return;
      going = keepPlaying()
        .catch((reason: unknown) => log.error("Playing broke off", { reason }))
        .finally(() => {
          going = null;
          if (again) this.kick();
        });
    },
    settled: async () => {
      while (going) await going;
    },
    played: () => playedCount,
    async close() {
      closed = true;
      await endThreads();
      await going;
      await Promise.all(unsettled);
      await giveBack(store, worker);
    },
  };
}

/** When it is done, or so many ms have passed. */
async function soonerOf(done: Promise<void>, ms: number): Promise<void> {
  if (!Number.isFinite(ms)) return done;
  let timer: NodeJS.Timeout | undefined;
  const passed = new Promise<void>((resolve) => (timer = setTimeout(resolve, Math.max(0, ms))));
  await Promise.race([done, passed]);
  clearTimeout(timer);
}

/** The shop of the question last asked for, read once; its candidates as they come. */
function createShops(store: Store) {
  let known: { runId: string; basis: Basis; changes: Map<number, readonly Change[]> } | null = null;
  const changesOf = async (
    runId: string,
    candidates: readonly number[],
  ): Promise<ReadonlyMap<number, readonly Change[]>> => {
    const found = known?.runId === runId ? known.changes : new Map<number, readonly Change[]>();
    const unknown = candidates.filter((candidate) => !found.has(candidate));
    if (unknown.length === 0) return found;
    const rows = await store.db
      .selectFrom("what_if_candidates")
      .select(["number", "changes"])
      .where("run_id", "=", runId)
      .where("number", "in", unknown)
      .execute();
    for (const { number, changes } of rows) found.set(number, JSON.parse(changes) as readonly Change[]);
    return found;
  };
  return {
    async of(runId: string) {
      if (known?.runId !== runId) {
        const row = await store.db
          .selectFrom("what_if_runs")
          .select("basis")
          .where("id", "=", runId)
          .executeTakeFirstOrThrow();
        known = { runId, basis: JSON.parse(row.basis) as Basis, changes: new Map() };
      }
      return {
        basis: known.basis,
        changesOf: (candidates: readonly number[]) => changesOf(runId, candidates),
      };
    },
    /** Reads what the plays need while their thread is still at others. What cannot be read is told when they are played. */
    async readFor(plays: readonly Play[]): Promise<void> {
      const own = plays.filter(({ runId }) => runId === known?.runId);
      if (own.length === 0) return;
      const candidates = own.map(({ candidate }) => candidate);
      await changesOf(own[0]!.runId, candidates).catch(() => undefined);
    },
    forget: () => void (known = null),
  };
}
