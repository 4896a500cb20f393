/**
 * Outlines of the dark spots, by following borders: S. Suzuki, K. Abe, Topological structural analysis of digitized
 * binary images by border following, Computer Vision, Graphics, and Image Processing 30 (1985) 32–46, Appendix I,
 * without the tree (from memory). Every border is followed once, also those of holes, for that marks them as seen;
 * only outer borders are given out. Dark spots hang together over corners (8-connected).
 */
import type { DarkMask } from "./threshold";

/** Steps to the eight neighbours, clockwise from the right (y down). */
const DX = Int8Array.of(1, 1, 0, -1, -1, -1, 0, 1);
const DY = Int8Array.of(0, 1, 1, 1, 0, -1, -1, -1);

/** An outer border: pixel centres in turn, each a neighbour of the one before; counter-clockwise as seen. */
export interface Outline {
  readonly count: number;
  /** x and y in the picture without the mask's border; only the first `count` hold. Reused: copy what is kept. */
  readonly x: Int32Array;
  readonly y: Int32Array;
}

/**
 * Calls `see` with each outer border whose followed length lies in the range. The mask is used up: values other than
 * 0 are overwritten by marks (2: border seen, −2: border seen with light on the right).
 */
export function followOutlines(
  mask: DarkMask,
  range: { readonly shortest: number; readonly longest: number },
  see: (outline: Outline) => void,
): void {
  const { data, stride, rows } = mask;
  const step = Int32Array.from(DX, (dx, k) => DY[k]! * stride + dx);
  const xs = new Int32Array(range.longest);
  const ys = new Int32Array(range.longest);

  /** Follows the border on which `start` lies; `from` is the direction of a light neighbour. Its length. */
  const follow = (start: number, from: number, keep: boolean): number => {
    // The first dark neighbour clockwise from the light one: the border's last pixel.
    let k = 0;
    while (k < 8 && data[start + step[(from + k) & 7]!] === 0) k++;
    if (k === 8) {
      data[start] = -2;
      return 1;
    }
    const last = start + step[(from + k) & 7]!;
    let at = start;
    let back = (from + k) & 7;
    let count = 0;
    for (;;) {
      // Counter-clockwise from where we came; note whether the right neighbour was looked at and light.
      let look = (back + 7) & 7;
      let rightLight = false;
      while (data[at + step[look]!] === 0) {
        if (look === 0) rightLight = true;
        look = (look + 7) & 7;
      }
      if (rightLight) data[at] = -2;
      else if (data[at] === 1) data[at] = 2;
      if (keep && count < range.longest) {
        xs[count] = (at % stride) - 1;
        ys[count] = ((at / stride) | 0) - 1;
      }
      count++;
      const next = at + step[look]!;
      if (next === start && at === last) return count;
      at = next;
      back = (look + 4) & 7;
    }
  };

  for (let row = 1; row < rows - 1; row++)
    for (let at = row * stride + 1, end = row * stride + stride - 1; at < end; at++) {
      const value = data[at]!;
      if (value === 0) continue;
      if (value === 1 && data[at - 1] === 0) {
        const count = follow(at, 4, true);
        if (range.shortest <= count && count <= range.longest) see({ count, x: xs, y: ys });
      } else if (value >= 1 && data[at + 1] === 0) follow(at, 0, false);
    }
}

/**
 * Area inside a closed way of pixel centres by Green's formula, px²; the pixels' own halves on the border are not
 * in it. Counter-clockwise as seen on the picture (y down) is positive.
 */
export function enclosedArea({ count, x, y }: Outline): number {
  let twice = 0;
  for (let i = 0, before = count - 1; i < count; before = i++)
    twice += x[i]! * y[before]! - x[before]! * y[i]!;
  return twice / 2;
}
