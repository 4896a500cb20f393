import { Command, CommanderError } from "commander";
import metadata from "../../package.json" with { type: "json" };
import { reportFailure } from "./failure";
import { addPlanCommand } from "./plan";
import { addServeCommand } from "./serve";

const program = new Command("spoolwright")
  .description("From a pile of made-to-order embroidery and sewing orders to pieces shipped on time")
  .version(metadata.version)
  .exitOverride()
  .showHelpAfterError("Add --help for what the command takes.");

addServeCommand(program, metadata.version);
addPlanCommand(program);
// Commands inherit neither of these by themselves.
for (const command of program.commands) command.exitOverride().showHelpAfterError("Add --help for what the command takes.");

try {
  await program.parseAsync(process.argv);
} catch (error) {
  if (error instanceof CommanderError) process.exitCode = error.exitCode === 0 ? 0 : 2;
  else process.exitCode = reportFailure(error);
}
