import { describe, expect, it } from "vitest";
import {
  bitsSet,
  CODE_DISTANCE,
  MARKER_COUNT,
  markerCells,
  nearestWord,
  turnedWord,
  turnedWordOf,
  wordOf,
} from "./marker-code";

const ids = [...Array(MARKER_COUNT).keys()];
/** Counting cells one by one: a slow way that shares nothing with the fast one. */
function differing(one: number, other: number): number {
  let count = 0;
  for (let bit = 0; bit < 25; bit++) if (((one >> bit) & 1) !== ((other >> bit) & 1)) count++;
  return count;
}

describe("the markers' code", () => {
  it("keeps 8 cells between any two markers in any turns, and between a marker and its own turns", () => {
    let least = 25;
    let leastOwn = 25;
    for (const a of ids)
      for (let b = a; b < MARKER_COUNT; b++)
        for (let turns = a === b ? 1 : 0; turns < 4; turns++) {
          const apart = differing(wordOf(a), turnedWordOf({ id: b, turns }));
          if (a === b) leastOwn = Math.min(leastOwn, apart);
          else least = Math.min(least, apart);
        }
    expect(least).toBe(CODE_DISTANCE);
    expect(leastOwn).toBeGreaterThanOrEqual(CODE_DISTANCE);
  });

  it("is of the Golay code round the middle cell: sums of words have weights 0, 8, 12, 16 and 24", () => {
    const round = ids.map((id) => wordOf(id) & ~(1 << 12));
    for (const [i, one] of round.entries()) {
      expect(bitsSet(one)).toBe(12);
      // Sums of three are words again, as of every linear code; here of a few.
      const sum = one ^ round[(i * 7 + 3) % round.length]! ^ round[(i * 31 + 11) % round.length]!;
      expect([0, 8, 12, 16, 24]).toContain(bitsSet(sum));
    }
  });

  it("keeps 7 cells from even, striped and checked cloth", () => {
    const patterns = [
      () => true,
      (_r: number, c: number) => c % 2 === 0,
      (_r: number, c: number) => c % 4 < 2,
      (r: number, c: number) => (r + c) % 2 === 0,
      (r: number, c: number) => (r + c) % 3 === 0,
      (r: number, c: number) => (r + c) % 4 < 2,
      (r: number, c: number) => ((r >> 1) + (c >> 1)) % 2 === 0,
      (r: number, c: number) => r === 2 || c === 2,
      (r: number, c: number) => Math.max(Math.abs(r - 2), Math.abs(c - 2)) === 1,
    ].map((dark) => {
      let word = 0;
      for (let at = 0; at < 25; at++) if (dark(Math.floor(at / 5), at % 5)) word |= 1 << at;
      return word;
    });
    for (const word of patterns)
      for (const other of [word, word ^ 0x1ffffff])
        expect(nearestWord(other).wrong).toBeGreaterThanOrEqual(7);
  });

  it("mends any two wrong cells, whichever way the marker lies", () => {
    for (const id of ids) {
      const turns = id % 4;
      for (let a = 0; a < 25; a++) {
        const b = (a * 7 + id) % 25;
        const read = turnedWordOf({ id, turns }) ^ (1 << a) ^ (a === b ? 0 : 1 << b);
        expect(nearestWord(read)).toEqual({ id, turns, wrong: a === b ? 1 : 2 });
      }
    }
  });

  it("counts bits and turns words as cells on paper turn", () => {
    // A cell in the top left goes to the top right, then to the bottom right.
    expect(turnedWord(1)).toBe(1 << 4);
    expect(turnedWord(1 << 4)).toBe(1 << 24);
    for (const id of ids) expect(bitsSet(wordOf(id))).toBe(differing(wordOf(id), 0));
  });

  it("a marker is a dark ring, a light ring and the code", () => {
    const cells = markerCells(17);
    const rows = Array.from({ length: 9 }, (_, row) => [...cells.slice(9 * row, 9 * row + 9)].join(""));
    expect(rows[0]).toBe("111111111");
    expect(rows[1]).toBe("100000001");
    expect(rows.map((row) => row[0]).join("")).toBe("111111111");
    expect(cells.reduce((sum, one) => sum + one, 0)).toBe(32 + bitsSet(wordOf(17)));
    expect(() => markerCells(MARKER_COUNT)).toThrow(`Marker ${MARKER_COUNT}`);
    expect(() => markerCells(-1)).toThrow(`0 to ${MARKER_COUNT - 1}`);
  });
});
