import { describe, expect, it } from "vitest";
import { hearKey, type KeyHeard, type Keys, noKeys, pieceOfCode } from "./scan";

/** Types a text with so many milliseconds between keys, then Enter. */
function typed(text: string, apartMs: number): KeyHeard {
  let keys: Keys = noKeys;
  let atMs = 5000;
  for (const key of text) {
    const heard = hearKey(keys, key, (atMs += apartMs));
    if (heard.heard === "reading") keys = heard.keys;
  }
  return hearKey(keys, "Enter", atMs + apartMs);
}

describe("what is typed at a station", () => {
  it("is a code where it comes faster than anybody types", () => {
    expect(typed("http://127.0.0.1:4700/pieces/pc_1", 8)).toEqual({
      heard: "code",
      text: "http://127.0.0.1:4700/pieces/pc_1",
    });
  });

  it("is a person's Enter where it comes slowly, or where next to nothing was typed", () => {
    expect(typed("usher", 180)).toEqual({ heard: "enter" });
    expect(typed("s", 8)).toEqual({ heard: "enter" });
    expect(typed("", 8)).toEqual({ heard: "enter" });
  });

  it("begins anew after a pause", () => {
    const first = hearKey(noKeys, "s", 1000) as { keys: Keys };
    expect(hearKey(first.keys, "h", 3000)).toEqual({ heard: "reading", keys: { text: "h", lastAtMs: 3000 } });
  });
});

describe("a ticket's code", () => {
  it("names its piece by the address or by the code that is printed", () => {
    expect(pieceOfCode("http://192.168.1.5:4700/pieces/pc_01abc?x=1")).toEqual({ id: "pc_01abc" });
    expect(pieceOfCode(" NQ-2003-2 ")).toEqual({ code: "NQ-2003-2" });
    expect(pieceOfCode("<script>")).toBeNull();
    expect(pieceOfCode("ab")).toBeNull();
  });
});
