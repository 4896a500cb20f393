import { expect, it } from "vitest";
import { SHEET_FIRST_ID } from "#core/placing";
import type { OpenedPhoto } from "../photo-messages";
import { carriedEdges, edgesInside } from "./carry-edges";

type Markers = OpenedPhoto["markers"];
// Two views of one plane by homographies written down here: (u, v) = (a x + b y + c, d x + e y + f) / (g x + h y + 1).
const seen = (h: readonly number[]) => (x: number, y: number) => {
  const w = h[6]! * x + h[7]! * y + 1;
  return { xPx: (h[0]! * x + h[1]! * y + h[2]!) / w, yPx: (h[3]! * x + h[4]! * y + h[5]!) / w };
};
const one = seen([9, 0.4, 2000, -0.3, -9.2, 1500, 0.0004, 0.0006]);
const other = seen([7, -3, 1900, -2.6, -8, 1450, -0.0007, 0.0003]);
const sheet = (at: typeof one, ids: readonly number[]): Markers =>
  ids.map((id) => {
    const i = id - SHEET_FIRST_ID;
    const [x, y] = [-80 + 50 * (i % 4), 60 - 55 * Math.floor(i / 4)];
    return { id, cornersPx: [at(x, y), at(x + 20, y), at(x + 20, y - 20), at(x, y - 20)] };
  }) as unknown as Markers;
const ids = [0, 1, 2, 3, 4, 5, 6, 7].map((n) => SHEET_FIRST_ID + n);
const edges = (at: typeof one) => ({
  left: [at(-100, -50), at(-100, 50)],
  far: [at(-60, 70), at(60, 70)],
  right: [at(100, 50), at(100, -50)],
  near: [at(60, -70), at(-60, -70)],
});

it("lines laid in one photo lie on the same edges in the next, as its sheet's markers tell", () => {
  const carried = carriedEdges(edges(one), sheet(one, ids), sheet(other, ids.slice(2)));
  const wanted = edges(other);
  for (const side of ["left", "far", "right", "near"] as const)
    carried![side].forEach(({ xPx, yPx }, i) =>
      expect(Math.hypot(xPx - wanted[side][i]!.xPx, yPx - wanted[side][i]!.yPx)).toBeLessThan(5),
    );
  expect(carriedEdges(edges(one), sheet(one, ids), sheet(other, ids.slice(0, 1)))).toBeNull();
});

it("the first lines lie just inside the hoop's markers, each on its side", () => {
  const square = (id: number, x: number, y: number) => ({
    id,
    cornersPx: [{ xPx: x - 5, yPx: y - 5 }, { xPx: x + 5, yPx: y - 5 }, { xPx: x + 5, yPx: y + 5 }, { xPx: x - 5, yPx: y + 5 }], // prettier-ignore
  });
  const hoop = [square(3, 100, 100), square(1, 900, 120), square(0, 880, 700), square(2, 110, 720)];
  const inside = edgesInside(hoop as unknown as Markers, [0, 1, 2, 3])!;
  expect(Math.max(...inside.left.map((at) => at.xPx))).toBeLessThan(200);
  expect(Math.max(...inside.far.map((at) => at.yPx))).toBeLessThan(200);
  expect(Math.min(...inside.right.map((at) => at.xPx))).toBeGreaterThan(800);
  expect(Math.min(...inside.near.map((at) => at.yPx))).toBeGreaterThan(620);
  expect(edgesInside(hoop.slice(1) as unknown as Markers, [0, 1, 2, 3])).toBeNull();
});
