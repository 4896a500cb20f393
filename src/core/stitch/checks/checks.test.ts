import { describe, expect, it } from "vitest";
import { letterText } from "../lettering/letter-text";
import { demoMotif } from "../motifs";
import { StitchRecorder, type Stitches } from "../stitches";
import { shiftStitches } from "../transform";
import { checkDesign, type CheckContext } from ".";

const codes = (design: Stitches, context?: CheckContext): string[] =>
  checkDesign(design, context).map((one) => one.code);

/** A row of stitches along x, each `step` tenths, begun and ended with ties, about the start. */
function row(count: number, step: number, tied: "tied" | "loose" = "tied"): Stitches {
  const recorder = new StitchRecorder();
  recorder.jump(-(count * step) / 2, 0);
  for (let i = 1; i <= count; i++) recorder.stitch(-(count * step) / 2 + i * step, 0);
  if (tied === "tied") for (const back of [7, 0, 7]) recorder.stitch((count * step) / 2 - back, 0);
  return recorder.done();
}

describe("checks", () => {
  it("find nothing in a sound design", () => {
    expect(codes(row(20, 25))).toEqual([]);
    expect(codes(letterText("Maren", { heightMm: 14 }).stitches)).toEqual([]);
  });

  it("tell a design that is larger than its field, and when a turn helps", () => {
    const [finding] = checkDesign(row(40, 25), { fieldMm: { width: 60, height: 120 } });
    expect(finding).toMatchObject({ code: "outside-field", level: "stop", advice: "Turned by 90° it fits." });
    expect(finding!.message).toContain("97.5 × 0.0 mm; the field is 60 × 120 mm");
    expect(codes(row(40, 25), { fieldMm: { width: 100, height: 50 } })).toEqual([]);
  });

  it("tell more threads than needles, counting a thread used twice once", () => {
    const { stitches, colours } = demoMotif("crest-ring", { widthMm: 70 });
    const partThreads = colours.map((colour) => colour.name);
    expect(new Set(partThreads).size).toBe(5);
    expect(codes(stitches, { needles: 4, partThreads })).toContain("more-colours-than-needles");
    expect(codes(stitches, { needles: 5, partThreads })).not.toContain("more-colours-than-needles");
  });

  it("tell stitches that are too long or too short", () => {
    expect(codes(row(6, 90))).toEqual(["stitches-too-long"]);
    expect(codes(row(60, 4))).toContain("stitches-too-short");
  });

  it("tell a spot that is sewn too often", () => {
    const recorder = new StitchRecorder();
    for (let i = 0; i < 20; i++) recorder.stitch(5 + (i % 2) * 4, 5);
    expect(checkDesign(recorder.done()).find((one) => one.code === "dense-spot")).toMatchObject({
      level: "warning",
      at: { xTenths: 0, yTenths: 0 },
    });
  });

  it("tell every place where it stands, the worst first, and no more than fifty", () => {
    const recorder = new StitchRecorder();
    for (let spot = 0; spot < 60; spot++)
      for (let i = 0; i < 14 + (spot === 7 ? 10 : 0); i++) recorder.stitch(spot * 40 + 5 + (i % 2) * 4, 5);
    const dense = checkDesign(recorder.done()).find((one) => one.code === "dense-spot")!;
    expect(dense.places).toHaveLength(50);
    expect(dense.places![0]).toEqual({ xTenths: 285, yTenths: 5 });
    expect(dense.at).toEqual({ xTenths: 280, yTenths: 0 });
    const long = checkDesign(row(6, 90)).find((one) => one.code === "stitches-too-long")!;
    // The first closes the jump there.
    expect(long.places).toHaveLength(5);
    // One place needs no list.
    expect(checkDesign(row(20, 25, "loose"))[0]!.places).toBeUndefined();
  });

  it("tell a thread end without a tie", () => {
    expect(codes(row(20, 25, "loose"))).toEqual(["tie-off-missing"]);
  });

  it("tell a start away from the middle, and where it lies", () => {
    const finding = checkDesign(shiftStitches(row(20, 25), 300, 0)).find(
      (one) => one.code === "start-off-centre",
    );
    expect(finding!.message).toContain("(31.3 mm left)");
  });

  it("tell satin that is too narrow or too wide, by the cloth", () => {
    expect(codes(zigzag(80, 6))).toContain("column-too-narrow");
    expect(codes(zigzag(80, 11))).not.toContain("column-too-narrow");
    expect(codes(zigzag(80, 11), { cloth: "pile" })).toContain("column-too-narrow");
    const wide = checkDesign(zigzag(80, 80)).find(({ code }) => code === "column-too-wide");
    expect(wide!.message).toContain("8.0 mm");
    expect(wide!.at).toMatchObject({ stitch: expect.any(Number) as number });
    // Reported once, as a column.
    expect(codes(zigzag(80, 80))).not.toContain("stitches-too-long");
    expect(codes(zigzag(80, 60))).not.toContain("column-too-wide");
    expect(codes(zigzag(80, 60), { cloth: "pile" })).toContain("column-too-wide");
  });

  it("tell cover that is too thin, in satin and in areas, and not what is open on purpose", () => {
    expect(codes(zigzag(80, 30, 7))).toContain("cover-too-thin");
    expect(codes(zigzag(80, 30, 4))).not.toContain("cover-too-thin");
    for (const [spacing, thin] of [
      [3.8, false],
      [4.8, false],
      [7, true],
      [9, true],
      [20, false],
    ] as const)
      expect(codes(rows(200, spacing)).includes("cover-too-thin"), `rows at ${spacing / 10} mm`).toBe(thin);
  });

  it("tell letters that are too small for the cloth, and spare finer thread", () => {
    const letters = [{ text: "Maren", heightMm: 4.5 }];
    expect(codes(row(20, 25), { letters })).toEqual(["letters-too-small"]);
    expect(codes(row(20, 25), { letters, threadWeight: 60 })).toEqual([]);
    expect(codes(row(20, 25), { letters, threadWeight: 60, cloth: "pile" })).toEqual(["letters-too-small"]);
  });

  it("tell what was scaled beyond sense", () => {
    expect(codes(row(20, 25), { scale: 1.1 })).toEqual([]);
    expect(checkDesign(row(20, 25), { scale: 1.2 })).toMatchObject([
      { code: "scaled-too-far", level: "warning" },
    ]);
    expect(checkDesign(row(20, 25), { scale: 0.5 })).toMatchObject([{ level: "stop" }]);
  });

  it("tell stitches made for another cloth, and satin on stretch cloth without underlay", () => {
    const column = zigzag(80, 30);
    expect(codes(column, { cloth: "knit", madeFor: "woven" })).toContain("pull-and-push");
    expect(codes(column, { cloth: "woven", madeFor: "knit" })).not.toContain("pull-and-push");
    expect(codes(column, { cloth: "knit" })).toContain("pull-and-push");
    expect(
      codes(letterText("Oda", { heightMm: 30, cloth: "knit" }).stitches, { cloth: "knit" }),
    ).not.toContain("pull-and-push");
  });

  it("tell text spelled otherwise than the order says", () => {
    const text = (sewn: string, ordered: string) =>
      checkDesign(row(20, 25), { texts: { sewn: [sewn], ordered: [ordered] } });
    expect(text("Zoë", "Zoe\u0308 ")).toEqual([]);
    expect(text("Zoe", "Zoë")).toMatchObject([{ code: "text-not-as-ordered", level: "stop" }]);
    expect(text("Anna", "Ana")[0]!.message).toContain("letter 3 is “n”, not “a”");
    expect(text("ANNA", "Anna")[0]!.advice).toContain("capitals");
  });

  it("hold each text of an order against the nearest of the design", () => {
    const texts = (sewn: string[], ordered: string[]) =>
      checkDesign(row(20, 25), { texts: { sewn, ordered } });
    expect(texts(["Harbour Swimmers", "Ada", "2019"], ["Ada", "2019"])).toEqual([]);
    expect(texts(["Ada", "2018"], ["Ada", "2019"])[0]!.message).toContain(
      "“2018”, the order “2019”: letter 4",
    );
    expect(texts([], ["Ada"])).toEqual([]);
  });

  it("say where each thing is", () => {
    for (const finding of [
      ...checkDesign(zigzag(80, 80)),
      ...checkDesign(row(60, 4)),
      ...checkDesign(row(20, 25, "loose")),
      ...checkDesign(row(40, 25), { fieldMm: { width: 60, height: 120 } }),
    ])
      expect(finding.at, finding.code).toMatchObject({ xTenths: expect.any(Number) as number });
  });
});

/** Satin along x about the start, tied. */
function zigzag(count: number, widthTenths: number, pitch = 4): Stitches {
  const recorder = new StitchRecorder();
  const left = Math.round((-count * pitch) / 4);
  recorder.jump(left, 0);
  for (const x of [0, 7, 0, 7]) recorder.stitch(left + x, -widthTenths / 2);
  for (let i = 0; i < count; i++)
    recorder.stitch(left + (i * pitch) / 2, i % 2 === 0 ? -widthTenths / 2 : widthTenths / 2);
  for (const back of [7, 0, 7]) recorder.stitch(-left - back, widthTenths / 2);
  return recorder.done();
}

/** Rows of 3 mm stitches, 20 mm long, so many tenths apart, about the start, tied. */
function rows(count: number, spacing: number): Stitches {
  const recorder = new StitchRecorder();
  const n = Math.min(count, Math.floor(200 / spacing));
  const low = (-n * spacing) / 2;
  recorder.jump(-100, low);
  for (let j = 0; j < n; j++) {
    const sign = j % 2 === 0 ? 1 : -1;
    for (let i = -10; i <= 10; i += 2)
      recorder.stitch(sign * i * 10 + (i === 10 || i === -10 ? 0 : (j % 3) * 5), low + j * spacing);
  }
  for (const back of [7, 0, 7])
    recorder.stitch(recorder.x > 0 ? 100 - back : -100 + back, low + (n - 1) * spacing);
  return recorder.done();
}
