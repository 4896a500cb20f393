import { describe, expect, it } from "vitest";
import { EMPTY_STITCHES, letterText, STITCH, type Stitches } from "#core/stitch";
import { densityGrid, densityScene, densityStep } from "./density-map";
import { proofScene } from "./proof";
import { svgFromScene } from "./scene";

const points = (places: readonly (readonly [number, number])[]): Stitches => ({
  kind: new Uint8Array(places.length).fill(STITCH),
  x: Int32Array.from(places, ([x]) => x),
  y: Int32Array.from(places, ([, y]) => y),
});

describe("the map of densest spots", () => {
  it("counts the needle points of the square mm round each place, as a slow count does", () => {
    const { stitches } = letterText("Oda", { heightMm: 10 });
    const { columns, rows, cellMm, leftMm, lowMm, perMm2, most } = densityGrid(stitches);
    expect(cellMm).toBe(0.25);
    for (let at = 0; at < columns * rows; at += 37) {
      const i = at % columns;
      const j = Math.floor(at / columns);
      // Windows of four squares: two on each side of the place's lower left corner.
      // Edges lie on halves of tenths; floats beside them would count points on an edge twice or not.
      const edge = (mm: number): number => Math.round(mm * 20) / 2;
      const [x0, y0] = [edge(leftMm + (i - 2) * cellMm), edge(lowMm + (j - 2) * cellMm)];
      let count = 0;
      for (let n = 0; n < stitches.kind.length; n++)
        if (
          stitches.kind[n] === STITCH &&
          x0 <= stitches.x[n]! &&
          stitches.x[n]! < x0 + 10 &&
          y0 <= stitches.y[n]! &&
          stitches.y[n]! < y0 + 10
        )
          count++;
      expect(perMm2[at], `${i}, ${j}`).toBe(count);
    }
    expect(most).toBe(perMm2.reduce((a, b) => Math.max(a, b), 0));
  });

  it("marks a lump darkest and leaves plain sewing bare", () => {
    expect(densityStep(2)).toBeNull();
    expect(densityStep(13)!.words).toBe("13 and more");
    const lump = points(Array.from({ length: 14 }, (_, i) => [50 + (i % 4), 50 + (i >> 2)]));
    expect(svgFromScene(densityScene(lump))).toContain("#a3231f");
    const plain = points(Array.from({ length: 40 }, (_, i) => [i * 10, 0]));
    expect(densityScene(plain).shapes).toEqual([]);
    expect(densityScene(EMPTY_STITCHES).shapes).toEqual([]);
  });
});

describe("a proof", () => {
  const { stitches } = letterText("Zoë", { heightMm: 15 });
  const proof = (textLines: readonly string[], design = stitches) =>
    proofScene({
      design,
      threads: [{ rgb: { r: 31, g: 83, b: 110 } }],
      cloth: "#eee6d6",
      textLines,
      spools: [{ rgb: { r: 31, g: 83, b: 110 }, code: "N11", name: "Navy" }],
      facts: ["Swim robe"],
    });

  it("writes the name larger than anything else, as it is sewn", () => {
    const texts = proof(["Zoë"]).shapes.flatMap((shape) => (shape.kind === "text" ? [shape] : []));
    const largest = texts.reduce((a, b) => (b.sizeMm > a.sizeMm ? b : a));
    expect(largest.text).toBe("Zoë");
    expect(largest.sizeMm).toBe(18);
    const long = proof(["A name of more than forty letters in one line"]).shapes;
    expect(long.some((shape) => shape.kind === "text" && shape.weight === 700 && shape.sizeMm < 8)).toBe(
      true,
    );
  });

  it("shows the design at true size where it fits, and says when it does not", () => {
    expect(svgFromScene(proof(["Zoë"]))).toContain("at true size where this is 180 mm wide");
    const wide = points(Array.from({ length: 90 }, (_, i) => [i * 40, 0]));
    expect(svgFromScene(proof([], wide))).toMatch(/shown at \d\d % of its size/);
  });
});
