import { createHash, createHmac, randomBytes, randomInt, timingSafeEqual } from "node:crypto";

const CODE_LIFE_MS = 5 * 60_000;
const WRONG_TRIES = 5;
const MINUTE_MS = 60_000;
const TRIES_A_MINUTE = { address: 5, all: 20 } as const;

export interface PairingOffer {
  /** Eight digits, for the screen of the shop's computer only; they are kept nowhere. */
  readonly code: string;
  readonly untilMs: number;
}

/** `too-many` does not look at the code at all, so it costs the owner's offer no try. */
export type PairingOutcome = "let-in" | "wrong" | "no-offer" | "too-many";

export interface Pairing {
  /** Makes a new code; the one before no longer counts. */
  offer(): PairingOffer;
  withdraw(): void;
  /** Until when a code counts; null where none does. */
  untilMs(): number | null;
  /** Answers without waiting for anything, so of two tablets with one code exactly one is let in. */
  attempt(address: string, code: string): PairingOutcome;
}

interface Standing {
  readonly mark: Buffer;
  readonly untilMs: number;
  readonly wrong: number;
}

/**
 * One pairing code at a time: single use, five minutes, void after five wrong tries (OWASP ASVS 5.0, 6.5.1 and
 * 6.5.3–5; read in a summary, not in the standard's own text). It lives in memory under a key of this run: a restart
 * ends it, and no copy of the database holds it.
 */
export function makePairing(nowMs: () => number): Pairing {
  const key = randomBytes(32);
  const markOf = (code: string) => createHmac("sha256", key).update(code).digest();
  const tries = triesByMinute(nowMs);
  let standing: Standing | null = null;
  return {
    offer() {
      const code = String(randomInt(100_000_000)).padStart(8, "0");
      standing = { mark: markOf(code), untilMs: nowMs() + CODE_LIFE_MS, wrong: 0 };
      return { code, untilMs: standing.untilMs };
    },
    withdraw() {
      standing = null;
    },
    untilMs: () => (standing && nowMs() < standing.untilMs ? standing.untilMs : null),
    attempt(address, code) {
      if (!tries.mayTry(address)) return "too-many";
      if (!standing || standing.untilMs <= nowMs()) {
        standing = null;
        return "no-offer";
      }
      if (timingSafeEqual(standing.mark, markOf(digitsOf(code)))) {
        standing = null;
        return "let-in";
      }
      const wrong = standing.wrong + 1;
      standing = wrong < WRONG_TRIES ? { ...standing, wrong } : null;
      return "wrong";
    },
  };
}

/** A pasted code may come with blanks or a dash between its halves. */
const digitsOf = (text: string) => text.slice(0, 40).replace(/[\s-]/g, "");

/** Tries within the last minute, of one address and of all together; refused tries do not count. */
function triesByMinute(nowMs: () => number) {
  let recent: readonly { readonly address: string; readonly atMs: number }[] = [];
  return {
    mayTry(address: string): boolean {
      const now = nowMs();
      recent = recent.filter((one) => now - MINUTE_MS < one.atMs && one.atMs <= now);
      const ofAddress = recent.filter((one) => one.address === address).length;
      if (TRIES_A_MINUTE.address <= ofAddress || TRIES_A_MINUTE.all <= recent.length) return false;
      recent = [...recent, { address, atMs: now }];
      return true;
    },
  };
}

/** What a paired device shows at each request: 256 random bits. Only its hash is ever to be kept. */
export const newToken = (): string => randomBytes(32).toString("base64url");

export const tokenHash = (token: string): string => createHash("sha256").update(token).digest("hex");
