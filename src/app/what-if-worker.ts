import { parentPort } from "node:worker_threads";
import type { Change } from "#core/floor";
import { type Basis, type Outcome, playSeason } from "./what-if/season";

/** A thread that plays seasons, one at a time. It keeps the shop of the question it played last. */

export interface PlayOrder {
  readonly runId: string;
  /** Null where the thread has it from before. */
  readonly basis: Basis | null;
  readonly changes: readonly Change[];
  readonly season: number;
}

export type PlayTold = { readonly outcome: Outcome } | { readonly trouble: string };

const port = parentPort!;
let known: { readonly runId: string; readonly basis: Basis } | null = null;

port.on("message", ({ runId, basis, changes, season }: PlayOrder) => {
  try {
    if (basis) known = { runId, basis };
    if (known?.runId !== runId) throw new Error("a thread is given the shop before its seasons");
    port.postMessage({ outcome: playSeason(known.basis, changes, season) } satisfies PlayTold);
  } catch (reason) {
    const trouble = reason instanceof Error ? (reason.stack ?? reason.message) : String(reason);
    port.postMessage({ trouble } satisfies PlayTold);
  }
});
