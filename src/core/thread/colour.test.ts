import { converter, differenceCiede2000 } from "culori";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  colourDifference,
  contrastRatio,
  hexFromRgb,
  labFromHex,
  labFromRgb,
  linearFromSrgb,
  nearestColour,
  rgbFromHex,
  rgbFromLab,
} from "./colour";

// G. Sharma, W. Wu, E. N. Dalal (2005), Color Research & Application 30(1):21–30, Table 1: L, a, b twice, then ΔE₀₀.
const SHARMA: readonly (readonly [number, number, number, number, number, number, number])[] = [
  [50.0, 2.6772, -79.7751, 50.0, 0.0, -82.7485, 2.0425],
  [50.0, 3.1571, -77.2803, 50.0, 0.0, -82.7485, 2.8615],
  [50.0, 2.8361, -74.02, 50.0, 0.0, -82.7485, 3.4412],
  [50.0, -1.3802, -84.2814, 50.0, 0.0, -82.7485, 1.0],
  [50.0, -1.1848, -84.8006, 50.0, 0.0, -82.7485, 1.0],
  [50.0, -0.9009, -85.5211, 50.0, 0.0, -82.7485, 1.0],
  [50.0, 0.0, 0.0, 50.0, -1.0, 2.0, 2.3669],
  [50.0, -1.0, 2.0, 50.0, 0.0, 0.0, 2.3669],
  [50.0, 2.49, -0.001, 50.0, -2.49, 0.0009, 7.1792],
  [50.0, 2.49, -0.001, 50.0, -2.49, 0.001, 7.1792],
  [50.0, 2.49, -0.001, 50.0, -2.49, 0.0011, 7.2195],
  [50.0, 2.49, -0.001, 50.0, -2.49, 0.0012, 7.2195],
  [50.0, -0.001, 2.49, 50.0, 0.0009, -2.49, 4.8045],
  [50.0, -0.001, 2.49, 50.0, 0.001, -2.49, 4.8045],
  [50.0, -0.001, 2.49, 50.0, 0.0011, -2.49, 4.7461],
  [50.0, 2.5, 0.0, 50.0, 0.0, -2.5, 4.3065],
  [50.0, 2.5, 0.0, 73.0, 25.0, -18.0, 27.1492],
  [50.0, 2.5, 0.0, 61.0, -5.0, 29.0, 22.8977],
  [50.0, 2.5, 0.0, 56.0, -27.0, -3.0, 31.903],
  [50.0, 2.5, 0.0, 58.0, 24.0, 15.0, 19.4535],
  [50.0, 2.5, 0.0, 50.0, 3.1736, 0.5854, 1.0],
  [50.0, 2.5, 0.0, 50.0, 3.2972, 0.0, 1.0],
  [50.0, 2.5, 0.0, 50.0, 1.8634, 0.5757, 1.0],
  [50.0, 2.5, 0.0, 50.0, 3.2592, 0.335, 1.0],
  [60.2574, -34.0099, 36.2677, 60.4626, -34.1751, 39.4387, 1.2644],
  [63.0109, -31.0961, -5.8663, 62.8187, -29.7946, -4.0864, 1.263],
  [61.2901, 3.7196, -5.3901, 61.4292, 2.248, -4.962, 1.8731],
  [35.0831, -44.1164, 3.7933, 35.0232, -40.0716, 1.5901, 1.8645],
  [22.7233, 20.0904, -46.694, 23.0331, 14.973, -42.5619, 2.0373],
  [36.4612, 47.858, 18.3852, 36.2715, 50.5065, 21.2231, 1.4146],
  [90.8027, -2.0831, 1.441, 91.1528, -1.6435, 0.0447, 1.4441],
  [90.9257, -0.5406, -0.9208, 88.6381, -0.8985, -0.7239, 1.5381],
  [6.7747, -0.2908, -2.4247, 5.8714, -0.0985, -2.2286, 0.6377],
  [2.0776, 0.0795, -1.135, 0.9033, -0.0636, -0.5514, 0.9082],
];

// IEC 61966-2-1:1999 with CIE 15, D65: outputs on which two general colour libraries agree.
const LABS: readonly (readonly [string, number, number, number])[] = [
  ["#000000", 0, 0, 0],
  ["#ffffff", 100, 0, 0],
  ["#ff0000", 53.2371, 80.0901, 67.2033],
  ["#00ff00", 87.7355, -86.1816, 83.1866],
  ["#0000ff", 32.3009, 79.1953, -107.8555],
  ["#ffff00", 97.1386, -21.56, 94.4838],
  ["#00ffff", 91.1148, -48.0789, -14.129],
  ["#ff00ff", 60.3227, 98.2374, -60.8289],
  ["#808080", 53.585, 0, 0],
  ["#c0c0c0", 77.7044, 0, 0],
  ["#767676", 49.637, 0.0, 0],
  ["#800000", 25.5333, 48.0437, 38.0557],
  ["#000080", 12.9743, 47.5069, -64.6993],
  ["#ff8000", 67.0525, 42.8204, 74.0198],
  ["#1e90ff", 59.3803, 9.9683, -63.386],
];

// WCAG 2.2, contrast ratio: published examples.
const CONTRASTS: readonly (readonly [string, string, number])[] = [
  ["#767676", "#ffffff", 4.54],
  ["#000000", "#ffffff", 21.0],
  ["#ffff00", "#ffffff", 1.07],
  ["#777777", "#ffffff", 4.48],
  ["#595959", "#ffffff", 7.0],
  ["#949494", "#ffffff", 3.03],
  ["#e5e5e5", "#aabb00", 1.698093107780376],
  ["#ff8100", "#64003a", 5.235369975583679],
];

describe("colour", () => {
  it("differs as the 34 published pairs of CIEDE2000 do", () => {
    for (const [l1, a1, b1, l2, a2, b2, difference] of SHARMA) {
      const one = { l: l1, a: a1, b: b1 };
      const two = { l: l2, a: a2, b: b2 };
      expect(Math.abs(colourDifference(one, two) - difference)).toBeLessThanOrEqual(5.1e-5);
      expect(colourDifference(two, one)).toBeCloseTo(colourDifference(one, two), 9);
    }
  });

  it("turns sRGB into CIELAB under D65 as published", () => {
    for (const [hex, l, a, b] of LABS) {
      const lab = labFromHex(hex)!;
      expect(Math.abs(lab.l - l)).toBeLessThan(0.02);
      expect(Math.abs(lab.a - a)).toBeLessThan(0.02);
      expect(Math.abs(lab.b - b)).toBeLessThan(0.02);
    }
    expect(linearFromSrgb(0.5)).toBeCloseTo(0.21404114, 8);
  });

  it("agrees with a general colour library on any two colours", () => {
    const toLab = converter("lab65");
    const reference = differenceCiede2000();
    const channel = fc.integer({ min: 0, max: 255 });
    const colour = fc.record({ r: channel, g: channel, b: channel });
    fc.assert(
      fc.property(colour, colour, (one, two) => {
        const theirs = toLab(hexFromRgb(one))!;
        const ours = labFromRgb(one);
        expect(Math.hypot(ours.l - theirs.l, ours.a - theirs.a, ours.b - theirs.b)).toBeLessThan(0.02);
        const second = toLab(hexFromRgb(two))!;
        const mine = colourDifference(
          { l: theirs.l, a: theirs.a, b: theirs.b },
          { l: second.l, a: second.a, b: second.b },
        );
        expect(Math.abs(mine - reference(theirs, second))).toBeLessThan(1e-6);
      }),
      { numRuns: 300, seed: 5 },
    );
  });

  it("comes back from CIELAB to the same sRGB", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 0xffffff }), (value) => {
        const rgb = rgbFromHex(value.toString(16).padStart(6, "0"))!;
        expect(rgbFromLab(labFromRgb(rgb))).toEqual(rgb);
      }),
      { numRuns: 300, seed: 6 },
    );
  });

  it("has the contrast ratios of WCAG 2.2", () => {
    for (const [front, back, ratio] of CONTRASTS) {
      expect(Math.abs(contrastRatio(rgbFromHex(front)!, rgbFromHex(back)!) - ratio)).toBeLessThan(0.0051);
    }
  });

  it("reads short and long hexadecimal colours and refuses the rest", () => {
    expect(rgbFromHex("#f80")).toEqual({ r: 255, g: 136, b: 0 });
    expect(rgbFromHex(" FF8800 ")).toEqual({ r: 255, g: 136, b: 0 });
    for (const bad of ["", "#12", "red", "#gggggg", "#1234567"]) expect(rgbFromHex(bad)).toBeNull();
  });

  it("finds the nearest thread, or none in an empty rack", () => {
    const rack = ["#000000", "#c2542d", "#2f6b4f"].map((hex) => ({ hex, lab: labFromHex(hex)! }));
    expect(nearestColour(labFromHex("#bb5530")!, rack)!.choice.hex).toBe("#c2542d");
    expect(nearestColour(labFromHex("#bb5530")!, [])).toBeNull();
  });
});
