import { describe, expect, it } from "vitest";
import { estimateOf, initialTransient, plainOnes } from ".";

describe("the empty start of a season", () => {
  it("is left out as far as the squared standard error falls (MSER-5, from memory)", () => {
    // Two batches of a start, then eight about 10: worked by hand, leaving out two gives the least error.
    const start = [0, 0, 0, 0, 0, 6, 6, 6, 6, 6];
    const steady = Array.from({ length: 40 }, (_, at) => 10 + (at % 2 === 0 ? 1 : -1));
    expect(initialTransient([...start, ...steady])).toBe(10);
    expect(initialTransient(steady)).toBe(0);
  });

  it("is not told where a run is too short, or settles only in its second half", () => {
    expect(initialTransient([1, 2, 3])).toBeNull();
    expect(initialTransient(Array.from({ length: 60 }, (_, at) => (at < 30 ? 0 : 10)))).toBeNull();
  });
});

describe("several differences looked at together", () => {
  // Ten pairs each; the t of a difference is mean / standard error on 9 degrees of freedom.
  const spread = [-4, -3, -2, -1, -0.5, 0.5, 1, 2, 3, 4];
  const standardError = Math.sqrt(spread.reduce((sum, one) => sum + one * one, 0) / 9 / 10);
  const withT = (t: number) => estimateOf(spread.map((one) => one + t * standardError));

  it("are plain by Holm's test: the strongest against α / m, the next against α / (m − 1)", () => {
    // Two-sided 5 %, 9 degrees of freedom: 2.262 alone, 2.685 for two, 2.933 for three (tables of Student's t).
    expect(plainOnes([withT(2.3)])).toEqual([true]);
    expect(plainOnes([withT(2.3), withT(2.3)])).toEqual([false, false]);
    expect(plainOnes([withT(2.3), withT(-2.7)])).toEqual([true, true]);
    expect(plainOnes([withT(2.6), withT(3), withT(0.3)])).toEqual([false, true, false]);
  });

  it("are never plain where nothing differs, and always where a difference is the same each time", () => {
    expect(plainOnes([estimateOf([0, 0, 0]), estimateOf([2, 2, 2])])).toEqual([false, true]);
  });
});
