/**
 * Four-cornered outlines. The hull of an outline is taken first, so that a notch (glare over a part of the ring) does
 * no harm; then the four farthest places, then a straight line to the outline's pixels along each side.
 */
import type { PointPx } from "../points";
import type { Outline } from "./contours";
import type { Corners } from "./frame-map";

/** The share of the hull that the four corners must fill, and how far the quarrel of a small one may go, in px. */
const FILLED = 0.9;
/** A side may be this many times the shortest, and a corner's sine no less than the second number. */
const LONGEST_SIDE = 3;
const LEAST_SINE = 0.35;
/** Outline pixels farther than this from a side belong to a notch, in px. */
const NEAR_PX = 2;

/** The convex hull, from the first and last pixel of each row (A. M. Andrew, Inf. Process. Lett. 9 (1979) 216–219). */
export function hullOf({ count, x, y }: Outline): { readonly xs: number[]; readonly ys: number[] } {
  let top = Infinity;
  let bottom = -Infinity;
  for (let i = 0; i < count; i++) {
    if (y[i]! < top) top = y[i]!;
    if (y[i]! > bottom) bottom = y[i]!;
  }
  const rows = bottom - top + 1;
  const left = new Int32Array(rows).fill(0x7fffffff);
  const right = new Int32Array(rows).fill(-1);
  for (let i = 0; i < count; i++) {
    const row = y[i]! - top;
    if (x[i]! < left[row]!) left[row] = x[i]!;
    if (x[i]! > right[row]!) right[row] = x[i]!;
  }
  const chain = (edge: Int32Array, sign: number): [number[], number[]] => {
    const xs: number[] = [];
    const ys: number[] = [];
    for (let row = 0; row < rows; row++) {
      while (xs.length > 1) {
        const n = xs.length;
        const turn =
          (xs[n - 1]! - xs[n - 2]!) * (row - ys[n - 2]!) -
          (ys[n - 1]! - ys[n - 2]!) * (edge[row]! - xs[n - 2]!);
        if (turn * sign < 0) break;
        xs.pop();
        ys.pop();
      }
      xs.push(edge[row]!);
      ys.push(row);
    }
    return [xs, ys.map((row) => row + top)];
  };
  const [lx, ly] = chain(left, 1);
  const [rx, ry] = chain(right, -1);
  return { xs: [...lx, ...rx.reverse()], ys: [...ly, ...ry.reverse()] };
}

const areaOf = (xs: readonly number[], ys: readonly number[]): number => {
  let twice = 0;
  for (let i = 0, before = xs.length - 1; i < xs.length; before = i++)
    twice += xs[before]! * ys[i]! - xs[i]! * ys[before]!;
  return Math.abs(twice) / 2;
};

function farthest(count: number, measure: (i: number) => number): number {
  let best = 0;
  let most = -Infinity;
  for (let i = 0; i < count; i++) {
    const value = measure(i);
    if (value > most) {
      most = value;
      best = i;
    }
  }
  return best;
}

/** The four places of the hull that span most: two far ends, then the farthest on both sides, then once round. */
function fourFarthest(xs: readonly number[], ys: readonly number[]): PointPx[] {
  const n = xs.length;
  const squared = (i: number, j: number) => (xs[i]! - xs[j]!) ** 2 + (ys[i]! - ys[j]!) ** 2;
  const off = (i: number, from: number, to: number) =>
    (xs[to]! - xs[from]!) * (ys[i]! - ys[from]!) - (ys[to]! - ys[from]!) * (xs[i]! - xs[from]!);
  let a = farthest(n, (i) => squared(i, 0));
  let c = farthest(n, (i) => squared(i, a));
  let b = 0;
  let d = 0;
  for (let round = 0; round < 3; round++) {
    b = farthest(n, (i) => -off(i, a, c));
    d = farthest(n, (i) => off(i, a, c));
    a = farthest(n, (i) => off(i, b, d));
    c = farthest(n, (i) => -off(i, b, d));
  }
  // Clockwise as seen (y down), beginning anywhere.
  const four = [a, b, c, d].map((i) => ({ xPx: xs[i]!, yPx: ys[i]! }));
  const [p, q, r] = four as [PointPx, PointPx, PointPx];
  const turn = (q.xPx - p.xPx) * (r.yPx - q.yPx) - (q.yPx - p.yPx) * (r.xPx - q.xPx);
  return turn > 0 ? four : four.reverse();
}

function looksSquare(four: readonly PointPx[]): boolean {
  let shortest = Infinity;
  let longest = 0;
  for (let i = 0; i < 4; i++) {
    const a = four[i]!;
    const b = four[(i + 1) & 3]!;
    const c = four[(i + 2) & 3]!;
    const ab = Math.hypot(b.xPx - a.xPx, b.yPx - a.yPx);
    const bc = Math.hypot(c.xPx - b.xPx, c.yPx - b.yPx);
    shortest = Math.min(shortest, ab);
    longest = Math.max(longest, ab);
    const cross = (b.xPx - a.xPx) * (c.yPx - b.yPx) - (b.yPx - a.yPx) * (c.xPx - b.xPx);
    if (!(cross > LEAST_SINE * ab * bc)) return false;
  }
  return longest <= LONGEST_SIDE * shortest;
}

/** The straight line through the outline's pixels along a side, moved out by half a pixel: normal and distance. */
function sideLine(outline: Outline, from: PointPx, to: PointPx): readonly [number, number, number] {
  const length = Math.hypot(to.xPx - from.xPx, to.yPx - from.yPx);
  const ux = (to.xPx - from.xPx) / length;
  const uy = (to.yPx - from.yPx) / length;
  const clear = Math.min(0.15 * length, 4);
  let n = 0;
  let st = 0;
  let sh = 0;
  let stt = 0;
  let sth = 0;
  for (let i = 0; i < outline.count; i++) {
    const dx = outline.x[i]! - from.xPx;
    const dy = outline.y[i]! - from.yPx;
    const along = dx * ux + dy * uy;
    const off = dx * uy - dy * ux;
    if (along < clear || along > length - clear || Math.abs(off) > NEAR_PX) continue;
    n++;
    st += along;
    sh += off;
    stt += along * along;
    sth += along * off;
  }
  const spread = n * stt - st * st;
  const slope = n >= 4 && spread > 0 ? (n * sth - st * sh) / spread : 0;
  const height = n >= 4 ? (sh - slope * st) / n : 0;
  // Clockwise on a picture with y down, outside is on the left hand: (uy, −ux).
  const scale = 1 / Math.hypot(1, slope);
  const nx = (uy - slope * ux) * scale;
  const ny = (-ux - slope * uy) * scale;
  const px = from.xPx + uy * height;
  const py = from.yPx - ux * height;
  return [nx, ny, nx * px + ny * py + 0.5];
}

function crossing(
  one: readonly [number, number, number],
  two: readonly [number, number, number],
): PointPx | null {
  const under = one[0] * two[1] - one[1] * two[0];
  if (Math.abs(under) < 0.1) return null;
  return {
    xPx: (one[2] * two[1] - one[1] * two[2]) / under,
    yPx: (one[0] * two[2] - one[2] * two[0]) / under,
  };
}

/**
 * The four corners of an outline, clockwise as seen, to a fraction of a pixel; null if it has other than four, or if
 * no square seen from less than about 60° of tilt looks like it. `leastSidePx`: shorter outlines are not looked at.
 */
export function quadOf(outline: Outline, leastSidePx: number): Corners | null {
  const { xs, ys } = hullOf(outline);
  if (xs.length < 4) return null;
  const width = Math.max(...xs) - Math.min(...xs);
  const height = Math.max(...ys) - Math.min(...ys);
  if (Math.min(width, height) < leastSidePx * 0.6 || Math.max(width, height) < leastSidePx) return null;
  const four = fourFarthest(xs, ys);
  if (!looksSquare(four)) return null;
  const filled = areaOf(
    four.map((one) => one.xPx),
    four.map((one) => one.yPx),
  );
  // A small quad loses up to a pixel all round to its corners' rounding.
  if (filled < FILLED * areaOf(xs, ys) - 0.5 * (width + height)) return null;
  const sides = four.map((one, i) => sideLine(outline, one, four[(i + 1) & 3]!));
  const corners = sides.map((side, i) => crossing(sides[(i + 3) & 3]!, side));
  if (
    corners.some(
      (corner, i) => !corner || Math.hypot(corner.xPx - four[i]!.xPx, corner.yPx - four[i]!.yPx) > 4,
    )
  )
    return null;
  return corners as unknown as Corners;
}
