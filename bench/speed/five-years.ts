/**
 * The program under the demo studio and under five years of records: how soon it is up, how soon each page shows its
 * content in a browser, how soon there is a first plan, what the server weighs. Prints figures and the ratio between
 * the two. `node --import tsx bench/speed/five-years.ts [folder of a demo] [folder of five years]` (bench/five-years.ts
 * lays one); without folders both are made.
 */
import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { type Browser, chromium } from "playwright-core";
import { layFiveYears, makeDemoIn } from "../five-years";

const root = path.resolve(import.meta.dirname, "../..");

interface Served {
  readonly child: ChildProcess;
  readonly address: string;
  readonly upMs: number;
}

/** Programs this bench has started; none outlives it, however it ends. */
const running = new Set<ChildProcess>();
process.on("exit", () => running.forEach((child) => child.kill("SIGKILL")));
for (const signal of ["SIGINT", "SIGTERM"] as const) process.on(signal, () => process.exit(1));

function serve(data: string): Promise<Served> {
  const started = performance.now();
  const child = spawn(
    process.execPath,
    [path.join(root, "bin/spoolwright.mjs"), "serve", "--data", data, "--port", "0"],
    { stdio: ["ignore", "pipe", "inherit"] },
  );
  running.add(child);
  return new Promise((resolve, reject) => {
    child.stdout.on("data", (chunk: Buffer) => {
      const address = /http:\S+/.exec(String(chunk))?.[0];
      if (address) resolve({ child, address, upMs: performance.now() - started });
    });
    child.on("exit", (code) => {
      running.delete(child);
      reject(new Error(`The program ended with ${code}`));
    });
  });
}

async function stop({ child }: Served): Promise<void> {
  if (!running.has(child)) return;
  const closed = new Promise((resolve) => child.once("exit", resolve));
  child.kill("SIGTERM");
  const late = setTimeout(() => child.kill("SIGKILL"), 15_000);
  await closed;
  clearTimeout(late);
}

const memoryMb = (pid: number, what: "VmRSS" | "VmHWM"): number =>
  Number(new RegExp(`${what}:\\s+(\\d+)`).exec(readFileSync(`/proc/${pid}/status`, "utf8"))![1]) / 1024;

/** Each page with what stands there only when its records have come. */
const pages: readonly { readonly path: string; readonly shows: string }[] = [
  { path: "/", shows: ".board-shell" },
  { path: "/orders", shows: "tbody tr" },
  { path: "/orders?show=all", shows: "tbody tr" },
  { path: "/orders?show=all&q=an", shows: "tbody tr" },
  { path: "/orders/new", shows: "input" },
  { path: "/orders/import", shows: "h1" },
  { path: "/orders/:order", shows: "dl" },
  { path: "/pieces/:piece", shows: "h1" },
  { path: "/designs", shows: ".design-card" },
  { path: "/designs/:design", shows: "h1" },
  { path: "/threads", shows: "tbody tr" },
  { path: "/machines", shows: "article" },
  { path: "/products", shows: "tbody tr" },
  { path: "/studio", shows: "input" },
];

const calls = [
  "/api/status",
  "/api/plan",
  "/api/orders",
  "/api/orders?show=late",
  "/api/orders?show=all",
  "/api/orders?show=all&q=an",
  "/api/pieces",
  "/api/pieces?state=shipped",
  "/api/pieces?state=all&q=an",
  "/api/calendar.ics",
  "/api/paper/picking.pdf",
  "/api/designs",
  "/api/changes",
  "/api/threads",
];

const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1]!;

async function timeCalls(address: string): Promise<Map<string, number>> {
  const result = new Map<string, number>();
  for (const call of calls) {
    const times: number[] = [];
    for (let n = 0; n < 15; n++) {
      const at = performance.now();
      const answer = await fetch(address + call);
      await answer.arrayBuffer();
      if (!answer.ok) throw new Error(`${call} answered ${answer.status}`);
      times.push(performance.now() - at);
    }
    result.set(call, median(times));
  }
  return result;
}

type FirstOf = (list: string) => Promise<string>;

async function timePages(browser: Browser, address: string, firstOf: FirstOf): Promise<Map<string, number>> {
  const result = new Map<string, number>();
  const ids: Record<string, string> = {
    ":order": await firstOf("orders"),
    ":piece": await firstOf("pieces"),
    ":design": await firstOf("designs"),
  };
  const page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
  for (const one of pages) {
    const times: number[] = [];
    for (let n = 0; n < 5; n++) {
      const at = performance.now();
      await page.goto(address + one.path.replace(/:\w+/, (word) => ids[word]!), { waitUntil: "commit" });
      await page.locator(`main ${one.shows}`).first().waitFor({ state: "visible", timeout: 20_000 });
      await page.waitForFunction(
        `!document.querySelector('main [aria-busy="true"], main .mantine-Skeleton-root')`,
        undefined,
        { timeout: 20_000 },
      );
      times.push(performance.now() - at);
    }
    result.set(one.path, median(times));
  }
  await page.close();
  return result;
}

/** Plans the day for two seconds; gives when the first plan was told of. */
async function planDay(address: string): Promise<number> {
  const asked = performance.now();
  const answer = await fetch(`${address}/api/plan`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ seconds: 2 }),
  });
  if (!answer.ok) throw new Error(`planning answered ${answer.status}: ${await answer.text()}`);
  let firstMs = 0;
  while (performance.now() - asked < 60_000) {
    const run = (await (await fetch(`${address}/api/plan/run`)).json()) as { state: string; best: unknown };
    if (firstMs === 0 && run.best) firstMs = performance.now() - asked;
    if (run.state !== "running") return firstMs;
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  throw new Error("the planning had not ended after a minute");
}

async function measure(data: string) {
  const served = await serve(data);
  let browser: Browser | undefined;
  try {
    const firstPlanMs = await planDay(served.address);
    const callMs = await timeCalls(served.address);
    const executablePath = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"].find(
      existsSync,
    )!;
    browser = await chromium.launch({
      executablePath,
      args: [
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
      ],
    });
    const firstOf: FirstOf = async (list) => {
      const { items } = (await (await fetch(`${served.address}/api/${list}?limit=1`)).json()) as {
        items: { id: string }[];
      };
      return items[0]!.id;
    };
    const pageMs = await timePages(browser, served.address, firstOf);
    return {
      upMs: served.upMs,
      firstPlanMs,
      callMs,
      pageMs,
      memoryMb: memoryMb(served.child.pid!, "VmRSS"),
      mostMemoryMb: memoryMb(served.child.pid!, "VmHWM"),
    };
  } finally {
    await browser?.close();
    await stop(served);
  }
}

// Folders made before, where they are given; other words chose this bench.
const [demoGiven, yearsGiven] = process.argv.slice(2).filter((word) => existsSync(word));
const folder = mkdtempSync(path.join(tmpdir(), "spoolwright-five-years-"));
const demoFolder = demoGiven ?? path.join(folder, "demo");
const yearsFolder = yearsGiven ?? path.join(folder, "years");
try {
  spawnSync(process.execPath, [path.join(root, "scripts/build.mjs")], { stdio: "inherit" });
  if (demoGiven === undefined) {
    const started = performance.now();
    await makeDemoIn(demoFolder);
    console.log(`demo studio made in ${((performance.now() - started) / 1000).toFixed(1)} s`);
  }
  if (yearsGiven === undefined) {
    await makeDemoIn(yearsFolder);
    await layFiveYears(yearsFolder);
  }
  const demo = await measure(demoFolder);
  const years = await measure(yearsFolder);
  console.log(`\n${"".padEnd(34)}demo     five years   ratio`);
  const line = (name: string, a: number, b: number, unit = "ms") =>
    console.log(
      `${name.padEnd(30)}${a.toFixed(0).padStart(8)} ${b.toFixed(0).padStart(10)} ${unit} ${(b / a).toFixed(2).padStart(7)}`,
    );
  line("up after start", demo.upMs, years.upMs);
  for (const [call, ms] of demo.callMs) line(call, ms, years.callMs.get(call)!);
  for (const [page, ms] of demo.pageMs) line(`page ${page}`, ms, years.pageMs.get(page)!);
  line("first plan after asking", demo.firstPlanMs, years.firstPlanMs);
  line("memory after every page", demo.memoryMb, years.memoryMb, "MB");
  line("most memory", demo.mostMemoryMb, years.mostMemoryMb, "MB");
} finally {
  rmSync(folder, { recursive: true, force: true });
}
