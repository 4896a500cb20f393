import { Delaunay } from "d3-delaunay";
import type { Place } from "../spine";
import type { Boundary } from "./boundary";

/** A piece of the axis between two knots, with the radius of the largest circle that fits at each place, in mm. */
export interface Branch {
  a: number;
  b: number;
  readonly places: readonly Place[];
  readonly radii: readonly number[];
}

/** The axis as a graph. A branch with `a === b` is a loop; a lone loop has one knot of no other branch. */
export interface Skeleton {
  readonly knots: Map<number, { readonly place: Place; readonly radius: number }>;
  readonly branches: Set<Branch>;
}

/**
 * The medial axis of a shape: the edges of the Voronoi diagram of its boundary's samples that lie inside and whose two
 * nearest samples are far apart along the outline, measured by the chord residual (R. L. Ogniewicz, O. Kübler,
 * "Hierarchic Voronoi skeletons", Pattern Recognition 28 (1995) 343–359): the ratio of outline walked to straight way.
 */
export function skeletonOf(boundary: Boundary, residual: number): Skeleton {
  const { x, y } = boundary;
  const count = x.length;
  const coords = new Float64Array(2 * count);
  for (let i = 0; i < count; i++) {
    coords[2 * i] = x[i]!;
    coords[2 * i + 1] = y[i]!;
  }
  const { triangles, halfedges } = new Delaunay(coords);
  const faces = triangles.length / 3;
  const cx = new Float64Array(faces);
  const cy = new Float64Array(faces);
  const radius = new Float64Array(faces);
  const inside = new Uint8Array(faces);
  for (let t = 0; t < faces; t++) {
    const [a, b, c] = [triangles[3 * t]!, triangles[3 * t + 1]!, triangles[3 * t + 2]!];
    const [bx, by] = [x[b]! - x[a]!, y[b]! - y[a]!];
    const [dx, dy] = [x[c]! - x[a]!, y[c]! - y[a]!];
    const twice = 2 * (bx * dy - by * dx);
    if (Math.abs(twice) < 1e-12) continue;
    const ux = (dy * (bx * bx + by * by) - by * (dx * dx + dy * dy)) / twice;
    const uy = (bx * (dx * dx + dy * dy) - dx * (bx * bx + by * by)) / twice;
    cx[t] = x[a]! + ux;
    cy[t] = y[a]! + uy;
    radius[t] = Math.hypot(ux, uy);
    inside[t] = isLeft(boundary, a, cx[t]!, cy[t]!) ? 1 : 0;
  }
  // A triangle has three edges, so a knot has at most three neighbours.
  const next = new Int32Array(3 * faces).fill(-1);
  const degree = new Uint8Array(faces);
  for (let e = 0; e < halfedges.length; e++) {
    const twin = halfedges[e]!;
    if (twin < e) continue;
    const [s, t] = [Math.floor(e / 3), Math.floor(twin / 3)];
    if (inside[s] === 0 || inside[t] === 0) continue;
    const p = triangles[e]!;
    const q = triangles[e % 3 === 2 ? e - 2 : e + 1]!;
    if (boundary.ring[p] === boundary.ring[q]) {
      const whole = boundary.ringMm[boundary.ring[p]!]!;
      const way = Math.abs(boundary.s[p]! - boundary.s[q]!);
      const chord = Math.hypot(x[p]! - x[q]!, y[p]! - y[q]!);
      if (Math.min(way, whole - way) < residual * chord) continue;
    }
    next[3 * s + degree[s]!++] = t;
    next[3 * t + degree[t]!++] = s;
  }
  return chains(cx, cy, radius, next, degree);
}

/** Whether a place near the outline at sample `i` lies on the shape's side of it. */
function isLeft({ x, y, before, after }: Boundary, i: number, px: number, py: number): boolean {
  const [b, a] = [before[i]!, after[i]!];
  const side = (ox: number, oy: number, tx: number, ty: number): number =>
    (tx - ox) * (py - oy) - (ty - oy) * (px - ox);
  const first = side(x[b]!, y[b]!, x[i]!, y[i]!) > 0;
  const second = side(x[i]!, y[i]!, x[a]!, y[a]!) > 0;
  const turn = (x[i]! - x[b]!) * (y[a]! - y[i]!) - (y[i]! - y[b]!) * (x[a]! - x[i]!);
  return turn > 0 ? first && second : first || second;
}

function chains(
  cx: Float64Array,
  cy: Float64Array,
  radius: Float64Array,
  next: Int32Array,
  degree: Uint8Array,
): Skeleton {
  const knots: Skeleton["knots"] = new Map();
  const branches: Skeleton["branches"] = new Set();
  const seen = new Uint8Array(next.length);
  const walk = (from: number, slot: number): void => {
    const places: Place[] = [[cx[from]!, cy[from]!]];
    const radii = [radius[from]!];
    let here = from;
    let out = slot;
    for (;;) {
      seen[out] = 1;
      const to = next[out]!;
      let back = 3 * to;
      while (next[back] !== here || seen[back] === 1) back++;
      seen[back] = 1;
      places.push([cx[to]!, cy[to]!]);
      radii.push(radius[to]!);
      if (degree[to] !== 2 || to === from) {
        for (const knot of [from, to])
          knots.set(knot, { place: [cx[knot]!, cy[knot]!], radius: radius[knot]! });
        branches.add({ a: from, b: to, places, radii });
        return;
      }
      here = to;
      out = back === 3 * to ? 3 * to + 1 : 3 * to;
    }
  };
  for (let t = 0; t < degree.length; t++) {
    if (degree[t] === 0 || degree[t] === 2) continue;
    for (let k = 0; k < degree[t]!; k++) if (seen[3 * t + k] === 0) walk(t, 3 * t + k);
  }
  for (let t = 0; t < degree.length; t++) if (degree[t] === 2 && seen[3 * t] === 0) walk(t, 3 * t);
  return { knots, branches };
}
