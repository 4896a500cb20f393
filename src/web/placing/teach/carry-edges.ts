import { type PointPx, SHEET_FIRST_ID } from "#core/placing";
import { type EdgesPx, unique } from "../body";
import { SIDES } from "../marks";
import type { OpenedPhoto } from "../photo-messages";

/**
 * Where lines are laid to begin with: the hoop did not move on its sheet between two photos, so the sheet's markers
 * carry the lines of one into the other; in the first photo the hoop's own markers tell about where its edges are.
 */

type Markers = OpenedPhoto["markers"];
type Homography = readonly number[];

/** The lines of one photo as another shows them; null with fewer than two of the sheet's markers in both. */
export function carriedEdges(edges: EdgesPx, from: Markers, to: Markers): EdgesPx | null {
  const there = new Map(unique(to).map((one) => [one.id, one.cornersPx]));
  const pairs = unique(from).flatMap(({ id, cornersPx }) => {
    const corners = id >= SHEET_FIRST_ID ? there.get(id) : undefined;
    return corners ? cornersPx.map((corner, i) => [corner, corners[i]!] as const) : [];
  });
  const map = pairs.length < 8 ? null : homographyOf(pairs);
  if (!map) return null;
  const moved = SIDES.map((side) => [side, edges[side].map((at) => through(map, at))] as const);
  return Object.fromEntries(moved) as Record<keyof EdgesPx, PointPx[]>;
}

/** A hoop's markers stand on its rim: its inner edges run a little nearer to the middle than the markers' own middles. */
const INWARDS = 0.95;

/** Lines just inside the hoop's markers; null with fewer than four of them. */
export function edgesInside(markers: Markers, markerIds: readonly number[]): EdgesPx | null {
  const middles = unique(markers)
    .filter(({ id }) => markerIds.includes(id))
    .map(({ cornersPx }) => meanOf(cornersPx));
  if (middles.length < 4) return null;
  const middle = meanOf(middles);
  const corner = (right: number, down: number): PointPx => {
    const most = (at: PointPx) => right * (at.xPx - middle.xPx) + down * (at.yPx - middle.yPx);
    const found = middles.reduce((best, one) => (most(one) > most(best) ? one : best));
    return between(middle, found, INWARDS);
  };
  const [farLeft, farRight, nearRight, nearLeft] = [corner(-1, -1), corner(1, -1), corner(1, 1), corner(-1, 1)]; // prettier-ignore
  const line = (from: PointPx, to: PointPx) => [between(from, to, 0.2), between(from, to, 0.8)];
  return {
    left: line(nearLeft, farLeft),
    far: line(farLeft, farRight),
    right: line(farRight, nearRight),
    near: line(nearRight, nearLeft),
  };
}

const between = (from: PointPx, to: PointPx, share: number): PointPx => ({
  xPx: from.xPx + share * (to.xPx - from.xPx),
  yPx: from.yPx + share * (to.yPx - from.yPx),
});

const meanOf = (points: readonly PointPx[]): PointPx => ({
  xPx: points.reduce((sum, one) => sum + one.xPx, 0) / points.length,
  yPx: points.reduce((sum, one) => sum + one.yPx, 0) / points.length,
});

function through(h: Homography, { xPx, yPx }: PointPx): PointPx {
  const w = h[6]! * xPx + h[7]! * yPx + 1;
  return { xPx: (h[0]! * xPx + h[1]! * yPx + h[2]!) / w, yPx: (h[3]! * xPx + h[4]! * yPx + h[5]!) / w };
}

/** By least squares with the last entry 1 (R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed. (2004) §4.1). */
function homographyOf(pairs: readonly (readonly [PointPx, PointPx])[]): Homography | null {
  const sums = Array.from({ length: 8 }, () => new Float64Array(9));
  // Px by the thousand: the squares of large numbers would drown the small ones.
  const SCALE = 1000;
  for (const [from, to] of pairs) {
    const [x, y, u, v] = [from.xPx / SCALE, from.yPx / SCALE, to.xPx / SCALE, to.yPx / SCALE];
    for (const row of [
      [x, y, 1, 0, 0, 0, -u * x, -u * y, u],
      [0, 0, 0, x, y, 1, -v * x, -v * y, v],
    ])
      for (let i = 0; i < 8; i++) for (let j = 0; j < 9; j++) sums[i]![j]! += row[i]! * row[j]!;
  }
  const found = solved(sums);
  if (!found) return null;
  const [a, b, c, d, e, f, g, h] = found as [number, number, number, number, number, number, number, number];
  return [a, b, c * SCALE, d, e, f * SCALE, g / SCALE, h / SCALE];
}

/** Gauss with the largest pivot; null where the equations leave something open. */
function solved(rows: Float64Array[]): readonly number[] | null {
  const n = rows.length;
  for (let k = 0; k < n; k++) {
    const pivot = rows.slice(k).reduce((best, row, i) => (Math.abs(row[k]!) > Math.abs(rows[best]![k]!) ? k + i : best), k); // prettier-ignore
    [rows[k], rows[pivot]] = [rows[pivot]!, rows[k]!];
    if (!(Math.abs(rows[k]![k]!) > 1e-12)) return null;
    for (let i = k + 1; i < n; i++) {
      const factor = rows[i]![k]! / rows[k]![k]!;
      for (let j = k; j <= n; j++) rows[i]![j]! -= factor * rows[k]![j]!;
    }
  }
  const out = new Array<number>(n).fill(0);
  for (let i = n - 1; i >= 0; i--) {
    let rest = rows[i]![n]!;
    for (let j = i + 1; j < n; j++) rest -= rows[i]![j]! * out[j]!;
    out[i] = rest / rows[i]![i]!;
  }
  return out;
}
