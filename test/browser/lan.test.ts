import { decode } from "fast-png";
import jsQR from "jsqr";
import { networkInterfaces } from "node:os";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import type { Running } from "./program";
import {
  accessFindings,
  api,
  contrastFindings,
  openBrowser,
  openSheet,
  screens,
  settled,
  type Sheet,
  sidewaysPx,
  startDemo,
} from "./support";

// A tablet in a browser of its own comes over the network (plain http, no secure context): it scans the code of the
// Studio page, is let in, tells an event at a station under its name, is turned out, and loses nothing it told.

const here = Object.values(networkInterfaces())
  .flatMap((list) => list ?? [])
  .find((one) => one.family === "IPv4" && !one.internal)?.address;

let running: Running;
let browser: Browser;
beforeAll(async () => {
  if (!here) return;
  [running, browser] = await Promise.all([startDemo(["--lan", "--host-name", here]), openBrowser()]);
});
afterAll(async () => {
  await browser?.close();
  await running?.stop();
});

const NAME = "Tablet at the window";

/** What a camera reads out of the code on the screen. */
async function readCode(own: Sheet): Promise<string> {
  const button = own.page.getByRole("button", { name: /^Show (a|another) code$/ });
  await button.click();
  const { data, width, height, channels } = decode(await own.page.locator(".qr-code").screenshot());
  const pixels = new Uint8ClampedArray(width * height * 4).fill(255);
  for (let at = 0; at < width * height; at++)
    for (let channel = 0; channel < 3; channel++) pixels[at * 4 + channel] = data[at * channels + channel]!;
  return jsQR(pixels, width, height)!.data;
}

async function letIn(tablet: Sheet, scanned: string): Promise<void> {
  await tablet.page.goto(scanned);
  await tablet.page.getByLabel("What is this device called?").fill(NAME);
  await tablet.page.getByRole("button", { name: "Let it in" }).click();
  await tablet.page.getByRole("heading", { name: `${NAME} is in` }).waitFor();
}

/** The machine with most pieces ahead of it. */
async function busiest(own: Sheet): Promise<{ id: string; name: string }> {
  const { plan } = (await api<{ plan: { plan: { runs: { machine: string }[] } } }>(own, running, "GET", "/api/plan")).plan; // prettier-ignore
  const counts = new Map<string, number>();
  for (const run of plan.runs) counts.set(run.machine, (counts.get(run.machine) ?? 0) + 1);
  const [id] = [...counts].sort((a, b) => b[1] - a[1])[0]!;
  return api(own, running, "GET", `/api/machines/${id}`);
}

it("a tablet is paired, tells under its name, is turned out and keeps what it told until it is in again", async (context) => {
  if (!here) return context.skip("this machine has no address beside loopback's");
  const own = await openSheet(browser, screens.desktop);
  const tablet = await openSheet(browser, { ...screens.tablet, reducedMotion: "reduce" });
  // Over plain http the browser ignores this header and says so; a stranger is answered 401.
  tablet.allow(/Cross-Origin-Opener-Policy/);
  tablet.allow(/401/);
  const told = async () =>
    (await api<{ lately: { id: string; who: string }[] }>(own, running, "GET", "/api/floor")).lately.filter((one) => one.who === NAME).length; // prettier-ignore
  const found: string[] = [];
  const look = async (what: string, sheet: Sheet) => {
    await settled(sheet.page);
    found.push(...(await accessFindings(sheet.page)).map((one) => `${what} ${one}`));
    if ((await sidewaysPx(sheet.page)) > 0) found.push(`${what} scrolls sideways`);
    await sheet.page.emulateMedia({ colorScheme: "dark" });
    found.push(...(await contrastFindings(sheet.page)).map((one) => `${what} dark ${one}`));
    await sheet.page.emulateMedia({ colorScheme: "light" });
  };

  // Not let in, whatever is asked for leads to the pairing page.
  const at = `http://${here}:${new URL(running.address).port}`;
  await tablet.page.goto(`${at}/orders`);
  await tablet.page.getByRole("heading", { name: "Let this device in" }).waitFor();
  expect(await tablet.page.evaluate(() => window.isSecureContext)).toBe(false);
  await look("pairing page", tablet);

  await own.page.goto(`${running.address}/studio?leaf=devices`);
  const scanned = await readCode(own);
  expect(scanned).toMatch(new RegExp(`^${at.replaceAll(".", "\\.")}/pair#\\d{8}$`));
  await look("Studio", own);
  await letIn(tablet, scanned);
  await own.page.getByText(`${NAME} is in.`).waitFor();

  const machine = await busiest(own);
  await tablet.page.getByRole("link", { name: machine.name }).click();
  const main = tablet.page.locator(".act-main");
  // Outside the demo's hours the work is of the next working day: begun early.
  await main.waitFor();
  if (/Begin it now/.test(await main.innerText())) await main.click();
  await main.filter({ hasNotText: "Begin it now" }).click();
  await expect.poll(told, { timeout: 15_000 }).toBe(1);

  // A ticket opened by another program comes without the cookie (SameSite=Strict) and gets where it leads all the same.
  const scanning = await tablet.context.newPage();
  await scanning.setContent(`<a href="${at}/orders">scanned</a>`);
  await scanning.getByRole("link").click();
  await scanning.getByRole("heading", { name: "Orders" }).waitFor();
  expect(await scanning.evaluate(() => document.cookie)).toBe("");
  await scanning.close();

  await own.page.getByRole("button", { name: `Turn out ${NAME}` }).click();
  await own.page.getByRole("button", { name: `Turn ${NAME} out` }).click();
  await tablet.page.getByText("This tablet is no longer let in; ask at the computer.").waitFor();
  await look("station of a tablet that was turned out", tablet);
  await main.click();
  await tablet.page.getByRole("button", { name: "waiting (1)" }).waitFor();
  await tablet.page.reload();
  await tablet.page.getByRole("heading", { name: "This tablet is no longer let in" }).waitFor();
  expect(await told()).toBe(1);

  await letIn(tablet, await readCode(own));
  await tablet.page.getByRole("link", { name: machine.name }).click();
  await expect.poll(told, { timeout: 15_000 }).toBe(2);
  expect(found).toEqual([]);
  expect(own.faults()).toEqual([]);
  expect(tablet.faults()).toEqual([]);
}, 120_000);
