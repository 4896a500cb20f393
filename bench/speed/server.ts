/**
 * The server with the demo studio: from start to serving, each page's calls, durable writes one after the other, and
 * memory. `npm run bench server`.
 */
import { spawn } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { setTimeout as wait } from "node:timers/promises";

const root = path.join(import.meta.dirname, "../..");
const built = path.join(root, "dist/server/main.js");
const command = existsSync(built) ? [built] : ["--import", "tsx", path.join(root, "src/cli/main.ts")];
const data = mkdtempSync(path.join(tmpdir(), "bench-server-"));
const CALLS = [
  "status",
  "orders",
  "pieces",
  "designs",
  "threads",
  "machines",
  "products",
  "plan",
  "changes",
  "imports",
  "openapi.json",
];

const startedAt = performance.now();
const child = spawn(process.execPath, [...command, "serve", "--data", data, "--demo", "--port", "0"], {
  stdio: ["ignore", "pipe", "inherit"],
  cwd: root,
});
try {
  const address = await new Promise<string>((resolve, reject) => {
    child.stdout.on("data", (text: Buffer) => resolve(/http:\S+/.exec(text.toString())![0]));
    child.on("exit", (code) => reject(new Error(`ended with ${code}`)));
  });
  console.log(
    `${command.length === 1 ? "built" : "from source"}: serving after ${Math.round(performance.now() - startedAt)} ms`,
  );
  const get = async (url: string) => (await fetch(`${address}/api/${url}`)).arrayBuffer();
  const state = async () =>
    ((await (await fetch(`${address}/api/status`)).json()) as { state: string }).state;
  while ((await state()) !== "ready") await wait(100);
  console.log(`demo studio ready after ${Math.round(performance.now() - startedAt)} ms`);
  console.log("call            p50 ms  p99 ms    bytes");
  for (const call of CALLS) {
    const { p50, p99, last } = await timed(200, () => get(call));
    console.log(
      `${call.padEnd(14)} ${p50.toFixed(1).padStart(7)} ${p99.toFixed(1).padStart(7)} ${String(last.byteLength).padStart(8)}`,
    );
  }
  const thread = (n: number) =>
    JSON.stringify({
      code: `B${n}`,
      name: `Bench ${n}`,
      rgb: "#123456",
      fibre: "polyester",
      densityTex: 27,
      metresPerCone: 5000,
      cones: 1,
      metresLeft: 5000,
      reorderMetres: 100,
    });
  let n = 0;
  const writes = await timed(100, () =>
    fetch(`${address}/api/threads`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: thread(++n),
    }).then((answer) => answer.arrayBuffer()),
  );
  console.log(`durable write  ${writes.p50.toFixed(1).padStart(7)} ${writes.p99.toFixed(1).padStart(7)}`);
  const memory = existsSync(`/proc/${child.pid}/status`)
    ? /VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${child.pid}/status`, "utf8"))?.[1]
    : undefined;
  if (memory) console.log(`memory ${Math.round(Number(memory) / 1024)} MB`);
  const stopAt = performance.now();
  child.kill("SIGTERM");
  await new Promise((resolve) => child.once("exit", resolve));
  console.log(`stopped after ${Math.round(performance.now() - stopAt)} ms`);
} finally {
  child.kill("SIGKILL");
  rmSync(data, { recursive: true, force: true });
}

async function timed<T>(
  times: number,
  work: () => Promise<T>,
): Promise<{ p50: number; p99: number; last: T }> {
  const took: number[] = [];
  let last = await work();
  for (let i = 0; i < times; i++) {
    const from = performance.now();
    last = await work();
    took.push(performance.now() - from);
  }
  took.sort((a, b) => a - b);
  return { p50: took[Math.floor(times * 0.5)]!, p99: took[Math.floor(times * 0.99)]!, last };
}
