import { parentPort } from "node:worker_threads";
import type { Change } from "#core/floor";
import { type Basis, createSeasons, type Outcome } from "./what-if/season";

/** A thread that plays seasons, some at a time. It keeps the shop of the question it played last. */

export interface PlayOrder {
  readonly runId: string;
  /** Null where the thread has it from before. */
  readonly basis: Basis | null;
  readonly plays: readonly { readonly changes: readonly Change[]; readonly season: number }[];
}

export type PlayTold =
  { readonly outcomes: readonly Outcome[]; readonly tookMs: number } | { readonly trouble: string };

const port = parentPort!;
let known: { readonly runId: string; readonly play: ReturnType<typeof createSeasons> } | null = null;

port.on("message", ({ runId, basis, plays }: PlayOrder) => {
  try {
    if (basis) known = { runId, play: createSeasons(basis) };
    if (known?.runId !== runId) throw new Error("a thread is given the shop before its seasons");
    const { play } = known;
    const startedMs = performance.now();
    const outcomes = plays.map(({ changes, season }) => play(changes, season));
    port.postMessage({ outcomes, tookMs: performance.now() - startedMs } satisfies PlayTold);
  } catch (reason) {
    const trouble = reason instanceof Error ? (reason.stack ?? reason.message) : String(reason);
    port.postMessage({ trouble } satisfies PlayTold);
  }
});
