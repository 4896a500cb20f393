import { randomUUID } from "node:crypto";
import { availableParallelism } from "node:os";
import type { Command } from "commander";
import { playAsWorker } from "#app";
import { WrongInput } from "./failure";
import { errorLog } from "./log";

interface WorkerOptions {
  readonly threads?: number;
  readonly lease?: number;
  readonly once?: true;
}

/** `worker`: plays the studio's What-if questions beside the program, from the same PostgreSQL server. */
export function addWorkerCommand(program: Command): void {
  program
    .command("worker")
    .description(
      "Helps to play What-if questions, on this computer or another of the studio's PostgreSQL server",
    )
    .option("--threads <number>", "seasons played at the same time", wholeFrom(1, 256, "--threads"))
    .option(
      "--lease <seconds>",
      "after so long without a word what this worker took is played by another",
      wholeFrom(1, 3600, "--lease"),
    )
    .option("--once", "ends when there is nothing left to play")
    .action(async (options: WorkerOptions) => {
      const stop = new AbortController();
      process.once("SIGTERM", () => stop.abort());
      process.once("SIGINT", () => stop.abort());
      const played = await playAsWorker({
        databaseUrl: process.env.DATABASE_URL || undefined,
        nowMs: () => Date.now(),
        newId: (prefix) => `${prefix}_${randomUUID()}`,
        log: errorLog(),
        threads: options.threads ?? Math.max(1, availableParallelism() - 1),
        leaseMs: options.lease === undefined ? undefined : 1000 * options.lease,
        once: options.once ? "once" : "for ever",
        signal: stop.signal,
      });
      process.stdout.write(`${played} seasons played\n`);
    });
}

const wholeFrom =
  (low: number, high: number, option: string) =>
  (text: string): number => {
    const value = Number(text);
    if (!/^\d{1,6}$/.test(text) || value < low || high < value)
      throw new WrongInput(
        `${option}: found ${text.slice(0, 40)}, expected a whole number from ${low} to ${high}.`,
      );
    return value;
  };
