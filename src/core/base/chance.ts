/** A source of chance: the same seed gives the same values on every machine. */
export interface Chance {
  /** A number in [0, 1), 32 bits of it random. */
  next(): number;
  /** A whole number in [0, bound). */
  below(bound: number): number;
  /** A child stream that does not disturb this one's sequence beyond one draw. */
  split(): Chance;
}

/**
 * The sfc32 generator (C. Doty-Humphrey, PractRand, public domain), seeded by splitmix32. Period about 2^128 in
 * the mean; whole-number arithmetic only, so results agree on every engine.
 */
export function seededChance(seed: number): Chance {
  let mix = seed >>> 0;
  const splitmix = (): number => {
    mix = (mix + 0x9e3779b9) | 0;
    let t = mix ^ (mix >>> 16);
    t = Math.imul(t, 0x21f0aaad);
    t ^= t >>> 15;
    t = Math.imul(t, 0x735a2d97);
    return (t ^ (t >>> 15)) | 0;
  };
  let a = splitmix();
  let b = splitmix();
  let c = splitmix();
  let counter = 1;
  const word = (): number => {
    const t = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (c << 21) | (c >>> 11);
    c = (c + t) | 0;
    return t >>> 0;
  };
  for (let warm = 0; warm < 12; warm++) word();
  return {
    next: () => word() / 4294967296,
    below: (bound) => Math.floor((word() / 4294967296) * bound),
    split: () => seededChance(word()),
  };
}

/** A shuffled copy (Fisher–Yates). */
export function shuffled<T>(items: readonly T[], chance: Chance): T[] {
  const result = [...items];
  for (let i = result.length - 1; i > 0; i--) {
    const j = chance.below(i + 1);
    [result[i], result[j]] = [result[j]!, result[i]!];
  }
  return result;
}

/** One of the items, evenly; the list must not be empty. */
export function pick<T>(items: readonly T[], chance: Chance): T {
  return items[chance.below(items.length)]!;
}
