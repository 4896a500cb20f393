import { existsSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { Worker, type WorkerOptions } from "node:worker_threads";

/**
 * Starts a thread of the program by its file's name: the built file beside the program, or in development and under
 * test the TypeScript source (a thread of Node 20 does not load TypeScript by itself, so the loader is registered in
 * it first).
 */
export function startThread(
  name:
    | "plan-worker"
    | "plan-proof-worker"
    | "design-worker"
    | "design-making-worker"
    | "placing-worker"
    | "what-if-worker",
  workerData: unknown,
  options: WorkerOptions = {},
): Worker {
  const here = dirname(fileURLToPath(import.meta.url));
  for (const place of [here, join(here, "..")]) {
    const built = join(place, `${name}.js`);
    if (existsSync(built)) return new Worker(built, { ...options, workerData, execArgv: [] });
  }
  const source = pathToFileURL(join(here, `${name}.ts`)).href;
  const script = `import("tsx/esm/api").then(({ register }) => { register(); return import(${JSON.stringify(source)}); })`;
  return new Worker(script, { ...options, workerData, eval: true, execArgv: [] });
}
