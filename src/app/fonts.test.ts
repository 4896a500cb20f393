import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { describe, expect, it } from "vitest";
import { Refusal } from "#core/base";
import { BUNDLED_FONTS, bundledFont, FONT_LIMIT_BYTES, fontLicence, readOutlineFont } from "./fonts";

const require = createRequire(import.meta.url);
const bytesOf = (file: string): Buffer => readFileSync(require.resolve(`@expo-google-fonts/${file}`));

/**
 * A font's own tables, read byte by byte as OpenType 1.9.1 lays them out: the table directory, `head` (unitsPerEm at 18),
 * `hhea` (numberOfHMetrics at 34), `hmtx`, `OS/2` (sCapHeight at 88).
 */
function tablesOf(bytes: Buffer) {
  const at = new Map<string, number>();
  for (let i = 0; i < bytes.readUInt16BE(4); i++) {
    const entry = 12 + 16 * i;
    at.set(bytes.toString("latin1", entry, entry + 4), bytes.readUInt32BE(entry + 8));
  }
  const metrics = bytes.readUInt16BE(at.get("hhea")! + 34);
  return {
    unitsPerEm: bytes.readUInt16BE(at.get("head")! + 18),
    ascent: bytes.readInt16BE(at.get("hhea")! + 4),
    descent: bytes.readInt16BE(at.get("hhea")! + 6),
    capHeight: bytes.readInt16BE(at.get("OS/2")! + 88),
    xHeight: bytes.readInt16BE(at.get("OS/2")! + 86),
    advance: (glyph: number) => bytes.readUInt16BE(at.get("hmtx")! + 4 * Math.min(glyph, metrics - 1)),
  };
}

const refusalOf = (act: () => unknown): Refusal => {
  try {
    act();
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error("nothing was refused");
};

describe.each(BUNDLED_FONTS)("the font $name", ({ name, file }) => {
  const font = bundledFont(name);
  const tables = tablesOf(bytesOf(file));

  it("has the measures of its own tables", () => {
    expect(font.unitsPerEm).toBe(tables.unitsPerEm);
    expect(font.ascent).toBe(tables.ascent);
    expect(font.descent).toBe(tables.descent);
    expect(font.xHeight).toBe(tables.xHeight);
    // The height is taken from the drawn H; a table may be a few units off.
    expect(Math.abs(font.capHeight / tables.capHeight - 1)).toBeLessThan(0.12);
  });

  it("sets single letters as wide as its hmtx table says", () => {
    for (const letter of "HnoaWi7é") {
      const { glyphs, width } = font.shape(letter);
      expect(glyphs).toHaveLength(1);
      expect(width).toBe(tables.advance(glyphs[0]!.glyph));
    }
  });

  it("has the letters of western, central and northern Europe", () => {
    expect(font.lacking("ÀÂÄÅÆÇÉÈÊËÍÎÏÑÓÔÖØŒÚÛÜÝß àâäåæçéèêëíîïñóôöøœúûüýÿ ŁŃŐŘŠŤŮŰŽĐÞð łńőřšťůűžđþ ěčďňğışțș & 0123456789 .,-!?’")).toEqual([]); // prettier-ignore
  });

  it("comes with its open licence", () => {
    const entry = BUNDLED_FONTS.find((one) => one.name === name)!;
    expect(fontLicence(entry)).toContain("SIL Open Font License, Version 1.1");
  });
});

describe("shaping", () => {
  const font = bundledFont("Nunito");

  it("kerns: A and V stand nearer than their widths say, as the font's GPOS table asks", () => {
    const alone = font.shape("A").width + font.shape("V").width;
    expect(font.shape("AV").width).toBeLessThan(alone - 20);
    expect(font.shape("HH").width).toBe(2 * font.shape("H").width);
  });

  it("sets a letter and its combining mark as the letter that has it", () => {
    expect(font.shape("e\u0301").glyphs.map(({ glyph }) => glyph)).toEqual(font.shape("é").glyphs.map(({ glyph }) => glyph)); // prettier-ignore
  });

  it("sets a mark that no letter has drawn with it on its letter", () => {
    const { glyphs } = font.shape("x\u0301");
    expect(glyphs.map(({ mark }) => mark)).toEqual([false, true]);
    const [letter, mark] = glyphs;
    const middle = letter!.x + letter!.advance / 2;
    const xs = font
      .outlineOf(mark!.glyph)
      .flatMap((step) => ("at" in step ? [step.at.at(-2)! + mark!.x] : []));
    expect(Math.abs((Math.min(...xs) + Math.max(...xs)) / 2 - middle)).toBeLessThan(0.12 * font.unitsPerEm);
  });

  it("counts spaces and leaves them out", () => {
    expect(font.shape("a  b").glyphs.map(({ text, spaces }) => [text, spaces])).toEqual([["a", 0], ["b", 2]]); // prettier-ignore
  });

  it("names letters it lacks, each once, and joiners not at all", () => {
    expect(font.lacking("Aki 木村木\u200d")).toEqual(["木", "村"]);
    expect(font.shape("木A").glyphs).toHaveLength(1);
  });
});

describe("what is no font", () => {
  it.each([
    ["a PNG picture", Buffer.from("\x89PNG\r\n\x1a\n....", "latin1")],
    ["a PDF document", Buffer.from("%PDF-1.7 ")],
    ["plain text", Buffer.from("Marigold\n")],
    ["an empty file", Buffer.alloc(0)],
    ["a page or drawing in markup", Buffer.from("<svg xmlns='http://www.w3.org/2000/svg'/>")],
  ])("is refused with what was found: %s", (what, bytes) => {
    const refusal = refusalOf(() => readOutlineFont(bytes, "letters.ttf"));
    expect(refusal.code).toBe("not-a-font");
    expect(refusal.message).toContain(what);
  });

  it("is refused when it is a font cut short or too large", () => {
    const whole = bytesOf(BUNDLED_FONTS[0]!.file);
    for (const length of [4, 40, 200, 2000]) {
      const refusal = refusalOf(() => readOutlineFont(whole.subarray(0, length), "cut.ttf"));
      expect(refusal.code).toBe("font-damaged");
    }
    expect(refusalOf(() => readOutlineFont(new Uint8Array(FONT_LIMIT_BYTES + 1), "huge.ttf")).code).toBe("font-too-large"); // prettier-ignore
  });

  it("is refused by name with the names there are", () => {
    const refusal = refusalOf(() => bundledFont("Marigold Sans"));
    expect(refusal.code).toBe("font-unknown");
    expect(JSON.stringify(refusal.details)).toContain("Nunito, Besley, Dancing Script");
    expect(bundledFont(" nunito ").name).toBe("Nunito");
  });
});
