import { describe, expect, it } from "vitest";
import { type ClothMark, type ClothTop, placementPose, type PlacementRule } from "./placement-rule";
import { degreesOf, type PointMm, posed } from "./points";
import { placeByTape } from "./tape";
import { expectedError } from "./expected-error";

const outline = [[-40, -10], [40, -10], [40, 30], [-40, 30]].map(([xMm, yMm]): PointMm => ({ xMm: xMm!, yMm: yMm! })); // prettier-ignore
const points = (...all: (readonly [number, number])[]): PointMm[] => all.map(([xMm, yMm]) => ({ xMm, yMm }));
const upright = { anchor: "middle", turnDeg: 0 } as const;
const placed = (rule: PlacementRule, marks: readonly ClothMark[], top: ClothTop = "away") =>
  placementPose({ rule, marks, top, outline });
/** Marks of a cloth that lies turned and shifted in the hoop. */
const crooked = (marks: readonly ClothMark[]): ClothMark[] =>
  marks.map((mark) => ({
    ...mark,
    points: mark.points.map((one) => posed({ xMm: 7, yMm: -4, angleRad: 0.2 }, one)),
  }));

const centre: ClothMark = { kind: "centre line", points: points([0, 90], [0, -60]) };
const collar: ClothMark = { kind: "collar seam", points: points([-60, 95], [-20, 85], [20, 85], [60, 95]) };

describe("a placement rule", () => {
  it("puts the top of a design so far below the collar seam, centred", () => {
    const pose = placed({ rule: "below collar", downMm: 80, rightMm: 0, ...upright, anchor: "top" }, [
      centre,
      collar,
    ]);
    // Seam at y = 85 on the centre line; the design's top is 30 mm over its start.
    expect(posed(pose, { xMm: 0, yMm: 30 }).yMm).toBeCloseTo(5, 9);
    expect(pose.xMm).toBeCloseTo(0, 9);
    expect(pose.angleRad).toBeCloseTo(0, 9);
  });

  it("goes with the cloth when that lies crooked", () => {
    const rules: PlacementRule[] = [
      { rule: "below collar", downMm: 80, rightMm: 12, ...upright },
      { rule: "chest", side: "wearer's left", downMm: 60, offCentreMm: 40, ...upright },
      { rule: "along", mark: "hem", inMm: 60, alongMm: null, ...upright, turnDeg: 3 },
      { rule: "along", mark: "edge", inMm: 20, alongMm: 30, ...upright },
      { rule: "middle of area", ...upright },
      { rule: "at place", ...upright },
    ];
    const marks: ClothMark[] = [
      centre,
      collar,
      { kind: "shoulder seam", points: points([30, 80], [80, 70]) },
      { kind: "hem", points: points([-80, -70], [0, -70], [80, -70]) },
      { kind: "edge", points: points([-80, -70], [80, -70]) },
      { kind: "area", points: points([-50, -20], [50, -20], [50, 20], [-50, 20]) },
      { kind: "place", points: points([12, 5]) },
    ];
    for (const rule of rules) {
      const [flat, turned] = [placed(rule, marks), placed(rule, crooked(marks))];
      const wanted = posed({ xMm: 7, yMm: -4, angleRad: 0.2 }, flat);
      expect(turned.xMm).toBeCloseTo(wanted.xMm, 9);
      expect(turned.yMm).toBeCloseTo(wanted.yMm, 9);
      expect(turned.angleRad - flat.angleRad).toBeCloseTo(0.2, 9);
    }
  });

  it("puts a left chest on the right of who looks at it", () => {
    const neck: ClothMark = { kind: "shoulder seam", points: points([30, 80], [80, 70]) };
    const pose = placed({ rule: "chest", side: "wearer's left", downMm: 60, offCentreMm: 40, ...upright }, [
      centre,
      neck,
    ]);
    const middle = posed(pose, { xMm: 0, yMm: 10 });
    expect(middle.xMm).toBeCloseTo(40, 9);
    expect(middle.yMm).toBeCloseTo(20, 9);
  });

  it("turns the design over when the cloth's top lies near the person", () => {
    const hem: ClothMark = { kind: "hem", points: points([-80, 60], [80, 60]) };
    const pose = placed({ rule: "along", mark: "hem", inMm: 50, alongMm: null, ...upright }, [hem], "near");
    expect(Math.abs(degreesOf(pose.angleRad))).toBeCloseTo(180, 9);
    expect(posed(pose, { xMm: 0, yMm: 10 }).yMm).toBeCloseTo(10, 9);
  });

  it("goes in from a side edge towards the hoop's middle, upright along it", () => {
    for (const x of [-70, 70]) {
      const side: ClothMark = { kind: "edge", points: points([x, -60], [x, 60]) };
      const pose = placed({ rule: "along", mark: "edge", inMm: 50, alongMm: null, ...upright }, [side]);
      expect(posed(pose, { xMm: 0, yMm: 10 }).xMm).toBeCloseTo(x + (x < 0 ? 50 : -50), 9);
      expect(pose.angleRad).toBeCloseTo(0, 9);
    }
  });

  it("finds the middle and the straight of a marked area by itself", () => {
    const area: ClothMark = { kind: "area", points: points([0, 0], [100, 10], [95, 60], [-5, 50]) };
    const pose = placed({ rule: "middle of area", ...upright }, [area]);
    expect(degreesOf(pose.angleRad)).toBeCloseTo(degreesOf(Math.atan2(10, 100)), 1);
  });

  it("takes a stripe up or across, and refuses lines that a touch's error would turn over or slide far", () => {
    const line = (kind: ClothMark["kind"], degrees: number, off = 0): ClothMark => {
      const way = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)] as const;
      return { kind, points: points([-60 * way[0], -60 * way[1] - off], [60 * way[0], 60 * way[1] + off]) };
    };
    const at: ClothMark = { kind: "place", points: points([12, 5]) };
    const rules: [PlacementRule, (degrees: number, off: number) => ClothMark[]][] = [
      [{ rule: "at place", ...upright }, (degrees, off) => [at, line("stripe", degrees, off)]],
      [{ rule: "at place", ...upright }, (degrees, off) => [at, line("hem", degrees, off)]],
      [{ rule: "at place", ...upright }, (degrees, off) => [at, line("centre line", degrees, off)]],
      [{ rule: "along", mark: "edge", inMm: 0, alongMm: null, ...upright }, (degrees, off) => [line("edge", degrees, off)]],
      [{ rule: "along", mark: "hem", inMm: 50, alongMm: null, ...upright }, (degrees, off) => [centre, line("hem", degrees, off)]],
      [{ rule: "below collar", downMm: 50, rightMm: 0, ...upright }, (degrees, off) => [centre, line("collar seam", degrees, off)]],
      [{ rule: "middle of area", ...upright }, (degrees, off) => [{ kind: "area", points: [1, 0, -1, -0].flatMap((_, k) => line("edge", degrees + 45 + 90 * k, off).points[1]!) }]],
    ]; // prettier-ignore
    for (const [rule, marks] of rules) {
      let refused = 0;
      for (let degrees = 0; degrees < 180; degrees += 3) {
        const poses = [-1, 0, 1].map((off) => {
          try {
            return placed(rule, marks(degrees, off));
          } catch (error) {
            expect((error as { id?: string; message: string }).message).toMatch(/off|nearly along|turned/);
            return null;
          }
        });
        if (poses.includes(null)) refused++;
        const [first, ...others] = poses.filter((pose) => pose !== null);
        for (const other of others) {
          // Two ends touched 1 mm off turn a line of 120 mm by a degree; a crossing slides by four times that.
          expect(Math.cos(first!.angleRad - other.angleRad)).toBeGreaterThan(Math.cos(0.04));
          expect(Math.hypot(first!.xMm - other.xMm, first!.yMm - other.yMm)).toBeLessThan(16);
        }
      }
      expect(refused).toBeGreaterThan(5);
      expect(refused).toBeLessThan(45);
    }
    const through: ClothMark = { kind: "edge", points: points([1, -60], [-2, 60]) };
    expect(() => placed({ rule: "along", mark: "edge", inMm: 50, alongMm: null, ...upright }, [through])).toThrowError(/on which side/); // prettier-ignore
  });

  it("is refused for a design without stitches", () => {
    const rule = { rule: "below collar", downMm: 80, rightMm: 0, ...upright } as const;
    expect(() => placementPose({ rule, marks: [centre, collar], top: "away", outline: [] })).toThrowError(
      /no stitches/,
    );
  });

  it("names the mark it lacks", () => {
    expect(() =>
      placed({ rule: "chest", side: "wearer's left", downMm: 60, offCentreMm: 40, ...upright }, [collar]),
    ).toThrowError(/centre line/);
    expect(() =>
      placed({ rule: "at place", ...upright }, [{ kind: "place", points: points([1, 1]) }]),
    ).toThrowError(/straight by/);
    expect(() =>
      placed({ rule: "along", mark: "hem", inMm: 5, alongMm: 0, ...upright }, [
        { kind: "hem", points: points([1, 1], [1.2, 1]) },
      ]),
    ).toThrowError(/one spot/);
  });
});

describe("placing by tape", () => {
  const asked = {
    rule: { rule: "along", mark: "hem", inMm: 60, alongMm: null, ...upright } as const,
    top: "away" as const,
    outline,
    innerWidthMm: 200,
    innerHeightMm: 160,
    readMm: 0.5,
  };
  const hem = { kind: "hem" as const, distances: [{ from: "near" as const, alongMm: 20, distanceMm: 12 }, { from: "near" as const, alongMm: 180, distanceMm: 18 }] }; // prettier-ignore
  const fold = { kind: "centre line" as const, distances: [{ from: "left" as const, alongMm: 10, distanceMm: 96 }, { from: "left" as const, alongMm: 150, distanceMm: 91 }] }; // prettier-ignore

  it("by two distances and a fold gives the angle and the place", () => {
    const { pose } = placeByTape({ ...asked, marks: [hem] });
    expect(degreesOf(pose.angleRad)).toBeCloseTo(degreesOf(Math.atan2(6, 160)), 9);
    // The hem's middle lies at (0, −65); 60 mm up square to it.
    expect(posed(pose, { xMm: 0, yMm: 10 }).yMm).toBeCloseTo(-65 + 60 * Math.cos(Math.atan2(6, 160)), 6);
    expect(placeByTape({ ...asked, marks: [hem, fold] }).pose.xMm).not.toBeCloseTo(pose.xMm, 1);
  });

  it("states the angle's error by the base it was measured over", () => {
    const { degrees } = expectedError(placeByTape({ ...asked, marks: [hem] }), outline);
    // Law of error propagation: σ√2 over 160 mm.
    expect(degrees).toBeCloseTo(1.96 * degreesOf((0.5 * Math.SQRT2) / Math.hypot(160, 6)), 2);
  });

  it("refuses a distance beyond the hoop", () => {
    const wrong = {
      kind: "hem" as const,
      distances: [{ from: "near" as const, alongMm: 210, distanceMm: 12 }],
    };
    expect(() => placeByTape({ ...asked, marks: [wrong] })).toThrowError(/outside the hoop/);
  });
});
