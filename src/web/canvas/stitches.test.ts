import { describe, expect, it } from "vitest";
import { BLOCK, indexed, JUMP, partAt, STITCH, stitchesFromBytes, STOP } from "./stitches";

function bytesOf(kinds: readonly number[], x: readonly number[], y: readonly number[]): ArrayBuffer {
  const padded = (kinds.length + 3) & ~3;
  const view = new DataView(new ArrayBuffer(4 + padded + kinds.length * 8));
  view.setInt32(0, kinds.length, true);
  kinds.forEach((kind, i) => view.setUint8(4 + i, kind));
  x.forEach((value, i) => view.setInt32(4 + padded + i * 4, value, true));
  y.forEach((value, i) => view.setInt32(4 + padded + kinds.length * 4 + i * 4, value, true));
  return view.buffer;
}

describe("a design's stitches as bytes", () => {
  it("come out as they were sent", () => {
    const read = stitchesFromBytes(
      bytesOf([STITCH, JUMP, STOP, STITCH, STITCH], [1, -2, -2, 40, 50], [0, 5, 5, -70, 8]),
    );
    expect([...read.kinds]).toEqual([0, 1, 2, 0, 0]);
    expect([...read.xTenths]).toEqual([1, -2, -2, 40, 50]);
    expect([...read.yTenths]).toEqual([0, 5, 5, -70, 8]);
    expect(read.bounds).toEqual([-2, -70, 50, 8]);
    expect(read.partStarts).toEqual([0, 3]);
    expect([0, 2, 3, 4].map((i) => partAt(read, i))).toEqual([0, 0, 1, 1]);
  });

  it("are refused when cut short", () => {
    const bytes = bytesOf([STITCH, STITCH], [1, 2], [3, 4]);
    expect(() => stitchesFromBytes(bytes.slice(0, bytes.byteLength - 1))).toThrow(RangeError);
    expect(() => stitchesFromBytes(new ArrayBuffer(2))).toThrow(RangeError);
  });

  it("are never empty-handed: no stitches give zero bounds", () => {
    expect(stitchesFromBytes(bytesOf([], [], [])).bounds).toEqual([0, 0, 0, 0]);
  });

  it("have blocks whose bounds hold each record and the move into it", () => {
    const n = BLOCK * 3 + 17;
    const x = Int32Array.from({ length: n }, (_, i) => Math.round(500 * Math.sin(i / 90)));
    const y = Int32Array.from({ length: n }, (_, i) => Math.round(300 * Math.cos(i / 37)));
    const read = indexed(new Uint8Array(n), x, y);
    expect(read.blocks).toBe(4);
    const held = (j: number, block: number) => {
      const [left, bottom, right, top] = read.blockBounds.subarray(block * 4, block * 4 + 4);
      return left! <= x[j]! && x[j]! <= right! && bottom! <= y[j]! && y[j]! <= top!;
    };
    const outside = Array.from({ length: n - 1 }, (_, i) => i + 1).filter(
      (i) => !held(i, Math.floor(i / BLOCK)) || !held(i - 1, Math.floor(i / BLOCK)),
    );
    expect(outside).toEqual([]);
  });
});
