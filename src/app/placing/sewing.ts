import type { DesignPose, PointMm } from "#core/placing";
import { countStitches, JUMP, STITCH, type Stitches, stitchExtents } from "#core/stitch";
import { placingRefusals } from "./refusals";

/**
 * What placing does to stitches: turned and shifted as a whole, and the rest of a design after what is sewn. The
 * machine's file starts at the middle of the hoop's field, so a record stands at ten times its mm in the hoop's plane.
 */

/** Every record turned about the design's start and shifted, rounded once to whole tenths. */
export function posedStitches(design: Stitches, pose: DesignPose): Stitches {
  const cos = Math.cos(pose.angleRad);
  const sin = Math.sin(pose.angleRad);
  const x = new Int32Array(design.x.length);
  const y = new Int32Array(design.y.length);
  for (let i = 0; i < x.length; i++) {
    x[i] = Math.round(10 * pose.xMm + cos * design.x[i]! - sin * design.y[i]!);
    y[i] = Math.round(10 * pose.yMm + sin * design.x[i]! + cos * design.y[i]!);
  }
  return { kind: design.kind.slice(), x, y };
}

/** So much is sewn over again before the stitch to restart from (common practice, no source). */
const BEFORE_TENTHS = 60;
/** Tie-in stitches, as the lettering and the mends make them. */
const TIE_TENTHS = 7;
const TIE_STITCHES = 3;

export interface Remaining {
  readonly stitches: Stitches;
  /** The design's stitch (from 1) it really begins with. */
  readonly fromStitch: number;
  /** The design's part (from 0) that is the first of what remains. */
  readonly firstPart: number;
  /** Stitches of each remaining part, the tie-in among them. */
  readonly partStitches: readonly number[];
  readonly trims: number;
}

/**
 * The rest of a design from a stitch on (counted from 1): a little is sewn over again, within the same thread and never
 * over a cut or a stop; it begins with a tie-in; parts sewn whole are left out, their stops too.
 * @throws Refusal placing-restart-unknown where the design has no such stitch.
 */
export function remainingStitches(design: Stitches, fromStitch: number): Remaining {
  const { kind, x, y } = design;
  const at = recordOf(design, fromStitch);
  let begin = at;
  for (let back = 0; begin > 1 && kind[begin - 1] === STITCH && back < BEFORE_TENTHS; begin--)
    back += Math.hypot(x[begin]! - x[begin - 1]!, y[begin]! - y[begin - 1]!);
  const ks: number[] = [];
  const xs: number[] = [];
  const ys: number[] = [];
  const put = (one: number, px: number, py: number): void => {
    ks.push(one);
    xs.push(px);
    ys.push(py);
  };
  // The needle first comes down where the first stitch of what is left began, if that was sewn; else where it ends.
  const isJoined = begin > 0 && kind[begin - 1] === STITCH;
  const start = isJoined ? begin - 1 : begin;
  put(JUMP, x[start]!, y[start]!);
  for (const [px, py] of tieIn(design, start)) put(STITCH, px, py);
  for (let i = isJoined ? begin : begin + 1; i < kind.length; i++) put(kind[i]!, x[i]!, y[i]!);
  const stitches = { kind: Uint8Array.from(ks), x: Int32Array.from(xs), y: Int32Array.from(ys) };
  const { parts, trims } = countStitches(stitches);
  let before = 0;
  for (let i = 0; i < begin; i++) if (kind[i] === STITCH) before++;
  return {
    stitches,
    fromStitch: before + 1,
    firstPart: countStitches(design).parts.findIndex((part) => begin < part.to),
    partStitches: parts.map((part) => part.stitches),
    trims,
  };
}

function recordOf({ kind }: Stitches, fromStitch: number): number {
  let seen = 0;
  for (let i = 0; i < kind.length; i++) if (kind[i] === STITCH && ++seen === fromStitch) return i;
  throw placingRefusals(
    "placing-restart-unknown",
    `There is no stitch ${fromStitch}; the design has ${seen}.`,
    [{ field: "restart.stitch", found: String(fromStitch), expected: `1 to ${seen}` }],
  );
}

/** Small stitches along the first stitch of some length after `start`, ending where they began; none without one. */
function tieIn({ kind, x, y }: Stitches, start: number): [number, number][] {
  for (let i = start + 1; i < kind.length && kind[i] === STITCH; i++) {
    const [dx, dy] = [x[i]! - x[start]!, y[i]! - y[start]!];
    const length = Math.hypot(dx, dy);
    if (length < 4) continue;
    const share = Math.min(1, TIE_TENTHS / length);
    const point: [number, number] = [Math.round(x[start]! + dx * share), Math.round(y[start]! + dy * share)];
    const home: [number, number] = [x[start]!, y[start]!];
    return [home, ...Array.from({ length: TIE_STITCHES }, (_, n) => (n % 2 === 0 ? point : home))];
  }
  return [[x[start]!, y[start]!]];
}

/** How far the stitches stay within a field about its middle, mm each way; negative where they leave it. */
export interface FieldRoom {
  readonly leftMm: number;
  readonly rightMm: number;
  readonly towardsMm: number;
  readonly awayMm: number;
}

/** The room between posed stitches and a field `widthMm × heightMm` less `marginMm` all round; null without stitches. */
export function roomIn(
  posed: Stitches,
  field: { readonly widthMm: number; readonly heightMm: number; readonly marginMm: number },
): FieldRoom | null {
  const box = stitchExtents(posed);
  if (box.right < box.left) return null;
  const [halfX, halfY] = [field.widthMm / 2 - field.marginMm, field.heightMm / 2 - field.marginMm];
  return {
    leftMm: box.left / 10 + halfX,
    rightMm: halfX - box.right / 10,
    towardsMm: box.bottom / 10 + halfY,
    awayMm: halfY - box.top / 10,
  };
}

export const leastRoomMm = (room: FieldRoom): number =>
  Math.min(room.leftMm, room.rightMm, room.towardsMm, room.awayMm);

/** The convex hull of the penetrations, mm, counter-clockwise (A. M. Andrew, Inf. Proc. Letters 9 (1979) 216–219). */
export function outlineOf({ kind, x, y }: Stitches): PointMm[] {
  const points: [number, number][] = [];
  for (let i = 0; i < kind.length; i++) if (kind[i] === STITCH) points.push([x[i]!, y[i]!]);
  points.sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const half = (some: readonly [number, number][]): [number, number][] => {
    const hull: [number, number][] = [];
    for (const point of some) {
      while (hull.length > 1 && turn(hull.at(-2)!, hull.at(-1)!, point) <= 0) hull.pop();
      hull.push(point);
    }
    return hull.slice(0, -1);
  };
  return [...half(points), ...half([...points].reverse())].map(([px, py]) => ({
    xMm: px / 10,
    yMm: py / 10,
  }));
}

type Pair = readonly [number, number];
const turn = (a: Pair, b: Pair, c: Pair): number =>
  (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
