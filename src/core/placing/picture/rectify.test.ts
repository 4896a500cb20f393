import { describe, expect, it } from "vitest";
import type { Lens } from "../lens";
import { rectify, rectifiedSize } from "./rectify";
import { bentPlace } from "./refine";
import { byteOfLinear, linearOfCoded, type RgbaPicture } from "./pixels";

const rgba = (widthPx: number, heightPx: number, value: (x: number, y: number) => number): RgbaPicture => {
  const data = new Uint8ClampedArray(4 * widthPx * heightPx);
  for (let i = 0; i < widthPx * heightPx; i++) {
    const grey = value(i % widthPx, Math.floor(i / widthPx));
    data.set([grey, grey, grey, 255], 4 * i);
  }
  return { widthPx, heightPx, data };
};
const reds = ({ data }: RgbaPicture) => data.filter((_, i) => i % 4 === 0);

describe("the rectified picture", () => {
  it("is what scipy samples through the same homography", () => {
    // scipy.ndimage.map_coordinates(order=1) on linear light (scipy 1.17.1, numpy 2.4.6), coded again to 0–255.
    const photo = [
      [171, 206, 5, 206, 120, 131, 161, 73, 250], [13, 71, 98, 146, 104, 33, 11, 0, 12],
      [38, 255, 48, 167, 192, 60, 72, 111, 67], [249, 45, 229, 204, 216, 29, 100, 160, 126],
      [170, 173, 169, 15, 245, 142, 231, 69, 92], [225, 47, 16, 95, 173, 31, 222, 87, 58],
      [139, 229, 226, 223, 78, 4, 199, 181, 197],
    ]; // prettier-ignore
    const expected = [
      [109.22, 152.62, 120.91, 53.84, 83.27, 70.59], [140.57, 186.59, 169.72, 68.9, 123.72, 127.0],
      [216.72, 181.03, 207.22, 135.17, 164.42, 107.34], [155.95, 56.74, 214.9, 145.55, 195.93, 77.74],
    ]; // prettier-ignore
    const made = rectify(
      rgba(9, 7, (x, y) => photo[y]![x]!),
      {
        homography: Float64Array.of(1.1, 0.12, 1.3, 0.09, -0.95, 4.6, 4e-5, 6e-5, 1),
        lens: null,
        areaMm: { leftMm: 0, rightMm: 6, bottomMm: 0, topMm: 4 },
        pxPerMm: 1,
      },
    );
    reds(made).forEach((value, i) => {
      expect(Math.abs(value - expected[Math.floor(i / 6)]![i % 6]!), `pixel ${i}`).toBeLessThan(1);
    });
  });

  const shrinking = {
    homography: Float64Array.of(4, 0, 10, 0, -4, 250, 0, 0, 1),
    lens: null,
    areaMm: { leftMm: 0, rightMm: 60, bottomMm: 0, topMm: 60 },
    pxPerMm: 1,
  };

  it("shrinks fine stripes to their mean light, not to stripes of its own", () => {
    const made = rectify(
      rgba(260, 260, (x) => (x % 2 === 0 ? 255 : 0)),
      shrinking,
    );
    for (const value of reds(made)) expect(linearOfCoded(value / 255)).toBeCloseTo(0.5, 1);
    // A wave of 4.4 px, finer than two pixels of the result: a mean over 4 px leaves |sinc(4 / 4.4)| = 0.0986 of it.
    const wave = (x: number) => byteOfLinear(0.5 + 0.5 * Math.sin((2 * Math.PI * x) / 4.4));
    const left = reds(rectify(rgba(260, 260, wave), shrinking));
    const light = [...left].map((one) => linearOfCoded(one / 255));
    expect(Math.max(...light) - Math.min(...light)).toBeLessThan(0.0986);
  });

  it("made in strips is the same picture", () => {
    const photo = rgba(260, 260, (x, y) => (x * 7 + y * y) % 256);
    const whole = rectify(photo, shrinking);
    const strips = [0, 20, 40].map((from) => rectify(photo, { ...shrinking, rows: { from, to: from + 20 } }));
    expect(strips.map((one) => one.heightPx)).toEqual([20, 20, 20]);
    const joined = new Uint8ClampedArray(whole.data.length);
    strips.forEach((strip, i) => joined.set(strip.data, i * 20 * 4 * 60));
    // Nodes lie elsewhere in a strip: a step of rounding may differ.
    joined.forEach((value, i) => expect(Math.abs(value - whole.data[i]!)).toBeLessThanOrEqual(1));
  });

  it("follows the lens: a place in mm is found where the camera shows it", () => {
    const lens: Lens = { centreXPx: 300, centreYPx: 200, focalPx: 450, k1: -0.12, k2: 0.03 };
    const homography = Float64Array.of(2, 0.2, 300, 0.1, -2, 210, 0.0002, 0.0001, 1);
    const spots = [[-100, 60], [0, 0], [90, -50], [120, 70]] as const; // prettier-ignore
    const seen = spots.map(([x, y]) => {
      const w = homography[6]! * x + homography[7]! * y + 1;
      return bentPlace(lens, { xPx: (2 * x + 0.2 * y + 300) / w, yPx: (0.1 * x - 2 * y + 210) / w });
    });
    const photo = rgba(600, 400, (x, y) =>
      Math.max(...seen.map((at) => 255 * Math.exp(-((x - at.xPx) ** 2 + (y - at.yPx) ** 2) / 18))),
    );
    const ask = {
      homography,
      lens,
      areaMm: { leftMm: -140, rightMm: 140, bottomMm: -90, topMm: 90 },
      pxPerMm: 3,
    };
    const made = rectify(photo, ask);
    const { widthPx } = rectifiedSize(ask);
    for (const [x, y] of spots) {
      let sum = 0;
      let sumX = 0;
      let sumY = 0;
      for (let row = Math.round((90 - y) * 3) - 12; row < (90 - y) * 3 + 12; row++)
        for (let column = Math.round((x + 140) * 3) - 12; column < (x + 140) * 3 + 12; column++) {
          const value = made.data[4 * (row * widthPx + column)]!;
          sum += value;
          sumX += value * ((column + 0.5) / 3 - 140);
          sumY += value * (90 - (row + 0.5) / 3);
        }
      expect(Math.abs(sumX / sum - x)).toBeLessThan(0.05);
      expect(Math.abs(sumY / sum - y)).toBeLessThan(0.05);
    }
  });

  it("leaves clear what the photo does not show, behind the camera too", () => {
    const photo = rgba(100, 100, () => 120);
    const ask = { ...shrinking, homography: Float64Array.of(1, 0, 50, 0, -1, 50, 0.02, 0, 1), areaMm: { leftMm: -80, rightMm: 80, bottomMm: -60, topMm: 60 } }; // prettier-ignore
    const made = rectify(photo, ask);
    const opacity = (column: number, row: number) => made.data[4 * (row * made.widthPx + column) + 3];
    expect(opacity(80, 60)).toBe(255);
    expect(opacity(80, 2)).toBe(0);
    expect(opacity(5, 60)).toBe(0);
  });
});
