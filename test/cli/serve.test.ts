import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";

/** The command as a shop's script starts it (CONTRACT.md): exit status, what is said where. */
const root = path.join(import.meta.dirname, "../..");
let folder: string;
const running: ChildProcess[] = [];
beforeEach(() => {
  folder = mkdtempSync(path.join(tmpdir(), "cli-"));
});
afterEach(async () => {
  for (const child of running.splice(0))
    if (child.exitCode === null && child.signalCode === null)
      await Promise.all([once(child, "exit"), child.kill("SIGKILL")]);
  rmSync(folder, { recursive: true, force: true });
});

function start(...words: string[]) {
  const child = spawn(process.execPath, ["--import", "tsx", "src/cli/main.ts", ...words], {
    cwd: root,
    env: { ...process.env, DATABASE_URL: "" },
  });
  running.push(child);
  const said = { out: "", err: "" };
  child.stdout.on("data", (text: Buffer) => (said.out += text.toString()));
  child.stderr.on("data", (text: Buffer) => (said.err += text.toString()));
  const ended = once(child, "close").then(([code]) => ({ code: code as number | null, ...said }));
  const address = () =>
    new Promise<string>((resolve, reject) => {
      const look = () => {
        const found = /^Spoolwright is at (\S+)\n/.exec(said.out);
        if (found) resolve(found[1]!);
      };
      child.stdout.on("data", look);
      void ended.then((end) => reject(new Error(`ended: ${end.err}`)));
    });
  return { child, ended, address };
}
const data = () => ["--data", path.join(folder, "data")];

describe("spoolwright serve", () => {
  it("prints its address, listens on this computer only, is not started twice on a folder, and stops cleanly with streams open", async () => {
    const first = start("serve", ...data(), "--port", "0");
    const address = await first.address();
    expect(address).toMatch(/^http:\/\/127\.0\.0\.1:\d+$/);
    expect((await fetch(`${address}/api/status`)).status).toBe(200);
    if (existsSync("/proc/net/tcp")) {
      const port = Number(new URL(address).port).toString(16).toUpperCase().padStart(4, "0");
      const listening = ["/proc/net/tcp", "/proc/net/tcp6"]
        .filter(existsSync)
        .flatMap((file) => readFileSync(file, "utf8").split("\n"))
        .map((line) => line.trim().split(/\s+/))
        .filter((words) => words[3] === "0A" && words[1]?.endsWith(`:${port}`));
      expect(listening.map((words) => words[1])).toEqual([`0100007F:${port}`]);
    }
    const second = await start("serve", ...data()).ended;
    expect(second).toMatchObject({ code: 1, out: "" });
    expect(second.err).toContain("Another Spoolwright is using");
    const stream = await fetch(`${address}/api/live`);
    first.child.kill("SIGTERM");
    const drained = stream.text().then(
      () => "closed",
      () => "cut",
    );
    expect((await first.ended).code).toBe(0);
    expect(await drained).toBe("closed");
    expect(existsSync(path.join(folder, "data", "spoolwright.sqlite-wal"))).toBe(false);
  });

  it("killed, it lets its folder go", async () => {
    const first = start("serve", ...data(), "--port", "0");
    await first.address();
    first.child.kill("SIGKILL");
    await first.ended;
    const again = start("serve", ...data(), "--port", "0");
    expect(await again.address()).toMatch(/^http/);
  });

  it("says so when the port it was told is taken", async () => {
    const other = createServer().listen(0, "127.0.0.1");
    await once(other, "listening");
    const { port } = other.address() as { port: number };
    const end = await start("serve", ...data(), "--port", String(port)).ended;
    expect(end).toMatchObject({ code: 2, out: "" });
    expect(end.err).toContain(`Port ${port} is taken`);
    other.close();
  });

  it.each([
    [["serve", "--port", "99999"]],
    [["serve", "--nothing"]],
    [["nothing"]],
    [["serve", "--lan"]],
    [["restore", "/none.tar.gz"]],
  ])("%j is a wrong command line", async (words) => {
    const end = await start(...words, ...(words[0] === "nothing" ? [] : data())).ended;
    expect(end).toMatchObject({ code: 2, out: "" });
    expect(end.err.trim()).not.toBe("");
    expect(end.err).not.toMatch(/\bat .*\.ts:\d+/);
  });
});
