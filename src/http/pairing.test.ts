import { expect, it } from "vitest";
import { makePairing, newToken, tokenHash } from "./pairing";

function shop() {
  const clock = { nowMs: 1_000_000 };
  return { clock, pairing: makePairing(() => clock.nowMs) };
}
const otherThan = (code: string) => (code === "00000000" ? "00000001" : "00000000");

it("a code has eight digits and lets exactly one of two tablets in", () => {
  const { pairing } = shop();
  const { code } = pairing.offer();
  expect(code).toMatch(/^\d{8}$/);
  expect(pairing.attempt("192.0.2.1", code)).toBe("let-in");
  expect(pairing.attempt("192.0.2.2", code)).toBe("no-offer");
});

it("a pasted code may have blanks and a dash", () => {
  const { pairing } = shop();
  const { code } = pairing.offer();
  expect(pairing.attempt("192.0.2.1", ` ${code.slice(0, 4)}-${code.slice(4)}\n`)).toBe("let-in");
});

it("a code lives five minutes and not a moment longer", () => {
  const { clock, pairing } = shop();
  const early = pairing.offer();
  clock.nowMs += 299_999;
  expect(pairing.attempt("192.0.2.1", early.code)).toBe("let-in");
  const late = pairing.offer();
  clock.nowMs += 300_000;
  expect(pairing.attempt("192.0.2.1", late.code)).toBe("no-offer");
});

it("a new code, or taking it back, ends the one before", () => {
  const { pairing } = shop();
  const { code } = pairing.offer();
  const next = pairing.offer().code;
  if (next !== code) expect(pairing.attempt("192.0.2.1", code)).toBe("wrong");
  pairing.withdraw();
  expect(pairing.attempt("192.0.2.1", next)).toBe("no-offer");
});

it("five wrong tries void the code, from whatever addresses; four do not", () => {
  for (const wrong of [4, 5]) {
    const { pairing } = shop();
    const { code } = pairing.offer();
    for (let n = 0; n < wrong; n++) expect(pairing.attempt(`192.0.2.${n}`, otherThan(code))).toBe("wrong");
    expect(pairing.attempt("192.0.2.9", code)).toBe(wrong === 4 ? "let-in" : "no-offer");
  }
});

it("an address has five tries a minute, all together twenty; a refused try does not wear the code", () => {
  const { clock, pairing } = shop();
  for (let n = 0; n < 5; n++) expect(pairing.attempt("192.0.2.1", "x")).toBe("no-offer");
  const { code } = pairing.offer();
  for (let n = 0; n < 9; n++) expect(pairing.attempt("192.0.2.1", otherThan(code))).toBe("too-many");
  expect(pairing.attempt("192.0.2.2", code)).toBe("let-in");
  for (let n = 0; n < 14; n++) expect(pairing.attempt(`192.0.2.${10 + n}`, "x")).toBe("no-offer");
  expect(pairing.attempt("192.0.2.99", "x")).toBe("too-many");
  clock.nowMs += 60_000;
  expect(pairing.attempt("192.0.2.1", "x")).toBe("no-offer");
});

it("tokens carry 256 bits, do not repeat, and their hash does not show them", () => {
  const tokens = new Set(Array.from({ length: 10_000 }, newToken));
  expect(tokens.size).toBe(10_000);
  const token = [...tokens][0]!;
  expect(Buffer.from(token, "base64url")).toHaveLength(32);
  expect(tokenHash(token)).toMatch(/^[0-9a-f]{64}$/);
  // FIPS 180-2, appendix B.1, the one-block message "abc" (value from memory).
  expect(tokenHash("abc")).toBe("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
});
