import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, expect, it } from "vitest";
import type { Running } from "./program";
import {
  accessFindings,
  api,
  openBrowser,
  openSheet,
  screens,
  settled,
  type Sheet,
  startDemo,
} from "./support";

// What the plan in force does when something happens on the floor: it follows by itself, what sews stays, and the page
// tells how many pieces moved and why. And what is told while a plan is looked for: the curve, the bound in words.

interface View {
  readonly planId: string;
  readonly timeZone: string;
  readonly moved: { readonly jobIds: readonly string[]; readonly why: string } | null;
  readonly machines: readonly { readonly id: string; readonly name: string }[];
  readonly jobs: readonly {
    readonly jobId: string;
    readonly pieceId: string;
    readonly state: string;
    readonly title: string;
    readonly why: string;
  }[];
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
  [running, browser] = await Promise.all([startDemo(), openBrowser()]);
  sheet = await openSheet(browser);
  page = sheet.page;
});
afterAll(async () => {
  await browser?.close();
  await running?.stop();
});
afterEach(() => expect(sheet.faults()).toEqual([]));

const view = async () => (await api<{ plan: View }>(sheet, running, "GET", "/api/plan")).plan;
const idle = () =>
  page.waitForFunction(async () => {
    const run = (await (await fetch("/api/plan/run")).json()) as { state: string };
    return run.state !== "running";
  });

it("draws the cost against what is proven while it looks, and says the bound in words", async () => {
  await page.goto(`${running.address}/?view=list`);
  await page.getByRole("button", { name: "Longer …" }).click();
  await page.getByLabel("Look for a better plan for").fill("6");
  await page.getByRole("button", { name: "Plan for 6 seconds" }).click();
  const planning = page.getByRole("region", { name: "Planning" });
  await planning.getByRole("img", { name: /^The best plan went from [\d,]+ to [\d,]+ points/ }).waitFor();
  await planning
    .getByText(/No plan can have fewer than \d+ threadings?\.|Proven: no plan has fewer/)
    .waitFor();
  expect(await accessFindings(page)).toEqual([]);
  await planning.waitFor({ state: "detached" });
  await page
    .getByText(/no plan can have fewer than \d+|proven fewest/)
    .first()
    .waitFor();
  const { jobs } = await view();
  // Each piece's place is told with what it would cost elsewhere, or why it cannot be elsewhere.
  const ready = jobs.filter((job) => job.state === "ready");
  const told = ready.filter((job) =>
    /instead: |would do as well|is the only machine|would gain too little|may find it a better place/.test(
      job.why,
    ),
  );
  expect(told.length).toBe(ready.length);
});

it("follows a machine that goes down: what sews stays, and the page tells how many moved and why", async () => {
  await idle();
  const before = await view();
  const sewing = before.jobs.filter((job) => job.state === "sewing").map((job) => job.jobId);
  const machineOf = (plan: View, job: string) => plan.plan.runs.find((run) => run.job === job)?.machine;
  const busy = new Set(sewing.map((job) => machineOf(before, job)));
  const stopped = before.machines.find((machine) => !busy.has(machine.id)) ?? before.machines[0]!;
  const record = await api<{ version: number } & Record<string, unknown>>(
    sheet,
    running,
    "GET",
    `/api/machines/${stopped.id}`,
  );
  const today = new Intl.DateTimeFormat("en-CA", { timeZone: before.timeZone }).format(new Date());
  const later = new Intl.DateTimeFormat("en-CA", { timeZone: before.timeZone }).format(
    Date.now() + 3 * 86_400_000,
  );
  const { version, ...rest } = record;
  const kept = new Set(["id", "archived", "createdAtMs", "updatedAtMs"]);
  const body = Object.fromEntries(Object.entries(rest).filter(([field]) => !kept.has(field)));
  const answer = await page.request.put(`${running.address}/api/machines/${stopped.id}`, {
    headers: { origin: running.address, "if-match": `"${version}"` },
    data: {
      ...body,
      downTimes: [{ fromDate: today, fromMinute: 0, toDate: later, toMinute: 720, why: "belt" }],
    },
  });
  expect(answer.status(), await answer.text()).toBe(200);
  const strip = page.getByRole("status").filter({ hasText: `${stopped.name} is down` });
  await strip.filter({ hasText: /moved/ }).waitFor();
  await idle();
  const after = await view();
  expect(after.planId).not.toBe(before.planId);
  expect(after.moved!.why).toMatch(new RegExp(`^${stopped.name} is down`));
  for (const job of sewing) expect(machineOf(after, job)).toBe(machineOf(before, job));
  const own = before.plan.runs.filter((run) => run.machine === stopped.id && !sewing.includes(run.job));
  if (own.length > 0) {
    await page.getByRole("button", { name: "Show which" }).click();
    await page.getByRole("button", { name: "Hide which" }).waitFor();
  }
  for (const screen of [screens.tablet, screens.phone, screens.desktop]) {
    await page.setViewportSize(screen.viewport);
    await settled(page);
    expect(await accessFindings(page)).toEqual([]);
  }
});

it("says under a change's notice that the plan follows and how many pieces that touches", async () => {
  const plan = await view();
  const job = plan.jobs.find((one) => one.state === "ready")!;
  await page.goto(`${running.address}/pieces/${job.pieceId}`);
  await settled(page);
  await page.getByRole("button", { name: "Pull first" }).click();
  await page.getByText(/^The plan follows; (1 piece|\d+ pieces) of it (is|are) touched\.$/).waitFor();
  await idle();
});
