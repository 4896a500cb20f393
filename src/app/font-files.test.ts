import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { brotliCompressSync, constants, deflateSync } from "node:zlib";
import { describe, expect, it } from "vitest";
import { readOutlineFont } from "./fonts";

/** Fonts in each of the files they come in. The files are made here as the published formats lay them out. */
const require = createRequire(import.meta.url);
const truetype = readFileSync(
  require.resolve("@expo-google-fonts/dancing-script/700Bold/DancingScript_700Bold.ttf"),
);

interface Table {
  readonly tag: string;
  readonly data: Buffer;
}

/** OpenType 1.9.1, "Organizing an OpenType font": the table directory. */
const tablesOf = (bytes: Buffer): Table[] =>
  Array.from({ length: bytes.readUInt16BE(4) }, (_, i) => {
    const entry = 12 + 16 * i;
    const from = bytes.readUInt32BE(entry + 8);
    const data = bytes.subarray(from, from + bytes.readUInt32BE(entry + 12));
    return { tag: bytes.toString("latin1", entry, entry + 4), data };
  });

const u16 = (...values: number[]): Buffer => {
  const out = Buffer.alloc(2 * values.length);
  values.forEach((value, i) => out.writeUInt16BE(value & 0xffff, 2 * i));
  return out;
};
const u32 = (...values: number[]): Buffer => {
  const out = Buffer.alloc(4 * values.length);
  values.forEach((value, i) => out.writeUInt32BE(value >>> 0, 4 * i));
  return out;
};
const padded = (data: Buffer): Buffer => Buffer.concat([data, Buffer.alloc((4 - (data.length % 4)) % 4)]);

function sfnt(flavour: string, tables: readonly Table[]): Buffer {
  const sorted = [...tables].sort((a, b) => (a.tag < b.tag ? -1 : 1));
  let at = 12 + 16 * sorted.length;
  const entries = sorted.map(({ tag, data }) => {
    const entry = Buffer.concat([Buffer.from(tag, "latin1"), u32(0, at, data.length)]);
    at += padded(data).length;
    return entry;
  });
  return Buffer.concat([
    Buffer.from(flavour, "latin1"),
    u16(sorted.length, 0, 0, 0),
    ...entries,
    ...sorted.map(({ data }) => padded(data)),
  ]);
}

/** W3C, "WOFF File Format 1.0" (2012), sections 3–5: header, directory, tables packed by zlib. */
function woff(bytes: Buffer): Buffer {
  const tables = tablesOf(bytes);
  let at = 44 + 20 * tables.length;
  const packed = tables.map(({ tag, data }) => {
    const small = deflateSync(data);
    const kept = small.length < data.length ? small : data;
    const entry = Buffer.concat([Buffer.from(tag, "latin1"), u32(at, kept.length, data.length, 0)]);
    at += padded(kept).length;
    return { entry, body: padded(kept) };
  });
  const size = bytes.length;
  const head = Buffer.concat([Buffer.from("wOFF"), bytes.subarray(0, 4), u32(at), u16(tables.length, 0), u32(size), u16(1, 0), u32(0, 0, 0, 0, 0)]); // prettier-ignore
  return Buffer.concat([head, ...packed.map(({ entry }) => entry), ...packed.map(({ body }) => body)]);
}

/** W3C, "WOFF File Format 2.0" (2022), sections 4 and 5: one brotli stream; outlines by the null transform (version 3). */
function woff2(bytes: Buffer): Buffer {
  const tables = tablesOf(bytes);
  const base128 = (value: number): Buffer => {
    const digits = [value & 127];
    for (let rest = value >>> 7; rest > 0; rest >>>= 7) digits.unshift((rest & 127) | 128);
    return Buffer.from(digits);
  };
  const entries = tables.map(({ tag, data }) => {
    const isOutline = tag === "glyf" || tag === "loca";
    return Buffer.concat([Buffer.from([63 | (isOutline ? 3 << 6 : 0)]), Buffer.from(tag, "latin1"), base128(data.length)]); // prettier-ignore
  });
  const whole = Buffer.concat(tables.map(({ data }) => data));
  const stream = brotliCompressSync(whole, { params: { [constants.BROTLI_PARAM_QUALITY]: 4 } });
  const directory = Buffer.concat(entries);
  const total = padded(Buffer.alloc(48 + directory.length + stream.length)).length;
  const head = Buffer.concat([Buffer.from("wOF2"), bytes.subarray(0, 4), u32(total), u16(tables.length, 0), u32(bytes.length, stream.length), u16(1, 0), u32(0, 0, 0, 0, 0)]); // prettier-ignore
  return padded(Buffer.concat([head, directory, stream]));
}

/**
 * An OpenType font with PostScript outlines: .notdef and H, 1000 units to the em. Adobe Technical Notes 5176 (CFF) and
 * 5177 (Type 2 charstrings).
 */
function opentype(): Buffer {
  const index = (...items: Buffer[]): Buffer => {
    if (items.length === 0) return u16(0);
    const offsets = [1];
    for (const item of items) offsets.push(offsets.at(-1)! + item.length);
    return Buffer.concat([u16(items.length), Buffer.from([2]), u16(...offsets), ...items]);
  };
  // A number of three bytes (28, high, low) stands in dictionaries and charstrings alike.
  const number = (value: number): Buffer => Buffer.concat([Buffer.from([28]), u16(value)]);
  const program = (...parts: (number | "rmoveto" | "rlineto" | "rrcurveto" | "endchar")[]): Buffer =>
    Buffer.concat(parts.map((part) => (typeof part === "number" ? number(part) : Buffer.from([{ rmoveto: 21, rlineto: 5, rrcurveto: 8, endchar: 14 }[part]])))); // prettier-ignore
  // Two stems and a bar that bulges downwards: one curve among the lines.
  const glyph = program(
    80, 0, "rmoveto", 140, 0, 0, 280, "rlineto", 80, -40, 100, -40, 80, 80, "rrcurveto", 0, -280, 140, 0, 0, 700, -140, 0,
    0, -280, -260, 0, 0, 280, -140, 0, "rlineto", "endchar",
  ); // prettier-ignore
  const charstrings = index(program("endchar"), glyph);
  const names = index(Buffer.from("Two"));
  const strings = index();
  const header = Buffer.from([1, 0, 4, 2]);
  const top = (charset: number, chars: number): Buffer =>
    index(Buffer.concat([number(charset), Buffer.from([15]), number(chars), Buffer.from([17]), number(0), number(chars), Buffer.from([18])])); // prettier-ignore
  const before = header.length + names.length + top(0, 0).length + strings.length + index().length;
  const charset = Buffer.concat([Buffer.from([0]), u16(41)]); // the standard string 41 is “H”
  const cff = Buffer.concat([header, names, top(before, before + charset.length), strings, index(), charset, charstrings]); // prettier-ignore
  const head = Buffer.concat([u32(0x10000, 0, 0, 0x5f0f3cf5), u16(0, 1000), u32(0, 0, 0, 0), u16(80, 0, 620, 700, 0, 8, 2, 0, 0)]); // prettier-ignore
  const hhea = Buffer.concat([u32(0x10000), u16(800, -200, 0, 700, 80, 80, 620, 1, 0, 0, 0, 0, 0, 0, 0, 2)]);
  const format4 = u16(4, 32, 0, 4, 4, 1, 0, 72, 0xffff, 0, 72, 0xffff, 1 - 72, 1, 0, 0);
  const cmap = Buffer.concat([u16(0, 1, 3, 1), u32(12), format4]);
  return sfnt("OTTO", [
    { tag: "CFF ", data: cff },
    { tag: "cmap", data: cmap },
    { tag: "head", data: head },
    { tag: "hhea", data: hhea },
    { tag: "hmtx", data: u16(500, 0, 700, 80) },
    { tag: "maxp", data: Buffer.concat([u32(0x5000), u16(2)]) },
    { tag: "name", data: u16(0, 0, 6) },
    { tag: "post", data: Buffer.concat([u32(0x30000), Buffer.alloc(28)]) },
  ]);
}

describe("font files", () => {
  const plain = readOutlineFont(truetype, "letters.ttf");

  it.each([["WOFF", woff], ["WOFF 2", woff2]] as const)("a %s file has the letters of the TrueType file in it", (_, packed) => {
    const font = readOutlineFont(packed(truetype), "letters");
    expect(font.name).toBe(plain.name);
    expect(font.capHeight).toBe(plain.capHeight);
    expect(font.shape("Åsa & Łukasz")).toEqual(plain.shape("Åsa & Łukasz"));
    for (const { glyph } of plain.shape("Marigold").glyphs)
      expect(font.outlineOf(glyph)).toEqual(plain.outlineOf(glyph));
  }); // prettier-ignore

  it("a WOFF 2 file with transformed outlines has the letters of its family's TrueType file", () => {
    const web =
      require.resolve("@fontsource-variable/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next-latin-wght-normal.woff2");
    const font = readOutlineFont(readFileSync(web), "web.woff2");
    const whole = readOutlineFont(
      readFileSync(require.resolve("@expo-google-fonts/atkinson-hyperlegible-next/400Regular/AtkinsonHyperlegibleNext_400Regular.ttf")), // prettier-ignore
      "whole.ttf",
    );
    expect(font.lacking("Marigold")).toEqual([]);
    expect(font.unitsPerEm).toBe(whole.unitsPerEm);
    expect(Math.abs(font.capHeight / whole.capHeight - 1)).toBeLessThan(0.02);
    const { glyphs } = font.shape("M");
    expect(font.outlineOf(glyphs[0]!.glyph).length).toBeGreaterThan(8);
  });

  it("an OpenType file with PostScript outlines has its letter, curves and width", () => {
    const font = readOutlineFont(opentype(), "two.otf");
    expect(font.unitsPerEm).toBe(1000);
    expect(font.capHeight).toBe(700);
    expect(font.lacking("HA")).toEqual(["A"]);
    const { glyphs, width } = font.shape("H");
    expect(width).toBe(700);
    const steps = font.outlineOf(glyphs[0]!.glyph);
    expect(steps[0]).toEqual({ kind: "move", at: [80, 0] });
    expect(steps.find(({ kind }) => kind === "cubic")).toEqual({
      kind: "cubic",
      at: [300, 240, 400, 200, 480, 280],
    });
  });
});
