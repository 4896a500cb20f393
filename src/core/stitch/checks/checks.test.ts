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

  it("tell a thread end without a tie", () => {
    expect(codes(row(20, 25, "loose"))).toEqual(["tie-off-missing"]);
  });

  it("tell a start away from the middle, and where it lies", () => {
    const finding = checkDesign(shiftStitches(row(20, 25), 300, 0)).find(
      (one) => one.code === "start-off-centre",
    );
    expect(finding!.message).toContain("(31.3 mm left)");
  });
});
