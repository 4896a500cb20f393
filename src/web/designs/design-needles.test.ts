import { describe, expect, it } from "vitest";
import { needlesFor } from "./design-needles";

const needles = (threads: readonly (string | null)[], fixed: readonly number[] = []) =>
  threads.map((threadId, i) => ({ number: i + 1, threadId, fixed: fixed.includes(i + 1) }));

describe("a design's threads on a machine's needles", () => {
  it("stay where they are on already, and come onto empty needles first", () => {
    const map = needlesFor(["red", "blue", "red", "gold"], needles(["white", "red", null, "gold"]));
    expect(map.byPart).toEqual([2, 3, 2, 4]);
    expect(map).toMatchObject({ toThread: 1, without: [] });
    expect(map.wanted).toEqual([null, "red", "blue", "gold"]);
  });

  it("never take a fixed needle, and say what finds none", () => {
    const map = needlesFor(["red", "blue"], needles(["white", "black"], [1]));
    expect(map.byPart).toEqual([2, null]);
    expect(map.without).toEqual(["blue"]);
  });

  it("leave parts without a thread without a needle", () => {
    expect(needlesFor([null, "red"], needles([null])).byPart).toEqual([null, 1]);
  });
});
