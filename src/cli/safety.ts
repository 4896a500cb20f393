import path from "node:path";
import type { Command } from "commander";
import { backUp, checkData, restore, usualDataFolder } from "#app";
import { WrongInput } from "./failure";

interface SafetyOptions {
  readonly data?: string;
  readonly json?: true;
}

/** `backup`, `restore` and `check`: the data's safety. */
export function addSafetyCommands(program: Command, version: string): void {
  const command = (name: string, description: string) =>
    program
      .command(name)
      .description(description)
      .option("--data <dir>", "the folder with the studio's data")
      .option("--json", "prints one JSON document");
  const print = (options: SafetyOptions, value: object, words: readonly string[]) =>
    process.stdout.write(options.json ? `${JSON.stringify(value)}\n` : `${words.join("\n")}\n`);

  command("backup", "Writes all data into one file in a folder, also while the program runs")
    .argument("<dir>", "the folder to write into")
    .action(async (into: string, options: SafetyOptions) => {
      refuseServerDatabase();
      const file = await backUp({ data: folderOf(options), into, program: version, nowMs: Date.now() });
      print(options, { file }, [`The backup is ${file}`]);
    });

  command("restore", "Puts a backup in the place of the data; what was there is kept aside")
    .argument("<file>", "the backup")
    .action(async (file: string, options: SafetyOptions) => {
      refuseServerDatabase();
      const done = await restore({ data: folderOf(options), file: path.resolve(file), nowMs: Date.now() });
      print(options, done, [
        `The backup is in place in ${folderOf(options)}.`,
        ...(done.keptIn ? [`What was there before is kept in ${done.keptIn}`] : []),
      ]);
    });

  command("check", "Looks the data over and says what is not sound").action(
    async (options: SafetyOptions) => {
      refuseServerDatabase();
      const found = await checkData(folderOf(options));
      print(options, found, [
        `Database (schema ${found.schema}): ${found.database}`,
        `Rows that point to nothing: ${found.danglingRows}`,
        `Floor events: ${found.eventsChecked} in order${found.brokenEvent === null ? "" : `; event ${found.brokenEvent} is not what was written`}`,
        `Files: ${found.filesChecked}, missing ${found.missingFiles.length}, damaged ${found.damagedFiles.length}`,
        found.sound
          ? "All is sound."
          : "Not all is sound. Keep this folder as it is and restore the newest good backup into another one with --data.",
      ]);
      if (!found.sound) process.exitCode = 1;
    },
  );
}

const folderOf = (options: SafetyOptions) => path.resolve(options.data ?? usualDataFolder());

function refuseServerDatabase(): void {
  if (process.env.DATABASE_URL)
    throw new WrongInput(
      "With DATABASE_URL set the data is in PostgreSQL: use that server's own dump and restore, and copy the folder files beside it.",
    );
}
