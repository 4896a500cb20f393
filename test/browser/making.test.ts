import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Running } from "./program";
import {
  accessFindings,
  api,
  choose,
  openBrowser,
  openSheet,
  screens,
  settled,
  type Sheet,
  sidewaysPx,
  startDemo,
} from "./support";

// Designs made by hand, as a person does it: a name typed, a drawing brought in, a list of names; each page held
// against WCAG 2.2 A and AA by axe-core, by day and in the evening, and against 1.4.10 Reflow.

let running: Running;
let browser: Browser;

beforeAll(async () => {
  [running, browser] = await Promise.all([startDemo(), openBrowser()]);
});
afterAll(async () => {
  await browser?.close();
  await running?.stop();
});

const BADGE = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 40" width="60mm" height="40mm">
  <rect x="2" y="2" width="40" height="36" fill="#203a63"/><circle cx="22" cy="20" r="9" fill="#c2542d"/></svg>`;

/** What stands under the picture: size, stitches, parts. */
const facts = (sheet: Sheet) => sheet.page.locator(".making-facts[data-took]");
const stitchesOf = async (sheet: Sheet) =>
  Number(/([\d,]+) stitches/.exec(await facts(sheet).innerText())![1]!.replaceAll(",", ""));
/** Different colours in the picture; one where nothing is drawn. */
const coloursShown = (sheet: Sheet) =>
  sheet.page.locator("canvas.making-canvas").evaluate((canvas: HTMLCanvasElement) => {
    const { data } = canvas.getContext("2d")!.getImageData(0, 0, canvas.width, canvas.height);
    return new Set(new Uint32Array(data.buffer)).size;
  });

async function typed(sheet: Sheet, text: string): Promise<void> {
  const before = await facts(sheet)
    .innerText()
    .catch(() => "");
  await sheet.page.getByLabel("Text", { exact: true }).fill(text);
  await expect
    .poll(
      () =>
        facts(sheet)
          .innerText()
          .catch(() => ""),
      { timeout: 20_000 },
    )
    .not.toBe(before);
}

describe("lettering", () => {
  it("is sewn while it is typed, undone and done again, and kept as a design", async () => {
    const sheet = await openSheet(browser);
    const { page } = sheet;
    await page.goto(`${running.address}/designs/lettering`);
    await page.getByText("Type a text").waitFor();
    await typed(sheet, "Ada");
    await expect.poll(() => coloursShown(sheet)).toBeGreaterThan(3);
    const three = await stitchesOf(sheet);
    await typed(sheet, "Adalbert");
    expect(await stitchesOf(sheet)).toBeGreaterThan(three);
    await page.getByRole("button", { name: "Undo", exact: true }).click();
    await page.getByRole("button", { name: "Redo", exact: true }).click();
    await expect.poll(() => page.getByLabel("Text", { exact: true }).inputValue()).toBe("Adalbert");
    // A height with the keys of the frame: the thing moves by 1 mm.
    await page.getByRole("application").focus();
    await page.keyboard.press("ArrowRight");
    await expect.poll(() => page.getByLabel("To the right").inputValue()).toBe("1");
    await page.getByRole("button", { name: "Proof", exact: true }).click();
    await page.getByAltText(/Proof: Adalbert/).waitFor();
    expect(await accessFindings(page)).toEqual([]);
    await page.getByRole("button", { name: "Put away" }).click();
    await page.getByRole("button", { name: "Save as a design" }).click();
    await page.getByRole("heading", { level: 1, name: "Adalbert" }).waitFor();
    await page.getByText("Made here:").waitFor();
    await settled(page);
    const { items } = await api<{ items: { name: string }[] }>(
      sheet,
      running,
      "GET",
      "/api/designs?q=adalbert",
    );
    expect(items.map(({ name }) => name)).toEqual(["Adalbert"]);
    // Larger, as a new version: nothing is overwritten.
    await page.getByRole("link", { name: "Change how it is made" }).click();
    await page.getByLabel("Height of capitals").fill("25");
    await expect.poll(() => facts(sheet).innerText()).toMatch(/^1\d\d/);
    await page.getByRole("button", { name: "Save as a new version" }).click();
    await page.getByText("Version 2").first().waitFor();
    await page.getByText("Version 1").first().waitFor();
    expect(sheet.faults()).toEqual([]);
    await sheet.close();
  });

  it("names a missing letter at once, and refuses letters too small kindly", async () => {
    const sheet = await openSheet(browser);
    const { page } = sheet;
    await page.goto(`${running.address}/designs/lettering`);
    await page.getByLabel("Text", { exact: true }).fill("Ol漢");
    await page.getByText("These letters are missing in this alphabet: “漢”").waitFor();
    await page.getByLabel("Text", { exact: true }).fill("Ola");
    await page.getByLabel("Height of capitals").fill("3");
    await page.getByText("The lettering is too small to sew").waitFor();
    expect(await accessFindings(page)).toEqual([]);
    expect(sheet.faults()).toEqual([]);
    await sheet.close();
  });
});

describe("artwork", () => {
  it("becomes parts with the nearest threads; one is changed, and it is kept", async () => {
    const sheet = await openSheet(browser);
    const { page } = sheet;
    await page.goto(`${running.address}/designs/artwork`);
    await page.getByText("Drop an SVG drawing").waitFor();
    expect(await accessFindings(page)).toEqual([]);
    await page
      .locator("input[type=file]")
      .first()
      .setInputFiles({ name: "badge.svg", mimeType: "image/svg+xml", buffer: Buffer.from(BADGE) });
    await page.getByRole("heading", { name: "2 parts in sewing order" }).waitFor();
    const thread = page.getByRole("combobox", { name: "Thread of part 1" });
    await expect.poll(() => thread.inputValue()).toMatch(/navy/i);
    const stitches = await stitchesOf(sheet);
    await page
      .getByRole("button", { name: /^Part 1/ })
      .first()
      .click();
    await page.getByLabel("Rows apart").fill("0.8");
    await expect.poll(() => stitchesOf(sheet)).toBeLessThan(stitches);
    // One shape by itself: by its number, with the keys of the frame, and back by one step.
    await page.getByRole("button", { name: /^Shape 1/ }).click();
    await page.getByText("One shape is chosen").waitFor();
    const whole = await facts(sheet).innerText();
    await page.getByLabel("Shape to the right").fill("9");
    await expect.poll(() => facts(sheet).innerText()).not.toBe(whole);
    await page.getByRole("application").focus();
    await page.keyboard.press("ArrowRight");
    await expect.poll(() => page.getByLabel("Shape to the right").inputValue()).toBe("10");
    await page.getByText("changed", { exact: false }).first().waitFor();
    await page.getByRole("button", { name: "As drawn" }).click();
    await expect.poll(() => facts(sheet).innerText()).toBe(whole);
    await page.getByRole("button", { name: "Undo", exact: true }).click();
    await expect.poll(() => page.getByLabel("Shape to the right").inputValue()).toBe("10");
    await page.getByRole("button", { name: "Redo", exact: true }).click();
    // What lies on top cannot come first.
    expect(await page.getByRole("button", { name: "Part 2: sew earlier" }).isDisabled()).toBe(true);
    const chosen = await choose(page, "Thread of part 1", (words) => words[2]!);
    expect(await accessFindings(page)).toEqual([]);
    await page.getByLabel("Name of the design").fill("Harbour badge");
    await page.getByRole("button", { name: "Save as a design" }).click();
    await page.getByRole("heading", { level: 1, name: "Harbour badge" }).waitFor();
    await page.getByRole("button", { name: new RegExp(`Part 1 of 2: ${chosen.split(/\s+/)[0]}`) }).waitFor();
    expect(sheet.faults()).toEqual([]);
    await sheet.close();
  });

  it("says what a file is that is no drawing", async () => {
    const sheet = await openSheet(browser);
    sheet.allow(/415/);
    await sheet.page.goto(`${running.address}/designs/artwork`);
    await sheet.page
      .locator("input[type=file]")
      .first()
      .setInputFiles({ name: "x.svg", mimeType: "image/svg+xml", buffer: Buffer.from("%PDF-1.7") });
    await sheet.page.getByText("a PDF document").waitFor();
    expect(sheet.faults()).toEqual([]);
    await sheet.close();
  });
});

describe("names", () => {
  it("are made in one go, each with its picture, or why it could not be", async () => {
    const sheet = await openSheet(browser);
    const { page } = sheet;
    await page.goto(`${running.address}/designs/names`);
    await page.getByLabel("One name a line").fill("Ada\nZoë\n漢");
    await page.getByRole("button", { name: "Make 3 designs" }).click();
    await page.getByText("2 made, 1 could not be").waitFor();
    await page.getByRole("link", { name: "Zoë" }).waitFor();
    expect(await accessFindings(page)).toEqual([]);
    const [saved] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("button", { name: "Save the machine files" }).click(),
    ]);
    expect(saved.suggestedFilename()).toBe("names.zip");
    expect(sheet.faults()).toEqual([]);
    await sheet.close();
  });
});

describe("the making pages", () => {
  it("hold on a phone in the evening, and do not scroll sideways", async () => {
    const sheet = await openSheet(browser, { ...screens.phone, colorScheme: "dark" });
    const { page } = sheet;
    for (const where of ["/designs/lettering", "/designs/artwork", "/designs/names"]) {
      await page.goto(running.address + where);
      await settled(page);
      if (where.endsWith("lettering")) await typed(sheet, "Ada");
      expect(await accessFindings(page), where).toEqual([]);
      expect(await sidewaysPx(page), where).toBeLessThanOrEqual(0);
    }
    expect(sheet.faults()).toEqual([]);
    await sheet.close();
  });
});
