import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { MARK_PX, placeMarks } from "./marks";

const window = { left: 26, top: 26, right: 900, bottom: 600 };

describe("marks on the picture", () => {
  it("stand where they belong when nothing is in the way", () => {
    expect(placeMarks([{ x: 100, y: 100 }, { x: 200, y: 100 }], window)).toEqual([
      { atX: 100, atY: 100, x: 100, y: 100 },
      { atX: 200, atY: 100, x: 200, y: 100 },
    ]); // prettier-ignore
  });

  it("never lie over one another, and stay inside, however near their places are", () => {
    fc.assert(
      fc.property(
        fc.array(fc.record({ x: fc.integer({ min: 26, max: 900 }), y: fc.integer({ min: 26, max: 600 }) }), {
          maxLength: 12,
        }),
        (wanted) => {
          const placed = placeMarks(wanted, window);
          placed.forEach((a, i) => {
            expect(a.x - MARK_PX / 2).toBeGreaterThanOrEqual(window.left);
            expect(a.y + MARK_PX / 2).toBeLessThanOrEqual(window.bottom);
            for (const b of placed.slice(0, i))
              expect(Math.max(Math.abs(a.x - b.x), Math.abs(a.y - b.y))).toBeGreaterThanOrEqual(MARK_PX);
          });
        },
      ),
      { numRuns: 200, seed: 6 },
    );
    const heap = placeMarks(
      Array.from({ length: 9 }, () => ({ x: 300, y: 300 })),
      window,
    );
    expect(new Set(heap.map(({ x, y }) => `${x},${y}`)).size).toBe(9);
  });
});
