import {
  CholeskyDecomposition,
  EigenvalueDecomposition,
  inverse,
  Matrix,
  SingularValueDecomposition,
} from "ml-matrix";
import { describe, expect, it } from "vitest";
import { seededChance } from "#core/base";
import {
  cholesky,
  choleskySolved,
  inverse3,
  product,
  singular,
  spdInverse,
  symmetricEigen,
  transposed,
} from "./algebra";
import { leastSquares } from "./least-squares";

const chance = seededChance(11);
const random = (rows: number, columns: number) =>
  Array.from({ length: rows }, () => Array.from({ length: columns }, () => chance.next() * 2 - 1));
const near = (one: readonly (readonly number[])[], other: readonly (readonly number[])[], places = 9) =>
  one.forEach((row, i) => row.forEach((value, j) => expect(value).toBeCloseTo(other[i]![j]!, places)));

// Reference: the general matrix library ml-matrix 6.15.1.
describe("linear algebra against a general matrix library", () => {
  it("has the same singular values and puts the matrix together again", () => {
    for (const [rows, columns] of [
      [5, 5],
      [24, 9],
      [8, 9],
      [3, 2],
    ] as const) {
      // prettier-ignore
      const a = random(rows, columns);
      const { values, left, right } = singular(a);
      const reference = new SingularValueDecomposition(new Matrix(a), { autoTranspose: true }).diagonal;
      reference.forEach((value, i) => expect(values[i]).toBeCloseTo(value, 10));
      near(product(transposed(left), values.map((value, i) => right[i]!.map((one) => one * value))), a); // prettier-ignore
      near(product(right, transposed(right)), values.map((_, i) => values.map((__, j) => (i === j ? 1 : 0)))); // prettier-ignore
    }
  });

  it("keeps small singular values beside large ones", () => {
    const turn = [[0.6, -0.8], [0.8, 0.6]]; // prettier-ignore
    const { values } = singular(product(turn, [[1e8, 0], [0, 1e-6]])); // prettier-ignore
    expect(values[1]! / 1e-6).toBeCloseTo(1, 9);
  });

  it("has the same eigenvalues, inverse and solution of a positive definite matrix", () => {
    const b = random(12, 7);
    const a = product(transposed(b), b);
    const { values, vectors } = symmetricEigen(a);
    const reference = [...new EigenvalueDecomposition(new Matrix(a)).realEigenvalues].sort((x, y) => x - y);
    values.forEach((value, i) => expect(value).toBeCloseTo(reference[i]!, 9));
    near(product(vectors, a), vectors.map((row, i) => row.map((one) => one * values[i]!))); // prettier-ignore
    near(spdInverse(a)!, inverse(new Matrix(a)).to2DArray());
    const right = random(7, 1).map((row) => row[0]!);
    const solved = new CholeskyDecomposition(new Matrix(a)).solve(Matrix.columnVector(right)).to1DArray();
    choleskySolved(cholesky(a)!, right).forEach((value, i) => expect(value).toBeCloseTo(solved[i]!, 9));
  });

  it("says when a matrix is not positive definite or has no inverse", () => {
    expect(cholesky([[1, 2], [2, 1]])).toBeNull(); // prettier-ignore
    expect(spdInverse([[1, 1], [1, 1]])).toBeNull(); // prettier-ignore
    expect(inverse3([[1, 2, 3], [2, 4, 6], [1, 0, 1]])).toBeNull(); // prettier-ignore
    const a = random(3, 3);
    near(inverse3(a)!, inverse(new Matrix(a)).to2DArray());
  });
});

describe("least squares", () => {
  it("finds the minimum of Rosenbrock's valley", () => {
    // H. H. Rosenbrock, Computer Journal 3 (1960) 175–184: minimum 0 at (1, 1), from (−1.2, 1).
    const fit = leastSquares({
      start: [-1.2, 1],
      scale: [1, 1],
      residuals: ([x, y]) => [10 * (y! - x! * x!), 1 - x!],
      steps: 200,
    })!;
    expect(fit.at[0]).toBeCloseTo(1, 8);
    expect(fit.at[1]).toBeCloseTo(1, 8);
  });

  it("certifies NIST's Misra1a to seven digits", () => {
    // NIST Statistical Reference Datasets, Misra1a: y = b1 (1 − exp(−b2 x)); certified b1 = 238.94212918, b2 = 5.5015643181e-4,
    // their deviations 2.7070075241 and 7.2668688436e-6, residual sum of squares 0.12455138894 (from memory, recomputed with scipy).
    const y = [
      10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.4, 75.47, 81.78,
    ];
    const x = [77.6, 114.9, 141.1, 190.8, 239.9, 289, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760];
    const fit = leastSquares({
      start: [250, 0.0005],
      scale: [100, 0.0001],
      residuals: ([a, b]) => x.map((one, i) => a! * (1 - Math.exp(-b! * one)) - y[i]!),
    })!;
    expect(fit.cost).toBeCloseTo(0.12455138894, 9);
    expect(fit.at[0]! / 238.94212918).toBeCloseTo(1, 7);
    expect(fit.at[1]! / 5.5015643181e-4).toBeCloseTo(1, 7);
    const deviation = Math.sqrt((fit.covariance![0]![0]! * fit.cost) / 12);
    expect(deviation / 2.7070075241).toBeCloseTo(1, 5);
  });
});
