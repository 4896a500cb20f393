import { describe, expect, it } from "vitest";
import { pictureFacts } from "./exif";

/**
 * Files built byte by byte by the layouts of the standards: Exif (CIPA DC-008) on TIFF 6.0 in JPEG's APP1, PNG's eXIf
 * (PNG third edition), WebP's EXIF (RFC 9649). From memory.
 */
const text = (words: string) => [...words].map((letter) => letter.charCodeAt(0));
const short = (value: number, little: boolean) =>
  little ? [value & 255, value >> 8] : [value >> 8, value & 255];
const long = (value: number, little: boolean) =>
  little
    ? [value & 255, (value >> 8) & 255, (value >> 16) & 255, value >>> 24]
    : [value >>> 24, (value >> 16) & 255, (value >> 8) & 255, value & 255];

interface Notes {
  readonly orientation?: number;
  readonly focal35?: number;
  readonly little?: boolean;
  /** Where the Exif directory is said to be, when not where it is. */
  readonly exifAt?: number;
  readonly firstAt?: number;
  readonly count?: number;
}

/** IFD0 with Make (ASCII, to be passed over), Orientation and the Exif IFD, which holds the focal length. */
function tiff({
  orientation = 1,
  focal35 = 26,
  little = true,
  exifAt,
  firstAt = 8,
  count = 3,
}: Notes): number[] {
  const entry = (tag: number, type: number, values: number, value: number[]) => [
    ...short(tag, little),
    ...short(type, little),
    ...long(values, little),
    ...value,
  ];
  const exif = 8 + 2 + 3 * 12 + 4;
  return [
    ...text(little ? "II" : "MM"),
    ...short(42, little),
    ...long(firstAt, little),
    ...short(count, little),
    ...entry(0x010f, 2, 4, text("abc\0")),
    ...entry(0x0112, 3, 1, [...short(orientation, little), 0, 0]),
    ...entry(0x8769, 4, 1, long(exifAt ?? exif, little)),
    ...long(0, little),
    ...short(1, little),
    ...entry(0xa405, 3, 1, [...short(focal35, little), 0, 0]),
    ...long(0, little),
  ];
}

const part = (marker: number, body: number[]) => [0xff, marker, ...short(body.length + 2, false), ...body];
const jpeg = (notes: number[], before: number[] = []) =>
  Uint8Array.from([
    0xff, 0xd8,
    ...before,
    ...part(0xe1, [...text("Exif\0\0"), ...notes]),
    ...part(0xc0, [8, ...short(3000, false), ...short(4000, false), 3, 1, 0x22, 0, 2, 0x11, 1, 3, 0x11, 1]),
    ...part(0xda, [1, 1, 0, 0, 63, 0]), 1, 2, 3, 0xff, 0xd9,
  ]); // prettier-ignore
const chunk = (name: string, body: number[]) => [
  ...long(body.length, false),
  ...text(name),
  ...body,
  0,
  0,
  0,
  0,
];
const png = (notes: number[]) =>
  Uint8Array.from([
    0x89, ...text("PNG\r\n\x1a\n"),
    ...chunk("IHDR", [...long(640, false), ...long(480, false), 8, 2, 0, 0, 0]),
    ...chunk("eXIf", notes),
    ...chunk("IDAT", [1, 2, 3]),
    ...chunk("IEND", []),
  ]); // prettier-ignore
const riff = (name: string, body: number[]) => [...text(name), ...long(body.length, true), ...body, ...(body.length & 1 ? [0] : [])]; // prettier-ignore
const webp = (notes: number[]) => {
  const size = (one: number) => long(one - 1, true).slice(0, 3);
  const body = [
    ...text("WEBP"),
    ...riff("VP8X", [8, 0, 0, 0, ...size(1200), ...size(70_000)]),
    ...riff("VP8 ", [1, 2, 3]),
    ...riff("EXIF", notes),
  ];
  return Uint8Array.from([...text("RIFF"), ...long(body.length, true), ...body]);
};

describe("what a picture file says of itself", () => {
  it.each([1, 2, 3, 4, 5, 6, 7, 8] as const)(
    "orientation %d in JPEG, PNG and WebP, both byte orders",
    (orientation) => {
      for (const little of [true, false]) {
        const notes = tiff({ orientation, focal35: 27, little });
        expect(pictureFacts(jpeg(notes))).toEqual({ kind: "jpeg", widthPx: 4000, heightPx: 3000, orientation, focal35Mm: 27, troubles: [] }); // prettier-ignore
        expect(pictureFacts(png(notes))).toEqual({ kind: "png", widthPx: 640, heightPx: 480, orientation, focal35Mm: 27, troubles: [] }); // prettier-ignore
        expect(pictureFacts(webp(notes))).toEqual({ kind: "webp", widthPx: 1200, heightPx: 70_000, orientation, focal35Mm: 27, troubles: [] }); // prettier-ignore
        expect(pictureFacts(webp([...text("Exif\0\0"), ...notes])).orientation).toBe(orientation);
      }
    },
  );

  it("parts before the notes and filling bytes are passed over; other APP1 parts are none of ours", () => {
    const before = [...part(0xe0, text("JFIF\0")), ...part(0xe1, text("http://ns.example/\0<x/>")), 0xff];
    expect(pictureFacts(jpeg(tiff({ orientation: 6 }), before)).orientation).toBe(6);
  });

  it("an unknown focal length (0) and a file without notes are no trouble", () => {
    expect(pictureFacts(jpeg(tiff({ focal35: 0 })))).toMatchObject({ focal35Mm: null, troubles: [] });
    const bare = Uint8Array.from([0xff, 0xd8, ...part(0xc2, [8, 0, 9, 0, 7, 1, 1, 17, 0]), 0xff, 0xd9]);
    expect(pictureFacts(bare)).toEqual({ kind: "jpeg", widthPx: 7, heightPx: 9, orientation: 1, focal35Mm: null, troubles: [] }); // prettier-ignore
    expect(pictureFacts(Uint8Array.from(text("GIF89a"))).kind).toBe("unknown");
    expect(pictureFacts(new Uint8Array()).kind).toBe("unknown");
  });

  it("a turn that does not exist is told and the rest stands", () => {
    const facts = pictureFacts(jpeg(tiff({ orientation: 9 })));
    expect(facts).toMatchObject({ orientation: 1, focal35Mm: 26 });
    expect(facts.troubles).toEqual(["The picture's notes tell of a turn 9; there are eight, 1 to 8."]);
  });

  it.each([
    ["a directory outside the notes", tiff({ orientation: 6, firstAt: 4_000_000_000 })],
    ["the Exif directory outside the notes", tiff({ orientation: 6, exifAt: 0xfffffff0 })],
    ["a directory that names itself and more entries than fit", tiff({ exifAt: 8, count: 60_000 })],
    ["no byte order", [1, 2, 3, 4, 5, 6, 7, 8]],
    ["not 42", [...text("II"), 43, 0, 8, 0, 0, 0]],
    ["nothing", []],
  ])("%s is told, never thrown", (_name, notes) => {
    for (const file of [jpeg(notes), png(notes), webp(notes)]) {
      const facts = pictureFacts(file);
      expect(facts.troubles.length).toBeGreaterThan(0);
      expect(facts.widthPx).not.toBeNull();
    }
  });

  it("no cut and no wrong byte makes it throw or hang", () => {
    for (const file of [jpeg(tiff({ orientation: 6 })), png(tiff({})), webp(tiff({ little: false }))]) {
      for (let length = 0; length <= file.length; length++) pictureFacts(file.slice(0, length));
      for (let at = 0; at < file.length; at++)
        for (const value of [0, 1, 0x7f, 0x80, 0xff]) {
          const changed = file.slice();
          changed[at] = value;
          const facts = pictureFacts(changed);
          expect(1 <= facts.orientation && facts.orientation <= 8).toBe(true);
        }
    }
  });
});
