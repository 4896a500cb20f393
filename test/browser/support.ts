import axe from "axe-core";
import { cpSync, existsSync, mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import {
  type Browser,
  type BrowserContext,
  type BrowserContextOptions,
  chromium,
  type Locator,
  type Page,
} from "playwright-core";
import { inject } from "vitest";
import { type Running, startIn } from "./program";

declare module "vitest" {
  interface ProvidedContext {
    /** The closed data folder of a demo studio with a plan, made once a run; copied, never opened. */
    demoFolder: string;
  }
}

/** Starts the program on an empty folder and waits for the address it prints. */
export const startProgram = (): Promise<Running> => startIn(freshFolder());

/** Starts the program on a copy of the run's demo studio, its plan made. `words`: what else stands on the command line. */
export async function startDemo(words: readonly string[] = []): Promise<Running> {
  const data = freshFolder();
  cpSync(inject("demoFolder"), data, { recursive: true });
  return startIn(data, 0, words);
}

const freshFolder = () => mkdtempSync(path.join(tmpdir(), "spoolwright-browser-"));

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
  phone: { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true },
} as const satisfies Record<string, BrowserContextOptions>;

/** A page that is listened to: what goes wrong in it behind the person's back. */
export interface Sheet {
  readonly page: Page;
  readonly context: BrowserContext;
  /** What went wrong since last asked: console errors, thrown errors, requests that failed, broken content policy. */
  faults(): string[];
  /** Says beforehand that some fault belongs to the story told. */
  allow(fault: RegExp): void;
  close(): Promise<void>;
}

/** Opens a page in a context of its own, with a fresh store of cookies and choices. */
export async function openSheet(browser: Browser, options: BrowserContextOptions = {}): Promise<Sheet> {
  const context = await browser.newContext({
    ...screens.desktop,
    locale: "en-IE",
    timezoneId: "Europe/Dublin",
    acceptDownloads: true,
    ...options,
  });
  context.setDefaultTimeout(20_000);
  const faults: string[] = [];
  const allowed: RegExp[] = [];
  const note = (fault: string) => {
    if (!allowed.some((one) => one.test(fault))) faults.push(fault);
  };
  // Inline and eval refused by the content policy show here before anything else tells of them.
  await context.addInitScript(() =>
    document.addEventListener("securitypolicyviolation", (event) =>
      console.error(`Content policy: ${event.violatedDirective} ${event.blockedURI}`),
    ),
  );
  const listen = (page: Page) => {
    page.on("console", (message) => message.type() === "error" && note(`console: ${message.text()}`));
    page.on("pageerror", (error) => note(`thrown: ${error.message}`));
    page.on("requestfailed", (request) => {
      const why = request.failure()?.errorText ?? "";
      // Leaving a page ends what it still asked for; that is no failure.
      if (why !== "net::ERR_ABORTED") note(`failed: ${request.method()} ${request.url()} ${why}`);
    });
    page.on("response", (response) => {
      if (response.status() >= 400)
        note(`answered ${response.status()}: ${response.request().method()} ${response.url()}`);
    });
  };
  context.on("page", listen);
  const page = await context.newPage();
  return {
    page,
    context,
    faults: () => faults.splice(0),
    allow: (fault) => void allowed.push(fault),
    close: () => context.close(),
  };
}

/** Waits until nothing on the page says that it is still being fetched. */
export async function settled(page: Page): Promise<void> {
  await page.locator("h1").first().waitFor({ state: "attached" });
  await page.waitForFunction(
    () =>
      !document.querySelector(
        "[aria-busy=true], .state[role=status], [aria-label='Reading the plan'], .mantine-Skeleton-root",
      ) && document.fonts.status === "loaded",
  );
}

const standards = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] as const;

/** What axe-core finds against WCAG 2.2 A and AA, target size included, in one line each. */
export const accessFindings = (page: Page): Promise<string[]> =>
  findingsOf(page, {
    runOnly: { type: "tag", values: [...standards] },
    rules: { "target-size": { enabled: true } },
  });

/** All but contrast, for a page whose colours were looked at in another size: contrast costs as much as all others. */
export const layoutFindings = (page: Page): Promise<string[]> =>
  findingsOf(page, {
    runOnly: { type: "tag", values: [...standards] },
    rules: { "target-size": { enabled: true }, "color-contrast": { enabled: false } },
  });

/** Contrast alone, for a page whose build was looked at in its other colours already. */
export const contrastFindings = (page: Page): Promise<string[]> =>
  findingsOf(page, { runOnly: { type: "rule", values: ["color-contrast"] } });

/** Of long lists the first rows are looked at: those after them are built alike. */
const furtherRows = ["tbody tr:nth-child(n+9)", "main li:nth-child(n+9)", "[role=option]:nth-child(n+13)"];

async function findingsOf(page: Page, options: axe.RunOptions): Promise<string[]> {
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axe.source);
  const violations = await page.evaluate(
    async ([less, how]) =>
      (
        await (window as unknown as { readonly axe: typeof axe }).axe.run(
          { include: [["html"]], exclude: less.map((row) => [row]) },
          // No page of ours holds another site's frame, so nothing is gathered from frames.
          { ...how, iframes: false, resultTypes: ["violations"] },
        )
      ).violations.map(({ id, nodes }) => ({
        id,
        nodes: nodes.map(({ target, html }) => ({ target: target.join(" "), html })),
      })),
    [furtherRows, options] as const,
  );
  return violations.map(
    ({ id, nodes }) =>
      `${id}: ${nodes
        .slice(0, 4)
        .map((node) => `${node.target} ${node.html.slice(0, 120)}`)
        .join(" | ")}${nodes.length > 4 ? ` and ${nodes.length - 4} more` : ""}`,
  );
}

/** How many pixels the page is wider than its window; WCAG 2.2, 1.4.10 asks for none. */
export const sidewaysPx = (page: Page): Promise<number> =>
  page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);

/** Asks the program as the page would, for what a test needs to know or to make ready. */
export async function api<T>(
  sheet: Pick<Sheet, "page">,
  running: Running,
  method: "GET" | "POST" | "PUT",
  where: string,
  given: { readonly body?: unknown; readonly version?: number } = {},
): Promise<T> {
  const answer = await sheet.page.request.fetch(running.address + where, {
    method,
    headers: {
      origin: running.address,
      ...(given.version === undefined ? {} : { "if-match": `"${given.version}"` }),
    },
    ...(given.body === undefined ? {} : { data: given.body }),
  });
  if (!answer.ok()) throw new Error(`${method} ${where} answered ${answer.status()}: ${await answer.text()}`);
  return (await answer.json()) as T;
}

/** Chooses from a list as a person does: opens it, presses the option; gives the option's words. */
export async function choose(
  where: Page | Locator,
  label: string | RegExp,
  option: string | RegExp | ((words: readonly string[]) => string),
): Promise<string> {
  const box = where.getByRole("combobox", { name: label });
  await box.click();
  await box.and(where.locator("[aria-expanded=true]")).waitFor();
  // A page may hold other lists of options; this box names its own.
  const own = `[id="${await box.getAttribute("aria-controls")}"]`;
  const options = ("page" in where ? where.page() : where).locator(own).getByRole("option");
  await options.first().waitFor();
  const words = await options.allInnerTexts();
  const wanted =
    typeof option === "function"
      ? option(words)
      : words.find((one) => (typeof option === "string" ? one === option : option.test(one)));
  const at = words.indexOf(wanted ?? "");
  if (at < 0) throw new Error(`None of ${words.join(", ")} is ${String(option)}.`);
  await options.nth(at).click();
  return words[at]!;
}
