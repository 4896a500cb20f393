/**
 * Our own square markers. Nine cells a side: a dark ring one cell wide, a light ring one cell wide inside it, and five
 * by five cells that tell the id; outside a light margin of one cell. The light ring gives the dark one an edge on
 * both sides, so that ink that spreads or light that blooms moves the two edges apart but not their middle: a
 * marker's corners are those of the middle of the dark ring, eight cells a side.
 *
 * The sixty words of 25 cells were found by a greedy search (seeded chance): a word is taken if it has 10 to 15 dark
 * cells, lies at least 8 from its own quarter and half turns and from every turn of the words before it, and at
 * least 7 from 356 plain patterns that cloth may show (even, stripes, slanting stripes, checks, squares, diamonds,
 * crosses). So two wrong cells can be mended and five wrong ones never give another id. The test counts all pairs.
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
  0x1469c26, 0x083d15a, 0x06f54a2, 0x1b1e061, 0x0823c4d, 0x18dfe91, 0x11d8da1, 0x0db1ac9, 0x15c2dfa, 0x04fc2b9,
  0x06a9a61, 0x05ad24e, 0x097e326, 0x1a0c791, 0x1962f94, 0x03254f1, 0x06d0ed5, 0x1b3c5cd, 0x051683e, 0x046b147,
  0x1c8236c, 0x0c2d4bb, 0x001cf69, 0x0fde2d1, 0x0db645c, 0x0a392e2, 0x0609a9b, 0x168abd8, 0x0d622fa, 0x1335d64,
  0x0270beb, 0x124fd7a, 0x1a5e31f, 0x132643c, 0x0a9415d, 0x02eee31, 0x0a3ef47, 0x16815d2, 0x1d904b8, 0x1a24edf,
  0x1d2ab46, 0x0a15b70, 0x0743fcb, 0x0b52771, 0x0f12aab, 0x13a1759, 0x16bf038, 0x19e4c36, 0x1deb658, 0x190d0f2,
  0x0bd30e0, 0x02d79f6, 0x00e69a9, 0x0243b95, 0x100d337, 0x1ee4fa4, 0x129583f, 0x074ab12, 0x0c55c1c, 0x1cb269f,
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
