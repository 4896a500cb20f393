/**
 * What a picture file says about itself: how it is turned and through which lens it was taken. Reads the Exif block of
 * JPEG (APP1), PNG (eXIf) and WebP (EXIF). Sources: CIPA DC-008 (Exif 2.32) §4.5 and §4.6, TIFF 6.0 §2, PNG third
 * edition §11.3.4.4, RFC 9649 (WebP) §2.7 (layouts from memory). Nothing a file holds makes this throw: what is
 * broken is told in `troubles`, and what could be read stands.
 */

export type PictureKind = "jpeg" | "png" | "webp" | "unknown";

/** 1: as stored; 2 mirrored; 3 half turn; 4 mirrored half turn; 5 transposed; 6 a quarter clockwise to upright; 7 transverse; 8 a quarter back. */
export type Orientation = 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8;

export interface PictureFacts {
  readonly kind: PictureKind;
  /** Size as stored, before any turning, px; null where the file's head does not say. */
  readonly widthPx: number | null;
  readonly heightPx: number | null;
  /** How the stored rows are to be turned; 1 where nothing is said. */
  readonly orientation: Orientation;
  /** Focal length as on 35 mm film, mm (Exif FocalLengthIn35mmFilm); null where it is not told or told as unknown. */
  readonly focal35Mm: number | null;
  /** What could not be read, in plain words; empty for a sound file, with or without Exif. */
  readonly troubles: readonly string[];
}

interface Found {
  widthPx: number | null;
  heightPx: number | null;
  orientation: Orientation;
  focal35Mm: number | null;
  troubles: string[];
}

const ORIENTATION = 0x0112;
const EXIF_IFD = 0x8769;
const FOCAL_35MM = 0xa405;
/** Entries of one directory that are looked at; real ones have some dozens. */
const MOST_ENTRIES = 1000;

const view = (bytes: Uint8Array): DataView => new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
const named = (bytes: Uint8Array, at: number, name: string): boolean =>
  at + name.length <= bytes.length && [...name].every((letter, i) => bytes[at + i] === letter.charCodeAt(0));

/** What a JPEG, PNG or WebP file says of its pixels; any other file comes back as "unknown". */
export function pictureFacts(bytes: Uint8Array): PictureFacts {
  const found: Found = { widthPx: null, heightPx: null, orientation: 1, focal35Mm: null, troubles: [] };
  const kind = kindOf(bytes);
  if (kind === "jpeg") readJpeg(bytes, found);
  if (kind === "png") readPng(bytes, found);
  if (kind === "webp") readWebp(bytes, found);
  return { kind, ...found };
}

function kindOf(bytes: Uint8Array): PictureKind {
  if (bytes.length > 3 && bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff) return "jpeg";
  if (named(bytes, 0, "\x89PNG\r\n\x1a\n")) return "png";
  if (named(bytes, 0, "RIFF") && named(bytes, 8, "WEBP")) return "webp";
  return "unknown";
}

/** Markers up to the first scan: sizes stand in SOF, Exif in the first APP1 that begins with its name. */
function readJpeg(bytes: Uint8Array, found: Found): void {
  const data = view(bytes);
  let at = 2;
  let exifSeen = false;
  while (at + 4 <= bytes.length) {
    if (bytes[at] !== 0xff) return void found.troubles.push("The JPEG's parts do not follow one another.");
    const marker = bytes[at + 1]!;
    if (marker === 0xff) {
      at++;
      continue;
    }
    if (marker === 0x01 || (0xd0 <= marker && marker <= 0xd8)) {
      at += 2;
      continue;
    }
    if (marker === 0xda || marker === 0xd9) return;
    const length = data.getUint16(at + 2);
    if (length < 2 || at + 2 + length > bytes.length)
      return void found.troubles.push("A part of the JPEG reaches beyond the file's end.");
    const isFrame = 0xc0 <= marker && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc;
    if (isFrame && length >= 7) {
      found.heightPx = data.getUint16(at + 5) || null;
      found.widthPx = data.getUint16(at + 7) || null;
    }
    if (marker === 0xe1 && !exifSeen && named(bytes, at + 4, "Exif\0\0")) {
      exifSeen = true;
      readTiff(bytes.subarray(at + 10, at + 2 + length), found);
    }
    at += 2 + length;
  }
}

function readPng(bytes: Uint8Array, found: Found): void {
  const data = view(bytes);
  let at = 8;
  while (at + 12 <= bytes.length) {
    const length = data.getUint32(at);
    if (length > bytes.length - at - 12)
      return void found.troubles.push("A part of the PNG reaches beyond the file's end.");
    if (named(bytes, at + 4, "IHDR") && length >= 8) {
      found.widthPx = data.getUint32(at + 8) || null;
      found.heightPx = data.getUint32(at + 12) || null;
    }
    if (named(bytes, at + 4, "eXIf")) readTiff(bytes.subarray(at + 8, at + 8 + length), found);
    if (named(bytes, at + 4, "IEND")) return;
    at += 12 + length;
  }
}

function readWebp(bytes: Uint8Array, found: Found): void {
  const data = view(bytes);
  let at = 12;
  while (at + 8 <= bytes.length) {
    const length = data.getUint32(at + 4, true);
    const body = at + 8;
    if (length > bytes.length - body)
      return void found.troubles.push("A part of the WebP reaches beyond the file's end.");
    if (named(bytes, at, "VP8X") && length >= 10) {
      found.widthPx = 1 + (data.getUint32(body + 4, true) & 0xffffff);
      found.heightPx = 1 + (data.getUint16(body + 7, true) | (bytes[body + 9]! << 16));
    }
    if (named(bytes, at, "EXIF")) {
      // Some writers put JPEG's name before the block.
      const block = bytes.subarray(body, body + length);
      readTiff(named(block, 0, "Exif\0\0") ? block.subarray(6) : block, found);
    }
    at = body + length + (length & 1);
  }
}

/** The TIFF block: byte order, 42, the first directory, and the Exif directory it names. */
function readTiff(block: Uint8Array, found: Found): void {
  const little = named(block, 0, "II");
  if (block.length < 8 || (!little && !named(block, 0, "MM")))
    return void found.troubles.push("The picture's notes (Exif) name no byte order.");
  const data = view(block);
  if (data.getUint16(2, little) !== 42)
    return void found.troubles.push("The picture's notes (Exif) do not begin as they must.");
  const exif = readDirectory(block, data.getUint32(4, little), little, found);
  if (exif !== null) readDirectory(block, exif, little, found);
}

/** Reads one directory's entries; where it names the Exif directory, that one's place. */
function readDirectory(block: Uint8Array, at: number, little: boolean, found: Found): number | null {
  const data = view(block);
  if (at < 8 || at + 2 > block.length) {
    found.troubles.push("A directory of the picture's notes (Exif) lies outside them.");
    return null;
  }
  const count = data.getUint16(at, little);
  const fitting = Math.min(count, MOST_ENTRIES, Math.floor((block.length - at - 2) / 12));
  if (fitting < count) found.troubles.push("A directory of the picture's notes (Exif) is cut off.");
  let exif: number | null = null;
  for (let i = 0; i < fitting; i++) {
    const entry = at + 2 + 12 * i;
    const tag = data.getUint16(entry, little);
    if (tag !== ORIENTATION && tag !== EXIF_IFD && tag !== FOCAL_35MM) continue;
    const type = data.getUint16(entry + 2, little);
    const values = data.getUint32(entry + 4, little);
    // SHORT (3) or LONG (4), one value, which then stands in the entry itself.
    if (values !== 1 || (type !== 3 && type !== 4)) {
      found.troubles.push(`A value of the picture's notes (Exif ${tag.toString(16)}) has a wrong form.`);
      continue;
    }
    const value = type === 3 ? data.getUint16(entry + 8, little) : data.getUint32(entry + 8, little);
    if (tag === EXIF_IFD) exif = value;
    else if (tag === FOCAL_35MM) found.focal35Mm = 0 < value && value < 2000 ? value : null;
    else if (1 <= value && value <= 8) found.orientation = value as Orientation;
    else found.troubles.push(`The picture's notes tell of a turn ${value}; there are eight, 1 to 8.`);
  }
  return exif;
}
