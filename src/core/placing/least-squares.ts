/**
 * Non-linear least squares by Levenberg–Marquardt (K. Levenberg, Quarterly of Applied Mathematics 2 (1944) 164–168;
 * D. W. Marquardt, J. SIAM 11 (1963) 431–441), damped in proportion to the diagonal, central differences for the
 * derivatives. Residuals come whitened: each divided by its standard deviation.
 */
import {
  choleskySolved,
  cholesky,
  dot,
  type Matrix,
  product,
  spdInverse,
  transposed,
  type Vector,
} from "./algebra";

export interface SquaresAsked {
  readonly start: Vector;
  /** About how far each parameter may move at once; differences are a millionth of it… */
  readonly scale: Vector;
  /** The residuals at these parameters; null where the model cannot be worked out there. */
  readonly residuals: (at: Vector) => Vector | null;
  readonly steps?: number;
}

export interface SquaresFit {
  readonly at: number[];
  readonly residuals: Vector;
  /** Sum of squares of the residuals. */
  readonly cost: number;
  /** Rows: residuals; columns: parameters. */
  readonly jacobian: Matrix;
  /** (JᵀJ)⁻¹: the covariance where the residuals' standard deviation is 1; null where something stays undetermined. */
  readonly covariance: Matrix | null;
}

const DIFFERENCE = 1e-5;

/** Derivatives by central differences; null where the function has no value. */
export function derivatives(of: (at: Vector) => Vector | null, at: Vector, scale: Vector): number[][] | null {
  const columns: number[][] = [];
  for (let i = 0; i < at.length; i++) {
    const step = scale[i]! * DIFFERENCE;
    const moved = (by: number): Vector | null => of(at.map((value, j) => (i === j ? value + by : value)));
    const [more, less] = [moved(step), moved(-step)];
    if (more === null || less === null) return null;
    columns.push(more.map((value, row) => (value - less[row]!) / (2 * step)));
  }
  return transposed(columns);
}

/** The nearest minimum; null where the start itself has no residuals. */
export function leastSquares({ start, scale, residuals, steps = 60 }: SquaresAsked): SquaresFit | null {
  let at = [...start];
  let here = residuals(at);
  if (here === null) return null;
  let cost = dot(here, here);
  let damping = 1e-3;
  let jacobian = derivatives(residuals, at, scale);
  for (let step = 0; step < steps && jacobian !== null && damping < 1e12; step++) {
    const across = transposed(jacobian);
    const normal = product(across, jacobian);
    const pull = across.map((row) => -dot(row, here!));
    const moved = stepOf(normal, pull, damping);
    const next = moved === null ? null : at.map((value, i) => value + moved[i]!);
    const there = next === null ? null : residuals(next);
    const less = there === null ? Infinity : dot(there, there);
    if (!(less <= cost)) {
      damping *= 10;
      continue;
    }
    const still = cost - less <= 1e-10 * cost && moved!.every((one, i) => Math.abs(one) <= 1e-4 * scale[i]!);
    [at, here, cost] = [next!, there!, less];
    jacobian = derivatives(residuals, at, scale);
    damping = Math.max(1e-12, damping / 10);
    if (still || cost === 0) break;
  }
  if (jacobian === null) return null;
  const covariance = spdInverse(product(transposed(jacobian), jacobian));
  return { at, residuals: here, cost, jacobian, covariance };
}

function stepOf(normal: Matrix, pull: Vector, damping: number): number[] | null {
  const size = normal.map((row, i) => Math.sqrt(row[i]!) || 1);
  const damped = normal.map((row, i) =>
    row.map((value, j) => value / (size[i]! * size[j]!) + (i === j ? damping : 0)),
  );
  const l = cholesky(damped);
  return l === null
    ? null
    : choleskySolved(
        l,
        pull.map((one, i) => one / size[i]!),
      ).map((one, i) => one / size[i]!);
}
