import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { composeStitches, demoMotif, letterText, type Stitches, writeMachineFile } from "#core/stitch";
import type { Running } from "./program";
import {
  accessFindings,
  api,
  openBrowser,
  openSheet,
  screens,
  settled,
  type Sheet,
  sidewaysPx,
  startDemo,
} from "./support";

// A design with flaws is looked at, played back and mended, as a person does it.

let running: Running;
let browser: Browser;

beforeAll(async () => {
  [running, browser] = await Promise.all([startDemo(), openBrowser()]);
});
afterAll(async () => {
  await browser?.close();
  await running?.stop();
});

/** Two anchors and a name, all far to the right of the start; the last stitches lie on one another. */
function flawed(): Stitches {
  const anchor = demoMotif("anchor", { widthMm: 40 }).stitches;
  const name = letterText("Oda", { heightMm: 12 }).stitches;
  const lump = {
    kind: new Uint8Array(40),
    x: Int32Array.from({ length: 40 }, (_, i) => (i % 5) * 2),
    y: Int32Array.from({ length: 40 }, (_, i) => (i % 2) * 6),
  };
  return composeStitches(
    [anchor, name, anchor, lump].map((stitches, i) => ({ stitches, xTenths: 400 + i * 500 })),
  );
}

async function bringIn(sheet: Sheet, name: string): Promise<string> {
  const sent = await sheet.page.request.post(`${running.address}/api/designs/files?name=${name}.dst`, {
    headers: { origin: running.address, "content-type": "application/octet-stream" },
    data: Buffer.from(writeMachineFile(flawed(), name)),
  });
  expect(sent.status(), await sent.text()).toBe(200);
  const { brought } = (await sent.json()) as { brought: { designId: string; already: boolean }[] };
  return brought[0]!.designId;
}

describe("a design with flaws", () => {
  it("is mended after before and after were seen, into a new version", async () => {
    const sheet = await openSheet(browser);
    const { page } = sheet;
    const id = await bringIn(sheet, "flawed");
    await page.goto(`${running.address}/designs/${id}`);
    await settled(page);
    const list = page.getByRole("region", { name: "What was found" });
    await list.getByText("needle points lie on one square millimetre").waitFor();

    // A finding chosen on the picture is chosen in the list, and shown from the list it is in the middle.
    await list.getByRole("button", { name: "Show the place" }).first().click();
    const mark = page.getByRole("button", { name: /^Finding 1:/ });
    await mark.waitFor();
    expect(await mark.getAttribute("data-chosen")).toBe("true");
    expect(await page.locator("#finding-0").getAttribute("data-chosen")).toBe("true");

    await list.getByRole("button", { name: /Mend all of it/ }).click();
    const mending = page.getByRole("region", { name: /Mend the stitches/ });
    await mending.getByText("after", { exact: true }).waitFor();
    expect(await mending.getByRole("img").count()).toBe(2);
    await mending.getByText("The design starts").waitFor();
    expect(await accessFindings(page)).toEqual([]);
    await mending.getByRole("button", { name: "Keep as a new version" }).click();
    await page.getByText("Version 2", { exact: true }).waitFor();
    await page.getByRole("region", { name: "Versions" }).getByText("mended").first().waitFor();

    const { versions } = await api<{
      versions: { number: number; source: string; findings: { code: string }[] }[];
    }>(sheet, running, "GET", `/api/designs/${id}`);
    expect(versions.map(({ number, source }) => [number, source])).toEqual([
      [2, "mended"],
      [1, "machine-file"],
    ]);
    const codes = (at: number) => versions[at]!.findings.map(({ code }) => code);
    expect(codes(1)).toEqual(expect.arrayContaining(["dense-spot", "start-off-centre"]));
    expect(codes(0)).not.toContain("dense-spot");
    expect(codes(0)).not.toContain("start-off-centre");
    expect(sheet.faults()).toEqual([]);
    await sheet.close();
  });

  it("is played by keyboard, stitch by stitch and part by part, in the machine's time", async () => {
    const sheet = await openSheet(browser);
    const { page } = sheet;
    const id = await bringIn(sheet, "played");
    await page.goto(`${running.address}/designs/${id}`);
    await settled(page);
    const picture = page.getByRole("application");
    await picture.focus();
    const where = page.locator(".viewer-where");
    await where.getByText("records").waitFor();
    await page.keyboard.press("Home");
    await where.getByText(/^0 of /).waitFor();
    await page.keyboard.press(".");
    await page.keyboard.press(".");
    await where.getByText(/^[1-9]\d* of .* part 1: /).waitFor();
    await page.keyboard.press("]");
    await where.getByText(/part [12]: /).waitFor();
    await page.keyboard.press(" ");
    await page.getByRole("button", { name: "Pause" }).waitFor();
    await page.keyboard.press(" ");
    await page.getByRole("button", { name: "Play" }).waitFor();
    expect(await where.textContent()).toMatch(/\d+:\d\d of \d+:\d\d/);
    await page.getByRole("combobox", { name: "Speed" }).selectOption("stitch 20");

    // A part hidden is told of, and comes back.
    await page.getByRole("checkbox", { name: "Part 1 shown" }).uncheck();
    await page.getByText(/^1 of \d+ parts are hidden\.$/).waitFor();
    await page.getByRole("button", { name: "Show all" }).click();
    expect(await page.getByRole("checkbox", { name: "Part 1 shown" }).isChecked()).toBe(true);

    await page.getByRole("checkbox", { name: "densest spots" }).check();
    await page.getByText(/at the densest$/).waitFor();
    expect(sheet.faults()).toEqual([]);
    await sheet.close();
  });

  for (const [name, options] of Object.entries(screens))
    it(`fits the ${name} by day and in the evening, and can be used by everybody`, async () => {
      const sheet = await openSheet(browser, {
        ...options,
        colorScheme: name === "tablet" ? "dark" : "light",
      });
      const { page } = sheet;
      const id = await bringIn(sheet, `fits-${name}`);
      await page.goto(`${running.address}/designs/${id}`);
      await settled(page);
      await page.getByRole("checkbox", { name: "densest spots" }).check();
      await page.getByRole("button", { name: /Mend all of it/ }).click();
      await page.getByText("after", { exact: true }).waitFor();
      expect(await sidewaysPx(page)).toBeLessThanOrEqual(0);
      expect(await accessFindings(page)).toEqual([]);
      expect(sheet.faults()).toEqual([]);
      await sheet.close();
    });
});
