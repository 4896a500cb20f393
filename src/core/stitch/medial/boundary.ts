import type { Rings } from "../rings";
import type { Place } from "../spine";

/**
 * The outline of a shape as samples: nearly even along each ring, one on every sharp corner. Arrays are equally long;
 * the samples of a ring stand together, in its order. Outer rings run counter-clockwise, holes clockwise, so the
 * shape lies to the left.
 */
export interface Boundary {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly ring: Int32Array;
  /** Way along its ring to this sample, in mm. */
  readonly s: Float64Array;
  readonly before: Int32Array;
  readonly after: Int32Array;
  /** Length of each ring, in mm. */
  readonly ringMm: readonly number[];
  /** Convex corners of the outline: where they are and by how much they turn, in degrees. */
  readonly corners: readonly { readonly place: Place; readonly turnDeg: number }[];
}

/** A vertex that turns by more than this stays a sample. */
const SHARP_DEG = 25;
/** Samples are moved by this much, so that no four lie on one circle. */
const JITTER_MM = 1e-6;

/** Samples the rings about every `sampleMm`, at least 12 a ring. */
export function sampleBoundary(rings: Rings, sampleMm: number): Boundary {
  const xs: number[] = [];
  const ys: number[] = [];
  const ringOf: number[] = [];
  const along: number[] = [];
  const before: number[] = [];
  const after: number[] = [];
  const ringMm: number[] = [];
  const corners: { place: Place; turnDeg: number }[] = [];
  for (const given of rings) {
    const ring = withoutRepeats(given);
    if (ring.length < 3) continue;
    const total = lengthOf(ring);
    if (total < 1e-3) continue;
    const number = ringMm.length;
    const step = Math.min(sampleMm, total / 12);
    const first = xs.length;
    const turns = ring.map((_, i) => turnDeg(ring, i));
    const sharp = ring.map((_, i) => i).filter((i) => Math.abs(turns[i]!) > SHARP_DEG);
    for (const i of sharp) if (turns[i]! > 40) corners.push({ place: ring[i]!, turnDeg: turns[i]! });
    const starts = sharp.length > 0 ? sharp : [0];
    let walked = 0;
    starts.forEach((from, k) => {
      const to = starts[(k + 1) % starts.length]!;
      const piece = sliceRound(ring, from, to);
      const length = lengthOf(piece, true);
      const count = Math.max(1, Math.ceil(length / step));
      let at = 0;
      let gone = 0;
      for (let n = 0; n < count; n++) {
        const s = (length * n) / count;
        let span = spanOf(piece, at);
        while (at < piece.length - 2 && gone + span < s) {
          gone += span;
          span = spanOf(piece, ++at);
        }
        const t = span === 0 ? 0 : (s - gone) / span;
        const a = piece[at]!;
        const b = piece[at + 1]!;
        const index = xs.length;
        xs.push(a[0] + t * (b[0] - a[0]) + JITTER_MM * hash(2 * index));
        ys.push(a[1] + t * (b[1] - a[1]) + JITTER_MM * hash(2 * index + 1));
        ringOf.push(number);
        along.push(walked + s);
        before.push(index - 1);
        after.push(index + 1);
      }
      walked += length;
    });
    before[first] = xs.length - 1;
    after[xs.length - 1] = first;
    ringMm.push(walked);
  }
  return {
    x: Float64Array.from(xs),
    y: Float64Array.from(ys),
    ring: Int32Array.from(ringOf),
    s: Float64Array.from(along),
    before: Int32Array.from(before),
    after: Int32Array.from(after),
    ringMm,
    corners,
  };
}

/** −1…1 from a whole number, the same every time. */
function hash(n: number): number {
  const mixed = Math.imul(n ^ (n >>> 7), 0x9e3779b1) ^ Math.imul(n + 13, 0x85ebca6b);
  return (mixed >>> 0) / 0x7fffffff - 1;
}

function withoutRepeats(ring: readonly Place[]): Place[] {
  const kept = ring.filter((place, i) => {
    const next = ring[(i + 1) % ring.length]!;
    return Math.hypot(next[0] - place[0], next[1] - place[1]) > 1e-4;
  });
  return kept;
}

const spanOf = (line: readonly Place[], i: number): number =>
  Math.hypot(line[i + 1]![0] - line[i]![0], line[i + 1]![1] - line[i]![1]);

function lengthOf(line: readonly Place[], open = false): number {
  let sum = 0;
  for (let i = 0; i < line.length - 1; i++) sum += spanOf(line, i);
  if (!open) {
    const [a, b] = [line.at(-1)!, line[0]!];
    sum += Math.hypot(b[0] - a[0], b[1] - a[1]);
  }
  return sum;
}

/** The places of a ring from one index round to another; the whole ring, closed, when they are the same. */
function sliceRound(ring: readonly Place[], from: number, to: number): Place[] {
  const places = [ring[from]!];
  for (let i = (from + 1) % ring.length; ; i = (i + 1) % ring.length) {
    places.push(ring[i]!);
    if (i === to) return places;
  }
}

function turnDeg(ring: readonly Place[], i: number): number {
  const a = ring[(i + ring.length - 1) % ring.length]!;
  const b = ring[i]!;
  const c = ring[(i + 1) % ring.length]!;
  const turn = Math.atan2(c[1] - b[1], c[0] - b[0]) - Math.atan2(b[1] - a[1], b[0] - a[0]);
  return (Math.atan2(Math.sin(turn), Math.cos(turn)) * 180) / Math.PI;
}
