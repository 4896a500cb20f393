import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { demoMotif, writeMachineFile } from "#core/stitch";
import type { Running } from "./program";
import { accessFindings, choose, openBrowser, openSheet, type Sheet, startProgram } from "./support";

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

/** The next thing of the guided list, pressed as it stands there. */
async function nextStep(name: string) {
  await page.getByRole("link", { name: "Studio", exact: true }).click();
  const step = page
    .getByRole("region", { name: /^What comes next/ })
    .getByRole("link", { name: new RegExp(`^${name}`) });
  await step.waitFor();
  // The list follows what was saved a moment ago as soon as the program has told the page.
  await expect
    .poll(() => step.getAttribute("data-next"), { message: `${name} is next`, timeout: 10_000 })
    .toBe("true");
  await step.click();
}

const drawer = () => page.getByRole("dialog");
async function add(words: string) {
  await drawer().getByRole("button", { name: words, exact: true }).click();
  await drawer().waitFor({ state: "detached" });
}

describe("an own studio, described by hand and planned", () => {
  it("is set up with five answers", async () => {
    await page.goto(running.address);
    await page.getByRole("button", { name: "Set up my studio" }).click();
    await page.getByLabel("What is the studio called?").fill("Lantern Lane");
    await page.getByRole("button", { name: "Open my studio" }).click();
    await page.getByRole("heading", { name: /^What comes next/ }).waitFor();
  });

  it("has hours", async () => {
    await nextStep("Hours");
    await page.getByRole("group", { name: "Monday" }).waitFor();
    await page.getByRole("button", { name: "Save, this is right" }).click();
    await page.getByText("Studio changed.").waitFor();
  });

  it("has a person", async () => {
    await nextStep("People");
    await page.getByRole("button", { name: "Add the first person" }).click();
    await drawer().getByLabel("Name").fill("Maren");
    await add("Add person");
    await page.getByRole("button", { name: "Maren" }).waitFor();
  });

  it("has a hoop", async () => {
    await nextStep("Hoops");
    await page.getByRole("button", { name: "Add the first hoop" }).click();
    await drawer().getByLabel("Name").fill("Small square");
    await add("Add hoop");
    await page
      .getByRole("button", { name: "Hoop Small square" })
      .or(page.getByRole("button", { name: "Small square" }))
      .first()
      .waitFor();
  });

  it("has threads", async () => {
    await nextStep("Threads");
    for (const [index, [code, name, rgb]] of [
      ["N11", "navy", "#203a63"],
      ["Y05", "straw", "#e0b84c"],
    ].entries()) {
      await page.getByRole("button", { name: index === 0 ? "Add the first thread" : "Add a thread" }).click();
      await drawer().getByLabel("Code").fill(code!);
      await drawer().getByLabel("Name").fill(name!);
      await drawer().getByLabel("Colour", { exact: true }).fill(rgb!);
      await add("Add thread");
      await page.getByRole("button", { name: `${code} ${name}` }).waitFor();
    }
  });

  it("has a machine with thread on its needles", async () => {
    await nextStep("Machines");
    await page.getByRole("button", { name: "Add the first machine" }).click();
    await drawer().getByLabel("Name").fill("Heron");
    await drawer()
      .getByRole("checkbox", { name: /^Small square/ })
      .check();
    await add("Add machine");
    await page.getByRole("button", { name: /^Needle 1: empty/ }).click();
    await drawer().getByLabel("Search by code, name or colour").fill("straw");
    expect(await accessFindings(page)).toEqual([]);
    await drawer().getByRole("button", { name: /Y05/ }).click();
    await page.getByRole("button", { name: /^Needle 1: Y05 straw/ }).waitFor();
  });

  it("has a product with a placement", async () => {
    await nextStep("Products");
    await page.getByRole("button", { name: "Add the first product" }).click();
    await drawer().getByRole("textbox", { name: "Code" }).fill("TOTE");
    await drawer().getByRole("textbox", { name: "Name" }).fill("Harbour tote");
    await drawer().getByRole("button", { name: "Add a placement" }).click();
    const placement = drawer().getByRole("group", { name: /^Placement 1/ });
    await placement.getByLabel("Placement", { exact: true }).fill("front");
    await choose(placement, "Hoop", /^Small square/);
    await placement.getByLabel("Where").fill("centred, 120 mm below the hem");
    await add("Add product");
    await page.getByRole("button", { name: /Harbour tote/ }).waitFor();
  });

  it("brings in a machine file and says which thread sews each part", async () => {
    await nextStep("Designs");
    const anchor = demoMotif("anchor", { widthMm: 62 });
    const [chooser] = await Promise.all([
      page.waitForEvent("filechooser"),
      page.getByRole("button", { name: "Choose machine files" }).click(),
    ]);
    await chooser.setFiles({
      name: "anchor.dst",
      mimeType: "application/octet-stream",
      buffer: Buffer.from(writeMachineFile(anchor.stitches, "anchor")),
    });
    await page.getByText("1 brought in").waitFor();
    await page.getByRole("region", { name: "Files brought in" }).getByRole("link").first().click();
    await page.getByRole("heading", { name: /parts in sewing order/ }).waitFor();
    for (const [part, thread] of [
      [1, "N11"],
      [2, "Y05"],
    ] as const) {
      await page.getByRole("button", { name: new RegExp(`^Part ${part} of 2: `) }).click();
      await drawer()
        .getByRole("button", { name: new RegExp(thread) })
        .click();
      await page.getByRole("button", { name: new RegExp(`^Part ${part} of 2: ${thread}`) }).waitFor();
    }
    expect(await accessFindings(page)).toEqual([]);
  });

  it("takes an order typed by hand, and says that nothing is missing", async () => {
    await nextStep("Orders");
    await page.getByRole("link", { name: "Type one by hand" }).click();
    await page.getByLabel("Reference").fill("L-1");
    await page.getByLabel("Customer").fill("Ottilie Brandt");
    await choose(page, "Product", /^Harbour tote/);
    await choose(page, "Picture", /anchor/i);
    await page.getByText("Nothing is missing: it can be planned.").waitFor();
    await page.getByLabel("How many").fill("2");
    expect(await accessFindings(page)).toEqual([]);
    await page.getByRole("button", { name: "Add the order" }).click();
    await page.getByRole("heading", { level: 1, name: "Order L-1" }).waitFor();
    expect(await page.locator(".piece-trouble").count()).toBe(0);
  });

  it("plans it: both pieces are on the board", async () => {
    await page.getByRole("link", { name: "Today", exact: true }).click();
    await page.getByRole("button", { name: "Longer …" }).click();
    await page.getByLabel("Look for a better plan for").fill("1");
    await page.getByRole("button", { name: "Plan for 1 second", exact: true }).click();
    const lane = page.getByRole("listbox", { name: "Heron, 2 pieces" });
    await lane.waitFor();
    expect(await lane.getByRole("option").count()).toBe(2);
    await page.getByText("all 2 on time").waitFor();
    expect(await accessFindings(page)).toEqual([]);
    await page.getByRole("link", { name: "Studio", exact: true }).click();
    await page.getByRole("heading", { level: 1, name: "Studio" }).waitFor();
    expect(await page.getByRole("heading", { name: /^What comes next/ }).count()).toBe(0);
  });
});
