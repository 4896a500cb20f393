import type { Worker } from "node:worker_threads";
import type { Change } from "#core/floor";
import type { Store } from "#store";
import type { Context } from "../context";
import { startThread } from "../threads";
import type { PlayOrder, PlayTold } from "../what-if-worker";
import { claimPlays, failRun, giveBack, keepOutcomes, type Play, renewLeases } from "./queue";
import type { Basis, Outcome } from "./season";

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

/** A thread holds one question's orders; so much memory is enough for a season of 100,000 pieces. */
const MEMORY_MB = 768;
/** So much work is taken at a time: little beside it is spent on taking and keeping, and no thread is left waiting long. */
const TAKEN_MS = 400;
const MOST_TAKEN = 16;

export function createRunner(asked: RunnerAsked): Runner {
  const { store, nowMs, log, worker, leaseMs } = asked;
  const threads = Math.max(1, Math.floor(asked.threads));
  let closed = false;
  let again = false;
  let going: Promise<void> | null = null;
  let playedCount = 0;
  const shops = createShops(store);
  const pool: Thread[] = [];

  async function keepPlaying(): Promise<void> {
    do {
      again = false;
      await playAll();
    } while (again && !closed);
    await Promise.all(pool.splice(0).map((thread) => thread.end()));
    shops.forget();
  }

  /** Each thread takes one season after the other; one that finds none has done. */
  async function playAll(): Promise<void> {
    while (pool.length < threads) pool.push(createThread());
    const lease = setInterval(() => {
      renewLeases(store, { worker, count: 0, nowMs: nowMs(), leaseMs }).catch((reason: unknown) =>
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
   * Takes some seasons, plays them, and takes the next while what came out is being kept. Where nothing is left to take
   * it waits for what others still play: a ladder's next rung may come of that.
   */
  async function playOn(thread: Thread): Promise<void> {
    while (!closed) {
      const plays = await claimPlays(store, { worker, count: thread.takes(), nowMs: nowMs(), leaseMs });
      if (plays.length === 0) {
        if (unsettled.size === 0) return;
        await Promise.race(unsettled);
        continue;
      }
      let played!: () => void;
      const isPlayed = new Promise<void>((resolve) => (played = resolve));
      settling(playSome(thread, plays, played));
      await isPlayed;
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
      const asked = await Promise.all(
        own.map(async ({ candidate, season }) => ({ changes: await changesOf(candidate), season })),
      );
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
      await Promise.all(pool.splice(0).map((thread) => thread.end()));
      await going;
      await Promise.all(unsettled);
      await giveBack(store, worker);
    },
  };
}

/** The shop of the question last asked for, read once; its candidates as they come. */
function createShops(store: Store) {
  let known: { runId: string; basis: Basis; changes: Map<number, readonly Change[]> } | null = null;
  const changesOf = async (runId: string, candidate: number): Promise<readonly Change[]> => {
    const found = known?.runId === runId ? known.changes.get(candidate) : undefined;
    if (found) return found;
    const row = await store.db
      .selectFrom("what_if_candidates")
      .select("changes")
      .where("run_id", "=", runId)
      .where("number", "=", candidate)
      .executeTakeFirstOrThrow();
    const changes = JSON.parse(row.changes) as readonly Change[];
    if (known?.runId === runId) known.changes.set(candidate, changes);
    return changes;
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
      return { basis: known.basis, changesOf: (candidate: number) => changesOf(runId, candidate) };
    },
    forget: () => void (known = null),
  };
}

interface Thread {
  /** How many seasons it should take at a time, by how long it took for the last ones. */
  takes(): number;
  /** Null where the thread was ended meanwhile. */
  play(runId: string, basis: Basis, plays: PlayOrder["plays"]): Promise<readonly Outcome[] | null>;
  end(): Promise<void>;
}

/** One thread, started when it is first needed and anew after it died. */
function createThread(): Thread {
  let thread: Worker | null = null;
  let has: string | null = null;
  let ended = false;
  let takes = 1;
  return {
    takes: () => takes,
    play(runId, basis, plays) {
      if (!thread) {
        thread = startThread("what-if-worker", null, {
          resourceLimits: { maxOldGenerationSizeMb: MEMORY_MB },
        });
        has = null;
      }
      const at = thread;
      return new Promise((resolve, reject) => {
        const finish = (act: () => void): void => {
          at.off("message", hear);
          at.off("error", broken);
          at.off("exit", gone);
          act();
        };
        const hear = (told: PlayTold): void =>
          finish(() => {
            if ("trouble" in told) return reject(new Error(told.trouble));
            const each = told.tookMs / plays.length;
            takes = Math.max(1, Math.min(MOST_TAKEN, Math.floor(TAKEN_MS / Math.max(1, each))));
            resolve(told.outcomes);
          });
        const broken = (reason: unknown): void =>
          finish(() => {
            thread = null;
            reject(reason instanceof Error ? reason : new Error(String(reason)));
          });
        const gone = (code: number): void =>
          finish(() => {
            thread = null;
            if (ended) resolve(null);
            else reject(new Error(`The thread ended with ${code}`));
          });
        at.on("message", hear);
        at.on("error", broken);
        at.on("exit", gone);
        at.postMessage({ runId, basis: has === runId ? null : basis, plays } satisfies PlayOrder);
        has = runId;
      });
    },
    async end() {
      ended = true;
      await thread?.terminate();
    },
  };
}
