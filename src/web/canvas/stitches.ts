/**
 * A design's stitches as they travel (contract, designStitches) and as the canvas draws them: typed arrays, and
 * blocks of records with their bounds, so that what lies outside the window is passed over block by block.
 * Positions are whole tenths of mm, y up. Nothing is copied: the arrays look into the bytes that came.
 */
export const STITCH = 0;
export const JUMP = 1;
export const STOP = 2;

/** Records a block holds; small enough that drawing one takes well under a millisecond when zoomed out. */
export const BLOCK = 512;

export interface StitchesDrawn {
  readonly count: number;
  readonly kinds: Uint8Array;
  readonly xTenths: Int32Array;
  readonly yTenths: Int32Array;
  /** Bounds of everything sewn, tenths of mm: left, bottom, right, top; zeros for an empty design. */
  readonly bounds: readonly [number, number, number, number];
  readonly blocks: number;
  /** Four numbers a block: left, bottom, right, top, the move into its first record included. */
  readonly blockBounds: Float64Array;
  /** The part at each block's first record, from 0. */
  readonly blockParts: Int32Array;
  /** The first record of each part. */
  readonly partStarts: readonly number[];
}

/** Reads the bytes of designStitches. Throws a RangeError when they are shorter than their count says. */
export function stitchesFromBytes(bytes: ArrayBuffer): StitchesDrawn {
  if (bytes.byteLength < 4) throw new RangeError(`Stitches need 4 bytes at least; ${bytes.byteLength} came.`);
  const count = new DataView(bytes).getInt32(0, true);
  const padded = (count + 3) & ~3;
  const needed = 4 + padded + count * 8;
  if (count < 0 || bytes.byteLength < needed)
    throw new RangeError(`${count} stitches need ${needed} bytes; ${bytes.byteLength} came.`);
  return indexed(
    new Uint8Array(bytes, 4, count),
    new Int32Array(bytes, 4 + padded, count),
    new Int32Array(bytes, 4 + padded + count * 4, count),
  );
}

/** Finds the blocks' bounds and parts in one pass. */
export function indexed(kinds: Uint8Array, xTenths: Int32Array, yTenths: Int32Array): StitchesDrawn {
  const count = kinds.length;
  const blocks = Math.ceil(count / BLOCK);
  const blockBounds = new Float64Array(blocks * 4);
  const blockParts = new Int32Array(blocks);
  const partStarts = [0];
  let [left, bottom, right, top] = [Infinity, Infinity, -Infinity, -Infinity];
  let part = 0;
  let [penX, penY] = [0, 0];
  for (let block = 0; block < blocks; block++) {
    let [l, b, r, t] = [penX, penY, penX, penY];
    blockParts[block] = part;
    const end = Math.min(count, (block + 1) * BLOCK);
    for (let i = block * BLOCK; i < end; i++) {
      const x = xTenths[i]!;
      const y = yTenths[i]!;
      if (x < l) l = x;
      if (x > r) r = x;
      if (y < b) b = y;
      if (y > t) t = y;
      if (kinds[i] === STITCH) {
        if (Math.min(x, penX) < left) left = Math.min(x, penX);
        if (Math.max(x, penX) > right) right = Math.max(x, penX);
        if (Math.min(y, penY) < bottom) bottom = Math.min(y, penY);
        if (Math.max(y, penY) > top) top = Math.max(y, penY);
      } else if (kinds[i] === STOP) {
        part++;
        partStarts.push(i + 1);
      }
      penX = x;
      penY = y;
    }
    blockBounds.set([l, b, r, t], block * 4);
  }
  const bounds: StitchesDrawn["bounds"] = left <= right ? [left, bottom, right, top] : [0, 0, 0, 0];
  return { count, kinds, xTenths, yTenths, bounds, blocks, blockBounds, blockParts, partStarts };
}

/** The part that record `index` belongs to, from 0. */
export function partAt(stitches: StitchesDrawn, index: number): number {
  let part = 0;
  while (part + 1 < stitches.partStarts.length && stitches.partStarts[part + 1]! <= index) part++;
  return part;
}
