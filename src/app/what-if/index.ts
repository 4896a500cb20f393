import { randomUUID } from "node:crypto";
import { hostname } from "node:os";
import type { Answers, Context } from "../context";
import { whatIfAnswers } from "./answers";
import { createRunner, type Runner } from "./runner";

/** Questions to the shop: asked, played, kept, answered. */

/** A player that has not been heard of for so long has lost what it took. */
export const LEASE_MS = 60_000;
/** With PostgreSQL others play too: what a killed one held is looked for so often. */
const LOOK_AGAIN_MS = 15_000;

export interface WhatIf {
  readonly answers: Pick<
    Answers,
    | "newOrUsed"
    | "knownRepairs"
    | "repairLogFile"
    | "whatIf"
    | "askWhatIf"
    | "readWhatIf"
    | "stopWhatIf"
    | "resumeWhatIf"
  >;
  readonly settled: Runner["settled"];
  close(): Promise<void>;
}

export function createWhatIf(context: Context, { threads }: { readonly threads: number }): WhatIf {
  const { store, nowMs, log } = context;
  const runner = createRunner({
    store,
    nowMs,
    log,
    threads,
    worker: playerName("program"),
    leaseMs: LEASE_MS,
  });
  // What a killed program left: with SQLite nobody else can hold anything, so it is open again at once.
  const begun =
    store.kind === "sqlite" ? openTaken(context).then(() => runner.kick()) : Promise.resolve(runner.kick());
  begun.catch((reason: unknown) => log.error("Questions could not be taken up again", { reason }));
  const looking = store.kind === "postgres" ? setInterval(() => runner.kick(), LOOK_AGAIN_MS) : undefined;
  looking?.unref();
  return {
    answers: whatIfAnswers(context, runner),
    settled: async () => {
      await begun;
      await runner.settled();
    },
    async close() {
      clearInterval(looking);
      await begun.catch(() => undefined);
      await runner.close();
    },
  };
}

/** No two players share a name, on whatever host. */
export const playerName = (kind: string): string =>
  `${kind} ${hostname()} ${process.pid} ${randomUUID().slice(0, 8)}`;

async function openTaken({ store }: Context): Promise<void> {
  await store.write({ who: "The program", what: "Took questions up again" }, async ({ db }) => {
    await db
      .updateTable("what_if_plays")
      .set({ state: "open", worker: null, lease_until_ms: null })
      .where("state", "=", "taken")
      .execute();
  });
}
