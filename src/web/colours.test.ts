import { describe, expect, it } from "vitest";
import { type Colours, dark, light } from "./colours";

/** Relative luminance of an sRGB colour: WCAG 2.2 (W3C Recommendation, 2023), definition with the 0.04045 threshold. */
function luminance(hex: string): number {
  const [r, g, b] = [1, 3, 5].map((at) => {
    const share = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!;
}

/** Contrast ratio of WCAG 2.2: (L1 + 0.05) / (L2 + 0.05), the lighter above. */
function contrast(one: string, other: string): number {
  const [dim, bright] = [luminance(one), luminance(other)].sort((a, b) => a - b);
  return (bright! + 0.05) / (dim! + 0.05);
}

describe("contrast as WCAG 2.2 has it", () => {
  it.each([
    // Published with the ColorfulSwift wiki.
    ["#767676", "#ffffff", 4.54],
    ["#000000", "#ffffff", 21],
    ["#ffff00", "#ffffff", 1.07],
    // Published in the README of npm's contrast-ratio-checker.
    ["#e5e5e5", "#aabb00", 1.698093107780376],
    ["#ff8100", "#64003a", 5.235369975583679],
    // From memory.
    ["#777777", "#ffffff", 4.48],
    ["#595959", "#ffffff", 7],
    ["#949494", "#ffffff", 3.03],
  ])("%s on %s is %d to 1", (one, other, ratio) => {
    expect(Math.abs(contrast(one, other) - ratio)).toBeLessThan(0.0051);
  });
});

type Pair = readonly [keyof Colours, keyof Colours];
const grounds = ["ground", "paper", "lane"] as const;

/** Words on what they stand on: 1.4.3 asks for 4.5 to 1. */
const words: readonly Pair[] = [
  ...grounds.flatMap((ground) =>
    (["ink", "ink-2", "accent", "done", "late"] as const).map((colour): Pair => [colour, ground]),
  ),
  ["ink", "accent-soft"],
  ["accent", "accent-soft"],
  ["ink", "done-soft"],
  ["done", "done-soft"],
  ["ink", "late-soft"],
  ["late", "late-soft"],
  ["caution-ink", "caution"],
  ["on-fill", "ink"],
  ["on-fill", "accent"],
  ["on-fill", "done"],
  ["on-fill", "late"],
  ["placeholder", "paper"],
];

/** Edges of what can be pressed, and the line of now: 1.4.11 asks for 3 to 1. */
const edges: readonly Pair[] = grounds.flatMap((ground) =>
  (["edge", "accent", "late"] as const).map((colour): Pair => [colour, ground]),
);

describe.each([
  ["by day", light],
  ["in the evening", dark],
])("the colours %s", (_, colours) => {
  it.each(words)("have words of %s readable on %s", (colour, ground) => {
    expect(contrast(colours[colour], colours[ground])).toBeGreaterThanOrEqual(4.5);
  });

  it.each(edges)("have edges of %s seen on %s", (colour, ground) => {
    expect(contrast(colours[colour], colours[ground])).toBeGreaterThanOrEqual(3);
  });
});
