import { describe, expect, it } from "vitest";
import { type Corners, mapOfSquare, mapped, solvePositive, turnedMap } from "./frame-map";

const corners = (places: readonly (readonly [number, number])[]) =>
  places.map(([xPx, yPx]) => ({ xPx, yPx })) as unknown as Corners;

describe("the map of a square", () => {
  it("takes the paper's middle where two general solvers put it (t02_a4_sheet_worked)", () => {
    // An A4 sheet seen at these corners shows its middle, (105, 148.5) mm, at (972.3569, 1204.9422) px.
    const map = mapOfSquare(corners([[412, 318], [1630, 402], [1541, 2105], [331, 1988]]), 1)!; // prettier-ignore
    const middle = mapped(map, 0, 0);
    expect(middle.xPx).toBeCloseTo(972.3569, 3);
    expect(middle.yPx).toBeCloseTo(1204.9422, 3);
  });

  it("refuses four places at which no camera sees a square (t02_homography_4pt_example)", () => {
    expect(mapOfSquare(corners([[375, 20], [420, 20], [420, 300], [450, 290]]), 1)).toBeNull(); // prettier-ignore
    // A mirrored square, two equal corners, three in line.
    expect(mapOfSquare(corners([[0, 0], [0, 9], [9, 9], [9, 0]]), 1)).toBeNull(); // prettier-ignore
    expect(mapOfSquare(corners([[0, 0], [0, 0], [9, 9], [0, 9]]), 1)).toBeNull(); // prettier-ignore
    expect(mapOfSquare(corners([[0, 0], [5, 0], [9, 0], [0, 9]]), 1)).toBeNull(); // prettier-ignore
  });

  it("turns with the marker", () => {
    const square = corners([[10, 20], [90, 30], [95, 100], [5, 80]]); // prettier-ignore
    const map = mapOfSquare(square, 4)!;
    const quarter = turnedMap(map, 1);
    // A marker lying a quarter turned clockwise has its own top left at the top right of what is seen.
    expect(mapped(quarter, -4, -4).xPx).toBeCloseTo(90, 9);
    expect(mapped(quarter, 4, -4).xPx).toBeCloseTo(95, 9);
    expect(mapped(turnedMap(map, 4), 1, 2)).toEqual(mapped(map, 1, 2));
  });
});

it("a positive system is solved, one that is not is told", () => {
  // Multiplied back: no other reference is needed.
  const matrix = Float64Array.of(4, 2, 0.6, 2, 5, 1, 0.6, 1, 3);
  const right = Float64Array.of(1, 2, 3);
  expect(solvePositive(Float64Array.from(matrix), right)).toBe(true);
  for (let row = 0; row < 3; row++) {
    let sum = 0;
    for (let k = 0; k < 3; k++) sum += matrix[3 * row + k]! * right[k]!;
    expect(sum).toBeCloseTo(row + 1, 12);
  }
  expect(solvePositive(Float64Array.of(1, 2, 2, 1), Float64Array.of(1, 1))).toBe(false);
});
