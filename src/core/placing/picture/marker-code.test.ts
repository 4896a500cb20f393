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
/** Counting cells one by one: the slow way that shares nothing with the fast one. */
const differing = (one: number, other: number) =>
  [...Array(25).keys()].filter((bit) => ((one >> bit) & 1) !== ((other >> bit) & 1)).length;

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
    for (const id of ids)
      for (let turns = 0; turns < 4; turns++)
        for (let a = 0; a < 25; a++) {
          const b = (a * 7 + id) % 25;
          const read = turnedWordOf({ id, turns }) ^ (1 << a) ^ (a === b ? 0 : 1 << b);
          expect(nearestWord(read)).toEqual({ id, turns, wrong: a === b ? 1 : 2 });
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
    expect(() => markerCells(60)).toThrow("Marker 60");
    expect(() => markerCells(-1)).toThrow("0 to 59");
  });
});
