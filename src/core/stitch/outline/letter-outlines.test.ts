import { describe, expect, it } from "vitest";
import { Refusal } from "#core/base";
import { missedLimits } from "../metrics";
import { unitedRings as unitedOf } from "../rings";
import { countStitches, JUMP, STITCH, stitchExtents } from "../stitches";
import { bentBy } from "./bend";
import { ringsOfOutline } from "./flatten";
import { measurePiece, planPiece } from "./glyph-plan";
import { letterOutlines, missingOutlines } from "./letter-outlines";
import type { OutlineFont, OutlineStep } from "./outline-font";

/** A font of our own of four letters, 1000 units to the em: I a bar, L an angle, H two bars and a beam, i with its dot. */
const box = (left: number, bottom: number, right: number, top: number): OutlineStep[] => [
  { kind: "move", at: [left, bottom] },
  { kind: "line", at: [right, bottom] },
  { kind: "line", at: [right, top] },
  { kind: "line", at: [left, top] },
  { kind: "close" },
];
const GLYPHS: Readonly<Record<string, { steps: OutlineStep[]; advance: number }>> = {
  I: { steps: box(80, 0, 220, 700), advance: 300 },
  L: { steps: [...box(80, 0, 220, 700), ...box(80, 0, 500, 140)], advance: 540 },
  H: { steps: [...box(80, 0, 220, 700), ...box(480, 0, 620, 700), ...box(80, 280, 620, 420)], advance: 700 },
  i: { steps: [...box(80, 0, 220, 480), ...box(75, 580, 225, 720)], advance: 300 },
  "/": { steps: box(80, 0, 86, 700), advance: 166 },
};
const font: OutlineFont = {
  key: "four letters",
  name: "Four",
  unitsPerEm: 1000,
  capHeight: 700,
  xHeight: 480,
  ascent: 800,
  descent: -200,
  lacking: (text) => [...new Set([...text].filter((letter) => letter.trim() !== "" && !(letter in GLYPHS)))],
  shape: (line) => {
    let [x, spaces] = [0, 0];
    const glyphs = [];
    for (const letter of line) {
      const glyph = GLYPHS[letter];
      if (glyph !== undefined) {
        glyphs.push({ glyph: letter.codePointAt(0)!, x, y: 0, advance: glyph.advance, spaces, mark: false, text: letter }); // prettier-ignore
        spaces = 0;
      } else spaces++;
      x += glyph?.advance ?? 250;
    }
    return { glyphs, width: x };
  },
  outlineOf: (glyph) => GLYPHS[String.fromCodePoint(glyph)]!.steps,
};
const refusalOf = (act: () => unknown): Refusal => {
  try {
    act();
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error("nothing was refused");
};

describe("letters of an outline font", () => {
  it("are as high and as wide as asked", () => {
    const { stitches, widthMm, heightMm } = letterOutlines("HIL", font, { heightMm: 14 });
    expect(heightMm).toBe(14);
    // From the drawn left edge of H to the drawn right edge of L: (700 + 300 + 500 − 80) units.
    expect(widthMm).toBeCloseTo((1420 * 14) / 700, 5);
    const { left, right, bottom, top } = stitchExtents(stitches);
    expect((right - left) / 10 - widthMm).toBeGreaterThan(0);
    expect((right - left) / 10 - widthMm).toBeLessThan(0.8);
    expect(Math.abs((top - bottom) / 10 - 14)).toBeLessThan(0.8);
  });

  it("fit a width by remaking", () => {
    const { widthMm, heightMm } = letterOutlines("HIL", font, { heightMm: 20, maxWidthMm: 25 });
    expect(widthMm).toBeLessThanOrEqual(25);
    expect(widthMm).toBeGreaterThan(24.9);
    expect(heightMm).toBeCloseTo((25 * 700) / 1420, 1);
  });

  it("have no jump inside a letter but to its dot", () => {
    const jumpsOf = (text: string): number => {
      const { kind } = letterOutlines(text, font, { heightMm: 10 }).stitches;
      return kind.slice(kind.indexOf(STITCH)).filter((one) => one === JUMP).length;
    };
    expect(jumpsOf("H")).toBe(0);
    expect(jumpsOf("L")).toBe(0);
    expect(jumpsOf("i")).toBe(1);
  });

  it("are the same each time", () => {
    const one = letterOutlines("HIL", font, { heightMm: 12, arcDeg: 40 }).stitches;
    const two = letterOutlines("HIL", font, { heightMm: 12, arcDeg: 40 }).stitches;
    expect(two).toEqual(one);
  });

  it("are named when the font lacks them, and refused when nothing is left", () => {
    expect(missingOutlines("HAI B", font)).toEqual(["A", "B"]);
    const { findings } = letterOutlines("HAI", font, { heightMm: 12 });
    expect(findings.map(({ code }) => code)).toEqual(["letters-missing"]);
    expect(findings[0]!.message).toContain("“A”");
    expect(refusalOf(() => letterOutlines("AB", font, { heightMm: 12 })).code).toBe("lettering-not-possible");
  });

  it("are refused below the smallest height that sews", () => {
    expect(refusalOf(() => letterOutlines("HI", font, { heightMm: 4 })).code).toBe("lettering-too-small");
  });

  it("are cut between only where they stand further apart than thread is carried", () => {
    const trimsOf = (text: string, heightMm: number): number =>
      countStitches(letterOutlines(text, font, { heightMm }).stitches).trims;
    // Between H and I there are 160 units: 2.3 mm at 10 mm of height, 4.6 mm at 20 mm.
    expect(trimsOf("HIIH", 10)).toBe(0);
    expect(trimsOf("HIIH", 20)).toBe(3);
  });

  it("stay satin, split, where stems are wider than one stitch may be", () => {
    // The stem of I is a fifth of its height: 8 mm.
    const size = { cloth: "woven", capMm: 40 } as const;
    const plan = planPiece(ringsOfOutline(GLYPHS["I"]!.steps, 40 / 700), size);
    expect(plan.how).toBe("satin");
    expect(plan.parts!.thick).toEqual([]);
    expect(measurePiece(plan, size).longestMm).toBeLessThanOrEqual(7);
  });

  it("are a run where a stem is a hair", () => {
    const { stitches } = letterOutlines("/", font, { heightMm: 8 });
    const { left, right } = stitchExtents(stitches);
    // Ties stand a little beside the line.
    expect(right - left).toBeLessThan(8);
    expect(countStitches(stitches).stitches).toBeLessThan(20);
  });

  it.each(["woven", "knit", "pile"] as const)("hold the limits of satin on %s cloth", (cloth) => {
    for (const letter of ["I", "L", "H"]) {
      const rings = ringsOfOutline(GLYPHS[letter]!.steps, 15 / 700);
      const united = planPiece(letter === "I" ? rings : unitedOf(rings), { cloth, capMm: 15 });
      expect(united.how).toBe("satin");
      expect(missedLimits(measurePiece(united, { cloth, capMm: 15 }))).toEqual([]);
    }
  });
});

describe("bending", () => {
  it("has a way back for rigid letters and for those written together", () => {
    for (const rigid of [true, false])
      for (const radiusMm of [40, -40, Infinity]) {
        const { move, back } = bentBy({ radiusMm, middleX: 3, baselineY: -5 }, 8, rigid, -20);
        for (const place of [[0, 0], [7, 12], [25, -3]] as const) {
          const [x, y] = back(move(place));
          expect(x).toBeCloseTo(place[0], 9);
          expect(y).toBeCloseTo(place[1], 9);
        }
      } // prettier-ignore
  });
});
