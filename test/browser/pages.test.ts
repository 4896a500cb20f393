import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type Running, startIn } from "./program";
import {
  accessFindings,
  api,
  contrastFindings,
  layoutFindings,
  openBrowser,
  openSheet,
  screens,
  settled,
  type Sheet,
  sidewaysPx,
  startDemo,
  startProgram,
} from "./support";

// Every page of the demo studio is held against WCAG 2.2 A and AA (W3C Recommendation, 2023) by axe-core, target
// size (2.5.8) included, and against 1.4.10 Reflow: no page scrolls sideways, not even at 320 CSS pixels.

let running: Running;
let browser: Browser;

beforeAll(async () => {
  [running, browser] = await Promise.all([startDemo(), openBrowser()]);
});
afterAll(async () => {
  await browser?.close();
  await running?.stop();
});

/** Files of orders, looked at: one asks which column is what, one has bad rows, one is in. */
const files = {
  asks: "a;b\nx;y\n",
  bad: "Order;Placed;Product;Quantity;Due\nQ-1;2026-11-02;NO-SUCH;1;2027-01-08\n",
};

async function addresses(sheet: Sheet): Promise<readonly string[]> {
  const first = async (where: string) =>
    (await api<{ items: { id: string }[] }>(sheet, running, "GET", where)).items[0]!.id;
  const { plan } = await api<{ plan: { jobs: { jobId: string; pieceId: string }[] } }>(
    sheet,
    running,
    "GET",
    "/api/plan",
  );
  const looked = await Promise.all(
    Object.entries(files).map(async ([name, text]) => {
      const answer = await sheet.page.request.post(`${running.address}/api/imports?name=${name}.csv`, {
        headers: { origin: running.address, "content-type": "application/octet-stream" },
        data: Buffer.from(text),
      });
      return ((await answer.json()) as { id: string }).id;
    }),
  );
  const job = plan.jobs[0]!;
  const machine = await first("/api/machines?limit=1");
  return [
    "/?view=board",
    "/?view=list",
    `/?view=list&job=${job.jobId}`,
    `/pieces/${job.pieceId}`,
    "/orders",
    `/orders/${await first("/api/orders?limit=1")}`,
    "/orders/new",
    "/orders/import",
    `/orders/import?id=${looked[0]}`,
    `/orders/import?id=${looked[1]}`,
    "/designs",
    "/designs?as=list",
    `/designs/${await first("/api/designs?limit=1")}`,
    "/threads",
    "/threads?edit=new",
    "/threads?leaf=stock",
    "/threads?leaf=stock&edit=new",
    "/machines",
    `/machines?edit=${machine}`,
    "/machines?leaf=hoops",
    "/machines?leaf=hoops&edit=new",
    "/machines?leaf=placing",
    "/machines?leaf=care",
    `/place/${job.jobId}`,
    `/place/${job.jobId}?again=yes`,
    "/costs",
    `/costs?product=${await first("/api/products?limit=1")}`,
    "/costs?leaf=orders",
    `/costs?leaf=orders&order=${await first("/api/orders?limit=1")}`,
    "/costs?leaf=quote&new=yes",
    "/costs?leaf=purchase&new=yes",
    "/costs?leaf=things&part=ordering",
    "/costs?leaf=things",
    "/costs?leaf=things&part=stock",
    "/costs?leaf=things&part=machines",
    "/history",
    "/what-if",
    "/products",
    `/products?edit=${await first("/api/products?limit=1")}`,
    "/studio",
    "/studio?leaf=hours",
    "/studio?leaf=people",
    "/studio?leaf=people&edit=new",
    "/studio?leaf=times",
    "/studio?leaf=learned",
    "/studio?leaf=priorities",
    "/studio?leaf=changes",
    "/no-such-page",
  ];
}

/** A desktop differs from a tablet where a page has room for more columns; the others are looked at on the smaller two. */
const widerOnDesktop = /view=|job=|^\/pieces|^\/orders|^\/designs|leaf=care|^\/history|^\/studio$/;

const open = async ({ page }: Sheet, where: string, at: Running = running) => {
  await page.goto(at.address + where);
  await settled(page);
  if (/edit=|job=/.test(where)) await page.getByRole("dialog").waitFor();
};

const tooWide = async ({ page }: Sheet, where: string): Promise<readonly string[]> => {
  const sideways = await sidewaysPx(page);
  return sideways > 0 ? [`${where} is ${sideways} px too wide in ${page.viewportSize()?.width} px`] : [];
};

const found = async (
  { page }: Sheet,
  where: string,
  findings: typeof accessFindings = accessFindings,
): Promise<readonly string[]> =>
  (await findings(page)).map((one) => `${where} at ${page.viewportSize()?.width} px ${one}`);

/** Whether a page that is open lays itself out anew for this window, as when a tablet is turned. */
const resized = async ({ page }: Sheet, viewport: { readonly width: number; readonly height: number }) => {
  await page.setViewportSize(viewport);
  await settled(page);
};

describe("every page of a studio full of work, by day and in the evening", () => {
  it("holds WCAG 2.2 AA under a finger on tablet and phone, and scrolls sideways in no window from 320 px", async () => {
    const sheet = await openSheet(browser, {
      ...screens.tablet,
      colorScheme: "light",
      reducedMotion: "reduce",
    });
    const faults: string[] = [];
    for (const where of await addresses(sheet)) {
      await sheet.page.setViewportSize(screens.tablet.viewport);
      await open(sheet, where);
      faults.push(...(await found(sheet, where)), ...(await tooWide(sheet, where)));
      // In other colours only contrast can differ, and that hardly with the size.
      await sheet.page.emulateMedia({ colorScheme: "dark" });
      faults.push(...(await contrastFindings(sheet.page)).map((one) => `${where} in the evening ${one}`));
      await sheet.page.emulateMedia({ colorScheme: "light" });
      await resized(sheet, screens.desktop.viewport);
      faults.push(...(await tooWide(sheet, where)));
      await resized(sheet, screens.phone.viewport);
      faults.push(...(await found(sheet, where, layoutFindings)), ...(await tooWide(sheet, where)));
      await resized(sheet, { width: 320, height: 640 });
      faults.push(...(await tooWide(sheet, where)));
      faults.push(...sheet.faults().map((fault) => `${where} ${fault}`));
    }
    await sheet.close();
    expect(faults).toEqual([]);
  }, 600_000);

  it("holds them under a mouse where a desktop has room for more, and opens on a phone as it is", async () => {
    const [desktop, phone] = await Promise.all([
      openSheet(browser, { ...screens.desktop, colorScheme: "light", reducedMotion: "reduce" }),
      openSheet(browser, { ...screens.phone, colorScheme: "light", reducedMotion: "reduce" }),
    ]);
    const faults: string[] = [];
    for (const where of (await addresses(desktop)).filter((one) => widerOnDesktop.test(one))) {
      await open(desktop, where);
      faults.push(...(await found(desktop, where, layoutFindings)), ...(await tooWide(desktop, where)));
      // A phone's browser widens its window to what does not fit; a narrow window does not.
      await open(phone, where);
      faults.push(...(await tooWide(phone, where)));
      for (const sheet of [desktop, phone])
        faults.push(...sheet.faults().map((fault) => `${where} ${fault}`));
    }
    await Promise.all([desktop.close(), phone.close()]);
    expect(faults).toEqual([]);
  }, 600_000);
});

describe("a page with nothing, on the way, or in trouble", () => {
  const lists = [
    "/",
    "/orders",
    "/designs",
    "/threads",
    "/threads?leaf=stock",
    "/machines",
    "/machines?leaf=hoops",
    "/products",
    "/studio?leaf=people",
    "/studio?leaf=changes",
  ];

  it("says what it is for while the studio is empty, with one way to begin", async () => {
    const empty = await startProgram();
    const sheet = await openSheet(browser, screens.phone);
    await api(sheet, empty, "POST", "/api/setup", {
      body: {
        name: "Lantern Lane",
        timeZone: "Europe/Dublin",
        currency: "EUR",
        lengthUnit: "mm",
        paper: "A4",
      },
    });
    const found: string[] = [];
    for (const where of [...lists, "/orders/new", "/orders/import", "/studio", "/products?edit=new"]) {
      await open(sheet, where, empty);
      found.push(...(await accessFindings(sheet.page)).map((one) => `${where} ${one}`));
      if ((await sidewaysPx(sheet.page)) > 0) found.push(`${where} scrolls sideways`);
      if (lists.includes(where) && where !== "/studio?leaf=changes")
        if ((await sheet.page.locator("main .state").locator("a, button").count()) === 0)
          found.push(`${where} offers no way to begin`);
      found.push(...sheet.faults().map((fault) => `${where} ${fault}`));
    }
    await sheet.close();
    await empty.stop();
    expect(found).toEqual([]);
  }, 300_000);

  it("shows what happened and a way to try again where the answer fails", async () => {
    const sheet = await openSheet(browser);
    sheet.allow(/503|ERR_FAILED/);
    await sheet.page.clock.install();
    const found: string[] = [];
    let failing = true;
    await sheet.page.route(
      /\/api\/(plan|orders|designs|threads|stock|machines|hoops|products|people|changes|pieces)\b/,
      (route) =>
        failing
          ? route.fulfill({
              status: 503,
              contentType: "application/problem+json",
              body: JSON.stringify({
                type: "about:blank",
                title: "The database is busy",
                status: 503,
                detail: "It did not answer in time.",
                code: "busy",
                advice: "Try again in a moment.",
              }),
            })
          : route.continue(),
    );
    for (const where of [...lists, "/orders/none", "/designs/none", "/pieces/none"]) {
      failing = true;
      await sheet.page.goto(running.address + where);
      const trouble = sheet.page.getByRole("alert").filter({ hasText: "The database is busy" }).first();
      // The page asks again by itself before it gives up; its clock goes faster meanwhile.
      for (let tries = 0; tries < 40 && !(await trouble.isVisible()); tries++) {
        await sheet.page.clock.fastForward(1500);
        await sheet.page.waitForTimeout(50);
      }
      await trouble.waitFor();
      found.push(...(await accessFindings(sheet.page)).map((one) => `${where} ${one}`));
      if (!lists.includes(where)) continue;
      failing = false;
      await trouble.getByRole("button", { name: "Try again" }).click();
      await trouble.waitFor({ state: "detached" });
    }
    found.push(...sheet.faults());
    await sheet.close();
    expect(found).toEqual([]);
  }, 300_000);

  it("says that it is fetching while the answer is on its way", async () => {
    const sheet = await openSheet(browser);
    const found: string[] = [];
    const waiting: (() => void)[] = [];
    await sheet.page.route(
      /\/api\/(plan|orders|designs|threads|stock|machines|hoops|products|people|changes)(\?|$)/,
      (route) => void waiting.push(() => void route.continue().catch(() => undefined)),
    );
    for (const where of lists) {
      await sheet.page.goto(running.address + where);
      await sheet.page.locator("main [aria-busy=true], main [role=status]").first().waitFor();
      found.push(...(await accessFindings(sheet.page)).map((one) => `${where} ${one}`));
      waiting.splice(0).forEach((go) => go());
    }
    found.push(...sheet.faults());
    await sheet.close();
    expect(found).toEqual([]);
  }, 300_000);

  it("says so when the program stops answering, keeps what is typed, and takes up again when it is back", async () => {
    const first = await startDemo();
    const sheet = await openSheet(browser);
    const { page } = sheet;
    sheet.allow(/ERR_/);
    await open(sheet, "/orders/new", first);
    await page.getByLabel("Customer").fill("Ottilie Brandt");
    await first.end();
    const lost = page.getByRole("alert").filter({ hasText: "The program does not answer" });
    await lost.waitFor();
    expect(await accessFindings(page)).toEqual([]);
    const again = await startIn(first.data, Number(new URL(first.address).port));
    await lost.waitFor({ state: "detached" });
    expect(await page.getByLabel("Customer").inputValue()).toBe("Ottilie Brandt");
    expect(sheet.faults()).toEqual([]);
    await sheet.close();
    await again.stop();
  });

  it("keeps its frame where a page cannot be fetched any more", async () => {
    const first = await startDemo();
    const sheet = await openSheet(browser);
    const { page } = sheet;
    await open(sheet, "/studio?leaf=times", first);
    await first.end();
    sheet.allow(/ERR_|dynamically imported|preload|thrown/);
    await page.getByRole("link", { name: "Orders", exact: true }).click();
    await page.locator("main").getByRole("alert").waitFor();
    expect(await page.getByRole("navigation", { name: "Pages" }).isVisible()).toBe(true);
    expect(await accessFindings(page)).toEqual([]);
    const again = await startIn(first.data, Number(new URL(first.address).port));
    await page.locator("main").getByRole("button", { name: "Try again" }).click();
    await page.getByRole("heading", { level: 1, name: "Orders" }).waitFor();
    await sheet.close();
    await again.stop();
  });
});
