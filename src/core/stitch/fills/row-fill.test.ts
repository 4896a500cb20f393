import { describe, expect, it } from "vitest";
import { contourFill } from "./contour-fill";
import { Region } from "./region";
import { type FillShape, isInside, rowFill } from "./row-fill";
import { maskOfRings, measureStitches } from "../metrics";
import { DEMO_MOTIFS, demoMotif } from "../motifs";
import { designReport } from "../report";
import { satinColumn, satinStitches } from "../satin";
import { Sewer } from "../sewer";
import { at, type Place, spineOf } from "../spine";
import { STITCH, type Stitches } from "../stitches";

const circle = (radius: number, x = 0, y = 0, pieces = 360): Place[] =>
  Array.from({ length: pieces }, (_, i) => {
    const angle = (2 * Math.PI * i) / pieces;
    return [x + radius * Math.cos(angle), y + radius * Math.sin(angle)];
  });

const fill = (shape: FillShape, angleDeg = 0): Stitches => {
  const sewer = new Sewer();
  rowFill(sewer, shape, { angleDeg, pullMm: 0 });
  return sewer.finish();
};

/** Share of the shape under thread of 0.4 mm (STITCHING.md, "Metrics"). */
const coverage = (design: Stitches, shape: FillShape): number =>
  measureStitches(design, maskOfRings(shape.rings), { pullMm: 0 }).cover;

describe("row fill", () => {
  const ring = { rings: [circle(15), circle(6, 2, 1)] };

  it("covers a shape with a hole (STITCHING.md: at least 98 % under thread of 0.4 mm)", () => {
    for (const angleDeg of [0, 33, 90])
      expect.soft(coverage(fill(ring, angleDeg), ring), String(angleDeg)).toBeGreaterThan(0.98);
  });

  it("sews no stitch across the hole or outside the shape", () => {
    const design = fill(ring, 20);
    for (let i = 1; i < design.kind.length; i++) {
      if (design.kind[i] !== STITCH || design.kind[i - 1] !== STITCH) continue;
      const middle: Place = [(design.x[i]! + design.x[i - 1]!) / 20, (design.y[i]! + design.y[i - 1]!) / 20];
      // Half a millimetre of leave at curved edges, where a short turn is a chord.
      const near = [0, 1, 2, 3, 4, 5, 6, 7].some((k) =>
        isInside(ring, [
          middle[0] + 0.6 * Math.cos((k * Math.PI) / 4),
          middle[1] + 0.6 * Math.sin((k * Math.PI) / 4),
        ]),
      );
      expect(near).toBe(true);
    }
  });

  it("puts row ends on the shape's edge: a square is as large as drawn", () => {
    const square = {
      rings: [
        [
          [-10, -10],
          [10, -10],
          [10, 10],
          [-10, 10],
        ] as Place[],
      ],
    };
    const report = designReport(fill(square), []);
    expect(report.extentsMm.right).toBeCloseTo(10, 1);
    expect(report.extentsMm.left).toBeCloseTo(-10, 1);
    // Every row of 20 mm needs five or six stitches of at most 5 mm.
    expect(report.longestMm).toBeLessThanOrEqual(5.2);
  });

  it("knows inside by the even-odd rule (SVG fill-rule): a pentagram's middle is outside", () => {
    const star = [0, 2, 4, 1, 3].map((k): Place => [
      Math.sin((k * 2 * Math.PI) / 5),
      Math.cos((k * 2 * Math.PI) / 5),
    ]);
    expect(isInside({ rings: [star] }, [0, 0])).toBe(false);
    expect(isInside({ rings: [star] }, [0, 0.7])).toBe(true);
  });
});

describe("a fill that follows the edge", () => {
  it.each([
    ["a disc", [circle(10)]],
    ["a ring", [circle(15), circle(6, 2, 1)]],
    ["three holes", [circle(15), circle(3, -7, 0), circle(3, 7, 0), circle(3, 0, 8)]],
  ])("covers %s without a cut and leaves its holes free", (_, rings) => {
    const sewer = new Sewer();
    contourFill(sewer, { rings }, { pullMm: 0 });
    const sewn = measureStitches(sewer.finish(), maskOfRings(rings), { pullMm: 0 });
    expect(sewn.cover).toBeGreaterThan(0.97);
    expect(sewn.outside).toBeLessThan(0.01);
    expect(sewn.trims).toBe(0);
    expect(sewn.shortestMm).toBeGreaterThanOrEqual(0.3);
  });
});

describe("rings of a fill that follows the edge", () => {
  const sewn = (options: Parameters<typeof contourFill>[2]) => {
    const sewer = new Sewer();
    contourFill(sewer, { rings: [circle(10)] }, { pullMm: 0, underlay: "none", ...options });
    return measureStitches(sewer.finish(), maskOfRings([circle(10)]), { pullMm: 0 });
  };
  it("stand as far apart as asked for: thread goes as the area over the distance", () => {
    const area = Math.PI * 100;
    // Only whole rings fit, so that few of them are some per cent off.
    for (const spacingMm of [0.37, 0.8]) {
      const share = sewn({ spacingMm }).threadMm / (area / spacingMm);
      expect(Math.abs(share - 1), `${spacingMm} mm`).toBeLessThan(0.13);
    }
    expect(sewn({ spacingMm: 0.8 }).cover).toBeLessThan(0.62);
    expect(sewn({ spacingMm: 0.8 }).trims).toBe(0);
  });
  it("lie on rows, or on bare cloth", () => {
    expect(sewn({ underlay: "rows" }).threadMm).toBeGreaterThan(1.3 * sewn({}).threadMm);
  });
});

describe("ways inside an area", () => {
  it("go round a hole and never leave the area", () => {
    const region = new Region([circle(15), [...circle(8)].reverse()]);
    const way = region.way([-11, 0], [11, 0])!;
    [[-11, 0] as Place, ...way].reduce((from, to) => {
      expect(region.lineInside(from, to)).toBe(true);
      return to;
    });
    expect(way.at(-1)).toEqual([11, 0]);
  });

  it("are not there between pieces", () => {
    expect(new Region([circle(3, -10), circle(3, 10)]).way([-10, 0], [10, 0])).toBeNull();
  });
});

describe("satin", () => {
  it("stands at half pitch on a straight column, as wide as asked plus the pull on both sides", () => {
    const column = satinColumn(
      [
        [0, 0],
        [20, 0],
      ],
      { widthMm: 3, start: "square", end: "square" },
    );
    const places = satinStitches(column, { pullMm: 0.2 });
    expect(places).toHaveLength(101);
    places.forEach(([x, y], i) => {
      expect(x).toBeCloseTo(i * 0.2, 6);
      expect(Math.abs(y)).toBeCloseTo(1.7, 6);
    });
  });

  it("keeps its pitch on the outer edge of a ring, of a known radius", () => {
    const column = satinColumn(circle(10).concat([[10, 0]]), { widthMm: 3, closed: true });
    const places = satinStitches(column, { pullMm: 0 });
    const outer = places.filter(([x, y]) => Math.hypot(x, y) > 10);
    for (let i = 1; i < outer.length; i++) {
      const step = Math.hypot(outer[i]![0] - outer[i - 1]![0], outer[i]![1] - outer[i - 1]![1]);
      expect(step).toBeGreaterThan(0.36);
      expect(step).toBeLessThan(0.44);
    }
  });

  it("splits stitches over 7 mm", () => {
    const column = satinColumn(
      [
        [0, 0],
        [10, 0],
      ],
      { widthMm: 12, start: "square", end: "square" },
    );
    const places = satinStitches(column, { pullMm: 0 });
    for (let i = 1; i < places.length; i++) {
      expect(Math.hypot(places[i]![0] - places[i - 1]![0], places[i]![1] - places[i - 1]![1])).toBeLessThan(
        7,
      );
    }
  });

  it("has the curvature of a circle along its spine", () => {
    const spine = spineOf(circle(8).concat([[8, 0]]), { closed: true });
    expect(spine.lengthMm).toBeCloseTo(2 * Math.PI * 8, 1);
    for (const s of [0, 5, 20, 49]) expect(at(spine, s).curvature).toBeCloseTo(1 / 8, 2);
  });
});

describe("the demo's pictures", () => {
  it.each(DEMO_MOTIFS.map((motif) => motif.name))("%s sews soundly and keeps its width", (name) => {
    const { stitches, colours } = demoMotif(name, { widthMm: 80 });
    const report = designReport(stitches, []);
    expect(report.parts).toHaveLength(colours.length);
    expect(report.parts.every((part) => part.stitches > 0)).toBe(true);
    expect(report.parts.length).toBeGreaterThanOrEqual(2);
    expect(report.stitches).toBeGreaterThan(1500);
    expect(report.densestPerMm2).toBeLessThanOrEqual(12);
    expect(report.longestMm).toBeLessThanOrEqual(7);
    expect(report.shortestMm).toBeGreaterThanOrEqual(0.3);
    expect(Math.abs(report.extentsMm.right - report.extentsMm.left - 80)).toBeLessThan(5);
  });

  it("say which there are when one is asked for that is not", () => {
    expect(() => demoMotif("spaceship", { widthMm: 50 })).toThrow(/there are anchor, gull/);
  });
});
