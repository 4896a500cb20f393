import { decode as decodePng } from "fast-png";
import { decode as decodeJpeg } from "jpeg-js";
import { type Artwork, type Picture, readPicture, readSvg, refuseStitches } from "#core/stitch";

const MOST_DOTS = 40_000_000;

/**
 * Reads artwork from the bytes of a file, by what they are and not by its name: an SVG drawing in any Unicode
 * encoding, or a PNG or JPEG picture.
 * @throws `not-a-drawing` with what was found, `drawing-too-large`
 */
export function readArtwork(bytes: Uint8Array, options: { readonly mostColours?: number } = {}): Artwork {
  if (bytes.length === 0) refused("an empty file");
  if (startsWith(bytes, [0x89, 0x50, 0x4e, 0x47])) return readPicture(pngPicture(bytes), options);
  if (startsWith(bytes, [0xff, 0xd8, 0xff])) return readPicture(jpegPicture(bytes), options);
  const text = textOf(bytes);
  if (!/<\s*(?:\w+:)?svg[\s>]/i.test(text)) refused(kindOf(bytes));
  return readSvg(text);
}

const startsWith = (bytes: Uint8Array, start: readonly number[]): boolean =>
  start.every((byte, i) => bytes[i] === byte);

function textOf(bytes: Uint8Array): string {
  if (startsWith(bytes, [0xff, 0xfe])) return new TextDecoder("utf-16le").decode(bytes);
  if (startsWith(bytes, [0xfe, 0xff])) return new TextDecoder("utf-16be").decode(bytes);
  const head = new TextDecoder("latin1").decode(bytes.subarray(0, 200));
  const named = /encoding\s*=\s*["']([\w-]+)["']/i.exec(head)?.[1];
  try {
    return new TextDecoder(named ?? "utf-8").decode(bytes);
  } catch {
    return new TextDecoder().decode(bytes);
  }
}

function pngPicture(bytes: Uint8Array): Picture {
  // The size stands in the first chunk, before anything is unpacked.
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.length > 24) refuseLarge(view.getUint32(16), view.getUint32(20));
  try {
    const { width, height, data, channels, depth, palette } = decodePng(bytes);
    const rgba = new Uint8Array(width * height * 4);
    const most = 2 ** depth - 1;
    for (let i = 0; i < width * height; i++) {
      const at = i * channels;
      const value = (c: number): number =>
        depth === 8 ? data[at + c]! : Math.round((data[at + c]! * 255) / most);
      if (palette) {
        const colour = palette[packed(data, depth, width, i)] ?? [0, 0, 0];
        rgba.set([colour[0]!, colour[1]!, colour[2]!, colour[3] ?? 255], 4 * i);
      } else if (channels < 3) {
        const grey =
          channels === 1 && depth < 8 ? Math.round((packed(data, depth, width, i) * 255) / most) : value(0);
        rgba.set([grey, grey, grey, channels === 2 ? value(1) : 255], 4 * i);
      } else rgba.set([value(0), value(1), value(2), channels === 4 ? value(3) : 255], 4 * i);
    }
    return { width, height, rgba };
  } catch (trouble) {
    throw damaged("PNG", trouble);
  }
}

/** A dot's value where several stand in one byte, each row beginning a byte of its own. */
function packed(data: ArrayLike<number>, depth: number, width: number, i: number): number {
  if (depth >= 8) return data[i]!;
  const perByte = 8 / depth;
  const [x, y] = [i % width, Math.floor(i / width)];
  const byte = data[y * Math.ceil(width / perByte) + Math.floor(x / perByte)]!;
  return (byte >> (8 - depth * ((x % perByte) + 1))) & (2 ** depth - 1);
}

function jpegPicture(bytes: Uint8Array): Picture {
  try {
    const { width, height, data } = decodeJpeg(bytes, {
      useTArray: true,
      formatAsRGBA: true,
      maxResolutionInMP: MOST_DOTS / 1e6,
      maxMemoryUsageInMB: 512,
    });
    return { width, height, rgba: data };
  } catch (trouble) {
    if (trouble instanceof Error && /maxResolution|maxMemory/.test(trouble.message))
      throw refuseStitches("drawing-too-large", "The picture has more than 40 million dots.");
    throw damaged("JPEG", trouble);
  }
}

function refuseLarge(width: number, height: number): void {
  if (width * height > MOST_DOTS)
    throw refuseStitches(
      "drawing-too-large",
      `The picture has ${width} × ${height} dots; at most 40 million are read.`,
    );
}

const damaged = (kind: string, trouble: unknown): Error =>
  refuseStitches("not-a-drawing", `The ${kind} picture is damaged: ${trouble instanceof Error ? trouble.message : "it cannot be unpacked"}.`); // prettier-ignore

function refused(found: string): never {
  throw refuseStitches("not-a-drawing", `This is ${found}, not a drawing or a picture that can be sewn.`, [
    { field: "artwork", found, expected: "an SVG drawing, or a PNG or JPEG picture" },
  ]);
}

function kindOf(bytes: Uint8Array): string {
  const head = new TextDecoder("latin1").decode(bytes.subarray(0, 12));
  if (head.startsWith("%PDF")) return "a PDF document";
  if (head.startsWith("GIF8")) return "a GIF picture";
  if (head.startsWith("RIFF")) return "a WebP picture";
  if (head.startsWith("PK")) return "a zip archive";
  if (/^\s*</.test(head)) return "another kind of XML document";
  return "a file of another kind";
}
