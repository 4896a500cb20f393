import type { Worker } from "node:worker_threads";
import { startThread } from "../threads";
import type { PlayOrder, PlayTold } from "../what-if-worker";
import type { Play } from "./queue";
import type { Basis, Outcome } from "./season";

/** A thread that plays seasons, as the runner sees it. */
export interface Thread {
  /** How many seasons it should take at a time, by how long it took for the last ones. */
  takes(): number;
  /** How long it is expected to play these, ms; infinite where nothing is known of their question. */
  expectedMs(plays: readonly Play[]): number;
  /** Null where the thread was ended meanwhile. */
  play(runId: string, basis: Basis, plays: PlayOrder["plays"]): Promise<readonly Outcome[] | null>;
  end(): Promise<void>;
}

/** A thread holds one question's orders; so much memory is enough for a season of 100,000 pieces. */
const MEMORY_MB = 768;
/** So much work is taken at a time: little beside it is spent on taking and keeping, and stopping does not wait long. */
const TAKEN_MS = 400;
const MOST_TAKEN = 16;

interface Waiting {
  readonly hear: (told: PlayTold) => void;
  /** Null where it was ended. */
  readonly gone: (reason: Error | null) => void;
}

/** One thread, started when it is first needed and anew after it died. While it does nothing it keeps no program going. */
export function createThread(): Thread {
  let thread: Worker | null = null;
  let has: string | null = null;
  let eachMs: number | null = null;
  let ended = false;
  let waiting: Waiting | null = null;

  function started(): Worker {
    const begun = startThread("what-if-worker", null, {
      resourceLimits: { maxOldGenerationSizeMb: MEMORY_MB },
    });
    const gone = (reason: Error | null): void => {
      if (thread !== begun) return;
      thread = null;
      waiting?.gone(reason);
    };
    begun.on("message", (told: PlayTold) => waiting?.hear(told));
    begun.on("error", (reason: unknown) =>
      gone(reason instanceof Error ? reason : new Error(String(reason))),
    );
    begun.on("exit", (code) => gone(ended ? null : new Error(`The thread ended with ${code}`)));
    has = null;
    return begun;
  }

  const timeOf = (runId: string): number | null => (has === runId ? eachMs : null);

  return {
    takes: () =>
      eachMs === null ? 1 : Math.max(1, Math.min(MOST_TAKEN, Math.floor(TAKEN_MS / Math.max(1, eachMs)))),
    expectedMs: (plays) => plays.reduce((sum, { runId }) => sum + (timeOf(runId) ?? Infinity), 0),
    play(runId, basis, plays) {
      if (ended) return Promise.resolve(null);
      const at = (thread ??= started());
      at.ref();
      return new Promise<readonly Outcome[] | null>((resolve, reject) => {
        waiting = {
          hear: (told) => {
            if ("trouble" in told) return reject(new Error(told.trouble));
            eachMs = told.tookMs / plays.length;
            resolve(told.outcomes);
          },
          gone: (reason) => (reason ? reject(reason) : resolve(null)),
        };
        at.postMessage({ runId, basis: has === runId ? null : basis, plays } satisfies PlayOrder);
        if (has !== runId) eachMs = null;
        has = runId;
      }).finally(() => {
        waiting = null;
        at.unref();
      });
    },
    async end() {
      ended = true;
      await thread?.terminate();
    },
  };
}
