import { AxeBuilder } from "@axe-core/playwright";
import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { type Browser, type BrowserContextOptions, chromium, type Page } from "playwright-core";

/** The built program on a data folder of its own, as a person starts it. */
export interface Running {
  readonly address: string;
  stop(): Promise<void>;
}

/** Starts the program on an empty folder and waits for the address it prints. */
export async function startProgram(...extra: readonly string[]): Promise<Running> {
  const data = mkdtempSync(path.join(tmpdir(), "spoolwright-browser-"));
  const child = spawn(
    process.execPath,
    ["bin/spoolwright.mjs", "serve", "--data", data, "--port", "0", ...extra],
    { env: { ...process.env, DATABASE_URL: "" } },
  );
  const address = await printedAddress(child);
  return {
    address,
    stop: async () => {
      const ended = new Promise((resolve) => child.once("exit", resolve));
      child.kill("SIGTERM");
      await ended;
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

const places = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

/** Debian's Chromium with a fresh profile, speaking to nobody outside. */
export function openBrowser(): Promise<Browser> {
  const executablePath = places.find((place) => existsSync(place));
  if (!executablePath)
    throw new Error(`No Chromium at ${places.join(", ")}: install Debian's package chromium.`);
  return chromium.launch({
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
}

/** The three sizes the pages are drawn for. */
export const screens = {
  desktop: { viewport: { width: 1440, height: 900 } },
  tablet: { viewport: { width: 1024, height: 768 }, hasTouch: true },
  phone: { viewport: { width: 390, height: 844 }, hasTouch: true },
} as const satisfies Record<string, BrowserContextOptions>;

/** What axe-core finds against WCAG 2.2 A and AA, in one line each. */
export async function accessFindings(page: Page): Promise<string[]> {
  // The options come first: they replace what was chosen before them.
  const { violations } = await new AxeBuilder({ page })
    .options({ rules: { "target-size": { enabled: true } } })
    .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"])
    .analyze();
  return violations.map(
    ({ id, nodes }) => `${id}: ${nodes.map((node) => node.html.slice(0, 120)).join(" | ")}`,
  );
}

/** How many pixels the page is wider than its window; WCAG 2.2, 1.4.10 asks for none. */
export const sidewaysPx = (page: Page): Promise<number> =>
  page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
