import { randomInt } from "node:crypto";
import path from "node:path";
import type { Command } from "commander";
import { openProgram, recountFloor, usualDataFolder } from "#app";
import { seededChance } from "#core/base";
import { errorLog } from "./log";

interface RecountOptions {
  readonly data?: string;
  readonly mend?: true;
  readonly json?: true;
}

/** `recount`: all that follows from the floor's events, worked out anew and compared with what is kept. */
export function addRecountCommand(program: Command, version: string): void {
  program
    .command("recount")
    .description("Works out from the floor's events anew where all stands, and compares it with what is kept")
    .option("--data <dir>", "the folder with the studio's data")
    .option("--mend", "puts right what differs")
    .option("--json", "prints one JSON document")
    .action(async (options: RecountOptions) => {
      const opened = await openProgram({
        data: path.resolve(options.data ?? usualDataFolder()),
        databaseUrl: process.env.DATABASE_URL,
        version,
        nowMs: () => Date.now(),
        chance: seededChance(randomInt(2 ** 32)),
        idBelow: (bound) => randomInt(bound),
        log: errorLog(),
        planning: { threads: 1, byItself: false },
      });
      try {
        const found = await recountFloor(opened.context, options.mend ? "yes" : "no");
        const words = [
          `${found.events} events: ${found.pieces} pieces, ${found.runs} runs, ${found.registers} other things that stand`,
          ...found.differences.map((one) => `${one.what}: kept ${one.kept}, by the events ${one.recounted}`),
          found.differing === 0
            ? "What is kept is what the events say."
            : found.mended
              ? `${found.differing} things were put right.`
              : `${found.differing} things differ; --mend puts them right.`,
        ];
        process.stdout.write(options.json ? `${JSON.stringify(found)}\n` : `${words.join("\n")}\n`);
        if (found.differing > 0 && !found.mended) process.exitCode = 1;
      } finally {
        await opened.close();
      }
    });
}
