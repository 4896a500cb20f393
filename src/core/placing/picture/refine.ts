/**
 * A marker's place to a fraction of a pixel. Across all four sides of the dark ring, lines of samples are fitted by a
 * bar under a blur (`edge-profile`); the edges found then move one common map: eight numbers of a homography and one
 * for how far ink or bloom has pushed the ring's two edges apart. So eight edges speak for one square, and what
 * spreads both ways alike cancels. Weighed least squares (Gauss–Newton) with Tukey's weights (P. J. Huber, E. M.
 * Ronchetti, Robust Statistics, 2nd ed. 2009, §4.8), so that a shadow's edge or glare over a part is outvoted.
 */
import { type Lens, straighten } from "../lens";
import type { PointPx } from "../points";
import { type BarFit, fitBar, normalShareOf } from "./edge-profile";
import { type FrameMap, mapped, solvePositive } from "./frame-map";
import { CODE_CELLS } from "./marker-code";
import type { GreyPicture } from "./pixels";
import { lightAt } from "./reading";

/** Outer and inner edge of the dark ring and the corner square, in cells from the middle. */
const OUTER = 4.5;
const INNER = 3.5;
const CORNER = 4;
/** Samples reach so far beyond the ring, in cells; stations keep so far from the corners. */
const BEYOND = 0.9;
const CLEAR = 0.35;
const MOST_SAMPLES = 120;
const MOST_STATIONS = 48;
/** What the edges' agreement does not show: measured on rendered photos, in shares of the blur. */
const SYSTEMATIC = 0.015;
/** From a blur of so many cells on, what lies past a small marker's rings shines into their edges: so much more a cell of blur. */
const DROWNING = 0.27;
const DROWNED = 1.5;

const systematicPx = (blurPx: number, cellPx: number): number =>
  blurPx * (SYSTEMATIC + DROWNED * Math.max(0, blurPx / cellPx - DROWNING));

export interface RefinedMarker {
  /** From cells to photo px (straightened px where a lens is given). */
  readonly map: FrameMap;
  /** σ of the blur across the edges, px. */
  readonly blurPx: number;
  /** Standard error of a corner, px, root mean square over the four corners and both directions. */
  readonly cornerErrorPx: number;
}

/** An edge place that was found: where it should lie in the frame, where it lies, which way is outward. */
interface EdgeSample {
  readonly u: number;
  readonly v: number;
  /** Outward in the frame: (0, −1), (1, 0), (0, 1) or (−1, 0). */
  readonly outU: number;
  readonly outV: number;
  /** 1 on the outer edge, −1 on the inner: which way spreading ink moves it along `out`. */
  readonly spread: 1 | -1;
  readonly xPx: number;
  readonly yPx: number;
}

/** Where the lens shows a straight place; without the check of its reach, which a marker in the photo passes. */
export function bentPlace(lens: Lens | null, { xPx, yPx }: PointPx): PointPx {
  if (!lens) return { xPx, yPx };
  const x = (xPx - lens.centreXPx) / lens.focalPx;
  const y = (yPx - lens.centreYPx) / lens.focalPx;
  const r2 = x * x + y * y;
  const more = (lens.k1 + lens.k2 * r2) * r2 * lens.focalPx;
  return { xPx: xPx + x * more, yPx: yPx + y * more };
}

/** The straight place of one seen in the photo; null where the lens is not known. */
export function straightPlace(lens: Lens | null, place: PointPx): PointPx | null {
  if (!lens) return place;
  try {
    return straighten(lens, place);
  } catch {
    return null;
  }
}

/** Frame place on side `side` (0 top, 1 right, 2 bottom, 3 left), `along` from its middle, `out` from the centre. */
const onSide = (side: number, along: number, out: number): readonly [number, number] =>
  side === 0 ? [along, -out] : side === 1 ? [out, along] : side === 2 ? [-along, out] : [-out, -along];

interface SideProfiles {
  readonly grid: { readonly from: number; readonly step: number; readonly count: number };
  readonly stations: readonly number[];
  readonly samples: readonly Float64Array[];
  /** Pixels a cell across this side's edges. */
  readonly cellPx: number;
  /** Pixels a cell along this side. */
  readonly alongPx: number;
}

function profilesOf(grey: GreyPicture, map: FrameMap, lens: Lens | null, side: number): SideProfiles | null {
  const [u0, v0] = onSide(side, 0, OUTER);
  const [u1, v1] = onSide(side, 0, INNER);
  const [ua, va] = onSide(side, 1, CORNER);
  const [ub, vb] = onSide(side, 0, CORNER);
  const outer = mapped(map, u0, v0);
  const inner = mapped(map, u1, v1);
  const tip = mapped(map, ua, va);
  const foot = mapped(map, ub, vb);
  const alongPx = Math.hypot(tip.xPx - foot.xPx, tip.yPx - foot.yPx);
  const across =
    (outer.xPx - inner.xPx) * (tip.yPx - foot.yPx) - (outer.yPx - inner.yPx) * (tip.xPx - foot.xPx);
  const cellPx = Math.abs(across) / alongPx;
  const reach = 1 + 2 * BEYOND;
  const count = Math.max(12, Math.min(MOST_SAMPLES, Math.round((reach * cellPx) / 0.5) + 1));
  // Inwards from outside: s = 0 on the outer edge, 1 on the inner one.
  const grid = { from: -BEYOND, step: reach / (count - 1), count };
  const half = INNER - CLEAR;
  const places = Math.max(6, Math.min(MOST_STATIONS, Math.round((2 * half * alongPx) / 1.5)));
  const stations = Array.from({ length: places }, (_, i) => ((2 * i + 1) / places - 1) * half);
  const samples: Float64Array[] = [];
  for (const along of stations) {
    const line = new Float64Array(count);
    for (let i = 0; i < count; i++) {
      const [u, v] = onSide(side, along, OUTER - (grid.from + i * grid.step));
      const { xPx, yPx } = bentPlace(lens, mapped(map, u, v));
      if (!(-2 < xPx && xPx < grey.widthPx + 1 && -2 < yPx && yPx < grey.heightPx + 1)) return null;
      line[i] = lightAt(grey, xPx, yPx);
    }
    samples.push(line);
  }
  return { grid, stations, samples, cellPx, alongPx };
}

/** The share of dark that the code's outermost cells bring to a place `along` a side under a blur (cells). */
function darkBehind(word: number, side: number, along: number, blur: number): number {
  let share = 0;
  for (let cell = -2; cell <= 2; cell++) {
    const [u, v] = onSide(side, cell, 2);
    if (((word >>> ((v + 2) * CODE_CELLS + u + 2)) & 1) === 0) continue;
    share += normalShareOf((along - cell + 0.5) / blur) - normalShareOf((along - cell - 0.5) / blur);
  }
  return share;
}

/** The share of the light ring's light that a blur leaves at a place `along` a side, for the ring ends at corners. */
const openAt = (along: number, blur: number): number =>
  normalShareOf((INNER - along) / blur) + normalShareOf((INNER + along) / blur) - 1;

/** The mean profile of a side tells its blur; then each station tells where its two edges lie. The blur in px. */
function edgesOfSide(
  { samples, grid, stations, cellPx, alongPx }: SideProfiles,
  on: { readonly map: FrameMap; readonly side: number; readonly word: number },
  into: EdgeSample[],
): number | null {
  const mean = new Float64Array(grid.count);
  for (const line of samples)
    for (let i = 0; i < grid.count; i++) mean[i] = mean[i]! + line[i]! / samples.length;
  const meanOver = (one: (along: number) => number) =>
    stations.reduce((sum, along) => sum + one(along), 0) / stations.length;
  let whole: BarFit | null = null;
  let blurPx = 0.8;
  // What blurs in from the code and the corners depends on the blur: once with a guess, once with what came out.
  for (let round = 0; round < 2; round++) {
    const aside = blurPx / alongPx;
    const behind = meanOver((along) => darkBehind(on.word, on.side, along, aside));
    const open = meanOver((along) => openAt(along, aside));
    const start = { first: 0, second: 1, blur: Math.max(0.05, blurPx / cellPx), beyond: 1 };
    whole = fitBar(mean, { ...grid, darkBehind: behind, open, blur: "free" }, start);
    if (!whole) return null;
    blurPx = whole.blur * cellPx;
  }
  if (!whole) return null;
  const bar: BarFit = whole;
  const [outU, outV] = onSide(on.side, 0, 1);
  const add = (along: number, s: number, spread: 1 | -1) => {
    const [u, v] = onSide(on.side, along, OUTER - s);
    const [lineU, lineV] = onSide(on.side, along, spread === 1 ? OUTER : INNER);
    into.push({ u: lineU, v: lineV, outU, outV, spread, ...mapped(on.map, u, v) });
  };
  stations.forEach((along, at) => {
    const behind = darkBehind(on.word, on.side, along, blurPx / alongPx);
    const open = openAt(along, blurPx / alongPx);
    const fit = fitBar(samples[at]!, { ...grid, darkBehind: behind, open, blur: "kept" }, bar);
    if (!fit || fit.outside - fit.dark < 0.3 * (bar.outside - bar.dark)) return;
    add(along, fit.first, 1);
    add(along, fit.second, -1);
  });
  return blurPx;
}

/** What the nine numbers change at an edge place, along the edge's normal in px. */
function rowOf(map: Float64Array, gain: number, sample: EdgeSample, row: Float64Array): number {
  const u = sample.u + sample.outU * sample.spread * gain;
  const v = sample.v + sample.outV * sample.spread * gain;
  const w = map[6]! * u + map[7]! * v + map[8]!;
  const x = (map[0]! * u + map[1]! * v + map[2]!) / w;
  const y = (map[3]! * u + map[4]! * v + map[5]!) / w;
  const slopeX = (du: number, dv: number) =>
    (map[0]! * du + map[1]! * dv - x * (map[6]! * du + map[7]! * dv)) / w;
  const slopeY = (du: number, dv: number) =>
    (map[3]! * du + map[4]! * dv - y * (map[6]! * du + map[7]! * dv)) / w;
  // Along the edge is across `out`; the normal is what lies across it in the photo.
  const alongX = slopeX(-sample.outV, sample.outU);
  const alongY = slopeY(-sample.outV, sample.outU);
  const length = Math.hypot(alongX, alongY);
  const nx = alongY / length;
  const ny = -alongX / length;
  row[0] = (nx * u) / w;
  row[1] = (nx * v) / w;
  row[2] = nx / w;
  row[3] = (ny * u) / w;
  row[4] = (ny * v) / w;
  row[5] = ny / w;
  row[6] = (-(nx * x + ny * y) * u) / w;
  row[7] = (-(nx * x + ny * y) * v) / w;
  row[8] = sample.spread * (nx * slopeX(sample.outU, sample.outV) + ny * slopeY(sample.outU, sample.outV));
  return nx * (sample.xPx - x) + ny * (sample.yPx - y);
}

const medianOf = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[values.length >> 1]!;

/** Tukey's weight at 4.7 standard deviations. */
const weightOf = (off: number, spread: number): number => {
  const t = off / (4.685 * spread);
  return Math.abs(t) >= 1 ? 0 : (1 - t * t) ** 2;
};

/** The map that fits the edges best, and a corner's standard error in px; null if too many edges disagree. */
function fitMap(start: FrameMap, samples: readonly EdgeSample[]): readonly [FrameMap, number] | null {
  if (samples.length < 24) return null;
  // About the marker's own middle, so that the numbers are alike in size.
  const { xPx: cx, yPx: cy } = mapped(start, 0, 0);
  const map = Float64Array.from(start);
  for (let k = 0; k < 3; k++) {
    map[k] = map[k]! - cx * map[6 + k]!;
    map[3 + k] = map[3 + k]! - cy * map[6 + k]!;
  }
  const local = samples.map((one) => ({ ...one, xPx: one.xPx - cx, yPx: one.yPx - cy }));
  const row = new Float64Array(9);
  const normal = new Float64Array(81);
  const right = new Float64Array(9);
  let gain = 0;
  let variance = 0;
  for (let round = 0; round < 8; round++) {
    const offs = local.map((sample) => rowOf(map, gain, sample, row));
    const spread = Math.max(0.01, 1.4826 * medianOf(offs.map(Math.abs)));
    normal.fill(0);
    right.fill(0);
    let kept = 0;
    let squares = 0;
    for (const sample of local) {
      const off = rowOf(map, gain, sample, row);
      const weight = weightOf(off, spread);
      if (weight === 0) continue;
      kept++;
      squares += weight * off * off;
      for (let a = 0; a < 9; a++) {
        right[a] = right[a]! + weight * row[a]! * off;
        for (let b = 0; b <= a; b++) normal[a * 9 + b] = normal[a * 9 + b]! + weight * row[a]! * row[b]!;
      }
    }
    if (kept < Math.max(20, 0.5 * local.length)) return null;
    variance = squares / (kept - 9);
    for (let a = 0; a < 9; a++) normal[a * 10] = normal[a * 10]! * (1 + 1e-9) + 1e-12;
    if (!solvePositive(normal, right)) return null;
    for (let k = 0; k < 8; k++) map[k] = map[k]! + right[k]!;
    gain += right[8]!;
    if (Math.abs(right[2]!) + Math.abs(right[5]!) < 1e-5 && round > 1) break;
  }
  const error = cornerError(map, normal, variance);
  for (let k = 0; k < 3; k++) {
    map[k] = map[k]! + cx * map[6 + k]!;
    map[3 + k] = map[3 + k]! + cy * map[6 + k]!;
  }
  return [map, error];
}

/** Root mean square standard error of the corners, from the factor L of the normal matrix: |L⁻¹ jᵀ|² σ². */
function cornerError(map: Float64Array, factor: Float64Array, variance: number): number {
  let sum = 0;
  for (const [su, sv] of [[-1, -1], [1, -1], [1, 1], [-1, 1]] as const) {
    const u = su * CORNER;
    const v = sv * CORNER;
    const w = map[6]! * u + map[7]! * v + map[8]!;
    const x = (map[0]! * u + map[1]! * v + map[2]!) / w;
    const y = (map[3]! * u + map[4]! * v + map[5]!) / w;
    sum += lengthThrough(factor, [u / w, v / w, 1 / w, 0, 0, 0, (-x * u) / w, (-x * v) / w, 0]);
    sum += lengthThrough(factor, [0, 0, 0, u / w, v / w, 1 / w, (-y * u) / w, (-y * v) / w, 0]);
  } // prettier-ignore
  return Math.sqrt((sum / 8) * variance);
}

function lengthThrough(factor: Float64Array, values: number[]): number {
  let sum = 0;
  for (let i = 0; i < 9; i++) {
    let value = values[i]!;
    for (let k = 0; k < i; k++) value -= factor[i * 9 + k]! * values[k]!;
    values[i] = value / factor[i * 10]!;
    sum += values[i]! ** 2;
  }
  return sum;
}

/**
 * Finds the marker's map exactly, from one that is right to a pixel or two; null where its edges are not to be seen.
 * `word`: the code's cells as
 * they lie in the frame. With a lens, `start` and the result lead to straightened px and the samples are taken along bent lines.
 */
export function refineMarker(
  grey: GreyPicture,
  start: FrameMap,
  lens: Lens | null,
  word: number,
): RefinedMarker | null {
  let map = start;
  let refined: RefinedMarker | null = null;
  for (let round = 0; round < 2; round++) {
    const samples: EdgeSample[] = [];
    const blurs: number[] = [];
    let cellPx = Infinity;
    for (let side = 0; side < 4; side++) {
      const profiles = profilesOf(grey, map, lens, side);
      if (!profiles) return null;
      cellPx = Math.min(cellPx, profiles.cellPx);
      const blur = edgesOfSide(profiles, { map, side, word }, samples);
      if (blur !== null) blurs.push(blur);
    }
    if (blurs.length < 3) return null;
    const fit = fitMap(map, samples);
    if (!fit) return null;
    map = fit[0];
    const blurPx = blurs.reduce((sum, one) => sum + one, 0) / blurs.length;
    refined = { map, cornerErrorPx: Math.hypot(fit[1], systematicPx(blurPx, cellPx)), blurPx };
  }
  return refined;
}
