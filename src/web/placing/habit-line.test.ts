import { expect, it } from "vitest";
import { habitOf } from "./habit-line";

type Groups = Parameters<typeof habitOf>[0];
const group = (personId: string, productId: string | null, plain: number) =>
  ({
    personId,
    productId,
    hoopId: "large",
    plain: Array.from({ length: plain }, () => ({})),
  }) as unknown as Groups[number];

it("the habit with this product comes before that of the hoop; one that is not plain is none", () => {
  const asked = { personId: "ness", hoopId: "large", productId: "apron" };
  const all = [group("ness", null, 1), group("ness", "apron", 1), group("ivor", null, 1)];
  expect(habitOf(all, asked)).toBe(all[1]);
  expect(habitOf(all, { ...asked, productId: "towel" })).toBe(all[0]);
  expect(habitOf([group("ness", "apron", 0)], asked)).toBeNull();
  expect(habitOf(all, { ...asked, hoopId: "side" })).toBeNull();
});
