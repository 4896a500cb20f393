import { demoMotif, writeMachineFile } from "#core/stitch";
import { threadBody } from "#test/catalogue";
import { type TestProgram, testProgram } from "#test/program";
import { strToU8, zipSync } from "fflate";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { unpack } from "./unpack";

let studio: TestProgram;
beforeEach(async () => {
  studio = await testProgram({ setUp: true });
});
afterEach(() => studio.close());

const anchor = (widthMm = 60) => writeMachineFile(demoMotif("anchor", { widthMm }).stitches, "ANCHOR");
const bring = (name: string, body: Uint8Array, into = "") =>
  studio.ask("bringInDesigns", { query: { name, into }, body });

describe("bringing in machine files", () => {
  it("names a design after its file and keeps its report", async () => {
    const { brought, refused } = await bring("harbour_anchor.DST", anchor());
    expect(refused).toEqual([]);
    expect(brought).toMatchObject([{ name: "harbour anchor", already: false }]);
    const { design, versions } = await studio.ask("readDesign", { params: { id: brought[0]!.designId } });
    expect(design).toMatchObject({ name: "harbour anchor", kind: "picture" });
    expect(versions).toHaveLength(1);
    const { extentsMm, parts, stops } = versions[0]!;
    expect(Math.abs(extentsMm.right - extentsMm.left - 60)).toBeLessThan(1.5);
    expect(parts).toHaveLength(stops + 1);
  });

  it("adds nothing for a file that is there already", async () => {
    const first = await bring("anchor.dst", anchor());
    const again = await bring("anchor copy.dst", anchor());
    expect(again.brought).toMatchObject([{ already: true, designId: first.brought[0]!.designId }]);
    expect((await studio.ask("listDesigns")).total).toBe(1);
  });

  it("takes the machine files of a zip and says of the others what they are", async () => {
    const cut = anchor().slice(0, 900);
    const zip = zipSync({
      "a/anchor.dst": anchor(),
      "a/cut.dst": cut,
      "b/picture.dst": new Uint8Array([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, ...new Uint8Array(600)]),
      "read me.txt": strToU8("hello"),
    });
    const { brought, refused } = await bring("season.zip", zip);
    expect(brought.map((one) => one.fileName).sort()).toEqual(["anchor.dst", "cut.dst"]);
    expect(brought.find((one) => one.fileName === "cut.dst")!.findings.length).toBeGreaterThan(0);
    expect(refused).toMatchObject([{ fileName: "picture.dst" }]);
    expect(refused[0]!.message).toMatch(/PNG/i);
  });

  it("keeps versions, and the threads of a version with as many parts", async () => {
    const thread = await studio.ask("threads.create", { body: threadBody() });
    const { brought } = await bring("anchor.dst", anchor());
    const { designId, versionId } = brought[0]!;
    const parts = (await studio.ask("readDesign", { params: { id: designId } })).versions[0]!.parts.length;
    await studio.ask("chooseThreads", {
      params: { id: versionId },
      body: { threadIds: Array<string>(parts).fill(thread.id) },
    });
    await bring("anchor larger.dst", anchor(72), designId);
    const { versions } = await studio.ask("readDesign", { params: { id: designId } });
    expect(versions.map((version) => version.number)).toEqual([2, 1]);
    expect(versions[0]!.parts.every((part) => part.threadId === thread.id)).toBe(true);
  });

  it("refuses a thread the shop does not have, and a wrong number of threads", async () => {
    const { versionId } = (await bring("anchor.dst", anchor())).brought[0]!;
    await expect(
      studio.ask("chooseThreads", { params: { id: versionId }, body: { threadIds: [] } }),
    ).rejects.toMatchObject({ code: "part-count" });
    const { designId } = (await bring("anchor.dst", anchor())).brought[0]!;
    const parts = (await studio.ask("readDesign", { params: { id: designId } })).versions[0]!.parts.length;
    await expect(
      studio.ask("chooseThreads", {
        params: { id: versionId },
        body: { threadIds: Array<string>(parts).fill("th_none") },
      }),
    ).rejects.toMatchObject({ code: "thread-unknown" });
  });

  it("takes a design brought in back again", async () => {
    const call = studio.call();
    await studio.ask("bringInDesigns", { query: { name: "anchor.dst" }, body: anchor() }, call);
    expect(call.notes.changeId).toBeTruthy();
    await studio.ask("undoChange", { params: { id: call.notes.changeId! } });
    expect((await studio.ask("listDesigns")).total).toBe(0);
  });

  it("finds designs by any of their words, whatever the case or accent", async () => {
    await bring("Récif d'été.dst", anchor());
    expect((await studio.ask("listDesigns", { query: { q: "ete reci" } })).total).toBe(1);
    expect((await studio.ask("listDesigns", { query: { q: "100%" } })).total).toBe(0);
  });
});

describe("stitches and pictures out", () => {
  it("gives back the very file, the stitches as documented, and a drawing", async () => {
    const file = anchor();
    const { versionId } = (await bring("anchor.dst", file)).brought[0]!;
    const saved = (await studio.answers.designFile(
      { params: { id: versionId }, query: {}, body: undefined },
      studio.call(),
    )) as { bytes: Uint8Array; saveAs: string };
    expect(Buffer.from(saved.bytes).equals(Buffer.from(file))).toBe(true);
    expect(saved.saveAs).toBe("anchor.dst");
    const { bytes } = await studio.answers.designStitches(
      { params: { id: versionId }, query: {}, body: undefined },
      studio.call(),
    );
    const count = new DataView(bytes.buffer, bytes.byteOffset).getInt32(0, true);
    expect(bytes.length).toBe(4 + Math.ceil(count / 4) * 4 + 8 * count);
    const picture = await studio.answers.designPicture(
      { params: { id: versionId }, query: { size: "small", threads: "" }, body: undefined },
      studio.call(),
    );
    expect(new TextDecoder().decode(picture.bytes)).toMatch(/^<svg /);
  });
});

describe("large files", () => {
  it("are read in a thread of their own, and refused there in the same words", async () => {
    const steps = Array.from({ length: 70_000 }, (_, n) => ({ x: (n % 2) * 20, y: Math.floor(n / 2) % 900 }));
    const large = writeMachineFile(
      {
        kind: new Uint8Array(steps.length),
        x: Int32Array.from(steps, ({ x }) => x),
        y: Int32Array.from(steps, ({ y }) => y),
      },
      "LARGE",
    );
    expect(large.length).toBeGreaterThan(200_000);
    expect((await bring("large.dst", large)).brought).toMatchObject([{ name: "large" }]);
    const { items } = await studio.ask("listDesigns");
    expect(items[0]!.latest.stitches).toBeGreaterThan(69_000);
    const { refused } = await bring("text.dst", new TextEncoder().encode("no machine file ".repeat(20_000)));
    expect(refused).toHaveLength(1);
  });
});

describe("archives nobody vouches for", () => {
  it("stops a zip that inflates past the cap soon after it", () => {
    // 60 MB of zeros weigh about 60 kB: far over the ratio, which is told with both sizes.
    const bomb = zipSync({ "bomb.dst": new Uint8Array(60_000_000) }, { level: 6 });
    expect(bomb.length).toBeLessThan(100_000);
    expect(() => unpack(bomb, () => true)).toThrow(/of 0\.1 MB inflates to more than 1[0-9] MB/);
  });
  it("refuses an archive that is cut short or only looks like one", () => {
    const zip = zipSync({ "a.dst": anchor() });
    expect(() => unpack(new Uint8Array([0x50, 0x4b, 3, 4, 0, 0]), () => true)).toThrow(/cannot be read/);
    expect(() => unpack(zip.slice(0, 40), () => true)).toThrow(/cannot be read/);
  });
});
