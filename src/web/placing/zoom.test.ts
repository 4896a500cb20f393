import { describe, expect, it } from "vitest";
import { withFinger } from "./use-touch";
import { shareAt, WHOLE, zoomedTo } from "./zoom";

describe("a picture that is looked at closer", () => {
  it("keeps under the fingers what lay there", () => {
    const once = zoomedTo(WHOLE, 3, { x: 0.7, y: 0.4 });
    expect(shareAt(once, { x: 0.7, y: 0.4 })).toEqual({
      x: expect.closeTo(0.7, 12),
      y: expect.closeTo(0.4, 12),
    });
    const moved = zoomedTo(once, 4, { x: 0.5, y: 0.5 }, { x: 0.6, y: 0.45 });
    const [was, is] = [shareAt(once, { x: 0.5, y: 0.5 }), shareAt(moved, { x: 0.6, y: 0.45 })];
    expect(is.x).toBeCloseTo(was.x, 12);
    expect(is.y).toBeCloseTo(was.y, 12);
  });
  it("never leaves its window and never gets smaller than it", () => {
    expect(zoomedTo({ times: 2, x: 0.4, y: 0.1 }, 0.3, { x: 0, y: 1 })).toEqual(WHOLE);
    const corner = zoomedTo(WHOLE, 4, { x: 0.5, y: 0.5 }, { x: 5, y: -5 });
    expect(corner).toEqual({ times: 4, x: 0, y: 0.75 });
  });
});

it("a place under a finger moves slowly near by, and with the finger further off, without a jump", () => {
  expect(withFinger(10)).toBeCloseTo(4, 12);
  expect(withFinger(200) - withFinger(150)).toBeCloseTo(50, 12);
  expect(withFinger(48.001) - withFinger(48)).toBeLessThan(0.01);
});
