import { type ChildProcess, spawn } from "node:child_process";
import { rmSync } from "node:fs";

/** The built program on a data folder of its own, as a person starts it. */
export interface Running {
  readonly address: string;
  readonly data: string;
  /** Ends it as a person does, and keeps its data folder until `stop`. */
  end(): Promise<void>;
  /** Ends it and takes its data folder away. */
  stop(): Promise<void>;
}

/** The program on a folder that is there; port 0 takes any that is free. `words`: what else stands on the command line. */
export async function startIn(data: string, port = 0, words: readonly string[] = []): Promise<Running> {
  const child = spawn(
    process.execPath,
    ["bin/spoolwright.mjs", "serve", "--data", data, "--port", String(port), ...words],
    { env: { ...process.env, DATABASE_URL: "" } },
  );
  const address = await printedAddress(child);
  const end = async () => {
    if (child.exitCode !== null || child.signalCode !== null) return;
    const ended = new Promise((resolve) => child.once("exit", resolve));
    child.kill("SIGTERM");
    await ended;
  };
  return {
    address,
    data,
    end,
    stop: async () => {
      await end();
      rmSync(data, { recursive: true, force: true });
    },
  };
}

function printedAddress(child: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    let said = "";
    const hear = (chunk: Buffer) => {
      said += chunk.toString();
      const found = /https?:\/\/127\.0\.0\.1:\d+/.exec(said);
      if (found) resolve(found[0]);
    };
    child.stdout?.on("data", hear);
    child.stderr?.on("data", hear);
    child.once("exit", (code) => reject(new Error(`The program ended with ${code}: ${said}`)));
  });
}
