import type { Stitches } from "#core/stitch";

/** The form that the row `designStitches` documents: count, kinds padded to four bytes, x and y. Little-endian. */
export function packedStitches({ kind, x, y }: Stitches): Uint8Array {
  const count = kind.length;
  const padded = (count + 3) & ~3;
  const bytes = new Uint8Array(4 + padded + 8 * count);
  new DataView(bytes.buffer).setInt32(0, count, true);
  bytes.set(kind, 4);
  // Every platform Node runs on is little-endian, so the arrays' own bytes are the wire's.
  bytes.set(new Uint8Array(x.buffer, x.byteOffset, 4 * count), 4 + padded);
  bytes.set(new Uint8Array(y.buffer, y.byteOffset, 4 * count), 4 + padded + 4 * count);
  return bytes;
}
