import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import * as fontkit from "fontkit";
import { Refusal, refusals } from "#core/base";
import type { OutlineFont, OutlineStep, ShapedGlyph } from "#core/stitch";

/** What reading a font refuses, and what to do then. */
export const refuseFonts = refusals({
  "not-a-font": {
    status: 415,
    title: "This is not a font",
    advice: "Choose a TrueType or OpenType font: a file whose name ends in .ttf, .otf, .woff or .woff2.",
  },
  "font-damaged": {
    status: 422,
    title: "The font is damaged",
    advice: "Get the font again from where it came from, or choose another.",
  },
  "font-without-outlines": {
    status: 422,
    title: "The font has no outlines",
    advice: "Choose a font whose letters are drawn as outlines; pictures of letters cannot be sewn.",
  },
  "font-too-large": {
    status: 413,
    title: "The font is too large",
    advice: "Choose a font of the letters you need, or have it cut down to them.",
  },
  "font-unknown": {
    status: 404,
    title: "There is no such font",
    advice: "Choose one of the fonts in the list, or give a font file.",
  },
});

export const FONT_LIMIT_BYTES = 20 * 1024 * 1024;

/** A font that comes with the program, under an open licence that stands beside it. */
export interface BundledFont {
  readonly name: string;
  readonly kind: "sans" | "serif" | "script";
  readonly file: string;
  readonly licenceFile: string;
}

const require = createRequire(import.meta.url);

/** Chosen by trying: even stems that satin can follow (docs/decisions/0006). */
export const BUNDLED_FONTS: readonly BundledFont[] = [
  { name: "Nunito", kind: "sans", file: "nunito/700Bold/Nunito_700Bold.ttf", licenceFile: "nunito/LICENSE_FONT" },
  { name: "Besley", kind: "serif", file: "besley/600SemiBold/Besley_600SemiBold.ttf", licenceFile: "besley/LICENSE_FONT" },
  { name: "Dancing Script", kind: "script", file: "dancing-script/700Bold/DancingScript_700Bold.ttf", licenceFile: "dancing-script/LICENSE_FONT" },
]; // prettier-ignore

const opened = new Map<string, OutlineFont>();

/**
 * A font that comes with the program, by its name in any case.
 * @throws Refusal font-unknown
 */
export function bundledFont(name: string): OutlineFont {
  const wanted = name.trim().toLowerCase();
  const known = opened.get(wanted);
  if (known !== undefined) return known;
  const entry = BUNDLED_FONTS.find((one) => one.name.toLowerCase() === wanted);
  if (entry === undefined) {
    const names = BUNDLED_FONTS.map((one) => one.name).join(", ");
    throw refuseFonts("font-unknown", `There is no font “${name}”.`, [
      { field: "font", found: name, expected: `one of ${names}` },
    ]);
  }
  const font = readOutlineFont(readFileSync(require.resolve(`@expo-google-fonts/${entry.file}`)), entry.name);
  opened.set(wanted, font);
  return font;
}

/** The licence of a font that comes with the program, as its makers wrote it. */
export function fontLicence(font: BundledFont): string {
  return readFileSync(require.resolve(`@expo-google-fonts/${font.licenceFile}`), "utf8");
}

/**
 * A font file (TTF, OTF, WOFF, WOFF2, or the first font of a collection) as the core needs it.
 * @throws Refusal not-a-font, font-damaged, font-without-outlines, font-too-large
 */
export function readOutlineFont(bytes: Uint8Array, fileName: string): OutlineFont {
  if (bytes.length > FONT_LIMIT_BYTES) {
    throw refuseFonts("font-too-large", `${fileName} has ${(bytes.length / 2 ** 20).toFixed(0)} MB.`, [
      { field: "font", found: `${bytes.length} bytes`, expected: `at most ${FONT_LIMIT_BYTES} bytes` },
    ]);
  }
  if (!looksLikeFont(bytes)) {
    throw refuseFonts("not-a-font", `${fileName} is ${whatItIs(bytes)}, not a font.`, [
      { field: "font", found: whatItIs(bytes), expected: "a TTF, OTF, WOFF or WOFF2 file" },
    ]);
  }
  const damaged = (what: string): Error =>
    refuseFonts("font-damaged", `${fileName} cannot be read as a font: ${what}.`, [
      { field: "font", found: what, expected: "whole tables of an OpenType font" },
    ]);
  let font: fontkit.Font;
  try {
    const created = fontkit.create(Buffer.from(bytes));
    font = "fonts" in created ? (created.fonts as fontkit.Font[])[0]! : (created as fontkit.Font);
    if (!(font.unitsPerEm > 0) || !(font.numGlyphs > 0)) throw new Error("it has no glyphs");
  } catch (trouble) {
    throw damaged(trouble instanceof Error ? trouble.message : "its tables do not fit together");
  }
  const name = font.familyName ?? font.fullName ?? fileName;
  const outlines = new Map<number, readonly OutlineStep[]>();
  const outlineOf = (glyph: number): readonly OutlineStep[] => {
    let steps = outlines.get(glyph);
    if (steps === undefined) {
      try {
        steps = font.getGlyph(glyph).path.commands.map(stepOf);
      } catch {
        throw damaged(`the outline of its glyph ${glyph} is broken`);
      }
      outlines.set(glyph, steps);
    }
    return steps;
  };
  const heightOf = (letters: string): number => {
    for (const letter of letters) {
      const code = letter.codePointAt(0)!;
      if (!font.hasGlyphForCodePoint(code)) continue;
      const steps = outlineOf(font.glyphForCodePoint(code).id);
      const ys = steps.flatMap((step) => ("at" in step ? [step.at.at(-1)!] : []));
      if (ys.length > 0) return Math.max(...ys);
    }
    return 0;
  };
  try {
    // The height as drawn, so that letters come out as high as was asked for; the table's where there is no such letter.
    const drawn = heightOf("HEINTZ");
    const capHeight = drawn > 0 ? drawn : font.capHeight > 0 ? font.capHeight : 0.7 * font.unitsPerEm;
    if (drawn === 0 && heightOf("xaо一ا0") === 0) {
      throw refuseFonts("font-without-outlines", `${name} has no outlines of letters.`);
    }
    return {
      key: createHash("sha256").update(bytes).digest("hex").slice(0, 24),
      name,
      unitsPerEm: font.unitsPerEm,
      capHeight,
      xHeight: font.xHeight > 0 ? font.xHeight : heightOf("xzv") || 0.7 * capHeight,
      ascent: font.ascent,
      descent: font.descent,
      lacking: (text) => lacking(font, text),
      shape: (line) => shape(font, line, damaged),
      outlineOf,
    };
  } catch (trouble) {
    if (trouble instanceof Refusal) throw trouble;
    throw damaged(trouble instanceof Error ? trouble.message : "its measures do not fit together");
  }
}

/** Joiners and variation selectors draw nothing. */
const DRAWS_NOTHING = new Set(["\u200b", "\u200c", "\u200d", "\u2060", "\ufe0e", "\ufe0f"]);
const isIgnored = (letter: string): boolean => /\s/u.test(letter) || DRAWS_NOTHING.has(letter);

/** The form of the text for which the font has most glyphs: letters with their marks in one, or apart. */
function formOf(font: fontkit.Font, text: string): string {
  return [...text.normalize("NFC")]
    .filter((letter) => !DRAWS_NOTHING.has(letter))
    .map((letter) => {
      if (font.hasGlyphForCodePoint(letter.codePointAt(0)!)) return letter;
      const apart = letter.normalize("NFD");
      return [...apart].every((part) => font.hasGlyphForCodePoint(part.codePointAt(0)!)) ? apart : letter;
    })
    .join("");
}

function lacking(font: fontkit.Font, text: string): string[] {
  const letters = [...formOf(font, text)].filter(
    (letter) => !isIgnored(letter) && !font.hasGlyphForCodePoint(letter.codePointAt(0)!),
  );
  return [...new Set(letters)];
}

const isMark = (code: number): boolean => /^\p{M}$/u.test(String.fromCodePoint(code));

function shape(
  font: fontkit.Font,
  line: string,
  damaged: (what: string) => Error,
): { glyphs: ShapedGlyph[]; width: number } {
  const text = [...formOf(font, line)]
    .filter((letter) => isIgnored(letter) || font.hasGlyphForCodePoint(letter.codePointAt(0)!))
    .join("")
    .replace(/\s/gu, " ");
  let run: fontkit.GlyphRun;
  try {
    run = font.layout(text);
  } catch (trouble) {
    throw damaged(trouble instanceof Error ? trouble.message : "its kerning is broken");
  }
  const glyphs: ShapedGlyph[] = [];
  let [x, y, spaces] = [0, 0, 0];
  run.glyphs.forEach((glyph, i) => {
    const { xOffset, yOffset, xAdvance, yAdvance } = run.positions[i]!;
    if (glyph.path.commands.length > 0) {
      glyphs.push({
        glyph: glyph.id,
        x: x + xOffset,
        y: y + yOffset,
        advance: xAdvance,
        spaces,
        mark: glyphs.length > 0 && (glyph.isMark || glyph.codePoints.every(isMark)),
        text: String.fromCodePoint(...glyph.codePoints),
      });
      spaces = 0;
    } else spaces++;
    x += xAdvance;
    y += yAdvance;
  });
  return { glyphs, width: x };
}

function stepOf({ command, args }: fontkit.PathCommand): OutlineStep {
  const at = args as unknown as never;
  switch (command) {
    case "moveTo":
      return { kind: "move", at };
    case "lineTo":
      return { kind: "line", at };
    case "quadraticCurveTo":
      return { kind: "quadratic", at };
    case "bezierCurveTo":
      return { kind: "cubic", at };
    default:
      return { kind: "close" };
  }
}

const text = (bytes: Uint8Array, from: number, to: number): string =>
  String.fromCharCode(...bytes.subarray(from, to));

/** OpenType 1.9.1 "Organizing an OpenType font" and W3C WOFF 2.0: how such files begin. */
function looksLikeFont(bytes: Uint8Array): boolean {
  const tag = text(bytes, 0, 4);
  return ["\0\x01\0\0", "OTTO", "true", "ttcf", "wOFF", "wOF2"].includes(tag);
}

function whatItIs(bytes: Uint8Array): string {
  if (bytes.length === 0) return "an empty file";
  const tag = text(bytes, 0, 4);
  if (tag === "\x89PNG") return "a PNG picture";
  if (tag.startsWith("\xff\xd8\xff")) return "a JPEG picture";
  if (tag === "%PDF") return "a PDF document";
  if (tag.startsWith("PK")) return "a ZIP archive";
  if (tag === "%!PS" || tag.startsWith("\x80\x01")) return "a PostScript (Type 1) font, which is not read";
  const start = text(bytes, 0, 200).trimStart();
  if (/^(<\?xml|<svg|<!doctype|<html)/i.test(start)) return "a page or drawing in markup";
  if (/^[\t\n\r\x20-\x7e]+$/.test(start)) return "plain text";
  return `a file that begins ${[...bytes.subarray(0, 4)].map((byte) => byte.toString(16).padStart(2, "0")).join(" ")}`;
}
