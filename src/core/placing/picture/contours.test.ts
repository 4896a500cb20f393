import { describe, expect, it } from "vitest";
import { enclosedArea, followOutlines } from "./contours";
import type { GreyPicture } from "./pixels";
import { hullOf, quadOf } from "./quads";
import { darkMask, integralOf } from "./threshold";

const maskOf = (rows: readonly string[]) => {
  const stride = rows[0]!.length + 2;
  const data = new Int8Array(stride * (rows.length + 2));
  rows.forEach((row, y) =>
    [...row].forEach((sign, x) => (data[(y + 1) * stride + x + 1] = sign === "#" ? 1 : 0)),
  );
  return { stride, rows: rows.length + 2, data };
};
const drawn = (size: number, dark: (x: number, y: number) => boolean): GreyPicture => ({
  widthPx: size,
  heightPx: size,
  data: Uint8Array.from({ length: size * size }, (_, i) => (dark(i % size, Math.floor(i / size)) ? 30 : 200)),
});
const outlinesOf = (mask: ReturnType<typeof maskOf>) => {
  const found: { area: number; count: number; hull: number }[] = [];
  followOutlines(mask, { shortest: 1, longest: 100_000 }, (one) =>
    found.push({ area: enclosedArea(one), count: one.count, hull: hullOf(one).xs.length }),
  );
  return found;
};

describe("outlines", () => {
  it("go once round each spot; holes and what lies alone do not disturb", () => {
    const mask = maskOf([
      "..........#",
      ".#####.....",
      ".#...#..##.",
      ".#.#.#..##.",
      ".#...#.....",
      ".#####.....",
    ]);
    const found = outlinesOf(mask);
    // Through pixel centres: a ring of 5 × 5 encloses 16, a square of 2 × 2 encloses 1; single pixels nothing.
    expect(found.map((one) => one.area).sort((a, b) => b - a)).toEqual([16, 1, 0, 0]);
    expect(found.map((one) => one.count).sort((a, b) => b - a)).toEqual([16, 4, 1, 1]);
  });

  it.each([20, 45.5, 80])("a disc of radius %d has its area by Green's formula", (radius) => {
    const size = 200;
    const picture = drawn(size, (x, y) => Math.hypot(x - 99.3, y - 100.6) < radius);
    const mask = maskOf(
      Array.from({ length: size }, (_, y) =>
        Array.from({ length: size }, (_unused, x) => (picture.data[y * size + x]! < 100 ? "#" : ".")).join(
          "",
        ),
      ),
    );
    const [one] = outlinesOf(mask);
    // Pick's theorem: pixels = area + border / 2 + 1; and pixels ≈ π r² (C. F. Gauss's circle problem, error O(r^⅔)).
    const pixels = picture.data.filter((value) => value < 100).length;
    expect(one!.area + one!.count / 2 + 1).toBe(pixels);
    expect(Math.abs(pixels - Math.PI * radius ** 2)).toBeLessThan(4 * radius ** (2 / 3));
  });
});

describe("the threshold", () => {
  it("sums every box of the picture", () => {
    const picture = drawn(7, (x, y) => (x * y) % 3 === 1);
    const sums = integralOf(picture);
    for (const [left, top, right, bottom] of [[0, 0, 7, 7], [2, 1, 5, 6], [3, 3, 4, 4]] as const) {
      let slow = 0;
      for (let y = top; y < bottom; y++) for (let x = left; x < right; x++) slow += picture.data[y * 7 + x]!;
      expect(sums[bottom * 8 + right]! - sums[bottom * 8 + left]! - sums[top * 8 + right]! + sums[top * 8 + left]!).toBe(slow);
    } // prettier-ignore
  });

  it("finds the dark square although the light falls to a third across the picture", () => {
    const size = 100;
    const inside = (x: number, y: number) => 40 <= x && x < 60 && 30 <= y && y < 50;
    const data = Uint8Array.from({ length: size * size }, (_, i) => {
      const x = i % size;
      return (inside(x, Math.floor(i / size)) ? 0.4 : 1) * (220 - 1.5 * x);
    });
    const mask = darkMask({ widthPx: size, heightPx: size, data }, 15);
    for (let y = 0; y < size; y++)
      for (let x = 0; x < size; x++)
        expect(mask.data[(y + 1) * mask.stride + x + 1], `${x}, ${y}`).toBe(inside(x, y) ? 1 : 0);
  });
});

describe("outlines with four corners", () => {
  const quadIn = (dark: (x: number, y: number) => boolean) => {
    let quad: ReturnType<typeof quadOf> = null;
    followOutlines(darkMask(drawn(200, dark), 15), { shortest: 30, longest: 5000 }, (one) => {
      quad ??= quadOf(one, 15);
    });
    return quad as ReturnType<typeof quadOf>;
  };
  const turned = (angle: number, x: number, y: number) =>
    [(x - 100) * Math.cos(angle) + (y - 100) * Math.sin(angle), (y - 100) * Math.cos(angle) - (x - 100) * Math.sin(angle)] as const; // prettier-ignore

  it.each([0, 0.2, 0.7, 1.3])("a square turned by %d has its corners to half a pixel", (angle) => {
    const quad = quadIn((x, y) => turned(angle, x, y).every((one) => Math.abs(one) < 40));
    expect(quad).not.toBeNull();
    const angles = quad!.map(({ xPx, yPx }) => {
      const [u, v] = turned(angle, xPx, yPx);
      expect(Math.abs(Math.abs(u) - 40)).toBeLessThan(0.6);
      expect(Math.abs(Math.abs(v) - 40)).toBeLessThan(0.6);
      return Math.atan2(v, u);
    });
    // Clockwise as seen: with y down the angle grows.
    for (let i = 0; i < 4; i++)
      expect(Math.cos(angles[(i + 1) & 3]! - angles[i]! - Math.PI / 2)).toBeGreaterThan(0.99);
  });

  it("a notch does not matter, but a disc, a triangle and a long bar have not four corners of a square", () => {
    expect(quadIn((x, y) => Math.max(Math.abs(x - 100), Math.abs(y - 100)) < 40 && !(y < 90 && Math.abs(x - 100) < 12))).not.toBeNull(); // prettier-ignore
    expect(quadIn((x, y) => Math.hypot(x - 100, y - 100) < 40)).toBeNull();
    expect(quadIn((x, y) => y < 150 && y > 60 && Math.abs(x - 100) < (y - 60) * 0.6)).toBeNull();
    expect(quadIn((x, y) => Math.abs(x - 100) < 80 && Math.abs(y - 100) < 12)).toBeNull();
  });
});
