import { setTimeout } from "node:timers/promises";
import { openStore } from "#store";
import type { Context } from "../context";
import { LEASE_MS, playerName } from ".";
import { whatIfRefusals } from "./refusals";
import { createRunner } from "./runner";

export interface WorkerAsked {
  readonly databaseUrl: string | undefined;
  readonly nowMs: () => number;
  readonly newId: (prefix: string) => string;
  readonly log: Context["log"];
  readonly threads: number;
  readonly leaseMs?: number | undefined;
  /** Ends when there is nothing left to play, instead of waiting for more. */
  readonly once: "once" | "for ever";
  readonly signal: AbortSignal;
}

/** A worker looks for questions so often: of a question of a few seconds it should not miss the first. */
const LOOK_MS = 200;

/**
 * Plays seasons of the studio's questions beside the program, on this host or another, until it is stopped; gives the
 * number of seasons it played. It takes from the list in PostgreSQL and needs no data folder.
 */
export async function playAsWorker(asked: WorkerAsked): Promise<number> {
  const { databaseUrl, nowMs, newId, log, threads, signal } = asked;
  if (!databaseUrl) throw whatIfRefusals("worker-needs-server", "DATABASE_URL is empty.");
  const store = await openStore({
    data: "memory",
    databaseUrl,
    nowMs,
    newId,
    onNotice: (words) => log.warn(words),
  });
  const leaseMs = asked.leaseMs ?? LEASE_MS;
  const runner = createRunner({ store, nowMs, log, threads, worker: playerName("worker"), leaseMs });
  try {
    do {
      runner.kick();
      await Promise.race([runner.settled(), aborted(signal)]);
      if (asked.once === "once" || signal.aborted) break;
      await setTimeout(LOOK_MS, undefined, { signal }).catch(() => undefined);
    } while (!signal.aborted);
  } finally {
    await runner.close();
    await store.close();
  }
  return runner.played();
}

const aborted = (signal: AbortSignal): Promise<void> =>
  new Promise((resolve) => {
    if (signal.aborted) resolve();
    else signal.addEventListener("abort", () => resolve(), { once: true });
  });
