import { strFromU8, unzipSync } from "fflate";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { setImmediate } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { demoMotif, readMachineFile, writeMachineFile } from "#core/stitch";
import { threadBody } from "#test/catalogue";
import { type TestProgram, testProgram } from "#test/program";

let studio: TestProgram;
beforeAll(async () => {
  studio = await testProgram({ setUp: true });
});
afterAll(() => studio.close());

const lettering = (more: object = {}) => ({
  kind: "lettering",
  key: "a",
  xMm: 0,
  yMm: 0,
  turnDeg: 0,
  text: "Olivia",
  face: "alphabet:upright",
  heightMm: 15,
  widthMm: null,
  bend: { as: "straight" },
  align: "centre",
  letterSpacingMm: 0,
  wordSpacingMm: 0,
  lineSpacing: 1.65,
  order: "along",
  threadId: null,
  ...more,
});
let threads = 0;
const making = (...items: object[]) => ({
  format: "spoolwright/making@1",
  cloth: "woven",
  hoopId: null,
  items,
});
const preview = (body: object, desk = "d1") => studio.ask("previewMaking", { body: { making: body, desk } });
const save = (body: object, name = "Olivia", into: string | null = null) =>
  studio.ask("saveMaking", { body: { making: body, name, into } });

const DRAWING = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 40" width="60mm" height="40mm">
  <rect x="2" y="2" width="40" height="36" fill="#203a63"/><circle cx="22" cy="20" r="9" fill="#c2542d"/></svg>`;
const bringDrawing = () =>
  studio.ask("addArtwork", { query: { name: "badge.svg" }, body: new TextEncoder().encode(DRAWING) });
const drawn = (fileHash: string, more: object = {}) => ({
  kind: "artwork",
  key: "b",
  xMm: 0,
  yMm: 0,
  turnDeg: 0,
  fileHash,
  fileName: "badge.svg",
  widthMm: 50,
  mostColours: 12,
  ground: "keep",
  parts: [],
  ...more,
});
const asProposed = {
  threadId: null,
  leaveOut: false,
  lines: null,
  angleDeg: null,
  spacingMm: null,
  underlay: null,
};

describe("a picture of a making", () => {
  it("shows lettering where it lies, turned and put there", async () => {
    const straight = await preview(making(lettering()));
    expect(straight.items[0]).toMatchObject({ trouble: null, missing: [], heightMm: 15 });
    const count = Buffer.from(straight.stitches, "base64").readInt32LE(0);
    expect(count).toBeGreaterThan(straight.stitchCount - 1);
    const [flat, upright] = [
      straight.items[0]!.boxMm!,
      (await preview(making(lettering({ turnDeg: 90, xMm: 40 })))).items[0]!.boxMm!,
    ];
    expect(upright.right - upright.left).toBeCloseTo(flat.top - flat.bottom, 0);
    expect((upright.left + upright.right) / 2).toBeCloseTo(40 - (flat.bottom + flat.top) / 2, 0);
  });
  it("names missing letters, and what cannot be made, beside what can", async () => {
    const { items, stitchCount } = await preview(
      making(lettering({ text: "Ol漢" }), lettering({ key: "b", heightMm: 2 })),
    );
    expect(items[0]!.missing).toEqual(["漢"]);
    expect(items[1]!.trouble!.code).toBe("lettering-too-small");
    expect(stitchCount).toBeGreaterThan(100);
  });
  it("sews neighbours in one thread as one part", async () => {
    const { id } = await studio.ask("threads.create", { body: threadBody({ code: `T${++threads}` }) });
    const two = [lettering({ threadId: id }), lettering({ key: "b", yMm: -30, threadId: id })];
    const { parts } = await preview(making(...two));
    expect(parts).toHaveLength(1);
    expect(parts[0]!.of.map((one) => one.key)).toEqual(["a", "b"]);
  });
  it("gives an older picture of the same desk up for a newer one", async () => {
    const texts = ["One", "Two", "Three", "Four"];
    const answers = await Promise.allSettled(texts.map((text) => preview(making(lettering({ text })))));
    expect(answers.at(-1)!.status).toBe("fulfilled");
    expect(answers.filter((one) => one.status === "rejected").length).toBeGreaterThan(0);
    for (const one of answers)
      if (one.status === "rejected") expect(one.reason).toMatchObject({ code: "making-overtaken" });
  });
});

describe("artwork", () => {
  it("lists the shapes of a part; one is moved and turned by itself, and found again at another size", async () => {
    const two = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 40"><rect x="2" y="14" width="16" height="12"/><rect x="40" y="14" width="16" height="12"/></svg>`;
    const { fileHash } = await studio.ask("addArtwork", { query: { name: "two.svg" }, body: new TextEncoder().encode(two) }); // prettier-ignore
    const shapesOf = async (more: object) => {
      const { items } = await preview(making(drawn(fileHash, more)));
      return { shapes: items[0]!.parts[0]!.shapes, findings: items[0]!.findings, box: items[0]!.boxMm! };
    };
    const { shapes } = await shapesOf({});
    expect(shapes.map(({ sew, leftOut }) => [sew, leftOut])).toEqual([["fill", false], ["fill", false]]); // prettier-ignore
    const [right] = shapes.filter(({ boxMm }) => boxMm.left > 0);
    const changed = { edges: right!.edges, xMm: 5, yMm: 0, turnDeg: 90, sizePercent: 100, leaveOut: false };
    const part = { part: "#000000", ...asProposed, shapes: [changed] };
    const moved = await shapesOf({ parts: [part] });
    const now = moved.shapes.find(({ edges }) => String(edges) === String(right!.edges))!.boxMm;
    expect((now.left + now.right) / 2).toBeCloseTo((right!.boxMm.left + right!.boxMm.right) / 2 + 5, 0);
    expect(now.top - now.bottom).toBeCloseTo(right!.boxMm.right - right!.boxMm.left, 0);
    const larger = await shapesOf({ widthMm: 80, parts: [part] });
    expect(larger.findings.map(({ code }) => code)).not.toContain("shape-not-found");
    const gone = await shapesOf({ parts: [{ ...part, shapes: [{ ...changed, edges: [0, 0, 9, 9] }] }] });
    expect(gone.findings.map(({ code }) => code)).toContain("shape-not-found");
    const out = await shapesOf({ parts: [{ ...part, shapes: [{ ...changed, leaveOut: true }] }] });
    expect(out.box.right).toBeLessThan(0);
  });
  it("says so when a moved shape comes to lie under what is sewn later", async () => {
    const two = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 40"><rect x="2" y="14" width="10" height="10" fill="#203a63"/><rect x="30" y="6" width="26" height="26" fill="#c2542d"/></svg>`;
    const { fileHash } = await studio.ask("addArtwork", { query: { name: "two.svg" }, body: new TextEncoder().encode(two) }); // prettier-ignore
    const plain = await preview(making(drawn(fileHash)));
    const first = plain.items[0]!.parts[0]!;
    const toTheOther = first.part === "#203a63" ? 30 : -30;
    const shapes = [{ edges: first.shapes[0]!.edges, xMm: toTheOther, yMm: 0, turnDeg: 0, sizePercent: 100, leaveOut: false }]; // prettier-ignore
    const parts = [{ part: first.part, ...asProposed, shapes }];
    const over = await preview(making(drawn(fileHash, { parts })));
    expect(over.items[0]!.findings.map(({ code }) => code)).toEqual(["shape-sewn-over"]);
    const later = [{ part: plain.items[0]!.parts[1]!.part, ...asProposed }, ...parts];
    const mended = await preview(making(drawn(fileHash, { parts: later })));
    expect(mended.items[0]!.findings).toEqual([]);
  });
  it("becomes parts by colour, what lies on top last, each changed as wanted", async () => {
    const { fileHash, naturalMm, kind } = await bringDrawing();
    expect([kind, naturalMm]).toEqual(["drawing", { width: 60, height: 40 }]);
    const plain = await preview(making(drawn(fileHash)));
    const names = plain.items[0]!.parts.map(({ part }) => part);
    expect(names).toEqual(["#203a63", "#c2542d"]);
    expect(plain.items[0]!.parts[1]!.beneath).toEqual(["#203a63"]);
    expect(plain.parts).toHaveLength(2);
    const thin = await preview(
      making(
        drawn(fileHash, { parts: [{ part: "#203a63", ...asProposed, spacingMm: 0.8, underlay: "none" }] }),
      ),
    );
    expect(thin.stitchCount).toBeLessThan(0.75 * plain.stitchCount);
    const without = await preview(
      making(drawn(fileHash, { parts: [{ part: "#203a63", ...asProposed, leaveOut: true }] })),
    );
    expect(without.parts.map(({ colour }) => colour)).toEqual(["#c2542d"]);
    // The circle lies on the square: it cannot come first.
    const turned = await preview(
      making(drawn(fileHash, { parts: ["#c2542d", "#203a63"].map((part) => ({ part, ...asProposed })) })),
    );
    expect(turned.items[0]!.parts.map(({ part }) => part)).toEqual(names);
  });
  it("is refused kindly when it is no drawing", async () => {
    await expect(
      studio.ask("addArtwork", { query: { name: "x.pdf" }, body: new TextEncoder().encode("%PDF-1.7 …") }),
    ).rejects.toMatchObject({ code: "not-a-drawing" });
  });
});

describe("a making that is kept", () => {
  it("becomes a design with its making, and a new version when it is changed", async () => {
    const { id } = await studio.ask("threads.create", { body: threadBody({ code: `T${++threads}` }) });
    const first = await save(making(lettering({ threadId: id })));
    expect(first.version).toMatchObject({ number: 1, source: "lettering", parts: [{ threadId: id }] });
    const read = await studio.ask("readMaking", { params: { id: first.version.id } });
    expect(read.making!.items[0]).toMatchObject({ text: "Olivia", heightMm: 15 });
    const second = await save(making(lettering({ heightMm: 24 })), "", first.designId).catch(
      (error: unknown) => error,
    );
    expect(second).toBeInstanceOf(Error);
    const larger = await save(making(lettering({ heightMm: 24 })), "Olivia", first.designId);
    expect(larger.version.number).toBe(2);
    const ratio = larger.version.stitches / first.version.stitches;
    // Remade, not scaled: letters twice as high take about twice the stitches, not as many.
    expect(ratio).toBeGreaterThan(1.3);
    const { versions } = await studio.ask("readDesign", { params: { id: first.designId } });
    expect(versions.map(({ number }) => number)).toEqual([2, 1]);
  });
  it("joins a stored design and lettering to one machine file", async () => {
    const { brought } = await studio.ask("bringInDesigns", {
      query: { name: "anchor.dst" },
      body: writeMachineFile(demoMotif("anchor", { widthMm: 40 }).stitches, "ANCHOR"),
    });
    const { versionId } = brought[0]!;
    const stored = {
      kind: "design",
      key: "c",
      xMm: 0,
      yMm: 20,
      turnDeg: 0,
      versionId,
      sizePercent: 100,
      threadIds: null,
    };
    const kept = await save(making(stored, lettering({ yMm: -20 })), "Anchor Olivia");
    expect(kept.version.source).toBe("made");
    const { bytes } = await studio.answers.designFile(
      { params: { id: kept.version.id }, query: {}, body: undefined },
      studio.call(),
    );
    const { stitches } = readMachineFile(bytes);
    expect(stitches.kind.filter((kind) => kind === 2)).toHaveLength(kept.version.stops);
    const { making: none } = await studio.ask("readMaking", { params: { id: versionId } });
    expect(none).toBeNull();
  });
  it("is refused while a letter is missing or something cannot be made, and nothing is written", async () => {
    const before = (await studio.ask("listDesigns", { query: { kind: "all" } })).total;
    await expect(save(making(lettering({ text: "漢a" })))).rejects.toMatchObject({
      code: "making-not-ready",
    });
    await expect(save(making(lettering({ heightMm: 2 })))).rejects.toMatchObject({
      code: "making-not-ready",
    });
    await expect(save(making(lettering({ threadId: "th_none" })))).rejects.toMatchObject({
      code: "thread-unknown",
    });
    expect((await studio.ask("listDesigns", { query: { kind: "all" } })).total).toBe(before);
  });
});

describe("names in numbers", () => {
  const recipe = {
    cloth: "woven",
    face: "alphabet:upright",
    heightMm: 15,
    leastHeightMm: 10,
    maxWidthMm: 60,
    arcDeg: 0,
    place: "alone",
    designId: null,
    threadId: null,
  };
  it("become a design each, lowered to fit, with what could not be made said in words", async () => {
    const names = ["Ada", "Johannes", "Maximilian-Jo", "漢", "Ada"].map((text) => ({
      text,
      threadId: null,
    }));
    const begun = await studio.ask("makeNames", { body: { recipe, names } });
    let run = begun;
    while (run.state === "running") {
      // Lets the threads be heard between two looks.
      await setImmediate();
      run = await studio.ask("readNames", { params: { id: begun.id } });
    }
    expect(run).toMatchObject({ state: "done", of: 5, done: 5 });
    expect(run.names.map(({ text }) => text)).toEqual(names.map(({ text }) => text));
    expect(run.names[0]!.heightMm).toBe(15);
    expect(run.names[1]!.heightMm).toBeLessThan(15);
    expect(run.names[1]!.heightMm).toBeGreaterThanOrEqual(10);
    expect(run.names[2]!.trouble).toMatch(/10 mm/);
    expect(run.names[3]!.trouble).toMatch(/漢/);
    expect(run.names[4]!.versionId).toBe(run.names[0]!.versionId);
    const { bytes } = await studio.answers.namesArchive(
      { params: { id: begun.id }, query: {}, body: undefined },
      studio.call(),
    );
    const files = unzipSync(bytes);
    expect(Object.keys(files).sort()).toEqual(["01ADA.DST", "02JOHANN.DST", "05ADA.DST", "names.csv"]);
    expect(strFromU8(files["names.csv"]!)).toContain("Johannes");
  });
});

describe("a font of the studio's own", () => {
  const file = readFileSync(createRequire(import.meta.url).resolve("@expo-google-fonts/dancing-script/700Bold/DancingScript_700Bold.ttf")); // prettier-ignore
  it("is added once, sewn with, and stays with its designs when it is archived", async () => {
    const add = () =>
      studio.ask("addFont", { query: { name: "own letters.ttf" }, body: new Uint8Array(file) });
    const { face, already } = await add();
    expect(already).toBe(false);
    expect((await add()).already).toBe(true);
    const listed = async () => (await studio.ask("listFaces")).items.map(({ key }) => key);
    expect(await listed()).toContain(face.key);
    const item = lettering({ text: "o", face: face.key, heightMm: 25 });
    const made = await preview(making(item));
    expect(made.items[0]!.trouble).toBeNull();
    expect(made.stitchCount).toBeGreaterThan(50);
    await studio.ask("archiveFont", { params: { id: face.own!.id } }, { ifMatch: face.own!.version });
    expect(await listed()).not.toContain(face.key);
    expect((await preview(making({ ...item, heightMm: 26 }))).items[0]!.trouble).toBeNull();
  });
  it("is refused with what it is when it is no font", async () => {
    await expect(
      studio.ask("addFont", { query: { name: "x.ttf" }, body: new TextEncoder().encode("plain words") }),
    ).rejects.toMatchObject({ code: "not-a-font" });
  });
});
