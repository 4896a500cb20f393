import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { createServer } from "node:net";
import { networkInterfaces, tmpdir } from "node:os";
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
  return { child, ended, address, said };
}

/** The first address of this machine that is not loopback's; undefined where it has none. */
const ownAddress = (): string | undefined =>
  Object.values(networkInterfaces())
    .flatMap((list) => list ?? [])
    .find((one) => one.family === "IPv4" && !one.internal)?.address;
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

  it("without --lan nobody of the network reaches it; with it they do, and are strangers until paired", async (context) => {
    const address = ownAddress();
    if (!address) context.skip("this machine has no address but its own");
    const reach = (port: string, where: string) =>
      fetch(`http://${address}:${port}${where}`, { redirect: "manual" });
    const closed = start("serve", ...data(), "--port", "0");
    const { port } = new URL(await closed.address());
    await expect(reach(port, "/api/status")).rejects.toMatchObject({ cause: { code: "ECONNREFUSED" } });
    closed.child.kill("SIGTERM");
    await closed.ended;

    const open = start("serve", ...data(), "--port", "0", "--lan", "--host-name", address!, "studio.lan");
    const own = await open.address();
    const at = new URL(own).port;
    expect((await fetch(`${own}/api/status`)).status).toBe(200);
    expect(open.said.out).toContain(`http://${address}:${at}`);
    expect(open.said.out).toContain(`http://studio.lan:${at}`);
    const answer = await reach(at, "/api/status");
    expect(answer.status).toBe(401);
    expect(await answer.json()).toMatchObject({ code: "device-not-paired" });
    expect((await reach(at, "/orders")).headers.get("location")).toBe("/pair?to=%2Forders");
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
    [["serve", "--host-name", "studio.lan"]],
    [["serve", "--lan", "--host-name", "http://studio.lan"]],
    [["serve", "--lan", "--host-name", "localhost"]],
    [["restore", "/none.tar.gz"]],
  ])("%j is a wrong command line", async (words) => {
    const end = await start(...words, ...(words[0] === "nothing" ? [] : data())).ended;
    expect(end).toMatchObject({ code: 2, out: "" });
    expect(end.err.trim()).not.toBe("");
    expect(end.err).not.toMatch(/\bat .*\.ts:\d+/);
  });
});
