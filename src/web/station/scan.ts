/**
 * A code reader types what it reads like a very fast keyboard, and ends with Enter. Here the page tells its keys from
 * a person's: keys that follow one another within a tenth of a second belong to one reading.
 */
export interface Keys {
  readonly text: string;
  readonly lastAtMs: number;
}

export const noKeys: Keys = { text: "", lastAtMs: 0 };

/** Faster than anybody types, slower than any reader. Common practice, no source. */
export const TOGETHER_MS = 100;
const SHORTEST = 4;

export type KeyHeard =
  | { readonly heard: "reading"; readonly keys: Keys }
  | { readonly heard: "code"; readonly text: string }
  | { readonly heard: "enter" };

/** Takes one key; `reading` until it is clear whether more follow. */
export function hearKey(keys: Keys, key: string, atMs: number): KeyHeard {
  const follows = atMs - keys.lastAtMs <= TOGETHER_MS;
  if (key === "Enter")
    return follows && keys.text.length >= SHORTEST ? { heard: "code", text: keys.text } : { heard: "enter" };
  return { heard: "reading", keys: { text: (follows ? keys.text : "") + key, lastAtMs: atMs } };
}

/** The piece a ticket's code names: its id from the address, or the piece's own code as it is printed; null for anything else. */
export function pieceOfCode(text: string): { readonly id: string } | { readonly code: string } | null {
  const address = /\/pieces\/([\w.-]+)/.exec(text.trim());
  if (address) return { id: address[1]! };
  return /^[\p{L}\p{N}][\p{L}\p{N}._/-]{2,40}$/u.test(text.trim()) ? { code: text.trim() } : null;
}
