import { expect, it } from "vitest";
import { codeOfFragment, codeWords, wayOn } from "./way-on";

const origin = "http://192.168.1.7:4700";

it("leads on to a page of this program", () => {
  expect(wayOn("/pieces/pc_1?from=ticket", origin)).toBe(`${origin}/pieces/pc_1?from=ticket`);
  expect(wayOn("/", origin)).toBe(`${origin}/`);
});

it.each([
  null,
  "",
  "orders",
  "//evil.example",
  "/\\evil.example",
  "\\\\evil.example",
  "https://evil.example/",
  "javascript:alert(1)",
  "/\t/evil.example",
  "/pair",
  "/pair?to=/pair",
  "/api/orders",
])("leads nowhere by %j", (to) => {
  expect(wayOn(to, origin)).toBeNull();
});

it("what looks like a path stays with this program", () => {
  for (const to of ["/.//evil.example", "/x/..//evil.example", "/@evil.example", "/%2f%2fevil.example"])
    expect(new URL(wayOn(to, origin)!).origin, to).toBe(origin);
});

it("the code of a scanned address is taken, anything else is not", () => {
  expect(codeOfFragment("#01234567")).toBe("01234567");
  for (const wrong of ["", "#", "#1234567", "#123456789", "#abcdefgh", "01234567"])
    expect(codeOfFragment(wrong)).toBe("");
  expect(codeWords("01234567")).toBe("0123 4567");
});
