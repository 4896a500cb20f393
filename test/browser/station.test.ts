import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, expect, it } from "vitest";
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

// A tablet at a machine and a phone in a pair of hands: a piece goes from the thread to the parcel by large buttons, a
// wrong tap is taken back, and with the network away the station goes on and tells everything once afterwards.

interface Lately {
  readonly id: string;
  readonly kind: string;
  readonly atMs: number;
  readonly machineId: string | null;
  readonly pieceId: string | null;
  readonly takenBack: boolean;
}
interface FloorNow {
  readonly lately: readonly Lately[];
  readonly machines: readonly { readonly id: string; readonly name: string }[];
  readonly people: readonly { readonly id: string; readonly name: string }[];
  readonly runs: readonly {
    readonly jobId: string;
    readonly pieceId: string;
    readonly stage: string;
    readonly machineId: string | null;
  }[];
}
interface View {
  readonly jobs: readonly { readonly jobId: string; readonly pieceId: string; readonly pieceCode: string }[];
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
let machineId: string;

beforeAll(async () => {
  [running, browser] = await Promise.all([startDemo(), openBrowser()]);
  sheet = await openSheet(browser, { ...screens.tablet, reducedMotion: "reduce" });
  page = sheet.page;
  const { plan } = await view();
  // The machine with most pieces ahead of it.
  const counts = new Map<string, number>();
  for (const run of plan.runs) counts.set(run.machine, (counts.get(run.machine) ?? 0) + 1);
  machineId = [...counts].sort((a, b) => b[1] - a[1])[0]![0];
});
afterAll(async () => {
  await browser?.close();
  await running?.stop();
});
afterEach(() => expect(sheet.faults()).toEqual([]));

const view = async () => (await api<{ plan: View }>(sheet, running, "GET", "/api/plan")).plan;
const floor = () => api<FloorNow>(sheet, running, "GET", "/api/floor");
const told = async (kind: string) =>
  (await floor()).lately.filter((one) => one.kind === kind && !one.takenBack).length;
const words = () => page.getByRole("heading", { level: 1 }).innerText();
const main = () => page.locator(".act-main");
const kept = () => page.locator(".told-kept");

/** Presses the green button until it says something of the wanted; gives what was pressed on the way. */
async function workUntil(wanted: RegExp): Promise<string[]> {
  const pressed: string[] = [];
  for (let count = 0; count < 12; count++) {
    const label = (await main().innerText()).replace(/\s*Enter$/, "");
    if (wanted.test(label)) return pressed;
    pressed.push(label);
    const before = await words();
    await main().click();
    await expect
      .poll(async () => `${await words()} ${await main().innerText()}`)
      .not.toBe(`${before} ${label}`);
  }
  throw new Error(`The station never came to ${wanted}: ${pressed.join(", ")}`);
}

it("leads a piece from the thread to the end of its sewing, and takes a wrong tap back", async () => {
  await page.goto(`${running.address}/station/${machineId}`);
  await settled(page);
  await workUntil(/^Start$/);
  await expect.poll(() => told("loaded")).toBe(1);
  await main().click();
  await page.getByRole("heading", { level: 1, name: /^Sewing / }).waitFor();
  await kept().waitFor();
  await expect.poll(() => told("started")).toBe(1);

  // Done, which it is not: undone within its minute, and it sews on as before.
  await workUntil(/^Done$/);
  await main().click();
  await page.getByText(/ sewn$/).waitFor();
  await page.getByRole("button", { name: /^Undo/ }).click();
  await page.getByRole("heading", { level: 1, name: /^Sewing / }).waitFor();
  await expect.poll(() => told("sewn")).toBe(0);
  await expect.poll(async () => (await floor()).runs.find((run) => run.machineId === machineId)?.stage).toBe("sewing"); // prettier-ignore

  await page.getByRole("button", { name: /^Stop/ }).click();
  await page.getByRole("button", { name: "Thread broke" }).click();
  await page.getByRole("dialog").getByRole("button", { name: /^1 / }).click();
  await page.getByRole("heading", { name: "Thread broke on needle 1: mend it" }).waitFor();
  await page.getByText("Power off and hands clear").waitFor();
  await page.keyboard.press("Enter");
  await page.getByRole("heading", { level: 1, name: /^Sewing / }).waitFor();
  await main().click();
  await expect.poll(() => told("sewn")).toBe(1);
});

it("goes on without the network, says that it waits, and tells everything once when it is back", async () => {
  sheet.allow(/ERR_INTERNET_DISCONNECTED|ERR_FAILED/);
  await page.goto(`${running.address}/station/${machineId}`);
  await settled(page);
  await workUntil(/^(Hooped|Loaded|Threaded)$/);
  const before = new Set((await floor()).lately.map((one) => one.id));
  // The answer to the first sending is lost on its way back: the program has it, and the tablet does not know.
  await page.route("**/api/floor/events", async (route) => {
    await route.fetch();
    await route.abort("failed");
    await page.unroute("**/api/floor/events");
    await page.context().setOffline(true);
  });
  // At the least it is loaded and started meanwhile.
  const pressed = await workUntil(/^(Done|It stopped for thread)$/);
  expect(pressed.length).toBeGreaterThan(1);
  await page.getByRole("button", { name: `waiting (${pressed.length})` }).waitFor();
  const lost = Date.now();
  await page.waitForTimeout(1500);
  await page.context().setOffline(false);
  await page.getByRole("button", { name: /^waiting/ }).waitFor({ state: "detached" });
  const since = (await floor()).lately.filter((one) => !before.has(one.id));
  expect(since).toHaveLength(pressed.length);
  expect(new Set(since.map((one) => one.id)).size).toBe(pressed.length);
  // With their own times, not that of their arrival.
  for (const one of since) expect(one.atMs).toBeLessThan(lost + 500);
  await page.getByRole("heading", { level: 1, name: /^Sewing / }).waitFor();
  await kept().waitFor();
});

it("takes up what waits after the page was loaded anew", async () => {
  await page.route("**/api/floor/events", (route) => route.abort("failed"));
  sheet.allow(/ERR_FAILED/);
  await page.getByRole("button", { name: /^Stop/ }).click();
  await page.getByRole("button", { name: "Bobbin ran out" }).click();
  await page.getByRole("button", { name: "waiting (1)" }).waitFor();
  await page.reload();
  await page.getByRole("button", { name: "waiting (1)" }).waitFor();
  await page.getByRole("heading", { level: 1, name: "Change the bobbin" }).waitFor();
  await page.unroute("**/api/floor/events");
  await page.getByRole("button", { name: "waiting (1)" }).waitFor({ state: "detached" });
  await expect.poll(() => told("stopped")).toBe(1 + 1);
});

it("hears what another page tells, and knows a scanned ticket", async () => {
  const running1 = (await floor()).runs.find((run) => run.stage === "stopped")!;
  const event = {
    id: "ev-from-elsewhere-1",
    kind: "started",
    atMs: Date.now(),
    machineId,
    jobId: running1.jobId,
    pieceId: running1.pieceId,
  };
  // It is heard, not asked for: the page asks by itself every 30 s only, and here waits 20 s at most.
  await api(sheet, running, "POST", "/api/floor/events", { body: { events: [event] } });
  await page.getByRole("heading", { level: 1, name: /^Sewing / }).waitFor();

  // A code reader types the ticket's address and Enter, faster than anybody.
  const plan = await view();
  const ahead = plan.plan.runs.filter((run) => run.machine === machineId && run.job !== running1.jobId);
  const last = ahead.sort((a, b) => b.stretches[0]!.start - a.stretches[0]!.start)[0]!;
  const piece = plan.jobs.find((job) => job.jobId === last.job)!;
  await page.evaluate(
    (text) =>
      [...text, "Enter"].forEach((key) =>
        document.body.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true })),
      ),
    `${running.address}/pieces/${piece.pieceId}`,
  );
  const question = page.getByRole("dialog");
  await question.getByText(/is not next on/).waitFor();
  expect(await accessFindings(page)).toEqual([]);
  await question.getByRole("button", { name: "Go on as planned" }).click();
});

it("shows a pair of hands its next thing on a phone, and packs with one tap", async () => {
  const phone = await openSheet(browser, { ...screens.phone, reducedMotion: "reduce" });
  const [person] = (await floor()).people;
  await phone.page.goto(`${running.address}/hands/${person!.id}`);
  await settled(phone.page);
  const { page: hands } = phone;
  // What was sewn is to be finished by any hands, and then packed: one tap each.
  const finished = hands.getByRole("button", { name: /(^|: )Finished$/ });
  await finished.first().click();
  await hands.getByRole("region", { name: "To pack" }).waitFor();
  await expect.poll(() => told("finished")).toBe(1);
  const packed = hands.getByRole("button", { name: /: Packed$/ });
  const count = await packed.count();
  await packed.first().click();
  await expect.poll(() => packed.count()).toBe(count - 1);
  await expect.poll(() => told("packed")).toBe(1);
  await phone.page.getByRole("button", { name: "I’m away …" }).click();
  await phone.page.getByRole("button", { name: "30 minutes" }).click();
  await phone.page.getByRole("heading", { level: 1, name: / is away until / }).waitFor();
  await phone.page.getByRole("button", { name: /^I’m back/ }).click();
  await expect.poll(() => phone.page.getByRole("heading", { level: 1 }).innerText()).not.toMatch(/away/);
  expect(phone.faults()).toEqual([]);
  await phone.close();
});

it("holds WCAG 2.2 AA in both colours, and says what is not there", async () => {
  const { people } = await floor();
  const looked = [
    ["tablet", `/station/${machineId}`],
    ["phone", `/station/${machineId}`],
    ["phone", `/hands/${people[0]!.id}`],
    ["desktop", "/hands/none"],
  ] as const;
  const found: string[] = [];
  for (const [screen, where] of looked) {
    const one = await openSheet(browser, {
      ...screens[screen],
      colorScheme: "light",
      reducedMotion: "reduce",
    });
    await one.page.goto(running.address + where);
    await settled(one.page);
    found.push(...(await accessFindings(one.page)).map((what) => `${screen} ${where} ${what}`));
    if ((await sidewaysPx(one.page)) > 0) found.push(`${screen} ${where} scrolls sideways`);
    await one.page.emulateMedia({ colorScheme: "dark" });
    found.push(...(await contrastFindings(one.page)).map((what) => `${screen} dark ${where} ${what}`));
    found.push(...one.faults());
    await one.close();
  }
  expect(found).toEqual([]);
}, 120_000);
