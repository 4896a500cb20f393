import { refuseCsv } from "./refusals";

/**
 * Which characters the bytes are. A byte order mark decides; without one, zero bytes in every other place tell
 * UTF-16, valid multi-byte sequences UTF-8 (the odds of Windows-1252 text being valid UTF-8 by chance fall by 4 or
 * more with every accented letter), and what is left is Windows-1252 (WHATWG Encoding Standard, section 4).
 */
export type Encoding = "utf-8" | "utf-16le" | "utf-16be" | "windows-1252";

export interface EncodingFound {
  readonly encoding: Encoding;
  /** In words, for the preview. */
  readonly why: string;
}

const names: Record<Encoding, string> = {
  "utf-8": "UTF-8",
  "utf-16le": "UTF-16 (little-endian)",
  "utf-16be": "UTF-16 (big-endian)",
  "windows-1252": "Windows-1252",
};

const startsWith = (bytes: Uint8Array, ...values: number[]) =>
  values.every((value, index) => bytes[index] === value);
const ascii = (bytes: Uint8Array, to: number) => String.fromCharCode(...bytes.subarray(0, to));

/** What a file that is no CSV is, by its first bytes; null for what may be text. */
export function foreignFormat(bytes: Uint8Array): string | null {
  if (startsWith(bytes, 0x50, 0x4b, 0x03, 0x04) || startsWith(bytes, 0x50, 0x4b, 0x05, 0x06)) {
    const names = ascii(bytes, Math.min(bytes.length, 4000));
    return /xl\/|\[Content_Types\]|mimetypeapplication\/vnd/.test(names)
      ? "a spreadsheet or document file"
      : "a zip archive or a spreadsheet file";
  }
  if (startsWith(bytes, 0xd0, 0xcf, 0x11, 0xe0)) return "a spreadsheet or document file of the older kind";
  if (startsWith(bytes, 0x25, 0x50, 0x44, 0x46)) return "a PDF document";
  if (startsWith(bytes, 0x1f, 0x8b)) return "a gzip archive";
  if (startsWith(bytes, 0x89, 0x50, 0x4e, 0x47)) return "a PNG picture";
  if (startsWith(bytes, 0xff, 0xd8, 0xff)) return "a JPEG picture";
  if (startsWith(bytes, 0x47, 0x49, 0x46, 0x38)) return "a GIF picture";
  const start = ascii(bytes, Math.min(bytes.length, 200))
    .replace(/^\u00ef\u00bb\u00bf/, "")
    .trimStart()
    .toLowerCase();
  if (start.startsWith("{\\rtf")) return "a formatted text document (RTF)";
  if (start.startsWith("<!doctype html") || start.startsWith("<html")) return "a web page (HTML)";
  if (start.startsWith("<?xml") || start.startsWith("<svg")) return "an XML document";
  if (/^[[{]\s*["{[]/.test(start)) return "a JSON document";
  if (start.startsWith("sqlite format 3")) return "a database file";
  return null;
}

/** Recognises the encoding; refuses what is not text, naming what was found. */
export function recogniseEncoding(bytes: Uint8Array): EncodingFound {
  const foreign = foreignFormat(bytes);
  if (foreign)
    throw refuseCsv("import-not-csv", `The file is ${foreign}, not a CSV file.`, [
      { found: foreign, expected: "CSV text" },
    ]);
  if (startsWith(bytes, 0xef, 0xbb, 0xbf))
    return { encoding: "utf-8", why: `${names["utf-8"]}, said by a byte order mark` };
  if (startsWith(bytes, 0xff, 0xfe))
    return { encoding: "utf-16le", why: `${names["utf-16le"]}, said by a byte order mark` };
  if (startsWith(bytes, 0xfe, 0xff))
    return { encoding: "utf-16be", why: `${names["utf-16be"]}, said by a byte order mark` };
  const wide = recogniseWide(bytes);
  if (wide)
    return { encoding: wide, why: `${names[wide]}, without a byte order mark; every other byte is zero` };
  refuseBinary(bytes);
  const { wide: sequences, broken } = countUtf8(bytes);
  if (broken === 0)
    return {
      encoding: "utf-8",
      why:
        sequences === 0
          ? `${names["utf-8"]} (only plain letters)`
          : `${names["utf-8"]}, without a byte order mark`,
    };
  if (sequences > 3 * broken)
    return {
      encoding: "utf-8",
      why: `${names["utf-8"]}, with ${broken} damaged ${broken === 1 ? "place" : "places"} shown as \ufffd`,
    };
  return {
    encoding: "windows-1252",
    why: `${names["windows-1252"]}: the accented letters are not valid UTF-8`,
  };
}

/** UTF-16 without a mark: zero bytes at even or odd places only, and line ends as whole units. */
function recogniseWide(bytes: Uint8Array): "utf-16le" | "utf-16be" | null {
  const length = Math.min(bytes.length, 64_000) & ~1;
  if (length < 4 || bytes.length % 2 !== 0) return null;
  let high = 0;
  let low = 0;
  for (let index = 0; index < length; index += 2) {
    if (bytes[index] === 0) high++;
    if (bytes[index + 1] === 0) low++;
  }
  const units = length / 2;
  // Half the units suffice: separators, digits and line ends are plain letters even where names are not.
  if (low > 0.3 * units && high < 0.02 * units) return "utf-16le";
  if (high > 0.3 * units && low < 0.02 * units) return "utf-16be";
  return null;
}

function refuseBinary(bytes: Uint8Array): void {
  let control = 0;
  const length = Math.min(bytes.length, 200_000);
  for (let index = 0; index < length; index++) {
    const byte = bytes[index]!;
    if (byte === 0) {
      const found = `a zero byte at byte ${index}`;
      throw refuseCsv("import-not-csv", `The file is not text: there is ${found}.`, [
        { found, expected: "CSV text" },
      ]);
    }
    if (byte < 32 && byte !== 9 && byte !== 10 && byte !== 13 && byte !== 12) control++;
  }
  if (control > 8 && control > length / 100) {
    const found = `${control} control characters in the first ${length} bytes`;
    throw refuseCsv("import-not-csv", `The file is not text: there are ${found}.`, [
      { found, expected: "CSV text" },
    ]);
  }
}

/** Counts whole multi-byte sequences and broken places (RFC 3629, table of well-formed byte sequences). */
function countUtf8(bytes: Uint8Array): { wide: number; broken: number } {
  let wide = 0;
  let broken = 0;
  let index = 0;
  while (index < bytes.length) {
    const lead = bytes[index]!;
    if (lead < 0x80) {
      index++;
      continue;
    }
    const needed =
      0xc2 <= lead && lead <= 0xdf
        ? 1
        : 0xe0 <= lead && lead <= 0xef
          ? 2
          : 0xf0 <= lead && lead <= 0xf4
            ? 3
            : 0;
    const second = bytes[index + 1] ?? 0;
    const lowest = lead === 0xe0 ? 0xa0 : lead === 0xf0 ? 0x90 : 0x80;
    const highest = lead === 0xed ? 0x9f : lead === 0xf4 ? 0x8f : 0xbf;
    let whole = needed > 0 && lowest <= second && second <= highest;
    for (let step = 2; whole && step <= needed; step++) whole = ((bytes[index + step] ?? 0) & 0xc0) === 0x80;
    if (whole) wide++;
    else broken++;
    index += whole ? needed + 1 : 1;
  }
  return { wide, broken };
}

/** Bytes 0x80 to 0x9f of Windows-1252 (WHATWG Encoding Standard, index windows-1252); the rest is as in Latin-1. */
const upper =
  "\u20ac\u0081\u201a\u0192\u201e\u2026\u2020\u2021\u02c6\u2030\u0160\u2039\u0152\u008d\u017d\u008f\u0090\u2018\u2019\u201c\u201d\u2022\u2013\u2014\u02dc\u2122\u0161\u203a\u0153\u009d\u017e\u0178";

/** Decoded here because TextDecoder of Node 20 reads these bytes as Latin-1. */
const windows1252 = (bytes: Uint8Array): string =>
  Buffer.from(bytes)
    .toString("latin1")
    .replace(/[\u0080-\u009f]/g, (letter) => upper[letter.charCodeAt(0) - 0x80]!);

/** The bytes as UTF-8 bytes without a mark, from whatever they were; the parser works on these. */
export function toUtf8(bytes: Uint8Array, encoding: Encoding): Uint8Array {
  if (encoding === "utf-8") return startsWith(bytes, 0xef, 0xbb, 0xbf) ? bytes.subarray(3) : bytes;
  if (encoding === "windows-1252") return Buffer.from(windows1252(bytes), "utf8");
  // TextDecoder drops the mark itself.
  return new TextEncoder().encode(new TextDecoder(encoding).decode(bytes));
}
