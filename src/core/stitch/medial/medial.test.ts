import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { areaOfRings, commonRings, strokedRings, unitedRings } from "../rings";
import type { Place } from "../spine";
import { sampleBoundary } from "./boundary";
import { columnsOf, MEDIAL_DEFAULTS } from "./columns-of";
import { lengthOf, pruneTwigs } from "./prune";
import { skeletonOf } from "./skeleton";

/*
 * Figures whose medial axes are known. The axis is the set of centres of circles that touch the outline twice (H. Blum,
 * "A transformation for extracting new descriptors of shape", 1967): of a rectangle the middle line and four diagonals
 * from its ends, of an annulus the middle circle, of an ellipse the piece between the centres of curvature at its
 * narrow ends, |x| ≤ (a² − b²)/a (differential geometry of the ellipse: its radius of curvature there is b²/a).
 */
const rectangle = (width: number, height: number): Place[] => [
  [0, 0],
  [width, 0],
  [width, height],
  [0, height],
];
const ellipse = (a: number, b: number, count = 720): Place[] =>
  Array.from({ length: count }, (_, i): Place => {
    const t = (2 * Math.PI * i) / count;
    return [a * Math.cos(t), b * Math.sin(t)];
  });
const reversed = (ring: readonly Place[]): Place[] => [...ring].reverse();

const axisOf = (rings: readonly (readonly Place[])[], residual: number = MEDIAL_DEFAULTS.residual) =>
  skeletonOf(sampleBoundary(rings, 0.1), residual);
const placesOf = (rings: readonly (readonly Place[])[], residual?: number): Place[] =>
  [...axisOf(rings, residual).branches].flatMap(({ places }) => places);

const options = { smallestColumnMm: 0.6, widestColumnMm: 7 };

describe("the medial axis", () => {
  it("of a rectangle is its middle line once the 45° twigs of the corners are dropped", () => {
    const places = placesOf([rectangle(12, 3)]);
    for (const [x, y] of places) {
      expect(Math.abs(y - 1.5)).toBeLessThan(0.02);
      expect(x).toBeGreaterThan(1.3);
      expect(x).toBeLessThan(10.7);
    }
    const xs = places.map(([x]) => x);
    expect(Math.min(...xs)).toBeLessThan(1.7);
    expect(Math.max(...xs)).toBeGreaterThan(10.3);
  });

  it("of a rectangle runs into its corners when twigs of residual √2 are kept", () => {
    // Along a right angle's bisector the outline walked is √2 times the straight way.
    const places = placesOf([rectangle(12, 3)], 1.38);
    const diagonal = places.filter(([x, y]) => x < 1.4 && Math.abs(y - x) < 0.05 && x > 0.3);
    expect(diagonal.length).toBeGreaterThan(5);
    expect(Math.min(...places.map(([x]) => x))).toBeLessThan(0.4);
    expect(placesOf([rectangle(12, 3)], 1.45).every(([x]) => x > 1.2)).toBe(true);
  });

  it("of an annulus is the circle half way between its rims", () => {
    const skeleton = axisOf([ellipse(6, 6), reversed(ellipse(3, 3))]);
    expect(skeleton.branches.size).toBe(1);
    const [branch] = [...skeleton.branches];
    expect(branch!.a).toBe(branch!.b);
    branch!.places.forEach(([x, y], i) => {
      expect(Math.abs(Math.hypot(x, y) - 4.5)).toBeLessThan(0.02);
      expect(Math.abs(branch!.radii[i]! - 1.5)).toBeLessThan(0.02);
    });
    expect(lengthOf(branch!.places)).toBeGreaterThan(2 * Math.PI * 4.5 * 0.995);
  });

  it("of an ellipse lies on the long axis, inside |x| ≤ (a² − b²)/a", () => {
    const [a, b] = [8, 3];
    const limit = (a * a - b * b) / a;
    // With nearly no residual asked for, the axis reaches almost to the centres of curvature.
    const places = placesOf([ellipse(a, b)], 1.06);
    for (const [x, y] of places) {
      expect(Math.abs(y)).toBeLessThan(0.05);
      expect(Math.abs(x)).toBeLessThan(limit + 0.05);
    }
    expect(Math.max(...places.map(([x]) => x))).toBeGreaterThan(limit - 0.6);
    // The circle at (x, 0) has the radius b √(1 − x²/(a² − b²)).
    for (const { places: line, radii } of axisOf([ellipse(a, b)], 1.06).branches)
      line.forEach(([x], i) =>
        expect(Math.abs(radii[i]! - b * Math.sqrt(1 - (x * x) / (a * a - b * b)))).toBeLessThan(0.05),
      );
  });

  it("of a stadium is the piece between the centres of its round ends", () => {
    const rings = strokedRings([{ places: [[0, 0], [10, 0]], closed: false }], 4, "round", "round"); // prettier-ignore
    // A half circle's residual is π/2: it is dropped at 1.75, and the axis ends a little before the centre.
    const xs = placesOf(rings).map(([x]) => x);
    expect(Math.min(...xs)).toBeGreaterThan(-0.05);
    expect(Math.min(...xs)).toBeLessThan(0.6);
    expect(Math.max(...xs)).toBeLessThan(10.05);
    for (const [, y] of placesOf(rings)) expect(Math.abs(y)).toBeLessThan(0.02);
  });

  it("of a cross has one junction with four arms", () => {
    const cross = unitedRings([
      [[-6, -1], [6, -1], [6, 1], [-6, 1]],
      [[-1, -6], [1, -6], [1, 6], [-1, 6]],
    ]); // prettier-ignore
    const skeleton = axisOf(cross);
    pruneTwigs(skeleton, 0.35, 0.35);
    const junctions = [...skeleton.knots].filter(
      ([knot]) => [...skeleton.branches].filter(({ a, b }) => a === knot || b === knot).length > 2,
    );
    for (const [, { place }] of junctions) expect(Math.hypot(...place)).toBeLessThan(0.1);
    expect([...skeleton.branches].filter(({ places }) => lengthOf(places) > 4)).toHaveLength(4);
  });
});

/** What the columns cover: bands of their usual width, square at the ends. */
function coveredBy(rings: readonly (readonly Place[])[]): { share: number; length: number; columns: number } {
  const { columns, thick } = columnsOf(rings, options);
  const swept = columns.flatMap(({ places, halfMm, closed }) => {
    const half = [...halfMm].sort((a, b) => a - b)[halfMm.length >> 1]!;
    return strokedRings([{ places, closed }], 2 * half, "square", "round");
  });
  const all = unitedRings([...swept, ...thick.flat()]);
  return {
    share: areaOfRings(commonRings(all, rings)) / areaOfRings(rings),
    length: columns.reduce((sum, { places }) => sum + lengthOf(places), 0),
    columns: columns.length,
  };
}

const letterE = unitedRings([
  [[0, 0], [2, 0], [2, 12], [0, 12]],
  [[0, 0], [8, 0], [8, 2], [0, 2]],
  [[0, 5], [7, 5], [7, 7], [0, 7]],
  [[0, 10], [8, 10], [8, 12], [0, 12]],
]); // prettier-ignore

describe("columns of a shape", () => {
  it("of a rectangle are one, as wide as it and past both its ends", () => {
    const { columns } = columnsOf([rectangle(12, 3)], options);
    expect(columns).toHaveLength(1);
    const { places, halfMm } = columns[0]!;
    expect(Math.min(...places.map(([x]) => x))).toBeLessThan(0);
    expect(Math.max(...places.map(([x]) => x))).toBeGreaterThan(12);
    for (const half of halfMm.slice(1, -1)) expect(half).toBeCloseTo(1.5, 1);
  });

  it("of a cross are two that meet in its middle: one goes through, two arms end on it", () => {
    const cross = unitedRings([
      [[-6, -1], [6, -1], [6, 1], [-6, 1]],
      [[-1, -6], [1, -6], [1, 6], [-1, 6]],
    ]); // prettier-ignore
    const { columns } = columnsOf(cross, options);
    expect(columns).toHaveLength(3);
    expect(columns.filter(({ start, end }) => start === "free" && end === "free")).toHaveLength(1);
    for (const { places, start, end } of columns) {
      if (start === "joint") expect(Math.hypot(...places[0]!)).toBeLessThan(0.4);
      if (end === "joint") expect(Math.hypot(...places.at(-1)!)).toBeLessThan(0.4);
    }
  });

  it("of a right angle are two, cut at the corner", () => {
    const angle = unitedRings([[[0, 0], [10, 0], [10, 2], [2, 2], [2, 10], [0, 10]]]); // prettier-ignore
    const { columns } = columnsOf(angle, options);
    expect(columns).toHaveLength(2);
    const ends = columns.flatMap(({ places, start, end }) => [
      ...(start === "joint" ? [places[0]!] : []),
      ...(end === "joint" ? [places.at(-1)!] : []),
    ]);
    expect(ends).toHaveLength(2);
    for (const end of ends) expect(Math.hypot(end[0] - 1, end[1] - 1)).toBeLessThan(0.25);
  });

  it("of a ring are one closed column", () => {
    const { columns } = columnsOf([ellipse(6, 6), reversed(ellipse(4, 4))], options);
    expect(columns.map(({ closed }) => closed)).toEqual([true]);
    for (const half of columns[0]!.halfMm) expect(half).toBeCloseTo(1, 1);
  });

  it("leaves what is wider than satin to be filled, and only that", () => {
    const spade = unitedRings([
      [[0, -5], [10, -5], [10, 5], [0, 5]],
      [[10, -1], [25, -1], [25, 1], [10, 1]],
    ]); // prettier-ignore
    const { columns, thick } = columnsOf(spade, options);
    expect(thick).toHaveLength(1);
    expect(areaOfRings(thick[0]!)).toBeGreaterThan(95);
    expect(areaOfRings(thick[0]!)).toBeLessThan(106);
    expect(columns).toHaveLength(1);
    expect(Math.min(...columns[0]!.places.map(([x]) => x))).toBeLessThan(10.1);
  });

  it("makes runs of what is narrower than satin, and names what is smaller than a stitch", () => {
    const hair = columnsOf([rectangle(10, 0.3)], options);
    expect(hair.columns).toHaveLength(0);
    expect(hair.thin).toHaveLength(1);
    expect(hair.thin[0]!.passes).toBe(2);
    const speck = columnsOf([rectangle(0.3, 0.3)], options);
    expect(speck.findings.map(({ code }) => code)).toEqual(["detail-too-small"]);
  });

  it("covers a letter whichever way it is turned or mirrored, with columns of the same length", () => {
    const straight = coveredBy(letterE);
    expect(straight.share).toBeGreaterThan(0.98);
    fc.assert(
      fc.property(fc.double({ min: 0, max: 360, noNaN: true }), fc.boolean(), (degrees, mirrored) => {
        const t = (degrees * Math.PI) / 180;
        const turned = letterE.map((ring) => {
          const places = ring.map(([x, y]): Place => {
            const u = mirrored ? -x : x;
            return [u * Math.cos(t) - y * Math.sin(t), u * Math.sin(t) + y * Math.cos(t)];
          });
          return mirrored ? places.reverse() : places;
        });
        const { share, length, columns } = coveredBy(turned);
        expect(share).toBeGreaterThan(0.98);
        expect(columns).toBe(straight.columns);
        expect(Math.abs(length / straight.length - 1)).toBeLessThan(0.03);
      }),
      { numRuns: 12 },
    );
  });
});
