/**
 * Small dense linear algebra, a few dozen rows and columns: Cholesky, symmetric eigenvalues by cyclic Jacobi, singular
 * values by one-sided Jacobi (G. H. Golub, C. F. Van Loan, Matrix Computations, 4th ed. (2013) §4.2, §8.5, §8.6;
 * M. R. Hestenes, J. SIAM 6 (1958) 51–90; from memory). Jacobi's methods are slow for large matrices and accurate for
 * small ones, also where singular values differ by many powers of ten. Matrices are rows of numbers; nothing is changed
 * in place but what a function made itself.
 */
import { invariant } from "#core/base";

export type Vector = readonly number[];
export type Matrix = readonly Vector[];

export const zeros = (rows: number, columns: number): number[][] =>
  Array.from({ length: rows }, () => new Array<number>(columns).fill(0));

export const diagonal = (values: Vector): number[][] =>
  values.map((value, row) => values.map((_, column) => (row === column ? value : 0)));

export const transposed = (a: Matrix): number[][] =>
  (a[0] ?? []).map((_, column) => a.map((row) => row[column]!));

export function dot(a: Vector, b: Vector): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

export const applied = (a: Matrix, x: Vector): number[] => a.map((row) => dot(row, x));

export function product(a: Matrix, b: Matrix): number[][] {
  const columns = b[0]?.length ?? 0;
  return a.map((row) => {
    const out = new Array<number>(columns).fill(0);
    for (let k = 0; k < row.length; k++) {
      const value = row[k]!;
      if (value !== 0) for (let j = 0; j < columns; j++) out[j]! += value * b[k]![j]!;
    }
    return out;
  });
}

export const sum = (a: Matrix, b: Matrix): number[][] =>
  a.map((row, i) => row.map((value, j) => value + b[i]![j]!));

/** J C Jᵀ: the covariance of a linear function of what has the covariance C. */
export const carried = (jacobian: Matrix, covariance: Matrix): number[][] =>
  product(product(jacobian, covariance), transposed(jacobian));

/** Lower L with L Lᵀ = A; null where A is not positive definite. */
export function cholesky(a: Matrix): number[][] | null {
  const l = zeros(a.length, a.length);
  for (let i = 0; i < a.length; i++)
    for (let j = 0; j <= i; j++) {
      let rest = a[i]![j]!;
      for (let k = 0; k < j; k++) rest -= l[i]![k]! * l[j]![k]!;
      if (i !== j) l[i]![j] = rest / l[j]![j]!;
      else if (rest > 0) l[i]![i] = Math.sqrt(rest);
      else return null;
    }
  return l;
}

/** x with L x = b, L lower. */
export function forwardSolved(l: Matrix, b: Vector): number[] {
  const x = [...b];
  for (let i = 0; i < l.length; i++) {
    for (let k = 0; k < i; k++) x[i]! -= l[i]![k]! * x[k]!;
    x[i]! /= l[i]![i]!;
  }
  return x;
}

/** x with L Lᵀ x = b. */
export function choleskySolved(l: Matrix, b: Vector): number[] {
  const x = forwardSolved(l, b);
  for (let i = l.length - 1; i >= 0; i--) {
    for (let k = i + 1; k < l.length; k++) x[i]! -= l[k]![i]! * x[k]!;
    x[i]! /= l[i]![i]!;
  }
  return x;
}

/** The inverse of a symmetric positive definite matrix; null where it is none. */
export function spdInverse(a: Matrix): number[][] | null {
  // Scaled to a unit diagonal first: parameters of very different size stand in one matrix.
  const scale = a.map((row, i) => 1 / Math.sqrt(row[i]!));
  if (!scale.every((one) => Number.isFinite(one))) return null;
  const l = cholesky(a.map((row, i) => row.map((value, j) => value * scale[i]! * scale[j]!)));
  if (l === null) return null;
  const columns = a.map((_, i) =>
    choleskySolved(
      l,
      a.map((__, j) => (i === j ? 1 : 0)),
    ),
  );
  return columns.map((column, i) => column.map((value, j) => value * scale[i]! * scale[j]!));
}

/** Eigenvalues of a symmetric matrix, rising, and their vectors as rows of `vectors`. */
export function symmetricEigen(matrix: Matrix): { readonly values: number[]; readonly vectors: number[][] } {
  const a = matrix.map((row) => [...row]);
  const v = diagonal(new Array<number>(a.length).fill(1));
  for (let sweep = 0; sweep < 60; sweep++) {
    let off = 0;
    let all = 0;
    for (let i = 0; i < a.length; i++)
      for (let j = 0; j < a.length; j++) {
        all += a[i]![j]! ** 2;
        if (i !== j) off += a[i]![j]! ** 2;
      }
    if (off <= 1e-32 * all) break;
    for (let p = 0; p < a.length; p++) for (let q = p + 1; q < a.length; q++) turnPair(a, v, p, q);
  }
  const order = a.map((_, i) => i).sort((one, two) => a[one]![one]! - a[two]![two]!);
  return { values: order.map((i) => a[i]![i]!), vectors: order.map((i) => v[i]!) };
}

/** One Jacobi turn that makes a[p][q] nought; `v` holds eigenvectors as rows. */
function turnPair(a: number[][], v: number[][], p: number, q: number): void {
  if (a[p]![q] === 0) return;
  const theta = (a[q]![q]! - a[p]![p]!) / (2 * a[p]![q]!);
  const t = Math.sign(theta || 1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
  const c = 1 / Math.sqrt(t * t + 1);
  const s = t * c;
  for (let k = 0; k < a.length; k++)
    [a[k]![p], a[k]![q]] = [c * a[k]![p]! - s * a[k]![q]!, s * a[k]![p]! + c * a[k]![q]!];
  turnRows(a, p, q, c, s);
  turnRows(v, p, q, c, s);
}

function turnRows(a: number[][], p: number, q: number, c: number, s: number): void {
  const [one, two] = [a[p]!, a[q]!];
  for (let k = 0; k < one.length; k++)
    [one[k], two[k]] = [c * one[k]! - s * two[k]!, s * one[k]! + c * two[k]!];
}

/**
 * A = U diag(values) Vᵀ with values falling; `left` and `right` hold singular vectors as rows (of A's row count and
 * column count). With fewer rows than columns rows of nought are thought below, so that all right vectors come out.
 */
export function singular(matrix: Matrix): {
  readonly values: number[];
  readonly left: number[][];
  readonly right: number[][];
} {
  const columns = matrix[0]?.length ?? 0;
  invariant(columns > 0, "a matrix with columns has singular values");
  // Column vectors as rows: turning columns of A is turning rows here.
  const w = transposed(matrix);
  const v = diagonal(new Array<number>(columns).fill(1));
  for (let sweep = 0, turned = true; turned && sweep < 80; sweep++) {
    turned = false;
    for (let p = 0; p < columns; p++)
      for (let q = p + 1; q < columns; q++) {
        const [pp, qq, pq] = [dot(w[p]!, w[p]!), dot(w[q]!, w[q]!), dot(w[p]!, w[q]!)];
        if (pq === 0 || Math.abs(pq) <= 1e-16 * Math.sqrt(pp * qq)) continue;
        turned = true;
        const theta = (qq - pp) / (2 * pq);
        const t = Math.sign(theta || 1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
        const c = 1 / Math.sqrt(t * t + 1);
        turnRows(w, p, q, c, t * c);
        turnRows(v, p, q, c, t * c);
      }
  }
  const sizes = w.map((row) => Math.sqrt(dot(row, row)));
  const order = sizes.map((_, i) => i).sort((one, two) => sizes[two]! - sizes[one]!);
  return {
    values: order.map((i) => sizes[i]!),
    left: order.map((i) => (sizes[i]! > 0 ? w[i]!.map((value) => value / sizes[i]!) : w[i]!)),
    right: order.map((i) => v[i]!),
  };
}

type Three = readonly [number, number, number];

/** The 3 × 3 inverse by cofactors; null where the determinant is nought. */
export function inverse3(m: Matrix): number[][] | null {
  const [[a, b, c], [d, e, f], [g, h, i]] = m as unknown as readonly [Three, Three, Three];
  const det = determinant3(m);
  if (!(Math.abs(det) > 0) || !Number.isFinite(det)) return null;
  return [
    [(e * i - f * h) / det, (c * h - b * i) / det, (b * f - c * e) / det],
    [(f * g - d * i) / det, (a * i - c * g) / det, (c * d - a * f) / det],
    [(d * h - e * g) / det, (b * g - a * h) / det, (a * e - b * d) / det],
  ];
}

export function determinant3(m: Matrix): number {
  const [[a, b, c], [d, e, f], [g, h, i]] = m as unknown as readonly [Three, Three, Three];
  return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
}
