import { randomInt } from "node:crypto";
import { existsSync } from "node:fs";
import { availableParallelism, hostname, networkInterfaces } from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";
import type { Command } from "commander";
import { openProgram, usualDataFolder } from "#app";
import { seededChance } from "#core/base";
import { givenName, makeServer, type Server, type ShopNetwork } from "#http";
import { WrongInput } from "./failure";
import { errorLog } from "./log";

const USUAL_PORT = 4700;
const PORTS_TRIED = 20;

interface ServeOptions {
  readonly data?: string;
  readonly demo?: true;
  readonly port?: number;
  readonly lan?: true;
  readonly hostName?: readonly string[];
}

export function addServeCommand(program: Command, version: string): void {
  program
    .command("serve")
    .description("Runs the program; open the printed address in a browser")
    .option("--data <dir>", "the folder with the studio's data", undefined)
    .option("--demo", "looks round the demo studio, in a folder of its own unless --data names one")
    .option("--port <number>", "the port to serve on", portOf)
    .option("--lan", "lets tablets and phones of the studio's own network in, once they are paired")
    .option(
      "--host-name <name...>",
      "with --lan: further names or IPv4 addresses this computer has in that network",
      hostNamesOf,
    )
    .action((options: ServeOptions) => serve(options, version));
}

function portOf(text: string): number {
  const port = Number(text);
  if (!/^\d{1,5}$/.test(text) || 65_535 < port)
    throw new WrongInput(`--port: found ${text}, expected a whole number from 0 to 65535.`);
  return port;
}

/** Called once a name, with those before. */
function hostNamesOf(text: string, before: readonly string[] = []): readonly string[] {
  const name = givenName(text);
  if (name === null)
    throw new WrongInput(
      `--host-name: found ${text.slice(0, 100)}, expected a name such as studio.lan, or an IPv4 address, without http:// and port.`,
    );
  return [...before, name];
}

async function serve(options: ServeOptions, version: string): Promise<void> {
  if (options.hostName && !options.lan)
    throw new WrongInput("--host-name: without --lan no tablet reaches this computer by any name.");
  const log = errorLog();
  const program = await openProgram({
    // The demo never lands in the folder of a real studio, nor a real studio in the demo's.
    data: path.resolve(options.data ?? `${usualDataFolder()}${options.demo ? "-demo" : ""}`),
    databaseUrl: process.env.DATABASE_URL || undefined,
    version,
    nowMs: () => Date.now(),
    chance: seededChance(randomInt(2 ** 32)),
    idBelow: (bound) => randomInt(bound),
    planning: { threads: Math.max(1, availableParallelism() - 1), byItself: true },
    log,
  });
  const network = (): ShopNetwork => ({
    interfaces: networkInterfaces(),
    hostName: hostname(),
    given: options.hostName ?? [],
  });
  const server = makeServer({ program, web: webFolder(), network: options.lan ? network : undefined });
  let address: string;
  try {
    address = await listenSomewhere(server, options.port);
  } catch (error) {
    await program.close();
    throw error;
  }
  stopOnSignals(server, program, log);
  process.stdout.write(`Spoolwright is at ${address}\n`);
  if (options.lan) process.stdout.write(wordsForTablets(server.tabletAddresses()));
  if (options.demo && (await program.setup.status()).state === "empty") await program.setup.startDemo();
}

const wordsForTablets = (addresses: readonly string[]) =>
  addresses.length === 0
    ? "This computer is on no private network just now; tablets will find it once it is.\n"
    : `Tablets and phones of this network: ${addresses.join(" or ")}\nLet each in by a code: Studio, Tablets and phones, on this computer.\n`;

/** The port asked for and no other; without one the usual port or the next that is free. */
async function listenSomewhere(server: Server, asked: number | undefined): Promise<string> {
  const taken = (error: unknown) => (error as NodeJS.ErrnoException).code === "EADDRINUSE";
  if (asked !== undefined)
    return server.listen(asked).catch((error: unknown) => {
      if (taken(error))
        throw new WrongInput(
          `Port ${asked} is taken by another program. Name another with --port, or leave --port out.`,
        );
      if ((error as NodeJS.ErrnoException).code === "EACCES")
        throw new WrongInput(`Port ${asked} is kept for the system. Name one from 1024 to 65535.`);
      throw error;
    });
  for (let port = USUAL_PORT; port < USUAL_PORT + PORTS_TRIED; port++) {
    try {
      return await server.listen(port);
    } catch (error) {
      if (!taken(error)) throw error;
    }
  }
  return server.listen(0);
}

/** The built page lies beside the built program; run from source, in dist of the checkout. */
function webFolder(): string {
  const here = path.dirname(fileURLToPath(import.meta.url));
  const candidates = [
    path.join(here, "..", "web"),
    path.join(here, "..", "..", "dist", "web"),
    path.join(here, "..", "..", "web"),
  ];
  return (
    candidates.find(
      (folder) => existsSync(path.join(folder, "index.html")) && existsSync(path.join(folder, "assets")),
    ) ?? candidates[1]!
  );
}

function stopOnSignals(
  server: Server,
  program: { close(): Promise<void> },
  log: ReturnType<typeof errorLog>,
): void {
  let stopping = false;
  const stop = async () => {
    if (stopping) process.exit(1);
    stopping = true;
    try {
      await server.close();
      await program.close();
      process.exit(0);
    } catch (error) {
      log.error("The program did not stop cleanly", { error });
      process.exit(1);
    }
  };
  process.on("SIGTERM", () => void stop());
  process.on("SIGINT", () => void stop());
  // A forgotten promise must not take the studio down in the middle of a day.
  process.on("unhandledRejection", (error) => log.error("An unexpected failure", { error }));
}
