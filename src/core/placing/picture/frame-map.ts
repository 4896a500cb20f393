/**
 * The map between a marker's own frame (cells, origin in its middle, u right, v down as it is printed) and a photo: a
 * homography, row-major [a b c; d e f; g h 1]. Source of the closed form for four corners: P. Heckbert, Fundamentals
 * of Texture Mapping and Image Warping, UCB/CSD 89/516 (1989) §2.2.3 (from memory).
 */
import type { PointPx } from "../points";

export type FrameMap = Float64Array;

/** Four corners in turn: top left, top right, bottom right, bottom left of the square. */
export type Corners = readonly [PointPx, PointPx, PointPx, PointPx];

/**
 * The map that takes a square of half side `half` about the origin to four corners; null if no camera could see a
 * square like that (not convex, or turned over).
 */
export function mapOfSquare(corners: Corners, half: number): FrameMap | null {
  const [p0, p1, p2, p3] = corners;
  for (let i = 0; i < 4; i++) {
    const a = corners[i]!;
    const b = corners[(i + 1) & 3]!;
    const c = corners[(i + 2) & 3]!;
    if (!((b.xPx - a.xPx) * (c.yPx - b.yPx) - (b.yPx - a.yPx) * (c.xPx - b.xPx) > 0)) return null;
  }
  const dx1 = p1.xPx - p2.xPx;
  const dy1 = p1.yPx - p2.yPx;
  const dx2 = p3.xPx - p2.xPx;
  const dy2 = p3.yPx - p2.yPx;
  const sx = p0.xPx - p1.xPx + p2.xPx - p3.xPx;
  const sy = p0.yPx - p1.yPx + p2.yPx - p3.yPx;
  const under = dx1 * dy2 - dx2 * dy1;
  const g = (sx * dy2 - dx2 * sy) / under;
  const h = (dx1 * sy - sx * dy1) / under;
  // Unit square (0, 0) (1, 0) (1, 1) (0, 1), then u = (cell + half) / (2 half).
  const a = p1.xPx - p0.xPx + g * p1.xPx;
  const b = p3.xPx - p0.xPx + h * p3.xPx;
  const d = p1.yPx - p0.yPx + g * p1.yPx;
  const e = p3.yPx - p0.yPx + h * p3.yPx;
  const s = 1 / (2 * half);
  return normalised([
    a * s,
    b * s,
    p0.xPx + (a + b) / 2,
    d * s,
    e * s,
    p0.yPx + (d + e) / 2,
    g * s,
    h * s,
    1 + (g + h) / 2,
  ]);
}

function normalised(values: readonly number[]): FrameMap | null {
  const last = values[8]!;
  const map = Float64Array.from(values, (one) => one / last);
  return map.every(Number.isFinite) ? map : null;
}

export function mapped(map: FrameMap, u: number, v: number): PointPx {
  const w = map[6]! * u + map[7]! * v + map[8]!;
  return {
    xPx: (map[0]! * u + map[1]! * v + map[2]!) / w,
    yPx: (map[3]! * u + map[4]! * v + map[5]!) / w,
  };
}

/** The corners of the square of half side `half` under the map. */
export const squareUnder = (map: FrameMap, half: number): Corners => [
  mapped(map, -half, -half),
  mapped(map, half, -half),
  mapped(map, half, half),
  mapped(map, -half, half),
];

/** The same map with the frame turned by quarter turns clockwise: (u, v) of the new frame at turned places. */
export function turnedMap(map: FrameMap, turns: number): FrameMap {
  const turned = Float64Array.from(map);
  // A quarter turn clockwise takes (u, v) of the upright frame to (−v, u).
  for (let t = 0; t < (turns & 3); t++)
    for (let row = 0; row < 9; row += 3) {
      const a = turned[row]!;
      turned[row] = turned[row + 1]!;
      turned[row + 1] = -a;
    }
  return turned;
}

/**
 * Solves the symmetric positive system in place (Cholesky; G. Golub, C. Van Loan, Matrix Computations §4.2). `matrix`
 * is n × n row-major and becomes its factor, `right` becomes the solution. False if it is not positive.
 */
export function solvePositive(matrix: Float64Array, right: Float64Array): boolean {
  const n = right.length;
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * n + j]!;
      for (let k = 0; k < j; k++) sum -= matrix[i * n + k]! * matrix[j * n + k]!;
      if (i !== j) matrix[i * n + j] = sum / matrix[j * n + j]!;
      else if (sum > 0) matrix[i * n + i] = Math.sqrt(sum);
      else return false;
    }
  for (let i = 0; i < n; i++) {
    let sum = right[i]!;
    for (let k = 0; k < i; k++) sum -= matrix[i * n + k]! * right[k]!;
    right[i] = sum / matrix[i * n + i]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = right[i]!;
    for (let k = i + 1; k < n; k++) sum -= matrix[k * n + i]! * right[k]!;
    right[i] = sum / matrix[i * n + i]!;
  }
  return true;
}
