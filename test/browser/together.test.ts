import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Running } from "./program";
import { accessFindings, api, openBrowser, openSheet, settled, startDemo } from "./support";

// Two people change one record: RFC 9110, 13.1.1 and 15.5.13 (If-Match, 412 Precondition Failed).

interface Machine {
  readonly id: string;
  readonly name: string;
  readonly stitchesPerMinute: number;
  readonly note: string;
}

let running: Running;
let browser: Browser;

beforeAll(async () => {
  [running, browser] = await Promise.all([startDemo(), openBrowser()]);
});
afterAll(async () => {
  await browser?.close();
  await running?.stop();
});

/** Two people with the same machine open; the second hears nothing of what the first does until they save. */
async function twoAt(name: string) {
  const [first, second] = await Promise.all([openSheet(browser), openSheet(browser)]);
  await second.page.route("**/api/live", (route) => route.abort());
  second.allow(/ERR_FAILED|412/);
  const { items } = await api<{ items: Machine[] }>(first, running, "GET", "/api/machines");
  const machine = items.find((one) => one.name === name)!;
  for (const { page } of [first, second]) {
    await page.goto(`${running.address}/machines?edit=${machine.id}`);
    await settled(page);
    await page.getByRole("dialog").getByLabel("Name").waitFor();
  }
  const now = async () =>
    (await api<{ items: Machine[] }>(first, running, "GET", "/api/machines")).items.find(
      (one) => one.id === machine.id,
    )!;
  const form = (sheet: typeof first) => sheet.page.getByRole("dialog");
  return { first, second, form, now };
}
const save = async (form: ReturnType<Awaited<ReturnType<typeof twoAt>>["form"]>) => {
  await form.getByRole("button", { name: "Save", exact: true }).click();
  await form.waitFor({ state: "detached" });
};

describe("two people at one machine", () => {
  it("shows both versions of what both changed, and keeps what is chosen", async () => {
    const { first, second, form, now } = await twoAt("Gannet");
    await form(first)
      .getByLabel(/^Speed/)
      .fill("700");
    await form(second)
      .getByLabel(/^Speed/)
      .fill("650");
    await form(second).getByLabel("Note").fill("hums above 700");
    await save(form(first));
    await form(second).getByRole("button", { name: "Save", exact: true }).click();
    const clash = form(second).getByRole("alert", { name: "Changed by someone else" });
    await clash.waitFor();
    const field = clash.getByRole("group", { name: /^Speed/ });
    expect(await field.innerText()).toMatch(/You typed\s+650[\s\S]*Now kept\s+700/);
    expect(
      await form(second)
        .getByLabel(/^Speed/)
        .inputValue(),
    ).toBe("650");
    expect(await accessFindings(second.page)).toEqual([]);
    await field.getByRole("radio", { name: /700/ }).check();
    await clash.getByRole("button", { name: "Go on with this" }).click();
    await save(form(second));
    expect(await now()).toMatchObject({ stitchesPerMinute: 700, note: "hums above 700" });
    expect([...first.faults(), ...second.faults()]).toEqual([]);
    await Promise.all([first.close(), second.close()]);
  });

  it("loses nothing where each changed something else", async () => {
    const { first, second, form, now } = await twoAt("Tern");
    await form(first).getByLabel("Name").fill("Little tern");
    await form(second).getByLabel("Note").fill("belt changed in spring");
    await save(form(first));
    await form(second).getByRole("button", { name: "Save", exact: true }).click();
    const clash = form(second).getByRole("alert", { name: "Changed by someone else" });
    await clash.getByText("What they changed does not touch yours and goes into your form:").waitFor();
    await clash.getByRole("button", { name: "Go on with this" }).click();
    await save(form(second));
    expect(await now()).toMatchObject({ name: "Little tern", note: "belt changed in spring" });
    expect([...first.faults(), ...second.faults()]).toEqual([]);
    await Promise.all([first.close(), second.close()]);
  });

  it("tells the other page at once while it is only looked at", async () => {
    const [first, second] = await Promise.all([openSheet(browser), openSheet(browser)]);
    await second.page.goto(`${running.address}/machines`);
    await second.page.getByRole("heading", { name: "Kittiwake" }).waitFor();
    await first.page.goto(`${running.address}/machines`);
    await first.page.getByRole("button", { name: "Change Kittiwake" }).click();
    await first.page.getByRole("dialog").getByLabel("Name").fill("Black-legged kittiwake");
    await save(first.page.getByRole("dialog"));
    await second.page.getByRole("heading", { name: "Black-legged kittiwake" }).waitFor();
    expect([...first.faults(), ...second.faults()]).toEqual([]);
    await Promise.all([first.close(), second.close()]);
  });
});
