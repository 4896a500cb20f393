import { buildPaletteSync, utils } from "image-q";
import { describe, expect, it } from "vitest";
import { type Lab, labFromHex, labFromRgb, type Rgb } from "#core/thread";
import { type Picture, readPicture } from "./picture";

// Colours of a picture beside those a general quantiser finds: the npm package image-q (X. Wu, "Color quantization by
// dynamic programming and principal analysis", ACM Trans. Graphics 11 (1992) 348–372, and NeuQuant). Errors are means
// over all dots of the distance in CIELAB (CIE76) to the nearest colour of the palette.

const WIDE = 120;
const HIGH = 90;
const six: readonly Rgb[] = [
  { r: 238, g: 230, b: 214 },
  { r: 32, g: 58, b: 99 },
  { r: 194, g: 84, b: 45 },
  { r: 246, g: 196, b: 83 },
  { r: 70, g: 140, b: 120 },
  { r: 40, g: 38, b: 45 },
];

/** A badge of six colours with soft edges, as a program exports it: each dot the mean of sixteen places in it. */
function badge(noise: number): Picture {
  const at = (x: number, y: number): Rgb => {
    const far = Math.hypot(x - 80, y - 60);
    if (Math.hypot(x - 122, y - 26) < 11) return six[3]!;
    if (far < 20) return x + y > 146 ? six[2]! : six[4]!;
    if (far < 24) return six[5]!;
    if (far < 46) return Math.abs(y - 60 - 8 * Math.sin(x / 6)) < 4 ? six[3]! : six[1]!;
    return six[0]!;
  };
  let seed = 3;
  const chance = () => (seed = (seed * 1_103_515_245 + 12_345) & 0x7fffffff) / 0x7fffffff - 0.5;
  const rgba = new Uint8Array(WIDE * HIGH * 4).fill(255);
  for (let y = 0; y < HIGH; y++)
    for (let x = 0; x < WIDE; x++) {
      const sum = [0, 0, 0];
      for (let s = 0; s < 16; s++) {
        const { r, g, b } = at((4 * x + (s % 4)) / 3, (4 * y + Math.floor(s / 4)) / 3);
        [r, g, b].forEach((value, c) => (sum[c]! += value / 16));
      }
      sum.forEach((value, c) => (rgba[4 * (y * WIDE + x) + c] = Math.min(255, Math.max(0, Math.round(value + noise * chance()))))); // prettier-ignore
    }
  return { width: WIDE, height: HIGH, rgba };
}

const apart = (p: Lab, q: Lab): number => Math.hypot(p.l - q.l, p.a - q.a, p.b - q.b);

function meanError({ rgba }: Picture, palette: readonly Lab[]): number {
  let sum = 0;
  for (let i = 0; i < rgba.length; i += 4) {
    const lab = labFromRgb({ r: rgba[i]!, g: rgba[i + 1]!, b: rgba[i + 2]! });
    sum += Math.min(...palette.map((one) => apart(lab, one)));
  }
  return sum / (rgba.length / 4);
}

function theirs({ width, height, rgba }: Picture, paletteQuantization: "wuquant" | "neuquant", colors: number): Lab[] {
  const points = utils.PointContainer.fromUint8Array(Uint8Array.from(rgba), width, height);
  const found = buildPaletteSync([points], { colors, paletteQuantization }).getPointContainer().toUint8Array();
  return Array.from({ length: found.length / 4 }, (_, i) => labFromRgb({ r: found[4 * i]!, g: found[4 * i + 1]!, b: found[4 * i + 2]! })); // prettier-ignore
} // prettier-ignore

const ours = (picture: Picture, mostColours: number): Lab[] =>
  [...new Set(readPicture(picture, { mostColours }).painted.map(({ colour }) => colour))].map((colour) => labFromHex(colour)!); // prettier-ignore
/** How far the worst recovered of the six drawn colours lies from the palette. */
const worst = (palette: readonly Lab[]): number =>
  Math.max(...six.map((colour) => Math.min(...palette.map((one) => apart(labFromRgb(colour), one)))));

describe("the colours of a picture", () => {
  it("are those it was drawn in, nearer than a general quantiser's, and err no more over all dots", () => {
    const picture = badge(8);
    const palette = ours(picture, 6);
    const general = (["wuquant", "neuquant"] as const).map((how) => theirs(picture, how, 6));
    expect(palette).toHaveLength(6);
    expect(worst(palette)).toBeLessThan(3);
    expect(worst(palette)).toBeLessThanOrEqual(Math.min(...general.map(worst)));
    // Ours leaves softened edges to the colours beside them, which costs a little on those dots.
    expect(meanError(picture, palette)).toBeLessThan(1.1 * Math.min(...general.map((one) => meanError(picture, one)))); // prettier-ignore
  });
  it("are told to be too few where much of the picture is sewn far off its own", () => {
    const codes = (most: number) =>
      readPicture(badge(0), { mostColours: most }).findings.map(({ code }) => code);
    expect(codes(2)).toEqual(["shades-lost"]);
    expect(codes(6)).toEqual([]);
  });
});
