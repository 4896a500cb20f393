/**
 * How often each move is drawn, by what it has brought: the roulette wheel of adaptive large neighbourhood search (S.
 * Ropke, D. Pisinger, Transportation Science 40 (2006) 455–472, section 3.4; the amounts of credit are ours). Shares
 * change between rounds alone and by all islands' rounds in their order, so they do not depend on threads.
 */

/** What the moves of a round brought, by their place in `moves`. */
export interface MoveTally {
  readonly tried: Float64Array;
  readonly credit: Float64Array;
}

export const emptyTally = (moves: number): MoveTally => ({
  tried: new Float64Array(moves),
  credit: new Float64Array(moves),
});

/** Credit for a plan better than any, one better than the one in hand, another one that was taken all the same. */
export const CREDIT = { best: 12, better: 4, taken: 1 } as const;

/** What a round counts for against what was known before it. */
const REACTION = 0.15;
/** A move is never drawn less or more often than so, against its share at the start: times change while it cools. */
const LEAST = 0.5;
const MOST = 2;
/** A move tried fewer times says nothing yet. */
const ENOUGH = 8;

/** The shares of the next round. `base`: those at the start, 0 for a move that is of no use here. */
export function adapted(
  base: readonly number[],
  shares: readonly number[],
  tallies: readonly MoveTally[],
): readonly number[] {
  const total = base.reduce((sum, share) => sum + share, 0);
  const worth = base.map((_, at) => {
    const tried = tallies.reduce((sum, tally) => sum + tally.tried[at]!, 0);
    return tried < ENOUGH ? -1 : tallies.reduce((sum, tally) => sum + tally.credit[at]!, 0) / tried;
  });
  let known = 0;
  let mean = 0;
  worth.forEach((one, at) => {
    if (one < 0 || base[at] === 0) return;
    known += base[at]!;
    mean += base[at]! * one;
  });
  if (known === 0 || mean === 0) return shares;
  mean /= known;
  const next = shares.map((share, at) => {
    if (worth[at]! < 0) return share;
    const wanted = base[at]! * Math.max(LEAST, Math.min(MOST, worth[at]! / mean));
    return share + REACTION * (wanted - share);
  });
  const sum = next.reduce((all, share) => all + share, 0);
  return next.map((share) => (share * total) / sum);
}
