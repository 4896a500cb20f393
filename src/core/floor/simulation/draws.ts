/**
 * Chance by name: what a piece draws at a step depends on the seed, the piece, the step and how often it has drawn
 * there, and on nothing else. Two shops played with the same seed therefore meet the same pieces, the same slow
 * hoopings and the same broken threads, whatever else differs (common random numbers).
 */

/** A number in (0, 1) for four whole numbers. */
export function drawAt(seed: number, item: number, step: number, nth: number): number {
  let hash = mixed(seed ^ 0x9e3779b9);
  hash = mixed(hash ^ Math.imul(item + 1, 0x85ebca6b));
  hash = mixed(hash ^ Math.imul(step + 1, 0xc2b2ae35));
  hash = mixed(hash ^ Math.imul(nth + 1, 0x27d4eb2f));
  return ((hash >>> 0) + 0.5) / 4294967296;
}

/** A number for a name, for `drawAt`: it stays the same when other pieces come or go (FNV-1a; G. Fowler, L. C. Noll, K.-P. Vo). */
export function nameNumber(name: string): number {
  let hash = 0x811c9dc5;
  for (let at = 0; at < name.length; at++) hash = Math.imul(hash ^ name.charCodeAt(at), 0x01000193);
  return hash | 0;
}

/** The finishing step of MurmurHash3 (A. Appleby, public domain): each input bit flips each output bit evenly. */
function mixed(word: number): number {
  let hash = word | 0;
  hash ^= hash >>> 16;
  hash = Math.imul(hash, 0x85ebca6b);
  hash ^= hash >>> 13;
  hash = Math.imul(hash, 0xc2b2ae35);
  return hash ^ (hash >>> 16);
}

/**
 * How a time spreads about its mean. `lognormal` has its standard deviation as a share of the mean (`spread`);
 * `exponential` is there for comparison with theory.
 */
export type Spread =
  | { readonly kind: "none" }
  | { readonly kind: "exponential" }
  | { readonly kind: "lognormal"; readonly spread: number };

/** A factor of mean 1 from two independent draws in (0, 1). */
export function factorOf(spread: Spread, first: number, second: () => number): number {
  if (spread.kind === "none") return 1;
  if (spread.kind === "exponential") return -Math.log(first);
  const variance = Math.log1p(spread.spread * spread.spread);
  // Box and Muller, Annals of Mathematical Statistics 29 (1958) 610–611.
  const normal = Math.sqrt(-2 * Math.log(first)) * Math.cos(2 * Math.PI * second());
  return Math.exp(Math.sqrt(variance) * normal - variance / 2);
}
