import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { describe, expect, it } from "vitest";
import { rowFill } from "../fills/row-fill";
import { letterText } from "../lettering/letter-text";
import { writeMachineFile } from "../machine-writer";
import { Sewer } from "../sewer";
import type { Place } from "../spine";
import { STITCH, type Stitches } from "../stitches";
import { densestWindow, measureStitches } from "./measure";
import { nearestTo } from "./nearest";
import { distanceTo, forPixelsNear, layThread, maskOfRings, maskOfStrokes } from "./raster";

const rows = (places: readonly Place[]): Stitches => ({
  kind: new Uint8Array(places.length).fill(STITCH),
  x: Int32Array.from(places, ([x]) => x * 10),
  y: Int32Array.from(places, ([, y]) => y * 10),
});

const SQUARE: readonly Place[] = [
  [0, 0],
  [10, 0],
  [10, 10],
  [0, 10],
];

describe("measures of sewing", () => {
  it("knows the areas of figures with known areas", () => {
    const area = (mask: { inside: Uint8Array; pixelMm: number }): number =>
      mask.inside.reduce((sum, value) => sum + value, 0) * mask.pixelMm ** 2;
    expect(area(maskOfRings([SQUARE]))).toBeCloseTo(100, 0);
    // A stadium: a rectangle and a disc.
    const stadium = maskOfStrokes([{ places: [[0, 0], [10, 0]], halfMm: 1 }]); // prettier-ignore
    expect(Math.abs(area(stadium) - (20 + Math.PI))).toBeLessThan(0.1);
    const hole: readonly Place[] = SQUARE.map(([x, y]) => [x / 2 + 2.5, y / 2 + 2.5]);
    expect(area(maskOfRings([SQUARE, hole]))).toBeCloseTo(75, 0);
  });

  it("measures distances exactly", () => {
    const mask = maskOfRings([SQUARE], { marginMm: 3 });
    const far = distanceTo(mask, mask.inside);
    const at = (x: number, y: number): number =>
      far[Math.floor((y - mask.low) / mask.pixelMm) * mask.columns + Math.floor((x - mask.left) / mask.pixelMm)]!; // prettier-ignore
    expect(at(5, 5)).toBe(0);
    expect(Math.abs(at(12, 5) - 2)).toBeLessThan(0.1);
    expect(Math.abs(at(12, 12) - Math.hypot(2, 2))).toBeLessThan(0.1);
  });

  it("finds the nearest pixel as the distances of all pixels have it", () => {
    const mask = maskOfRings([SQUARE], { marginMm: 1.5, pixelMm: 0.1 });
    const all = distanceTo(mask, mask.inside);
    const near = nearestTo(mask, mask.inside, "some");
    for (let index = 0; index < all.length; index += 7)
      if (all[index]! <= 2) expect(near(index)).toBeCloseTo(all[index]!, 5);
  });

  it("lays thread as the slow way over all pixels does", () => {
    const mask = maskOfRings([SQUARE], { marginMm: 1, pixelMm: 0.05 });
    for (const [a, b] of [
      [
        [1, 1],
        [7, 4],
      ],
      [
        [2, 8],
        [2, 3],
      ],
      [
        [8, 5],
        [1, 5],
      ],
      [
        [9, 9],
        [8.9, 8.7],
      ],
    ] as [Place, Place][]) {
      // prettier-ignore
      const layers = new Uint16Array(mask.inside.length);
      layThread(mask, layers, a, b, 0.2);
      let differs = 0;
      let laid = 0;
      const slow = new Uint16Array(mask.inside.length);
      forPixelsNear(mask, a, b, 0.2, (index, t, _away, across) => {
        if (t >= 0 && t <= 1 && across <= 0.2) slow[index]!++;
      });
      for (let i = 0; i < slow.length; i++) {
        laid += slow[i]!;
        if (slow[i] !== layers[i]) differs++;
      }
      // Middles that lie on the very edge may fall to either side.
      expect(laid).toBeGreaterThan(30);
      expect(differs).toBeLessThanOrEqual(2 + laid * 0.01);
    }
  });

  it("tells covered from bare, and finds what lies outside", () => {
    const lines = (spacing: number): Stitches => {
      const places: Place[] = [];
      for (let i = 0; i * spacing <= 10; i++) {
        const y = Math.round(i * spacing * 10) / 10;
        places.push(...((i % 2 === 0 ? [[0, y], [10, y]] : [[10, y], [0, y]]) as Place[])); // prettier-ignore
      }
      return rows(places);
    };
    const mask = maskOfRings([SQUARE]);
    expect(measureStitches(lines(0.4), mask, { pullMm: 0.2 }).cover).toBeGreaterThan(0.98);
    const thin = measureStitches(lines(0.8), mask, { pullMm: 0.2 });
    expect(thin.cover).toBeGreaterThan(0.45);
    expect(thin.cover).toBeLessThan(0.6);
    expect(Math.abs(thin.widestBareMm - 0.4)).toBeLessThan(0.15);
    const out = measureStitches(rows([[0, 5], [12, 5]]), mask, { pullMm: 0.2 }); // prettier-ignore
    expect(Math.abs(out.worstOutMm - 2)).toBeLessThan(0.1);
    expect(out.outside).toBeGreaterThan(0.08);
  });

  it("counts needle points in a window of one square millimetre", () => {
    expect(densestWindow([[0.1, 0.1], [0.9, 0.9], [0.5, 0.5], [3, 3]])).toBe(3); // prettier-ignore
    expect(densestWindow([])).toBe(0);
  });

  it("sees a run across finished satin", () => {
    const places: Place[] = [];
    for (let i = 0; i <= 50; i++) places.push([i * 0.2, i % 2 === 0 ? 0 : 3]);
    const mask = maskOfRings([[[0, 0], [10, 0], [10, 3], [0, 3]]]); // prettier-ignore
    expect(measureStitches(rows(places), mask, { pullMm: 0.2 }).stray).toBe(0);
    expect(measureStitches(rows([...places, [7, 1.5], [4, 1.5]]), mask, { pullMm: 0.2 }).stray).toBeGreaterThan(0); // prettier-ignore
  });

  const referee = path.resolve(import.meta.dirname, "../../../../../shared/referee/stitches");
  const python = (args: readonly string[]) => spawnSync("python3", args, { encoding: "utf8", cwd: referee });
  const atHand = existsSync(path.join(referee, "metrics.py")) && python(["-c", "import numpy, scipy"]).status === 0; // prettier-ignore

  it.skipIf(!atHand)(
    "agrees with an independent measure of the same machine files (skipped: ../shared/referee or python3 with numpy and scipy is absent)",
    () => {
      // prettier-ignore
      const folder = mkdtempSync(path.join(tmpdir(), "measure-"));
      try {
        const ring = (r: number, n = 90): Place[] => Array.from({ length: n }, (_, i): Place => [r * Math.cos((2 * Math.PI * i) / n), r * Math.sin((2 * Math.PI * i) / n)]); // prettier-ignore
        const filled = new Sewer();
        rowFill(filled, { rings: [SQUARE] });
        const letterO = letterText("O", { heightMm: 20 });
        const box = { half: 1.3, rx: 0.46 * 17.4, ry: 0.5 * 17.4 };
        const oval = (grow: number): Place[] => ring(1).map(([x, y]): Place => [x * (box.rx + grow), y * (box.ry + grow)]); // prettier-ignore
        for (const [design, rings] of [
          [filled.finish(), [SQUARE]],
          [letterO.stitches, [oval(box.half), oval(-box.half)]],
        ] as const) {
          writeFileSync(path.join(folder, "d.dst"), writeMachineFile(design, "D"));
          writeFileSync(path.join(folder, "s.json"), JSON.stringify({ rings }));
          const { stdout } = python(["metrics.py", path.join(folder, "d.dst"), path.join(folder, "s.json")]);
          const theirs = JSON.parse(stdout) as Record<string, number>;
          const ours = measureStitches(design, maskOfRings(rings, { pixelMm: 0.1, marginMm: 3 }), { pullMm: 0.15 }); // prettier-ignore
          expect(Math.abs(ours.cover - theirs["covered"]!)).toBeLessThan(0.01);
          expect(Math.abs(ours.widestBareMm - theirs["widest_gap_mm"]!)).toBeLessThan(0.21);
          expect(Math.abs(ours.worstOutMm - theirs["worst_out_mm"]!)).toBeLessThan(0.15);
          expect(Math.abs(ours.layersP99 - theirs["layers_p99"]!)).toBeLessThanOrEqual(1);
          expect(Math.abs(ours.longestMm - theirs["longest"]!)).toBeLessThan(0.02);
          expect(ours.trims).toBe(theirs["trims"]);
          expect(Math.abs(ours.threadMm / 1000 - theirs["thread_m"]!)).toBeLessThan(0.15);
        }
      } finally {
        rmSync(folder, { recursive: true, force: true });
      }
    },
  );
});
