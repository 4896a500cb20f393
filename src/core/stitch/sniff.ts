/** Beginnings by which common files are known (their own public format descriptions); from memory. */
const BEGINNINGS: readonly (readonly [string, string])[] = [
  ["\x89PNG", "a PNG picture"],
  ["\xff\xd8\xff", "a JPEG picture"],
  ["GIF8", "a GIF picture"],
  ["BM", "a BMP picture"],
  ["II*\0", "a TIFF picture"],
  ["MM\0*", "a TIFF picture"],
  ["PK\x03\x04", "a ZIP archive (unpack it first, or drop it where archives are taken)"],
  ["PK\x05\x06", "an empty ZIP archive"],
  ["%PDF", "a PDF document"],
  ["\x1f\x8b", "a gzip archive"],
  ["7z\xbc\xaf", "a 7z archive"],
  ["Rar!", "a RAR archive"],
  ["\x7fELF", "a program"],
  ["MZ", "a program"],
  ["SQLite format 3", "an SQLite database"],
  ["\xd0\xcf\x11\xe0", "an old office document"],
];

/** What the bytes are when they are plainly not a machine file ("a PNG picture"); null when they may be one. */
export function guessContent(bytes: Uint8Array): string | null {
  const head = String.fromCharCode(...bytes.subarray(0, 512));
  // A header field within the first bytes speaks for a machine file, whatever its first letters happen to be.
  if (/^(LA|ST|CO|[+-][XY]|AX|AY):/.test(head) || /[\r\n](ST|CO|[+-][XY]):/.test(head)) return null;
  if (head.startsWith("RIFF"))
    return head.slice(8, 12) === "WEBP" ? "a WebP picture" : "a sound or film file";
  for (const [beginning, what] of BEGINNINGS) if (head.startsWith(beginning)) return what;
  const text = head.replace(/^\xef\xbb\xbf/, "").trimStart();
  if (/^<\?xml|^<svg/i.test(text)) return /<svg/i.test(text) ? "an SVG picture" : "an XML document";
  if (/^<!doctype html|^<html/i.test(text)) return "a web page";
  if (/^[{[]\s*["{[\d]/.test(text)) return "a JSON document";
  if (head.length > 0 && looksLikeText(bytes)) return "text";
  return null;
}

function looksLikeText(bytes: Uint8Array): boolean {
  const sample = bytes.subarray(0, 4096);
  if (sample[0] === 0xff && sample[1] === 0xfe) return true;
  let letters = 0;
  for (const byte of sample) {
    if (byte < 9 || (byte > 13 && byte < 32) || byte === 127) return false;
    if (byte > 32 && byte < 127) letters++;
  }
  return letters * 2 > sample.length;
}
