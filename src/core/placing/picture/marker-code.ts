/**
 * Our own square markers. Nine cells a side: a dark ring one cell wide, a light ring one cell wide inside it, and five
 * by five cells that tell the id; outside a light margin of one cell. The light ring gives the dark one an edge on
 * both sides, so that ink that spreads or light that blooms moves the two edges apart but not their middle: a
 * marker's corners are those of the middle of the dark ring, eight cells a side.
 *
 * The words of 25 cells: 24 round the middle one are words of weight 12 of the extended binary Golay code (M. J. E.
 * Golay, Proc. IRE 37 (1949) 657; as the extended quadratic residue code of length 24: F. J. MacWilliams, N. J. A.
 * Sloane, The Theory of Error-Correcting Codes (1977) ch. 16; from memory), whose words differ in 8 places or more. The
 * code is mapped onto itself by x → (ax + b)/(cx + d) over the field of 23; one of these maps has order 4 and six cycles
 * of four places. The cycles are laid on the grid's six rings of four cells that a quarter turn takes into each other, so
 * a turned word is again a word: 636 markers would keep 8 cells apart in any turns, where a greedy search found sixty.
 * Of those were taken, with the middle cell dark or light as is better, the 164 farthest from cloth: at least 7 cells
 * from 182 plain patterns (even, stripes, slanting stripes, checks, squares, diamonds, crosses) and 6 from 2278 (of any
 * period, width and place). So two wrong cells can be mended and five wrong ones never give another id. The test counts
 * all pairs.
 */

/** Cells along the side of a marker's dark ring. */
export const MARKER_CELLS = 9;
/** Light cells that must be left round it. */
export const MARGIN_CELLS = 1;
/** The side of the square whose corners a found marker names, in cells: the middle of the dark ring. */
export const CORNER_CELLS = 8;
/** Cells along a side of the part that tells the id. */
export const CODE_CELLS = 5;
/** The fewest cells in which two markers differ, in whatever way each is turned. */
export const CODE_DISTANCE = 8;

/** A word a marker: bit 5·row + column is dark, from the top left of the marker as it is printed. */
const WORDS = Uint32Array.of(
  0x08d8975, 0x0da3e25, 0x0464bb6, 0x166454b, 0x082e17d, 0x0aaab15, 0x04d7678, 0x0b2a5d1, 0x0f8155b, 0x0f956c8,
  0x147e24a, 0x04d0bc7, 0x1245b3b, 0x19b5645, 0x1e832b5, 0x0a62d96, 0x17a1e49, 0x0bb2a4c, 0x1a2f0cb, 0x014eab3,
  0x165c934, 0x1537a0d, 0x123e076, 0x15d3c29, 0x0ba7694, 0x1d32668, 0x0d534d9, 0x05578bc, 0x13e8558, 0x0d2e22b,
  0x0e98b49, 0x0646f83, 0x05e4572, 0x13953aa, 0x128ddb8, 0x0bdb066, 0x19f1383, 0x05e28cd, 0x16d053a, 0x083cf51,
  0x0d9a25a, 0x07c6e0c, 0x036ce86, 0x1dc2c94, 0x0b7c170, 0x0aaa45e, 0x0d7868a, 0x09af0f2, 0x1a53639, 0x146be92,
  0x1d4926e, 0x12d1dd4, 0x0c6ac55, 0x03b6962, 0x071c9e8, 0x1214d6e, 0x119da87, 0x164e853, 0x037925e, 0x00f15b7,
  0x11521bb, 0x116cf30, 0x07d32d4, 0x044f6ae, 0x0fc2d22, 0x1dd704c, 0x08df4ca, 0x1e6192e, 0x1a3bc13, 0x1d0d8e3,
  0x1eba181, 0x1e84f0a, 0x0f27b06, 0x0e2b687, 0x0da316e, 0x18aa5e8, 0x1865ed4, 0x0eda330, 0x1b36192, 0x0e3f514,
  0x0a9559e, 0x1c2a87a, 0x0923cfc, 0x091c277, 0x1c146f1, 0x1bc7425, 0x0d4674a, 0x0543b2f, 0x104bfa9, 0x14df1a8,
  0x17688ca, 0x05b3e98, 0x17425d2, 0x17b3065, 0x1cb28ac, 0x09bbc2a, 0x0e57075, 0x0de0917, 0x0ac2e74, 0x0a186db,
  0x0e8d8da, 0x180cbb5, 0x0d05f33, 0x095fa0e, 0x14532ed, 0x015b66b, 0x10f9267, 0x0194d57, 0x021dabe, 0x103695b,
  0x144617e, 0x014f5f8, 0x052be4e, 0x13aad21, 0x15857c3, 0x1269b9c, 0x03f511b, 0x00a6e5d, 0x16e860e, 0x0775c89,
  0x1d65d82, 0x1a881dd, 0x0cd2a1d, 0x0faa843, 0x0b3e642, 0x1d81ba6, 0x0972aa9, 0x0a0a8f7, 0x0983f1e, 0x18c4d36,
  0x0e7a0d2, 0x1c50337, 0x1c9f80b, 0x0a1fb64, 0x100fa6f, 0x14a4ae5, 0x146b1d9, 0x14b0976, 0x0512d7a, 0x13ad09e,
  0x1392e15, 0x17c8b28, 0x03f2ca4, 0x12a0d1f, 0x1a4175e, 0x0be2352, 0x0724adc, 0x04acd35, 0x038fa56, 0x1692d43,
  0x118e4ab, 0x1e97126, 0x1e67491, 0x0fc509d, 0x0b7a384, 0x08f246d, 0x185dde0, 0x0a76e05, 0x09c1767, 0x1b1a135,
  0x18ad857, 0x1bc099a, 0x141772b, 0x01ee61a,
); // prettier-ignore

/** Ids run from 0 to one less than this. */
export const MARKER_COUNT = WORDS.length;

/** The word of an id; bit 5·row + column is a dark cell. */
export const wordOf = (id: number): number => WORDS[id]!;

/** The word as it reads when the marker is turned a quarter clockwise. */
export function turnedWord(word: number): number {
  let turned = 0;
  for (let row = 0; row < CODE_CELLS; row++)
    for (let column = 0; column < CODE_CELLS; column++)
      if ((word >>> (row * CODE_CELLS + column)) & 1)
        turned |= 1 << (column * CODE_CELLS + (CODE_CELLS - 1 - row));
  return turned;
}

/** Dark cells of a word (bits set), by adding neighbours. */
export function bitsSet(word: number): number {
  let sum = word - ((word >>> 1) & 0x55555555);
  sum = (sum & 0x33333333) + ((sum >>> 2) & 0x33333333);
  return (((sum + (sum >>> 4)) & 0x0f0f0f0f) * 0x01010101) >>> 24;
}

/** Each word in its four turns: entry 4·id + t is the word after t quarter turns clockwise. */
const TURNED = Uint32Array.from({ length: 4 * MARKER_COUNT }, (_, at) => {
  let word = WORDS[at >> 2]!;
  for (let t = 0; t < (at & 3); t++) word = turnedWord(word);
  return word;
});

export interface ReadWord {
  readonly id: number;
  /** Quarter turns clockwise by which the marker lies in what was read. */
  readonly turns: number;
  /** Cells that differ from the id's own. */
  readonly wrong: number;
}

/** The marker whose word, turned somehow, is nearest to what was read, with how many cells are wrong. */
export function nearestWord(word: number): ReadWord {
  let best = 0;
  let wrong = 26;
  for (let at = 0; at < TURNED.length; at++) {
    const differ = bitsSet(TURNED[at]! ^ word);
    if (differ < wrong) {
      wrong = differ;
      best = at;
    }
  }
  return { id: best >> 2, turns: best & 3, wrong };
}

/** The word of a marker that lies turned. */
export const turnedWordOf = ({ id, turns }: Pick<ReadWord, "id" | "turns">): number =>
  TURNED[4 * id + turns]!;

/**
 * The cells of a marker, nine rows of nine from the top left, 1 where dark. Round them a light margin of
 * `MARGIN_CELLS` must stay free. An id outside 0 … MARKER_COUNT − 1 is a mistake of the caller.
 */
export function markerCells(id: number): Uint8Array {
  const word = WORDS[id];
  if (word === undefined) throw new RangeError(`Marker ${id} is not one of 0 to ${MARKER_COUNT - 1}.`);
  const cells = new Uint8Array(MARKER_CELLS * MARKER_CELLS);
  const last = MARKER_CELLS - 1;
  for (let row = 0; row < MARKER_CELLS; row++)
    for (let column = 0; column < MARKER_CELLS; column++) {
      const rim = row === 0 || column === 0 || row === last || column === last;
      const inCode = 2 <= row && row <= last - 2 && 2 <= column && column <= last - 2;
      const bit = inCode ? (word >>> ((row - 2) * CODE_CELLS + column - 2)) & 1 : 0;
      cells[row * MARKER_CELLS + column] = rim ? 1 : bit;
    }
  return cells;
}
