import { describe, expect, it } from "vitest";
import { Refusal } from "#core/base";
import { CLOTHS } from "../cloth";
import { maskOfStrokes, measureStitches, missedLimits } from "../metrics";
import { designReport } from "../report";
import { countStitches, JUMP, STITCH, type Stitches, stitchExtents } from "../stitches";
import { clustersOf, glyphOf } from "./glyph";
import { FLOWING } from "./flowing";
import { type LetteredPiece, letterText, missingLetters } from "./letter-text";
import { UPRIGHT } from "./upright";

const refusal = (make: () => unknown): Refusal => {
  try {
    make();
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error("It was made");
};

/** How many trims and moves lie inside a design of one letter. */
const movesInside = (design: Stitches): number => {
  const first = design.kind.indexOf(STITCH);
  return design.kind.slice(first).reduce((count, kind) => count + (kind === JUMP ? 1 : 0), 0);
};

describe("lettering", () => {
  it("sews every letter of the alphabet within the limits of stitch making", () => {
    for (const [letter, alphabet] of [UPRIGHT, FLOWING].flatMap((one) =>
      Object.keys(one.letters).map((letter) => [letter, one.name] as const),
    )) {
      // prettier-ignore
      const { stitches, findings } = letterText(letter, { heightMm: 20, alphabet });
      expect(findings).toEqual([]);
      const report = designReport(stitches, []);
      // STITCHING.md, limits: letters at most 10 needle points on a square mm, few short stitches, none over 7 mm.
      expect.soft(report.densestPerMm2, letter).toBeLessThanOrEqual(11);
      expect.soft(report.shortestMm, letter).toBeGreaterThanOrEqual(0.3);
      expect.soft(report.longestMm, letter).toBeLessThanOrEqual(7);
      expect.soft(report.shortShare, letter).toBeLessThanOrEqual(0.05);
    }
  });

  it("makes a capital as high as asked, the cloth's compensation added", () => {
    for (const heightMm of [10, 15, 25, 40]) {
      const box = stitchExtents(letterText("H", { heightMm }).stitches);
      expect(Math.abs((box.top - box.bottom) / 10 - heightMm)).toBeLessThan(0.6);
    }
  });

  it("does not cut inside a letter whose strokes touch", () => {
    for (const letter of "ABCDEFGHKLMNOPQRSTUVWXYZabcdefghklmnopqrstuvwxyz0123456789&") {
      expect.soft(movesInside(letterText(letter, { heightMm: 16 }).stitches), letter).toBe(0);
    }
  });

  it("writes western, central and northern European names", () => {
    const names =
      "Øyvind Åse Ægir Þóra Jürgen Weiß Zoë Françoise Iñaki Łukasz Żaneta Ľuboš Dvořák Šárka Őrs Gyűrű Ģirts Ąžuolas Ștefan Õie Ħ".replace(
        " Ħ",
        "",
      );
    const { findings } = letterText(names, { heightMm: 12 });
    expect(findings).toEqual([]);
  });

  it("writes the same letter alike, composed or decomposed", () => {
    expect(clustersOf("é")).toEqual(clustersOf("e\u0301"));
    expect(letterText("Zoë", { heightMm: 12 }).stitches).toEqual(
      letterText("Zoe\u0308", { heightMm: 12 }).stitches,
    );
    expect(glyphOf("i\u0308", UPRIGHT)!.strokes).toHaveLength(3);
  });

  it("leaves out a letter it does not have, and names it", () => {
    const { findings, stitches } = letterText("Ada Ж", { heightMm: 12 });
    expect(findings.map((finding) => finding.code)).toEqual(["letters-missing"]);
    expect(findings[0]!.message).toContain("“Ж”");
    expect(countStitches(stitches).stitches).toBe(
      countStitches(letterText("Ada", { heightMm: 12 }).stitches).stitches,
    );
  });

  it("refuses letters too small for the cloth, with the smallest height that sews", () => {
    expect(refusal(() => letterText("A", { heightMm: 4 })).message).toContain("5 mm is the smallest");
    expect(refusal(() => letterText("A", { heightMm: 6, cloth: "pile" })).message).toContain(
      "8 mm is the smallest",
    );
    expect(refusal(() => letterText("A", { heightMm: NaN })).code).toBe("lettering-too-small");
    expect(letterText("A", { heightMm: 5 }).findings.map((finding) => finding.code)).toEqual([
      "lettering-small",
    ]);
  });

  it("refuses low flowing letters with their own smallest height, and tells how low upright ones go", () => {
    for (const [cloth, smallest] of [
      ["woven", 9],
      ["knit", 10],
      ["pile", 10],
    ] as const) {
      const refused = refusal(() =>
        letterText("Ida", { heightMm: smallest - 0.5, alphabet: "flowing", cloth }),
      );
      expect(refused.code).toBe("lettering-too-small");
      expect(refused.message).toContain(`${smallest} mm is the smallest height that sews`);
      expect(letterText("Ida", { heightMm: smallest, alphabet: "flowing", cloth }).findings).toEqual([]);
    }
  });

  it("gives upright letters inside a bowl more room, as their heads lean together", () => {
    const straight = letterText("Harbour", { heightMm: 12 }).widthMm;
    const bridge = letterText("Harbour", { heightMm: 12, arcDeg: 120 }).widthMm;
    const bowl = letterText("Harbour", { heightMm: 12, arcDeg: -120 }).widthMm;
    expect(bridge).toBeCloseTo(straight, 6);
    expect(bowl).toBeGreaterThan(straight + 6);
  });

  it("refuses a text without letters, and measures without sense", () => {
    for (const text of ["", "   ", "犬"])
      expect(refusal(() => letterText(text, { heightMm: 12 })).code).toBe("lettering-not-possible");
    expect(refusal(() => letterText("A", { heightMm: 12, arcDeg: 400 })).details[0]!.field).toBe("arc");
    expect(refusal(() => letterText("A".repeat(300), { heightMm: 12 })).details[0]!.field).toBe("text");
  });

  it("bends up or down, and stands where it is aligned", () => {
    const height = (arcDeg: number): number => {
      const box = stitchExtents(letterText("SEASIDE", { heightMm: 12, arcDeg }).stitches);
      return box.top - box.bottom;
    };
    expect(height(90)).toBeGreaterThan(height(0) + 100);
    expect(height(-90)).toBeGreaterThan(height(0) + 60);
    const left = stitchExtents(letterText("Ida", { heightMm: 12, align: "left" }).stitches);
    const right = stitchExtents(letterText("Ida", { heightMm: 12, align: "right" }).stitches);
    expect(Math.abs(left.left)).toBeLessThan(5);
    expect(Math.abs(right.right)).toBeLessThan(5);
  });

  it("makes text as wide as asked by making its letters anew", () => {
    const wide = letterText("Olivia", { heightMm: 10, widthMm: 90 });
    expect(Math.abs(wide.widthMm - 90)).toBeLessThan(0.1);
    expect(wide.heightMm).toBeGreaterThan(15);
    const box = stitchExtents(wide.stitches);
    expect(Math.abs((box.right - box.left) / 10 - 90)).toBeLessThan(0.8);
    expect(designReport(wide.stitches, []).longestMm).toBeLessThanOrEqual(7);
    const lower = letterText("Olivia", { heightMm: 20, maxWidthMm: 60 });
    expect(lower.widthMm).toBeLessThanOrEqual(60.01);
    expect(letterText("Olivia", { heightMm: 10, maxWidthMm: 200 }).heightMm).toBe(10);
    expect(refusal(() => letterText("Olivia", { heightMm: 10, widthMm: 12 })).code).toBe(
      "lettering-too-small",
    );
  });

  it("sets letters on both sides of a circle about the start", () => {
    for (const side of ["upper", "lower"] as const) {
      const { stitches } = letterText("SEA", { heightMm: 10, circle: { radiusMm: 40, side } });
      for (let i = stitches.kind.indexOf(STITCH) + 1; i < stitches.kind.length; i++) {
        const far = Math.hypot(stitches.x[i]!, stitches.y[i]!) / 10;
        expect(far).toBeGreaterThan(side === "upper" ? 39 : 29);
        expect(far).toBeLessThan(side === "upper" ? 51.5 : 41);
        expect(Math.sign(stitches.y[i]!)).toBe(side === "upper" ? 1 : -1);
      }
    }
  });

  it("writes the flowing alphabet's words without a cut, marks and dots aside", () => {
    for (const word of ["Hanna", "lemon", "Rosa", "aurora", "bequem"]) {
      const { stitches } = letterText(word, { heightMm: 14, alphabet: "flowing" });
      expect.soft(movesInside(stitches), word).toBe(0);
    }
  });

  it("names letters an alphabet lacks before anything is planned", () => {
    expect(missingLetters("Ada Ж犬", "flowing")).toEqual(["Ж", "犬"]);
    expect(missingLetters("Ġorġ Ħal Għawdex Ījā ŵ", "upright")).toEqual([]);
    const all = "ÅÄÖÆØŒßẞÐÞŁŐŰČĎĚŇŘŠŤŮŽĢĶĻŅĄĘĖĮŲşţğİıĳċġħżåäöæøœðþłőűčďěňřšťůžģķļņąęėįųŞŢĞĲĊĠĦŻáéíóúàèìòùâêîôûãõñçëïüÿēīūĂăȘșȚț&’“”–—…!?@#+()/:;,.€£$%*♥"; // prettier-ignore
    for (const alphabet of ["upright", "flowing"] as const) expect(missingLetters(all, alphabet)).toEqual([]);
  });

  it("runs only where satin is sewn later, in every letter", () => {
    const letters = [UPRIGHT, FLOWING].flatMap(({ letters, name }) =>
      Object.keys(letters).map((letter) => [letter, name] as const),
    );
    for (const [text, alphabet] of [...letters, ["HARKe8&4", "upright"], ["Blyth", "flowing"]] as const) {
      // prettier-ignore
      const open: { piece: number; coveredBy: number }[] = [];
      let piece = 0;
      letterText(text, {
        heightMm: 15,
        alphabet,
        onPiece: () => {
          expect.soft(open, text).toEqual([]);
          piece++;
        },
        onRun: ({ coveredBy }) => open.push({ piece, coveredBy }),
        onSatin: (column) => {
          for (let i = open.length - 1; i >= 0; i--) if (open[i]!.coveredBy === column) open.splice(i, 1);
        },
      });
      expect.soft(open, text).toEqual([]);
      expect(piece).toBeGreaterThan(0);
    }
  });

  it("holds the limits in the letters that are hardest at 8 mm, where they stand in a name", () => {
    for (const cloth of ["woven", "knit"] as const) {
      const pieces: LetteredPiece[] = [];
      const { stitches, pieceRecords } = letterText("E & Bea", { heightMm: 8, cloth, onPiece: (piece) => pieces.push(piece) }); // prettier-ignore
      expect(pieceRecords).toHaveLength(pieces.length);
      pieces.forEach((piece, i) => {
        const [from, to] = [pieceRecords[i]!, pieceRecords[i + 1]];
        const part = { kind: stitches.kind.slice(from, to), x: stitches.x.slice(from, to), y: stitches.y.slice(from, to) }; // prettier-ignore
        const metrics = measureStitches(part, maskOfStrokes(piece.strokes), { pullMm: CLOTHS[cloth].pullMm });
        expect.soft(missedLimits(metrics), piece.text).toEqual([]);
      });
    }
  });

  it("says which letters are at their limit below 8 mm, and refuses what would sew badly above", () => {
    const { findings } = letterText("W & W", { heightMm: 5 });
    const atLimit = findings.find(({ code }) => code === "letters-at-limit");
    expect(atLimit?.level).toBe("warning");
    expect(atLimit?.message).toMatch(/^At 5 mm .*“&”/);
    // So bent inwards that the letters' heads lie on one another.
    expect(refusal(() => letterText("mnmnmn", { heightMm: 10, alphabet: "flowing", circle: { radiusMm: 10, side: "lower" } })).message).toContain("would not sew well at 10 mm"); // prettier-ignore
  });

  it("splits every stitch longer than 7 mm, in satin and on the way", () => {
    for (const alphabet of ["upright", "flowing"] as const)
      for (const heightMm of [30, 60, 100]) {
        const { kind, x, y } = letterText("Hi", { heightMm, alphabet }).stitches;
        let longest = 0;
        for (let i = kind.indexOf(STITCH) + 1; i < kind.length; i++)
          if (kind[i] === STITCH) longest = Math.max(longest, Math.hypot(x[i]! - x[i - 1]!, y[i]! - y[i - 1]!));
        expect.soft(longest / 10, `${alphabet} ${heightMm}`).toBeLessThanOrEqual(7.05);
      } // prettier-ignore
  });

  it("sews two lines, the first above the second", () => {
    const one = stitchExtents(letterText("IDA", { heightMm: 12 }).stitches);
    const two = stitchExtents(letterText("IDA\nIDA", { heightMm: 12 }).stitches);
    expect(two.top - two.bottom).toBeGreaterThan(2.5 * (one.top - one.bottom));
  });
});
