import { seededChance } from "#core/base";
import { describe, expect, it } from "vitest";
import { normalShareOf } from "./edge-profile";
import { byteOfLinear, type GreyPicture } from "./pixels";
import { snapLine } from "./snap";

const SIZE = 240;
/** Light by the distance from a line through (120, 118) at an angle (down positive), with noise. */
const picture = (
  degrees: number,
  light: (off: number) => number,
  noise: number,
  seed: number,
): GreyPicture => {
  const chance = seededChance(seed);
  const a = (degrees * Math.PI) / 180;
  const normal = () => chance.next() + chance.next() + chance.next() + chance.next() - 2;
  const data = Uint8Array.from({ length: SIZE * SIZE }, (_, i) => {
    const off = -((i % SIZE) - 120) * Math.sin(a) + (Math.floor(i / SIZE) - 118) * Math.cos(a);
    return byteOfLinear(light(off) + noise * normal());
  });
  return { widthPx: SIZE, heightPx: SIZE, data };
};
const touched = { from: { xPx: 40, yPx: 120 }, to: { xPx: 200, yPx: 126 } };
/** How far the found line is off at its middle, and in angle. */
const errors = (degrees: number, line: NonNullable<ReturnType<typeof snapLine>>) => {
  const a = (degrees * Math.PI) / 180;
  const mx = (line.from.xPx + line.to.xPx) / 2 - 120;
  const my = (line.from.yPx + line.to.yPx) / 2 - 118;
  const angle = Math.atan2(line.to.yPx - line.from.yPx, line.to.xPx - line.from.xPx);
  return { off: -mx * Math.sin(a) + my * Math.cos(a), angle: angle - a };
};

describe("a touched line", () => {
  it.each([-5, 0, 2.4, 6])("goes onto an edge at %d°, within its stated error", (degrees) => {
    let inside = 0;
    for (let seed = 0; seed < 20; seed++) {
      const line = snapLine(picture(degrees, (off) => 0.2 + 0.4 * normalShareOf(off / 1.2), 0.06, seed), touched, 14)!; // prettier-ignore
      expect(line.kind).toBe("edge");
      const { off, angle } = errors(degrees, line);
      expect(Math.abs(off)).toBeLessThan(0.35);
      expect(Math.abs(angle)).toBeLessThan(0.006);
      if (Math.abs(off) < 2.6 * line.errorPx && Math.abs(angle) < 2.6 * line.angleErrorRad) inside++;
    }
    expect(inside).toBeGreaterThan(15);
  });

  it("goes onto a dark fold and a light chalk line", () => {
    for (const step of [-0.15, 0.3]) {
      const line = snapLine(
        picture(3, (off) => 0.35 + step * Math.exp((-off * off) / 5), 0.04, 3),
        touched,
        14,
      )!;
      expect(line.kind).toBe("line");
      expect(Math.abs(errors(3, line).off)).toBeLessThan(0.3);
    }
  });

  it("stays where it was on plain cloth, too far off, or too short", () => {
    const plain = [...Array(30).keys()].map((seed) =>
      snapLine(
        picture(0, () => 0.4, 0.08, seed),
        touched,
        14,
      ),
    );
    expect(plain.filter(Boolean)).toEqual([]);
    const edge = picture(0, (off) => (off > 0 ? 0.6 : 0.2), 0.04, 1);
    expect(snapLine(edge, { from: { xPx: 40, yPx: 160 }, to: { xPx: 200, yPx: 160 } }, 14)).toBeNull();
    expect(snapLine(edge, { from: { xPx: 40, yPx: 120 }, to: { xPx: 70, yPx: 120 } }, 14)).toBeNull();
    expect(snapLine(edge, { from: { xPx: 40, yPx: 5 }, to: { xPx: 200, yPx: 5 } }, 14)).toBeNull();
  });

  it("takes the nearer of two alike", () => {
    const two = picture(0, (off) => (off > 0 && off < 9 ? 0.6 : 0.2), 0.03, 1);
    const line = snapLine(two, { from: { xPx: 40, yPx: 119 }, to: { xPx: 200, yPx: 119 } }, 14)!;
    expect(Math.abs(errors(0, line).off + 0.5)).toBeLessThan(1.2);
  });
});
