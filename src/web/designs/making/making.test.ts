import { expect, it } from "vitest";
import { byNearness, emptyMaking, freshKey, freshLettering, moved, sewable, withAdded } from "./making";

it("gives each thing a key of its own", () => {
  const making = emptyMaking([freshLettering("i2")]);
  expect(freshKey(making)).toBe("i3");
  expect(freshKey(emptyMaking())).toBe("i1");
});
it("leaves lettering without a text unsewn", () => {
  const making = emptyMaking([freshLettering("a", { text: " " }), freshLettering("b", { text: "Ada" })]);
  expect(sewable(making).items.map((item) => item.key)).toEqual(["b"]);
});
it("moves a thing one step and no further than the end", () => {
  expect(moved(["a", "b", "c"], 0, 1)).toEqual(["b", "a", "c"]);
  expect(moved(["a", "b", "c"], 2, 1)).toEqual(["a", "b", "c"]);
  expect(moved(["a", "b", "c"], 0, -1)).toEqual(["a", "b", "c"]);
});
it("finds the nearest thread first", () => {
  const threads = [{ id: "red", rgb: "#c02020" }, { id: "navy", rgb: "#203a63" }]; // prettier-ignore
  expect(byNearness(threads, "#1f3b60").map(({ thread }) => thread.id)).toEqual(["navy", "red"]);
});
it("sews a picture before the lettering on it", () => {
  const artwork = { kind: "artwork", key: "p", xMm: 0, yMm: 0, turnDeg: 0, fileHash: "", fileName: "a.svg", widthMm: 40, mostColours: 4, ground: "keep", parts: [] } as const; // prettier-ignore
  const making = withAdded(emptyMaking([freshLettering("a")]), { ...artwork, parts: [] });
  expect(making.items.map((item) => item.key)).toEqual(["p", "a"]);
  expect(withAdded(making, freshLettering("b")).items.map((item) => item.key)).toEqual(["p", "a", "b"]);
});
