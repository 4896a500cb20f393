/**
 * The direction of stripes or of the weave where a person touched. From the gradients g of a window (derivatives of a
 * Gaussian, so that no direction of the pixels is preferred) come Σ g² and Σ g⁴/|g|² as complex numbers: the first
 * tells one direction, the second two at right angles, as in checks and weaves, where the first vanishes. Sources:
 * J. Bigün, G. H. Granlund, Optimal orientation detection of linear symmetry, ICCV 1987, 433–438 (structure tensor);
 * standard errors by leaving out one block at a time (B. Efron, The Jackknife, 1982, ch. 3); from memory.
 */
import type { PointPx } from "../points";
import { type GreyPicture, LINEAR_OF_BYTE } from "./pixels";

export interface TextureDirection {
  /**
   * "one way": the stripes run along `angleRad`. "two ways": along it or across it, the picture cannot tell which.
   */
  readonly kind: "one way" | "two ways";
  /** Counter-clockwise from x to the right, y up; in (−π/2, π/2], or (−π/4, π/4] for two ways. */
  readonly angleRad: number;
  /** One standard error. */
  readonly errorRad: number;
  /** 0 (no direction) to 1 (nothing but this direction). */
  readonly plainness: number;
}

export type TextureRefusal = "too small" | "even" | "no direction";

/** The derivative's Gaussian, px; finer than this, pixels and noise speak. */
const SIGMA = 1.5;
/** Blocks along a side for the standard error. */
const BLOCKS = 6;
/**
 * What a direction must reach: plainness one way and two ways, and its standard error (1.5°). A soft weave (two waves
 * crossing) looks nearly the same turned by 45° and reaches 0.42 at most: it is refused rather than guessed.
 */
const PLAIN_ONE = 0.3;
const PLAIN_TWO = 0.45;
const WORST_ERROR = 0.026;
/** Mean square of the gradient below which there is nothing to see (logarithm of light a px). */
const EVEN = 2e-5;

const REACH = Math.ceil(3 * SIGMA);
const SMOOTH = Float64Array.from({ length: 2 * REACH + 1 }, (_, i) =>
  Math.exp(-((i - REACH) ** 2) / (2 * SIGMA ** 2)),
);
const SMOOTH_SUM = SMOOTH.reduce((sum, one) => sum + one, 0);
const SLOPE = Float64Array.from(SMOOTH, (one, i) => ((i - REACH) * one) / (SIGMA ** 2 * SMOOTH_SUM));

/**
 * The direction within a square of half side `radiusPx` about a place; or why there is none to tell: the window is
 * too small or leaves the picture, shows nothing, or has no plain direction (pile, one colour, a mixture).
 */
export function textureDirection(
  grey: GreyPicture,
  at: PointPx,
  radiusPx: number,
): TextureDirection | { readonly refused: TextureRefusal } {
  const reach = Math.floor(radiusPx);
  const left = Math.round(at.xPx) - reach;
  const top = Math.round(at.yPx) - reach;
  const side = 2 * reach + 1;
  const outside =
    left < REACH || top < REACH || left + side + REACH > grey.widthPx || top + side + REACH > grey.heightPx;
  if (side < 8 * BLOCKS || outside) return { refused: "too small" };
  const { gx, gy } = gradients(grey, left, top, side);
  withoutShade(gx, gy);

  const sums = blockSums(gx, gy, side);
  const total = new Float64Array(5);
  for (const block of sums) for (let k = 0; k < 5; k++) total[k] = total[k]! + block[k]!;
  if (!(total[0]! / (side * side) > EVEN)) return { refused: "even" };
  const one = directionOf(total, sums, 1);
  const two = directionOf(total, sums, 3);
  // The more of the two-fold in the one-fold, the plainer: stripes are both, a weave is only the second.
  if (one.plainness > PLAIN_ONE && one.errorRad < WORST_ERROR) return { kind: "one way", ...one };
  if (two.plainness > PLAIN_TWO && two.errorRad < WORST_ERROR) return { kind: "two ways", ...two };
  return { refused: "no direction" };
}

/** Derivatives of the logarithm of light, so that shadow counts as little as it does to the eye. */
function gradients(grey: GreyPicture, left: number, top: number, side: number) {
  const wide = side + 2 * REACH;
  const light = new Float64Array(wide * wide);
  for (let y = 0; y < wide; y++)
    for (let x = 0; x < wide; x++)
      light[y * wide + x] = Math.log(
        LINEAR_OF_BYTE[grey.data[(top - REACH + y) * grey.widthPx + left - REACH + x]!]! + 0.02,
      );
  const smoothRows = new Float64Array(wide * side);
  const slopeRows = new Float64Array(wide * side);
  for (let y = 0; y < wide; y++)
    for (let x = 0; x < side; x++) {
      let smooth = 0;
      let slope = 0;
      for (let k = 0; k < SMOOTH.length; k++) {
        const value = light[y * wide + x + k]!;
        smooth += SMOOTH[k]! * value;
        slope += SLOPE[k]! * value;
      }
      smoothRows[y * side + x] = smooth / SMOOTH_SUM;
      slopeRows[y * side + x] = slope;
    }
  const gx = new Float64Array(side * side);
  const gy = new Float64Array(side * side);
  for (let y = 0; y < side; y++)
    for (let x = 0; x < side; x++) {
      let sumX = 0;
      let sumY = 0;
      for (let k = 0; k < SMOOTH.length; k++) {
        sumX += (SMOOTH[k]! / SMOOTH_SUM) * slopeRows[(y + k) * side + x]!;
        sumY += SLOPE[k]! * smoothRows[(y + k) * side + x]!;
      }
      gx[y * side + x] = sumX;
      gy[y * side + x] = sumY;
    }
  return { gx, gy };
}

/** The mean slope is uneven light, not texture. */
function withoutShade(gx: Float64Array, gy: Float64Array): void {
  const meanX = gx.reduce((sum, one) => sum + one, 0) / gx.length;
  const meanY = gy.reduce((sum, one) => sum + one, 0) / gy.length;
  for (let i = 0; i < gx.length; i++) {
    gx[i] = gx[i]! - meanX;
    gy[i] = gy[i]! - meanY;
  }
}

/** For each block: Σ|g|², Re and Im of Σ g², Re and Im of Σ g⁴/|g|²; y turned up. */
function blockSums(gx: Float64Array, gy: Float64Array, side: number): Float64Array[] {
  const blocks = Array.from({ length: BLOCKS * BLOCKS }, () => new Float64Array(5));
  for (let y = 0; y < side; y++)
    for (let x = 0; x < side; x++) {
      const a = gx[y * side + x]!;
      const b = -gy[y * side + x]!;
      const size = a * a + b * b;
      if (size === 0) continue;
      const block = blocks[Math.floor((y * BLOCKS) / side) * BLOCKS + Math.floor((x * BLOCKS) / side)]!;
      const re = a * a - b * b;
      const im = 2 * a * b;
      block[0] = block[0]! + size;
      block[1] = block[1]! + re;
      block[2] = block[2]! + im;
      block[3] = block[3]! + (re * re - im * im) / size;
      block[4] = block[4]! + (2 * re * im) / size;
    }
  return blocks;
}

/** Angle, standard error and plainness from the sums at `k` (1: one way, 3: two ways). */
function directionOf(total: Float64Array, blocks: readonly Float64Array[], k: 1 | 3) {
  const fold = k === 1 ? 2 : 4;
  const re = total[k]!;
  const im = total[k + 1]!;
  const angle = Math.atan2(im, re);
  let squares = 0;
  for (const block of blocks) {
    const off = Math.atan2(im - block[k + 1]!, re - block[k]!) - angle;
    const near = off - 2 * Math.PI * Math.round(off / (2 * Math.PI));
    squares += near * near;
  }
  const errorRad = Math.sqrt(((blocks.length - 1) / blocks.length) * squares) / fold;
  // The gradient lies across the stripes.
  const along = angle / fold + (fold === 2 ? Math.PI / 2 : 0);
  const period = (2 * Math.PI) / fold;
  const angleRad = along - period * Math.ceil(along / period - 0.5);
  return { angleRad, errorRad, plainness: Math.hypot(re, im) / total[0]! };
}
