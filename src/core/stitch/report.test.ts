import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { checkDesign } from "./checks";
import { letterText } from "./lettering/letter-text";
import { writeMachineFile } from "./machine-writer";
import { demoMotif } from "./motifs";
import { designReport } from "./report";
import { EMPTY_STITCHES, StitchRecorder, type Stitches } from "./stitches";
import { composeStitches } from "./transform";

const REFEREE = new URL("../../../../shared/referee/stitches/dst.py", import.meta.url).pathname;
const ready = existsSync(REFEREE) && spawnSync("python3", ["--version"]).status === 0;

describe("a design report", () => {
  it("counts by the definitions of the report", () => {
    const recorder = new StitchRecorder();
    recorder.jump(50, 0);
    recorder.stitch(50, 30);
    recorder.stitch(54, 30);
    recorder.trim(200, 30);
    recorder.stitch(200, 0);
    recorder.stop();
    recorder.stitch(190, 0);
    const report = designReport(recorder.done(), []);
    expect(report).toEqual({
      format: "spoolwright/design-report@1",
      stitches: 4,
      jumps: 4,
      stops: 1,
      trims: 1,
      parts: [
        { stitches: 3, threadMm: 6.4 },
        { stitches: 1, threadMm: 1 },
      ],
      extentsMm: { left: 5, right: 20, bottom: 0, top: 3 },
      shortestMm: 0.4,
      longestMm: 1,
      shortShare: 0.25,
      densestPerMm2: 2,
      findings: [],
    });
  });

  it("has zeros for a design without stitches, and a finding says so", () => {
    const report = designReport(EMPTY_STITCHES, checkDesign(EMPTY_STITCHES));
    expect(report.parts).toEqual([{ stitches: 0, threadMm: 0 }]);
    expect([report.stitches, report.shortestMm, report.shortShare, report.densestPerMm2]).toEqual([
      0, 0, 0, 0,
    ]);
    expect(report.findings.map((finding) => finding.code)).toEqual(["no-stitches"]);
  });
});

describe.skipIf(!ready)(
  "the report against an independent reader (only where ../shared and Python are there)",
  () => {
    const folder = ready ? mkdtempSync(join(tmpdir(), "report-")) : "";
    afterAll(() => {
      if (folder !== "") rmSync(folder, { recursive: true });
    });
    const designs: readonly (readonly [string, () => Stitches])[] = [
      ["a name", () => letterText("Søren & Ida", { heightMm: 14 }).stitches],
      ["a name on an arc", () => letterText("SEASIDE", { heightMm: 18, arcDeg: 90, cloth: "pile" }).stitches],
      ["a picture", () => demoMotif("lighthouse", { widthMm: 70 }).stitches],
      [
        "a picture with a name",
        () =>
          composeStitches([
            { stitches: demoMotif("anchor", { widthMm: 60 }).stitches },
            { stitches: letterText("MAREN", { heightMm: 12 }).stitches, yTenths: -600 },
          ]),
      ],
    ];
    it.each(designs)("%s", (title, make) => {
      const design = make();
      const file = join(folder, `${title.replaceAll(" ", "-")}.dst`);
      writeFileSync(file, writeMachineFile(design, title));
      const theirs = JSON.parse(
        spawnSync("python3", [REFEREE, "analyse", file], { encoding: "utf8" }).stdout,
      );
      const ours = designReport(design, []);
      expect(theirs.problems).toEqual([]);
      expect(theirs.stitches).toBe(ours.stitches);
      expect(theirs.jumps).toBe(ours.jumps);
      expect(theirs.stops).toBe(ours.stops);
      expect(theirs.trims).toBe(ours.trims);
      expect(theirs.blocks.map((part: { stitches: number }) => part.stitches)).toEqual(
        ours.parts.map((part) => part.stitches),
      );
      theirs.blocks.forEach((part: { thread_mm: number }, i: number) => {
        expect(Math.abs(part.thread_mm - ours.parts[i]!.threadMm)).toBeLessThanOrEqual(0.11);
      });
      expect(theirs.density_per_mm2.max).toBe(ours.densestPerMm2);
      expect(theirs.longest_mm).toBeCloseTo(ours.longestMm, 2);
      expect(theirs.shortest_mm).toBeCloseTo(ours.shortestMm, 2);
      expect(theirs.share_lt_0_5mm).toBeCloseTo(ours.shortShare, 3);
    });
  },
);
