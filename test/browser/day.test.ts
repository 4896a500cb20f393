import { readFileSync } from "node:fs";
import { strFromU8, unzipSync } from "fflate";
import type { Browser, Download, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { readMachineFile } from "#core/stitch";
import type { Running } from "./program";
import { accessFindings, api, choose, openBrowser, openSheet, type Sheet, startProgram } from "./support";

// A day of the demo studio, from the first start to the parcel. What is checked of files from outside: a PDF begins
// with "%PDF-" (ISO 32000-1, 7.5.2), a zip with "PK" (APPNOTE 4.3.7), a calendar with BEGIN:VCALENDAR (RFC 5545, 3.4),
// CSV lines end with CRLF (RFC 4180, 2).

interface PlannedJob {
  readonly jobId: string;
  readonly pieceId: string;
  readonly pieceCode: string;
  readonly state: string;
  readonly urgency: string;
  readonly hoopName: string | null;
  readonly title: string;
}
interface View {
  readonly planId: string;
  readonly machines: readonly { readonly id: string; readonly name: string; readonly needles: number }[];
  readonly jobs: readonly PlannedJob[];
  readonly plan: {
    readonly runs: readonly {
      readonly job: string;
      readonly machine: string;
      readonly stretches: readonly { readonly start: number }[];
    }[];
  };
}

let running: Running;
let browser: Browser;
let sheet: Sheet;
let page: Page;

beforeAll(async () => {
  [running, browser] = await Promise.all([startProgram(), openBrowser()]);
  sheet = await openSheet(browser);
  page = sheet.page;
});
afterAll(async () => {
  await browser?.close();
  await running?.stop();
});
afterEach(() => expect(sheet.faults()).toEqual([]));

const view = async () => (await api<{ plan: View }>(sheet, running, "GET", "/api/plan")).plan;
const machineOf = (plan: View, jobId: string) => plan.plan.runs.find((run) => run.job === jobId)?.machine;
const startOf = (run: View["plan"]["runs"][number]) => run.stretches[0]!.start;
const said = (words: string | RegExp) => page.getByText(words).first().waitFor();

/** Plans for so few seconds that the test is short, and waits for the plan that follows. */
async function planAgain(): Promise<View> {
  const { planId } = await view();
  await page.goto(`${running.address}/?view=board`);
  await page.getByRole("button", { name: "Longer …" }).click();
  await page.getByLabel("Look for a better plan for").fill("2");
  await page.getByRole("button", { name: "Plan for 2 seconds" }).click();
  await page.getByRole("region", { name: "Planning" }).waitFor();
  await page.getByRole("region", { name: "Planning" }).waitFor({ state: "detached" });
  await expect.poll(async () => (await view()).planId, { timeout: 20_000 }).not.toBe(planId);
  return view();
}

/** Opens the card of a job in the plan. */
async function openCard(jobId: string) {
  await page.goto(`${running.address}/?view=board&job=${jobId}`);
  const card = page.getByRole("dialog");
  await card.getByRole("heading", { name: "What the plan should do with it" }).waitFor();
  return card;
}

async function saved(press: () => Promise<void>): Promise<{ name: string; bytes: Uint8Array }> {
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 120_000 }), press()]);
  return read(download);
}
async function read(download: Download) {
  return { name: download.suggestedFilename(), bytes: readFileSync(await download.path()) };
}
const startsWith = (bytes: Uint8Array, words: string) => strFromU8(bytes.subarray(0, words.length)) === words;

describe("a day of the demo studio", () => {
  it("is made while one looks on, and asks for its first plan", async () => {
    await page.goto(running.address);
    await page.getByRole("button", { name: "Look round the demo" }).click();
    await page.getByRole("heading", { name: "Ninepenny Quay opens its door" }).waitFor();
    await page.getByRole("progressbar").waitFor();
    expect(await accessFindings(page)).toEqual([]);
    await page.getByRole("heading", { name: "There is no plan yet" }).waitFor({ timeout: 120_000 });
    expect(await accessFindings(page)).toEqual([]);
  }, 180_000);

  it("plans while one looks on, and shows who does what when", async () => {
    await page.getByRole("button", { name: "Plan the day" }).click();
    const planning = page.getByRole("region", { name: "Planning" });
    await planning.getByText(/^Best so far: \d+ threadings/).waitFor();
    expect(await accessFindings(page)).toEqual([]);
    await planning.getByRole("button", { name: "Stop, take the best so far" }).click();
    await page.getByRole("region", { name: "Board" }).waitFor();
    const plan = await view();
    const blocks = page.getByRole("listbox").getByRole("option");
    await blocks.first().waitFor();
    expect(await blocks.count()).toBeGreaterThan(20);
    expect(plan.plan.runs.length).toBeGreaterThan(50);
    const next = page.getByRole("group", { name: "The next thing to do" });
    expect(await next.innerText()).toMatch(/: .+\.$/m);
  });

  it("opens a piece's card by keyboard alone, and gives the keyboard back", async () => {
    const lane = page.getByRole("listbox").first();
    await lane.focus();
    await page.keyboard.press("Home");
    await page.keyboard.press("ArrowRight");
    const active = await lane.getAttribute("aria-activedescendant");
    await page.keyboard.press("Enter");
    const card = page.getByRole("dialog");
    await card.waitFor();
    const { jobs } = await view();
    const job = jobs.find((one) => `block-${one.jobId}` === active)!;
    expect(await card.getByRole("heading", { level: 2 }).innerText()).toBe(job.title);
    await page.keyboard.press("Escape");
    await card.waitFor({ state: "detached" });
    expect(await page.evaluate(() => document.activeElement?.getAttribute("role"))).toBe("listbox");
  });

  it("puts a pinned piece on its machine", async () => {
    const before = await view();
    const job = before.jobs.find((one) => one.state === "ready" && one.hoopName === "Large screw")!;
    const nowOn = before.machines.find((one) => one.id === machineOf(before, job.jobId))!.name;
    const card = await openCard(job.jobId);
    const pinned = await choose(card, "Pinned to a machine", (words) => words.find((one) => one !== nowOn)!);
    await said(`${job.pieceCode} changed`);
    const after = await planAgain();
    expect(after.machines.find((one) => one.id === machineOf(after, job.jobId))!.name).toBe(pinned);
    const lane = page.getByRole("listbox", { name: new RegExp(`^${pinned}, `) });
    expect(await lane.locator(`[id="block-${job.jobId}"]`).count()).toBeLessThanOrEqual(1);
    await openCard(job.jobId);
    await page
      .getByRole("dialog")
      .getByText(new RegExp(`^${pinned}, `))
      .first()
      .waitFor();
  });

  it("leaves a piece out that is held back, and says why", async () => {
    const before = await view();
    const job = before.jobs.filter((one) => one.state === "ready").at(-1)!;
    const card = await openCard(job.jobId);
    await card.getByRole("button", { name: "Hold back …" }).click();
    await card.getByLabel("Why is it held back?").fill("the customer asks for another name");
    await card.getByRole("button", { name: "Hold it back" }).click();
    await said(`${job.pieceCode} changed`);
    const after = await planAgain();
    expect(after.jobs.some((one) => one.pieceId === job.pieceId)).toBe(false);
    const leftOut = page.getByRole("region", { name: /^Not in the plan/ });
    const row = leftOut.getByRole("listitem").filter({ hasText: job.pieceCode });
    expect(await row.innerText()).toContain("the customer asks for another name");
    expect(await accessFindings(page)).toEqual([]);
  });

  it("sews first what is pulled first", async () => {
    const before = await view();
    const begun = new Set(before.jobs.filter((one) => one.state !== "ready").map((one) => one.jobId));
    const latest = [...before.plan.runs]
      .filter((run) => !begun.has(run.job))
      .sort((a, b) => startOf(b) - startOf(a))[0]!;
    const job = before.jobs.find((one) => one.jobId === latest.job)!;
    const card = await openCard(job.jobId);
    await card.getByRole("button", { name: "Pull first" }).click();
    await card.getByText("Pulled first").first().waitFor();
    const after = await planAgain();
    const machine = machineOf(after, job.jobId);
    const alsoFirst = after.jobs.filter((one) => one.urgency === "first" && one.jobId !== job.jobId);
    const ahead = after.plan.runs
      .filter((run) => run.machine === machine && !begun.has(run.job))
      .filter((run) => !alsoFirst.some((one) => one.jobId === run.job))
      .sort((a, b) => startOf(a) - startOf(b));
    expect(ahead[0]!.job).toBe(job.jobId);
  });

  it("takes paper, machine files and tables to the floor", async () => {
    const plan = await view();
    const take = async (item: string | RegExp) =>
      saved(async () => {
        await page.getByRole("button", { name: "Take to the floor …" }).click();
        await page.getByRole("menuitem", { name: item }).click();
      });
    await page.goto(`${running.address}/?view=board`);
    await page.getByRole("button", { name: "Take to the floor …" }).click();
    await page.getByRole("menuitem").first().waitFor();
    expect(await accessFindings(page)).toEqual([]);
    await page.keyboard.press("Escape");
    for (const item of ["Job tickets", "Threading list", "Pick list"]) {
      const { name, bytes } = await take(new RegExp(`^${item}`));
      expect(name).toMatch(/\.pdf$/);
      expect(startsWith(bytes, "%PDF-"), item).toBe(true);
    }
    const machine = plan.machines.find((one) => plan.plan.runs.some((run) => run.machine === one.id))!;
    const zip = await take(new RegExp(`^${machine.name}`));
    expect(zip.name).toMatch(/\.zip$/);
    expect(startsWith(zip.bytes, "PK")).toBe(true);
    const files = Object.entries(unzipSync(zip.bytes)).filter(([name]) =>
      name.toLowerCase().endsWith(".dst"),
    );
    expect(files.length).toBeGreaterThan(0);
    for (const [, bytes] of files) expect(readMachineFile(bytes).stitches.kind.length).toBeGreaterThan(100);
    const table = await take(/^The plan as a table/);
    expect(table.name).toMatch(/\.csv$/);
    const lines = strFromU8(table.bytes).split("\r\n");
    expect(lines.length).toBeGreaterThan(plan.plan.runs.length);

    await page.goto(`${running.address}/orders`);
    const orders = await saved(() => page.getByRole("link", { name: "Orders as CSV" }).click());
    expect(strFromU8(orders.bytes)).toContain("NQ-2001");
    const calendar = await page.request.get(`${running.address}/api/calendar.ics`);
    expect(calendar.headers()["content-type"]).toContain("text/calendar");
    expect(await calendar.text()).toMatch(/^BEGIN:VCALENDAR\r\n/);
  }, 300_000);

  it("follows a piece from the needle to the parcel, and takes a step back", async () => {
    const { jobs } = await view();
    const onePlacement = jobs.filter((one) => jobs.filter((j) => j.pieceId === one.pieceId).length === 1);
    const job = onePlacement.find((one) => one.state === "ready")!;
    await page.goto(`${running.address}/pieces/${job.pieceId}`);
    const stands = page.getByRole("region", { name: "Where it stands" });
    for (const [press, state] of [
      ["Start sewing", "sewing"],
      ["Done", "done"],
      ["Packed", "packed"],
      ["Shipped", "shipped"],
    ] as const) {
      await stands.getByRole("button", { name: press, exact: true }).click();
      await said(`${job.pieceCode} is ${state}`);
      await page.locator(`.piece-state-${state}`).waitFor();
    }
    expect(await accessFindings(page)).toEqual([]);
    const notice = page.locator(".notice").filter({ hasText: `${job.pieceCode} is shipped` });
    await notice.getByRole("button", { name: "Undo" }).click();
    await said("Taken back.");
    await page.locator(".piece-state-packed").waitFor();
    const history = page.getByRole("region", { name: "History" });
    expect(await history.getByRole("listitem").count()).toBeGreaterThanOrEqual(3);
  });
});
