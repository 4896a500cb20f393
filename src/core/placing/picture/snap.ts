/**
 * A touched line moved onto the edge, seam, fold or chalk line it was meant for. In a strip along the line, steps (an
 * edge) and ridges (a fold, a drawn line) are filtered out across it; the straight way through the strip that gathers
 * most of one sign is taken (a Hough search over shift and slope; J. Canny's filter shape, IEEE TPAMI 8 (1986)
 * 679–698; from memory), then each piece of the strip tells where it lies and a line is fitted with Tukey's weights.
 */
import type { PointPx } from "../points";
import type { GreyPicture } from "./pixels";
import { lightAt } from "./reading";

export interface SnappedLine {
  /** "edge": one side is lighter; "line": a narrow lighter or darker stripe, a fold or a seam. */
  readonly kind: "edge" | "line";
  readonly from: PointPx;
  readonly to: PointPx;
  /** Standard error of the line's place at its middle, px, and of its direction. */
  readonly errorPx: number;
  readonly angleErrorRad: number;
  /** How far it was moved at its middle, px. */
  readonly movedPx: number;
}

/** The filters' Gaussian, px. */
const SIGMA = 1.6;
/** A piece of the strip along the line, px. */
const PIECE_PX = 8;
/** How much plainer than chance the way through the strip must be, and the share of pieces that must agree. */
const LEAST_PLAIN = 6;
const LEAST_AGREE = 0.6;
const LINE_SHARE = 0.72;

interface Strip {
  readonly pieces: number;
  readonly across: number;
  /** Piece-major responses. */
  readonly response: Float64Array;
}

/**
 * The strongest straight edge or line within `reachPx` of the touched one, as long as that; null where there is none
 * that stands out, or the touched line is shorter than 40 px or leaves the picture.
 */
export function snapLine(
  grey: GreyPicture,
  touched: { readonly from: PointPx; readonly to: PointPx },
  reachPx: number,
): SnappedLine | null {
  const dx = touched.to.xPx - touched.from.xPx;
  const dy = touched.to.yPx - touched.from.yPx;
  const length = Math.hypot(dx, dy);
  const reach = Math.round(reachPx);
  if (!(length >= 40) || reach < 3) return null;
  const margin = Math.ceil(3 * SIGMA);
  const rows = lightAcross(grey, touched, length, reach + margin);
  if (!rows) return null;
  const edge = wayThrough(filtered(rows, reach, 1), reach);
  const line = wayThrough(filtered(rows, reach, 2), reach);
  // A line has flanks, which answer an edge's filter about as well (1.05); an edge answers a line's by half (0.50).
  const better = line.gathered >= LINE_SHARE * edge.gathered ? line : edge;
  if (!(better.plain > LEAST_PLAIN)) return null;
  const fit = lineThrough(better);
  if (!fit) return null;
  const half = (better.strip.pieces - 1) / 2;
  const nx = -dy / length;
  const ny = dx / length;
  const end = (place: PointPx, piece: number): PointPx => {
    const off = fit.middle + fit.slope * piece;
    return { xPx: place.xPx + nx * off, yPx: place.yPx + ny * off };
  };
  const piecePx = length / better.strip.pieces;
  return {
    kind: better === edge ? "edge" : "line",
    from: end(touched.from, -half - 0.5),
    to: end(touched.to, half + 0.5),
    errorPx: fit.middleError,
    angleErrorRad: fit.slopeError / piecePx,
    movedPx: fit.middle,
  };
}

/** Mean light of each piece at whole px across the line; null where the strip leaves the picture. */
function lightAcross(
  grey: GreyPicture,
  { from, to }: { readonly from: PointPx; readonly to: PointPx },
  length: number,
  reach: number,
): Float64Array[] | null {
  const ux = (to.xPx - from.xPx) / length;
  const uy = (to.yPx - from.yPx) / length;
  const pieces = Math.max(5, Math.round(length / PIECE_PX));
  const steps = Math.max(4, Math.round(length / pieces));
  const rows: Float64Array[] = [];
  for (let piece = 0; piece < pieces; piece++) {
    const row = new Float64Array(2 * reach + 1);
    for (let step = 0; step < steps; step++) {
      const along = ((piece + (step + 0.5) / steps) / pieces) * length;
      for (let off = -reach; off <= reach; off++) {
        const x = from.xPx + ux * along - uy * off;
        const y = from.yPx + uy * along + ux * off;
        if (!(0 <= x && x <= grey.widthPx - 1 && 0 <= y && y <= grey.heightPx - 1)) return null;
        row[off + reach] = row[off + reach]! + lightAt(grey, x, y) / steps;
      }
    }
    rows.push(row);
  }
  return rows;
}

/** First (an edge) or negative second (a line) derivative of a Gaussian across the strip. */
function filtered(rows: readonly Float64Array[], reach: number, order: 1 | 2): Strip {
  const margin = Math.ceil(3 * SIGMA);
  const kernel = Float64Array.from({ length: 2 * margin + 1 }, (_, i) => {
    const t = (i - margin) / SIGMA;
    return (order === 1 ? t : t * t - 1) * Math.exp((-t * t) / 2);
  });
  // Even light must give nothing.
  const mean = kernel.reduce((sum, one) => sum + one, 0) / kernel.length;
  // Of one length, so that both filters let the same noise through and can be compared.
  const norm = Math.sqrt(kernel.reduce((sum, one) => sum + (one - mean) ** 2, 0));
  const across = 2 * reach + 1;
  const response = new Float64Array(rows.length * across);
  rows.forEach((row, piece) => {
    for (let off = 0; off < across; off++) {
      let sum = 0;
      for (let k = 0; k < kernel.length; k++) sum += ((kernel[k]! - mean) / norm) * row[off + k]!;
      response[piece * across + off] = sum;
    }
  });
  return { pieces: rows.length, across, response };
}

interface Way {
  readonly strip: Strip;
  readonly sign: 1 | -1;
  /** Place at the middle piece (px from the touched line) and change a piece. */
  readonly shift: number;
  readonly slope: number;
  /** Gathered response, and that against what chance gathers. */
  readonly gathered: number;
  readonly plain: number;
}

function wayThrough(strip: Strip, reach: number): Way {
  const { pieces, across, response } = strip;
  const half = (pieces - 1) / 2;
  const steepest = Math.min(reach / half, 0.18 * PIECE_PX);
  const steps = Math.max(4, Math.ceil(steepest * half * 2));
  // What chance gathers: the median size of a response, for most of the strip is no edge.
  const typical = medianOf(Array.from(response, Math.abs)) / 0.6745 + 1e-5;
  let best: Way = { strip, sign: 1, shift: 0, slope: 0, gathered: 0, plain: 0 };
  let score = 0;
  for (let k = -steps; k <= steps; k++) {
    const slope = (k / steps) * steepest;
    for (let shift = -reach + 1; shift < reach; shift++) {
      let sum = 0;
      for (let piece = 0; piece < pieces; piece++) {
        const off = Math.round(shift + slope * (piece - half)) + reach;
        if (0 <= off && off < across) sum += response[piece * across + off]!;
      }
      // Of two alike the one nearer to the touch.
      const value = Math.abs(sum) * Math.exp(-0.5 * (shift / reach) ** 2);
      if (value <= score) continue;
      score = value;
      best = {
        strip,
        sign: sum > 0 ? 1 : -1,
        shift,
        slope,
        gathered: Math.abs(sum),
        plain: Math.abs(sum) / (typical * Math.sqrt(pieces)),
      };
    }
  }
  return best;
}

const medianOf = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1]!;

/** Each piece's own peak near the way, to a fraction of a px; then a line through them, faults outvoted. */
function lineThrough({ strip, sign, shift, slope }: Way) {
  const { pieces, across, response } = strip;
  const half = (pieces - 1) / 2;
  const reach = (across - 1) / 2;
  const peaks: { readonly t: number; readonly off: number }[] = [];
  for (let piece = 0; piece < pieces; piece++) {
    const near = Math.round(shift + slope * (piece - half)) + reach;
    let at = -1;
    let most = 0;
    for (let off = Math.max(1, near - 3); off <= Math.min(across - 2, near + 3); off++) {
      const value = sign * response[piece * across + off]!;
      if (value > most) {
        most = value;
        at = off;
      }
    }
    if (at < 0) continue;
    const before = sign * response[piece * across + at - 1]!;
    const after = sign * response[piece * across + at + 1]!;
    const under = before - 2 * most + after;
    const part = under < 0 ? Math.max(-0.5, Math.min(0.5, (before - after) / (2 * under))) : 0;
    peaks.push({ t: piece - half, off: at + part - reach });
  }
  if (peaks.length < LEAST_AGREE * pieces) return null;
  let middle = shift;
  let rise = slope;
  for (let round = 0; ; round++) {
    const offs = peaks.map(({ t, off }) => off - middle - rise * t);
    const spread = Math.max(0.05, 1.4826 * medianOf(offs.map(Math.abs)));
    let n = 0;
    let st = 0;
    let stt = 0;
    let sy = 0;
    let sty = 0;
    let squares = 0;
    let kept = 0;
    peaks.forEach(({ t, off }, i) => {
      const r = offs[i]! / (4.685 * spread);
      if (Math.abs(r) >= 1) return;
      const w = (1 - r * r) ** 2;
      kept++;
      n += w;
      st += w * t;
      stt += w * t * t;
      sy += w * off;
      sty += w * t * off;
      squares += w * offs[i]! ** 2;
    });
    const spreadT = n * stt - st * st;
    if (kept < LEAST_AGREE * pieces || !(spreadT > 0)) return null;
    rise = (n * sty - st * sy) / spreadT;
    middle = (sy - rise * st) / n;
    if (round < 6) continue;
    const variance = squares / Math.max(1, n - 2);
    return {
      middle,
      slope: rise,
      middleError: Math.sqrt((variance * stt) / spreadT),
      slopeError: Math.sqrt((variance * n) / spreadT),
    };
  }
}
