import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import type { TestProject } from "vitest/node";
import { startIn } from "./program";

/**
 * Makes the demo studio with its first plan once for all the browser's tests, and closes it again: each test file
 * works on a copy of the folder.
 */
export default async function demoOnce(project: TestProject): Promise<() => void> {
  const { status } = spawnSync(process.execPath, ["scripts/build.mjs"], { stdio: "inherit" });
  if (status !== 0) throw new Error("The program could not be built; what is wrong stands above.");
  const folder = mkdtempSync(path.join(tmpdir(), "spoolwright-demo-"));
  const running = await startIn(folder);
  try {
    const ask = async (method: string, where: string, body?: unknown) => {
      const answer = await fetch(running.address + where, {
        method,
        headers: { origin: running.address, "content-type": "application/json" },
        ...(body === undefined ? {} : { body: JSON.stringify(body) }),
      });
      if (!answer.ok) throw new Error(`${method} ${where} answered ${answer.status}: ${await answer.text()}`);
      return (await answer.json()) as { state: string; failure?: string | null };
    };
    await ask("POST", "/api/setup/demo", {});
    await until(async () => (await ask("GET", "/api/status")).state === "ready");
    await ask("POST", "/api/plan", { seconds: 2 });
    await until(async () => {
      const { state, failure } = await ask("GET", "/api/plan/run");
      if (state === "failed") throw new Error(`The demo's plan failed: ${failure}`);
      return state === "done";
    });
  } finally {
    await running.end();
  }
  project.provide("demoFolder", folder);
  return () => rmSync(folder, { recursive: true, force: true });
}

async function until(holds: () => Promise<boolean>): Promise<void> {
  while (!(await holds())) await new Promise((resolve) => setTimeout(resolve, 250));
}
