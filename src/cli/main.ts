import { Command, CommanderError } from "commander";
import metadata from "../../package.json" with { type: "json" };
import { reportFailure } from "./failure";
import { addDesignCommands } from "./design";
import { addPlanCommand } from "./plan";
import { addRecountCommand } from "./recount";
import { addSafetyCommands } from "./safety";
import { addServeCommand } from "./serve";
import { addWorkerCommand } from "./worker";

const program = new Command("spoolwright")
  .description("From a pile of made-to-order embroidery and sewing orders to pieces shipped on time")
  .version(metadata.version);

addServeCommand(program, metadata.version);
addPlanCommand(program);
addDesignCommands(program);
addSafetyCommands(program, metadata.version);
addRecountCommand(program, metadata.version);
addWorkerCommand(program);
/** Commands inherit neither of these by themselves, and some have commands of their own. */
function settle(command: Command): void {
  command.exitOverride().showHelpAfterError("Add --help for what the command takes.");
  command.commands.forEach(settle);
}
settle(program);

try {
  await program.parseAsync(process.argv);
} catch (error) {
  if (error instanceof CommanderError) process.exitCode = error.exitCode === 0 ? 0 : 2;
  else process.exitCode = reportFailure(error);
}
