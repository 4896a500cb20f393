import { describe, expect, it } from "vitest";
import type { Candidate } from "./candidate";
import { replicaCourse } from "./replicas";
import type { Island, RoundResult } from "./round";

// The rule of exchange is Earl and Deem's equation (2) (Physical Chemistry Chemical Physics 7 (2005) 3910–3916): a swap
// is taken with probability min(1, exp((β_i − β_j)(U_i − U_j))). Values from memory of the formula, computed here.

const candidate = (name: number): Candidate => ({
  order: Int32Array.of(name),
  machine: new Int32Array(),
  cut: new Int32Array(),
  patience: new Int32Array(),
  left: new Uint8Array(),
});
const island = (name: number, currentScore: number): Island => {
  const own = candidate(name);
  return { current: own, best: own, currentScore, bestScore: currentScore };
};
const result = (at: number, state: Island, evaluations = 100): RoundResult => ({
  island: at,
  round: 0,
  state,
  evaluations,
});
const best = { best: candidate(9), bestScore: 0 };
const places = (course: ReturnType<typeof replicaCourse>) =>
  course.next(best, Infinity).map(({ state }) => state.current.order[0]);

describe("replica exchange", () => {
  const [warm, cool] = [0.15, 0.05];

  it("changes places as often as Metropolis' rule says", () => {
    for (const worse of [0.02, 0.05, 0.1]) {
      let changed = 0;
      const times = 4000;
      for (let seed = 0; seed < times; seed++) {
        const two = [island(0, 10 + worse), island(1, 10)];
        const course = replicaCourse({ islands: two, perRound: 100, unit: 1, seed });
        course.absorb(two.map((one, at) => result(at, one)), best); // prettier-ignore
        if (places(course)[0] === 1) changed++;
      }
      const expected = Math.exp((1 / warm - 1 / cool) * worse);
      const spread = Math.sqrt((expected * (1 - expected)) / times);
      expect(Math.abs(changed / times - expected)).toBeLessThan(4 * spread);
    }
  });

  it("always takes what stands better to where it is cooler, pairs in turn", () => {
    const four = [island(0, 1), island(1, 2), island(2, 3), island(3, 4)];
    const course = replicaCourse({ islands: four, perRound: 100, unit: 1e-3, seed: 1 });
    course.absorb(four.map((one, at) => result(at, one)), best); // prettier-ignore
    expect(places(course)).toEqual([1, 0, 3, 2]);
  });

  it("cools the best by itself after enough evaluations, but not the same one twice", () => {
    const two = [island(0, 10), island(1, 10)];
    const course = replicaCourse({ islands: two, perRound: 100, unit: 1, seed: 1 });
    const long = () => course.absorb(two.map((one, at) => result(at, one, 6000)), best); // prettier-ignore
    expect(course.next(best, Infinity)).toHaveLength(2);
    long();
    const [first, ...others] = course.next(best, Infinity);
    expect(others).toHaveLength(2);
    expect(first!.state.current.order[0]).toBe(9);
    expect(first!.cold).toBeLessThan(first!.hot);
    course.absorb([result(first!.island, { ...first!.state, bestScore: -1 })], best);
    long();
    // What it found, −1, is no better since; a new best is.
    expect(course.next({ ...best, bestScore: -1 }, Infinity)).toHaveLength(2);
    expect(course.next({ ...best, bestScore: -2 }, Infinity)).toHaveLength(3);
  });

  it("gives no more steps than there are evaluations left, and at least one", () => {
    const four = [island(0, 1), island(1, 2), island(2, 3), island(3, 4)];
    const course = replicaCourse({ islands: four, perRound: 100, unit: 1, seed: 1 });
    expect(course.next(best, 150)).toHaveLength(2);
    expect(course.next(best, 0)).toHaveLength(1);
  });
});
