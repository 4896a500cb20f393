import { composeStitches, demoMotif, letterText, type Stitches, writeMachineFile } from "#core/stitch";
import { machineBody, threadBody } from "#test/catalogue";
import { type TestProgram, testProgram } from "#test/program";
import { afterEach, beforeEach, describe, expect, it } from "vitest";

let studio: TestProgram;
beforeEach(async () => {
  studio = await testProgram({ setUp: true });
});
afterEach(() => studio.close());

/** Three names 40 mm apart, the first and the last to be sewn in one thread. */
const threeNames = (): Stitches =>
  composeStitches(
    ["Ida", "Bo", "Una"].map((text, i) => ({
      stitches: letterText(text, { heightMm: 12 }).stitches,
      xTenths: i * 400,
    })),
  );
async function brought(stitches: Stitches) {
  const body = writeMachineFile(stitches, "NAMES");
  const answer = await studio.ask("bringInDesigns", { query: { name: "names.dst", into: "" }, body });
  return answer.brought[0]!;
}

describe("checks for a machine and a cloth", () => {
  it("tell what does not fit its field and its needles, and what the cloth makes of it", async () => {
    const { versionId } = await brought(threeNames());
    const machine = await studio.ask("machines.create", {
      body: machineBody({ fieldWidthMm: 60, fieldHeightMm: 100 }),
    });
    const codes = async (query: { machineId?: string; cloth?: "pile" }) =>
      (await studio.ask("checkDesignVersion", { params: { id: versionId }, query })).findings.map(
        ({ code }) => code,
      );
    expect(await codes({})).toEqual(["start-off-centre"]);
    expect(await codes({ machineId: machine.id })).toContain("outside-field");
    await expect(codes({ machineId: "mc_none" })).rejects.toMatchObject({ code: "machine-unknown" });
  });
});

describe("mending a design", () => {
  it("shows what it would change and keeps nothing", async () => {
    const { designId, versionId } = await brought(threeNames());
    const seen = await studio.ask("previewMends", {
      params: { id: versionId },
      body: { mends: ["centre-start"], cloth: null },
    });
    expect(seen.gone.map(({ code }) => code)).toEqual(["start-off-centre"]);
    expect(seen.before.stitches).toBe(seen.after.stitches);
    expect((await studio.ask("readDesign", { params: { id: designId } })).versions).toHaveLength(1);
  });

  it("keeps the mended design as a new version with the threads of its parts, and the old one as it was", async () => {
    const { designId, versionId } = await brought(threeNames());
    const [red, blue] = await Promise.all([
      studio.ask("threads.create", { body: threadBody({ code: "R1" }) }),
      studio.ask("threads.create", { body: threadBody({ code: "B1" }) }),
    ]);
    await studio.ask("chooseThreads", {
      params: { id: versionId },
      body: { threadIds: [red.id, blue.id, red.id] },
    });
    const version = await studio.ask("mendDesign", {
      params: { id: versionId },
      body: { mends: ["fewer-stops", "centre-start"], cloth: null },
    });
    expect(version).toMatchObject({ number: 2, source: "mended", stops: 1 });
    expect(version.parts.map(({ threadId }) => threadId)).toEqual([red.id, blue.id]);
    const { versions } = await studio.ask("readDesign", { params: { id: designId } });
    expect(versions.map(({ number, stops }) => [number, stops])).toEqual([
      [2, 1],
      [1, 2],
    ]);
    // What the page draws before is what is kept after.
    const drawn = await studio.ask("previewMends", {
      params: { id: versionId },
      body: { mends: ["fewer-stops", "centre-start"], cloth: null },
    });
    expect(drawn.after.stitches).toBe(version.stitches);
    expect(drawn.threadIds).toEqual([red.id, blue.id]);
  });

  it("refuses what changes nothing", async () => {
    const { versionId } = await brought(demoMotif("anchor", { widthMm: 60 }).stitches);
    await expect(
      studio.ask("mendDesign", { params: { id: versionId }, body: { mends: ["split-long"], cloth: null } }),
    ).rejects.toMatchObject({ code: "nothing-to-mend" });
    await expect(
      studio.ask("mendDesign", { params: { id: "dv_none" }, body: { mends: ["split-long"], cloth: null } }),
    ).rejects.toMatchObject({ code: "design-unknown" });
  });

  it("mends a large design in a thread of its own", async () => {
    const anchor = demoMotif("anchor", { widthMm: 90 }).stitches;
    const many = composeStitches(
      Array.from({ length: 12 }, (_, i) => ({
        stitches: anchor,
        xTenths: (i % 4) * 1000,
        yTenths: Math.floor(i / 4) * 1000,
        joins: "same-part" as const,
      })),
    );
    expect(many.kind.length).toBeGreaterThan(20_000);
    const { versionId } = await brought(many);
    const seen = await studio.ask("previewMends", {
      params: { id: versionId },
      body: { mends: ["centre-start"], cloth: "knit" },
    });
    expect(seen.done).toMatchObject([{ code: "centre-start", changed: 1 }]);
  });
});
