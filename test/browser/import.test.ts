import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import type { Running } from "./program";
import { accessFindings, api, openBrowser, openSheet, type Sheet, startDemo } from "./support";

// A shop's table as it comes from a spreadsheet of the continent: letters of Windows-1252 (0xFC is ü, 0xEB is ë in
// the WHATWG Encoding Standard's index), semicolons, decimal commas, days before months, and rows with faults.

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

const dayIn = (days: number) => {
  const [year, month, day] = new Date(Date.now() + days * 86_400_000).toISOString().slice(0, 10).split("-");
  return `${day}.${month}.${year}`;
};
const rows = (mark: string) =>
  [
    "Ref;Thing;Count of it;Who gets it;Words;Each at;Wanted on",
    `${mark}-1;APR;1;Jürgen Öst;Zoë;38,50;${dayIn(21)}`,
    `${mark}-1;TWL-H;2;Jürgen Öst;Zoë;24,00;${dayIn(21)}`,
    `${mark}-2;SCARF-9;1;Ada Quill;Ada;16,00;${dayIn(22)}`,
    `${mark}-3;APR;a few;Bram Hale;Bram;38,00;${dayIn(23)}`,
    `${mark}-4;APR;1;Ines Marsh;Ines;38,00;31.02.${new Date().getUTCFullYear() + 1}`,
  ].join("\r\n") + "\r\n";
const windows1252 = (text: string) => Buffer.from(text, "latin1");
const meanings = {
  Ref: "reference",
  Thing: "product",
  "Count of it": "quantity",
  "Who gets it": "customer",
  Words: "personal-text",
  "Each at": "price",
  "Wanted on": "promise-date",
};

async function drop(name: string, text: string) {
  await page.goto(`${running.address}/orders/import`);
  const [chooser] = await Promise.all([
    page.waitForEvent("filechooser"),
    page.getByRole("button", { name: "Choose a file" }).click(),
  ]);
  await chooser.setFiles({ name, mimeType: "text/csv", buffer: windows1252(text) });
  await page.getByRole("heading", { name, level: 2 }).waitFor();
}
const figure = (words: string | RegExp) =>
  page
    .locator(".import-figures div")
    .filter({ has: page.locator("dt", { hasText: words }) })
    .locator("dd")
    .innerText();
const stillToMend = (count: number) =>
  page.getByRole("heading", { name: count === 1 ? "1 row to mend" : `${count} rows to mend` }).waitFor();

describe("a messy table of orders", () => {
  it("is read in its own letters, and asks which column is what", async () => {
    await drop("continent.csv", rows("W"));
    const sample = page.getByRole("region", { name: "First rows of the file" });
    await sample.getByText("Jürgen Öst").first().waitFor();
    expect(await page.getByLabel("Letters", { exact: true }).inputValue()).toBe("windows-1252");
    expect(await page.getByLabel("Between columns").inputValue()).toBe(";");
    expect(await page.getByLabel("Dates", { exact: true }).inputValue()).toBe("dmy");
    for (const [heading, meaning] of Object.entries(meanings)) {
      const select = page.getByLabel(`What column “${heading}” is`);
      await select.selectOption(meaning);
      await expect.poll(() => select.inputValue()).toBe(meaning);
      await page.locator(".import-scroll[aria-busy=false]").waitFor();
    }
    expect(await page.getByLabel("Decimals").inputValue()).toBe(",");
    await stillToMend(3);
    expect(await accessFindings(page)).toEqual([]);
  });

  it("brings in what is right and names what is not, by line and column", async () => {
    await page.getByRole("button", { name: "Bring in 2 rows" }).click();
    await page.locator(".import-figures").waitFor();
    expect(await figure(/order/)).toBe("1");
    expect(await figure("lines added")).toBe("2");
    expect(await figure(/pieces? added/)).toBe("3");
    const bad = (line: number) => page.getByRole("form", { name: `Line ${line}` });
    expect(await bad(4).innerText()).toContain("Thing: ");
    expect(await bad(5).innerText()).toContain("Count of it: ");
    expect(await bad(6).innerText()).toContain("Wanted on: ");
    expect(await accessFindings(page)).toEqual([]);
    const found = await api<{ items: { id: string; reference: string; customer: string }[] }>(
      sheet,
      running,
      "GET",
      "/api/orders?q=W-1",
    );
    expect(found.items.map((one) => [one.reference, one.customer])).toEqual([["W-1", "Jürgen Öst"]]);
    const { order } = await api<{ order: { lines: { priceCents: number; personalText: string }[] } }>(
      sheet,
      running,
      "GET",
      `/api/orders/${found.items[0]!.id}`,
    );
    expect(order.lines.map((line) => [line.priceCents, line.personalText])).toEqual([
      [3850, "Zoë"],
      [2400, "Zoë"],
    ]);
  });

  it("lets a row be mended in its place", async () => {
    const row = page.getByRole("form", { name: "Line 4" });
    await row.getByLabel("Thing").fill("KERCHIEF");
    await row.getByRole("button", { name: "Put line 4 in" }).click();
    await page.getByText("Line 4 is still not right.").waitFor();
    await row.getByLabel("Thing").fill("APR");
    await row.getByRole("button", { name: "Put line 4 in" }).click();
    await page.getByText("Line 4 is in.").waitFor();
    await stillToMend(2);
    expect(await figure(/orders added/)).toBe("2");
  });

  it("remembers the columns the second time, and adds nothing that is there", async () => {
    await drop("continent again.csv", rows("W"));
    await page.getByText("remembered from an earlier file of this shape").waitFor();
    for (const [heading, meaning] of Object.entries(meanings))
      expect(await page.getByLabel(`What column “${heading}” is`).inputValue()).toBe(meaning);
    await page.getByRole("button", { name: /^Bring in 2 rows/ }).click();
    await page.locator(".import-figures").waitFor();
    expect(await figure(/orders? added/)).toBe("0");
    expect(await figure(/pieces? added/)).toBe("0");
    expect(await figure(/already there/)).toBe("2");
  });

  it("refuses a file that is no table, and says what it expects", async () => {
    sheet.allow(/answered 4\d\d|status of 4\d\d/);
    await page.goto(`${running.address}/orders/import`);
    const [chooser] = await Promise.all([
      page.waitForEvent("filechooser"),
      page.getByRole("button", { name: "Choose a file" }).click(),
    ]);
    await chooser.setFiles({ name: "empty.csv", mimeType: "text/csv", buffer: Buffer.alloc(0) });
    const refused = page.getByRole("alert");
    await refused.first().waitFor();
    expect(await refused.first().innerText()).toContain("Nothing was brought in.");
  });
});
