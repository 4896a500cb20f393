import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { EMPTY_STITCHES, JUMP, letterText, STITCH, type Stitches } from "#core/stitch";
import { designScene, threadStrokes } from "./design";
import { hemScene, isLight, spoolScene } from "./design-hem";
import { svgFromScene } from "./scene";

const name = letterText("Ida", { heightMm: 15 }).stitches;
const blue = { rgb: { r: 31, g: 83, b: 110 } };

const chain = (count: number): Stitches => ({
  kind: new Uint8Array(count).fill(STITCH),
  x: Int32Array.from({ length: count }, (_, i) => (i % 200) * 10),
  y: Int32Array.from({ length: count }, (_, i) => Math.floor(i / 200) * 4),
});

describe("a design drawn as thread", () => {
  it("is as large as it is sewn, in true mm", () => {
    const svg = svgFromScene(designScene(name, [blue], { marginMm: 0 }));
    const scene = designScene(name, [blue], { marginMm: 0 });
    expect(svg).toContain(`width="${Math.round(scene.widthMm * 1000) / 1000}mm"`);
    expect(scene.heightMm).toBeGreaterThan(14.5);
    expect(scene.heightMm).toBeLessThan(16.5);
  });

  it("draws no line where nothing is sewn", () => {
    const design: Stitches = {
      kind: Uint8Array.of(STITCH, STITCH, JUMP, STITCH, STITCH),
      x: Int32Array.of(0, 10, 100, 110, 120),
      y: Int32Array.of(0, 0, 0, 0, 0),
    };
    const strokes = threadStrokes(design);
    expect(Array.from({ length: strokes.count }, (_, i) => [strokes.x0[i], strokes.x1[i]])).toEqual([
      [0, 10],
      [110, 120],
    ]);
  });

  it("thins big designs out evenly, and keeps them whole", () => {
    fc.assert(
      fc.property(fc.integer({ min: 2, max: 5000 }), fc.integer({ min: 1, max: 2000 }), (count, most) => {
        const strokes = threadStrokes(chain(count), most);
        expect(strokes.count).toBeLessThanOrEqual(Math.min(count - 1, most + 1));
        for (let i = 1; i < strokes.count; i++) expect(strokes.x0[i]).toBe(strokes.x1[i - 1]);
      }),
      { numRuns: 60, seed: 8 },
    );
    const svg = svgFromScene(designScene(chain(100_000), [blue], { detail: "compact" }));
    expect(svg.length).toBeLessThan(200_000);
  });

  it("draws a part without a thread in grey, and an empty design as an empty picture", () => {
    expect(svgFromScene(designScene(name, [undefined]))).toContain("#96928a");
    expect(designScene(EMPTY_STITCHES, []).shapes).toEqual([]);
  });

  it("escapes what it is told to say", () => {
    expect(svgFromScene(designScene(name, [blue], { label: `<"&'>` }))).toContain(
      'aria-label="&#60;&#34;&#38;&#39;&#62;"',
    );
  });
});

describe("the coloured hem", () => {
  it("shows each part as long as it takes, and leaves none out", () => {
    const scene = hemScene(
      [
        { ...blue, length: 300 },
        { rgb: { r: 200, g: 0, b: 0 }, length: 100 },
        { rgb: { r: 0, g: 200, b: 0 }, length: 0 },
      ],
      { widthMm: 80 },
    );
    const widths = scene.shapes.flatMap((shape) => (shape.kind === "rect" ? [shape.width] : []));
    expect(widths).toEqual([60, 20]);
    const tiny = hemScene(
      [
        { ...blue, length: 10_000 },
        { ...blue, length: 1 },
      ],
      { widthMm: 100 },
    );
    const least = tiny.shapes.flatMap((shape) => (shape.kind === "rect" ? [shape.width] : [])).at(-1)!;
    expect(least).toBeGreaterThan(1.9);
    expect(hemScene([], { widthMm: 80 }).shapes).toHaveLength(1);
  });
});

describe("a spool", () => {
  it("carries code and name, and light thread an outline", () => {
    const svg = svgFromScene(
      spoolScene({ rgb: { r: 251, g: 247, b: 238 }, code: "W01", name: "Chalk & <lime>" }),
    );
    expect(svg).toContain(">W01<");
    expect(svg).toContain("Chalk &#38; &#60;lime&#62;");
    expect(svg).toContain("#5D6170");
    // WCAG 2.2, 1.4.11: under 3 to 1 against paper a shape needs an edge.
    expect(isLight({ r: 251, g: 247, b: 238 })).toBe(true);
    expect(isLight(blue.rgb)).toBe(false);
  });
});
