import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import type { Running } from "./program";
import { accessFindings, openBrowser, openSheet, type Sheet, startProgram } from "./support";

// Facts about pages are held against WCAG 2.2 (W3C Recommendation, 2023) by axe-core, target size included.

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

const go = (where: string) => page.goto(running.address + where);
const heading = (name: string) => page.getByRole("heading", { name, level: 1 }).waitFor();

describe("a studio from the first start on", () => {
  it("offers two ways to begin", async () => {
    await go("/");
    await heading("From a pile of orders to the day’s plan");
    expect(await page.getByRole("button", { name: "Look round the demo" }).isVisible()).toBe(true);
    expect(await accessFindings(page)).toEqual([]);
  });

  it("asks for a name beside the field, guesses the rest, and opens the studio with what comes next", async () => {
    await page.getByRole("button", { name: "Set up my studio" }).click();
    await page.getByRole("button", { name: "Open my studio" }).click();
    await page.getByText("A name is needed.").waitFor();
    expect(await page.getByRole("combobox", { name: "Time zone" }).inputValue()).toBe("Europe/Dublin");
    expect(await accessFindings(page)).toEqual([]);
    await page.getByLabel("What is the studio called?").fill("Lantern Lane");
    await page.getByRole("button", { name: "Open my studio" }).click();
    await page.getByRole("heading", { name: "What comes next" }).waitFor();
    expect(await page.getByText("Lantern Lane").first().isVisible()).toBe(true);
    expect(await page.getByRole("link", { name: /^Hoops/ }).getAttribute("href")).toBe(
      "/machines?leaf=hoops",
    );
    expect(await accessFindings(page)).toEqual([]);
  });

  it("adds a thread, says what is wrong beside the field, and takes the thread back on undo", async () => {
    await go("/threads");
    await page.getByRole("button", { name: "Add the first thread" }).click();
    const form = page.getByRole("dialog");
    await form.getByRole("button", { name: "Add thread" }).click();
    await form.getByText("A code is needed.").first().waitFor();
    expect(await accessFindings(page)).toEqual([]);
    await form.getByLabel("Code").fill("N11");
    await form.getByLabel("Name").fill("navy");
    await form.getByLabel("Colour", { exact: true }).fill("#203a63");
    await form.getByRole("button", { name: "Add thread" }).click();
    await page.getByRole("button", { name: "N11 navy" }).waitFor();
    await page.getByRole("button", { name: "Undo" }).click();
    await page.getByRole("button", { name: "Add the first thread" }).waitFor();
  });

  it("finds the thread nearest to a colour", async () => {
    for (const [code, name, rgb] of [
      ["N11", "navy", "#203a63"],
      ["R03", "rust", "#b3542a"],
      ["I02", "ivory", "#efe6d0"],
    ])
      await page.request.post(`${running.address}/api/threads`, {
        headers: { origin: running.address },
        data: {
          code,
          name,
          rgb,
          fibre: "polyester",
          densityTex: 27,
          metresPerCone: 5000,
          cones: 1,
          metresLeft: 4000,
          reorderMetres: 500,
          note: "",
        },
      });
    await go("/threads?q=%23b8502c");
    const first = page.locator("tbody .table-open").first();
    await first.waitFor();
    expect(await first.getAttribute("aria-label")).toBe("R03 rust");
    expect(await accessFindings(page)).toEqual([]);
  });

  it("puts a thread on a needle with two presses", async () => {
    await go("/machines?edit=new");
    const form = page.getByRole("dialog");
    await form.getByLabel("Name").fill("Heron");
    await form.getByRole("button", { name: "Add machine" }).click();
    await page.getByRole("button", { name: /^Needle 4: empty/ }).click();
    await page.getByRole("dialog").getByRole("button", { name: /N11/ }).click();
    await page.getByRole("button", { name: /^Needle 4: N11 navy/ }).waitFor();
    expect(await accessFindings(page)).toEqual([]);
  });

  it("keeps what is typed when somebody else changes the machine, and shows both versions", async () => {
    sheet.allow(/412/);
    await page.getByRole("button", { name: "Change Heron" }).click();
    const form = page.getByRole("dialog");
    await form.getByLabel("Name").fill("Grey heron");
    const { items } = (await (await page.request.get(`${running.address}/api/machines`)).json()) as {
      items: { id: string; version: number; name: string; note: string }[];
    };
    const {
      id,
      version,
      archived: _a,
      createdAtMs: _c,
      updatedAtMs: _u,
      ...body
    } = items[0] as unknown as Record<string, unknown> & { id: string; version: number };
    const changed = await page.request.put(`${running.address}/api/machines/${id}`, {
      headers: { origin: running.address, "if-match": `"${version}"` },
      data: { ...body, name: "Old heron" },
    });
    expect(changed.status()).toBe(200);
    const clash = form.getByRole("alert", { name: "Changed by someone else" });
    await clash.waitFor();
    expect(await clash.getByText("Old heron", { exact: true }).isVisible()).toBe(true);
    expect(await form.getByLabel("Name").inputValue()).toBe("Grey heron");
    expect(await accessFindings(page)).toEqual([]);
    await clash.getByRole("button", { name: "Go on with this" }).click();
    await form.getByRole("button", { name: "Save", exact: true }).click();
    await page.getByRole("heading", { name: "Grey heron" }).waitFor();
  });

  it("asks before typed words are thrown away", async () => {
    await page.getByRole("button", { name: "Change Grey heron" }).click();
    const form = page.getByRole("dialog");
    await form.getByLabel("Name").fill("Half typed");
    await page.keyboard.press("Escape");
    await form.getByRole("button", { name: "Keep typing" }).click();
    expect(await form.getByLabel("Name").inputValue()).toBe("Half typed");
    await page.keyboard.press("Escape");
    await form.getByRole("button", { name: "Throw it away" }).click();
    await form.waitFor({ state: "detached" });
  });

  it("walks the rows by keyboard", async () => {
    await go("/threads");
    await page.locator("tbody .table-open").first().focus();
    await page.keyboard.press("ArrowDown");
    expect(await page.evaluate(() => document.activeElement?.getAttribute("aria-label"))).toBe("N11 navy");
    await page.keyboard.press("Enter");
    await page.getByRole("dialog", { name: "Thread N11 navy" }).waitFor();
  });
});
