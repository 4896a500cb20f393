import { describe, expect, it } from "vitest";
import { maskOfStrokes, measureStitches, missedLimits } from "../metrics";
import { Sewer } from "../sewer";
import type { Place } from "../spine";
import { JUMP, STITCH, type Stitches } from "../stitches";
import { type ColumnStroke, type CoveredPlace, sewColumns, type SewColumnsOptions } from ".";

const circle = (r: number, x = 0, y = 0, turn = 360): Place[] =>
  Array.from({ length: 91 }, (_, i): Place => {
    const angle = (i * turn * Math.PI) / 90 / 180;
    return [x + r * Math.cos(angle), y + r * Math.sin(angle)];
  });
const line = (...places: Place[]): ColumnStroke => ({ places, closed: false, halfMm: 1 });

function sew(strokes: readonly ColumnStroke[], more: Partial<SewColumnsOptions> = {}): Stitches {
  const sewer = new Sewer();
  sewColumns(sewer, strokes, { pullMm: 0.2, leaveAt: [100, 0], ...more });
  return sewer.finish();
}

const movesInside = ({ kind }: Stitches): number =>
  kind.slice(kind.indexOf(STITCH)).reduce((sum, one) => sum + (one === JUMP ? 1 : 0), 0);

const FIGURES: Readonly<Record<string, readonly ColumnStroke[]>> = {
  bar: [line([0, 0], [20, 0])],
  ring: [{ places: circle(6), closed: true, halfMm: 1 }],
  tee: [line([0, 10], [14, 10]), line([7, 10], [7, -4])],
  cross: [line([0, 0], [14, 0]), line([7, -7], [7, 7])],
  ell: [line([0, 14], [0, 0], [10, 0])],
  "acute corner": [line([0, 14], [5, 0], [10, 14])],
  star: [0, 72, 144, 216, 288].map((deg) => line([0, 0], [9 * Math.cos((deg * Math.PI) / 180), 9 * Math.sin((deg * Math.PI) / 180)])), // prettier-ignore
  // A kink beside a joint, as an axis has them: no corner.
  "kinked tee": [line([0, 10], [14, 10]), line([7, 10], [7.1, 9.95], [7, 9.8], [7, -4])],
  // A line that comes back and stands on its own body.
  loop: [{ places: [...circle(3.2), [3.2, 0], [3.6, -8]].map(([x, y]): Place => [x!, y!]), closed: false, halfMm: 0.8 }], // prettier-ignore
  "tangent tail": [{ places: circle(5), closed: true, halfMm: 1 }, line([5, 0], [5, 6], [3, 12])],
};

describe("satin columns", () => {
  it.each(Object.entries(FIGURES))("sews a %s within the limits, without a cut", (_, strokes) => {
    const design = sew(strokes);
    const metrics = measureStitches(design, maskOfStrokes(strokes), { pullMm: 0.2 });
    expect(missedLimits(metrics)).toEqual([]);
    expect(metrics.stray).toBe(0);
    expect(movesInside(design)).toBe(0);
  });

  it("covers alike however the figure is turned", () => {
    const strokes = FIGURES["tee"]!;
    const covers = [0, 17, 45, 90, 133].map((deg) => {
      const [cos, sin] = [Math.cos((deg * Math.PI) / 180), Math.sin((deg * Math.PI) / 180)];
      const turned = strokes.map((stroke) => ({
        ...stroke,
        places: stroke.places.map(([x, y]): Place => [cos * x - sin * y, sin * x + cos * y]),
      }));
      return measureStitches(sew(turned), maskOfStrokes(turned), { pullMm: 0.2 }).cover;
    });
    for (const cover of covers) expect(cover).toBeGreaterThan(0.995);
  });

  it("lays every run under satin that is sewn later", () => {
    const open = new Map<number, number>();
    let runs = 0;
    sew(FIGURES["star"]!, {
      onRun: ({ coveredBy }: CoveredPlace) => {
        runs++;
        open.set(coveredBy, (open.get(coveredBy) ?? 0) + 1);
      },
      onSatin: (column) => open.delete(column),
    });
    expect(runs).toBeGreaterThan(5);
    expect([...open]).toEqual([]);
  });

  it("splits wide stitches so that no split lies beside the last", () => {
    const wide: ColumnStroke = { places: [[0, 0], [20, 0]], closed: false, halfMm: 4.5 }; // prettier-ignore
    for (const splitMm of [5, 7]) {
      const { kind, x, y } = sew([wide], { splitMm });
      for (let i = 1; i < kind.length; i++)
        if (kind[i] === STITCH)
          expect(Math.hypot(x[i]! - x[i - 1]!, y[i]! - y[i - 1]!)).toBeLessThanOrEqual(splitMm * 10);
    }
  });

  it("keeps inside what is wanted, when it is told", () => {
    const { kind, x } = sew([line([0, 0], [20, 0])], { clip: (px) => px <= 15 });
    for (let i = 0; i < kind.length; i++) if (kind[i] === STITCH) expect(x[i]!).toBeLessThanOrEqual(151);
  });

  it("follows a width that changes along the stroke", () => {
    const places: Place[] = Array.from({ length: 21 }, (_, i): Place => [i, 0]);
    const { x, y, kind } = sew([{ places, closed: false, halfMm: places.map(([px]) => 0.6 + 0.1 * px) }]);
    const highest = (from: number, to: number): number =>
      y.reduce((most, value, i) => (kind[i] === STITCH && x[i]! >= from && x[i]! < to ? Math.max(most, value) : most), 0); // prettier-ignore
    expect(Math.abs(highest(20, 30) - 11)).toBeLessThan(2.5);
    expect(Math.abs(highest(180, 190) - 26.5)).toBeLessThan(2.5);
  });

  it("sews nothing of no strokes, and a dot of one place", () => {
    expect(sew([]).kind).toHaveLength(0);
    const dot = sew([{ places: [[3, 3]], closed: false, halfMm: 1.2 }]); // prettier-ignore
    expect(dot.kind.length).toBeGreaterThan(8);
    const metrics = measureStitches(dot, maskOfStrokes([{ places: [[3, 3]], halfMm: 1.2 }]), { pullMm: 0.2 }); // prettier-ignore
    expect(metrics.cover).toBeGreaterThan(0.99);
  });
});
