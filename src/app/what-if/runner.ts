import type { Worker } from "node:worker_threads";
import type { Change } from "#core/floor";
import type { Store } from "#store";
import type { Context } from "../context";
import { startThread } from "../threads";
import type { PlayOrder, PlayTold } from "../what-if-worker";
import { claimPlays, failRun, giveBack, keepOutcome, type Play, renewLeases } from "./queue";
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

  async function playOn(thread: Thread): Promise<void> {
    while (!closed) {
      const [play] = await claimPlays(store, { worker, count: 1, nowMs: nowMs(), leaseMs });
      if (!play) return;
      await playOne(thread, play);
    }
  }

  async function playOne(thread: Thread, play: Play): Promise<void> {
    try {
      const { basis, changesOf } = await shops.of(play.runId);
      const changes = await changesOf(play.candidate);
      const outcome = await thread.play(play, basis, changes);
      if (closed || outcome === null) return;
      await keepOutcome(store, { worker, play, outcome, nowMs: nowMs() });
      playedCount++;
    } catch (reason) {
      if (closed) return;
      log.error("A season could not be played", { run: play.runId, reason });
      await failRun(store, play.runId, reason instanceof Error ? reason.message : String(reason));
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
  /** Null where the thread was ended meanwhile. */
  play(play: Play, basis: Basis, changes: readonly Change[]): Promise<Outcome | null>;
  end(): Promise<void>;
}

/** One thread, started when it is first needed and anew after it died. */
function createThread(): Thread {
  let thread: Worker | null = null;
  let has: string | null = null;
  let ended = false;
  return {
    play({ runId, season }, basis, changes) {
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
          finish(() => ("outcome" in told ? resolve(told.outcome) : reject(new Error(told.trouble))));
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
        at.postMessage({ runId, basis: has === runId ? null : basis, changes, season } satisfies PlayOrder);
        has = runId;
      });
    },
    async end() {
      ended = true;
      await thread?.terminate();
    },
  };
}
