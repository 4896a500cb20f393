import {
  Clipper,
  EndType,
  FillRule,
  JoinType,
  type PathD,
  type PathsD,
  PolyTreeD,
  ClipType,
  type PolyPathD,
} from "clipper2-ts";
import type { Place } from "./spine";

/**
 * Areas as closed rings in mm, and what is done with them: joining, cutting, growing, shrinking. Rings that come out
 * are simple and do not cross; outer ones run counter-clockwise (y up), holes clockwise, so even-odd and nonzero agree.
 * The work is done by a general polygon library on whole hundred-thousandths of a mm (docs/decisions/0005).
 */
export type Rings = readonly (readonly Place[])[];

const DIGITS = 4;
const ARC_MM = 0.01;

const toPaths = (rings: Rings): PathsD => rings.map((ring) => ring.map(([x, y]) => ({ x, y })));
const toRing = (path: PathD): Place[] => path.map(({ x, y }): Place => [x, y]);
const toRings = (paths: PathsD): Place[][] => paths.map(toRing).filter((ring) => ring.length > 2);

/** The area inside rings by a fill rule (SVG 2, `fill-rule`), as simple rings. */
export function unitedRings(rings: Rings, rule: "nonzero" | "evenodd" = "nonzero"): Place[][] {
  return toRings(united(toPaths(rings), rule === "evenodd" ? FillRule.EvenOdd : FillRule.NonZero));
}

const united = (paths: PathsD, rule: FillRule): PathsD =>
  Clipper.booleanOpD(ClipType.Union, paths, null, rule, DIGITS);

/** What lies in `rings` and not in `others`. */
export function cutRings(rings: Rings, others: Rings): Place[][] {
  if (others.length === 0) return rings.map((ring) => [...ring]);
  return toRings(Clipper.differenceD(toPaths(rings), toPaths(others), FillRule.NonZero, DIGITS));
}

/** What lies in both. */
export function commonRings(rings: Rings, others: Rings): Place[][] {
  return toRings(Clipper.intersectD(toPaths(rings), toPaths(others), FillRule.NonZero, DIGITS));
}

/** The area grown by `mm` on all sides, shrunk when below 0. */
export function grownRings(rings: Rings, mm: number, corners: "round" | "miter" = "round"): Place[][] {
  if (mm === 0) return rings.map((ring) => [...ring]);
  const join = corners === "round" ? JoinType.Round : JoinType.Miter;
  return toRings(Clipper.inflatePathsD(toPaths(rings), mm, join, EndType.Polygon, 2, DIGITS, ARC_MM));
}

/** The area a line covers when drawn with a width (SVG 2, stroking): its caps and joins as named. */
export function strokedRings(
  lines: readonly { readonly places: readonly Place[]; readonly closed: boolean }[],
  widthMm: number,
  cap: "butt" | "round" | "square",
  join: "miter" | "round" | "bevel",
): Place[][] {
  const ends = { butt: EndType.Butt, round: EndType.Round, square: EndType.Square }[cap];
  const joins = { miter: JoinType.Miter, round: JoinType.Round, bevel: JoinType.Bevel }[join];
  const grow = (closed: boolean): PathsD => {
    const paths = toPaths(lines.filter((line) => line.closed === closed).map(({ places }) => places));
    if (paths.length === 0) return [];
    return Clipper.inflatePathsD(
      paths,
      widthMm / 2,
      joins,
      closed ? EndType.Joined : ends,
      4,
      DIGITS,
      ARC_MM,
    );
  };
  return toRings(united([...grow(false), ...grow(true)], FillRule.NonZero));
}

/** The length of a closed ring in mm. */
export function ringLength(ring: readonly Place[]): number {
  let length = 0;
  for (let i = 0; i < ring.length; i++) {
    const [a, b] = [ring[i]!, ring[(i + 1) % ring.length]!];
    length += Math.hypot(b[0] - a[0], b[1] - a[1]);
  }
  return length;
}

/** The area in mm², holes taken off. */
export const areaOfRings = (rings: Rings): number => Math.abs(Clipper.areaPathsD(toPaths(rings)));

/** The area with bends smaller than `mm` straightened. */
export function simplifiedRings(rings: Rings, mm: number): Place[][] {
  return toRings(Clipper.simplifyPathsD(toPaths(rings), mm, true));
}

/** The pieces of an area that do not touch: an outer ring each, with its holes. */
export function piecesOfRings(rings: Rings): Place[][][] {
  const tree = new PolyTreeD();
  Clipper.booleanOpDWithPolyTree(ClipType.Union, toPaths(rings), null, tree, FillRule.NonZero, DIGITS);
  const pieces: Place[][][] = [];
  const walk = (node: PolyPathD): void => {
    for (let i = 0; i < node.count; i++) {
      const outer = node.child(i);
      const piece = [toRing(outer.poly!)];
      for (let h = 0; h < outer.count; h++) {
        const hole = outer.child(h);
        piece.push(toRing(hole.poly!));
        walk(hole);
      }
      pieces.push(piece);
    }
  };
  walk(tree);
  return pieces;
}

/** Left, right, bottom and top of places, in mm. */
export function boxOfRings(rings: Rings): { left: number; right: number; bottom: number; top: number } {
  let [left, right, bottom, top] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const ring of rings)
    for (const [x, y] of ring) {
      if (x < left) left = x;
      if (x > right) right = x;
      if (y < bottom) bottom = y;
      if (y > top) top = y;
    }
  return { left, right, bottom, top };
}
