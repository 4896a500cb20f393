import type { Line } from "./line";

/**
 * How many threadings an order of jobs costs on one machine, without saying which needle.
 *
 * A colour need not be threaded for a job when it has stayed on since it was last used: a *pipe* through every place
 * between, each of which has as many free needles as the job there leaves over. Pipes are taken as they come, by
 * their end; one is laid when no place between is full. The most pipes fit that way, and threadings are what is left
 * (M. Cherniavskii, B. Goldengorin, arXiv 2205.06042 (2022); equal to keeping the tool needed soonest, C. S. Tang, E.
 * V. Denardo, Operations Research 36 (1988) 767–777). Among pipes with the same end any order does: laying one fills
 * places that would stop the others all the same.
 *
 * Invariant: `full` is the last place that no pipe can go through; the *pool*, the union of colours from there on,
 * holds exactly the colours that still can stay on. Place 0 is the start. Work: a few word operations a place, and
 * one step for each needle that a pipe takes at a place, hence at most jobs × needles in all; no memory is taken.
 */
export interface Counter {
  readonly line: Line;
  /** Threadings of the order (job numbers of the line, each once). */
  count(order: Int32Array): number;
  /** As `count`, and keeps what `test` goes on from. The orders must agree before place `from`. */
  keep(order: Int32Array, from: number): number;
  /**
   * Threadings of an order that agrees with the one kept before place `from` and after place `to`; a great number as
   * soon as it is sure that there are more than `limit`.
   */
  test(order: Int32Array, from: number, to: number, limit: number): number;
}

export const TOO_MANY = 0x3fffffff;

/** Two words hold so many colours. */
const WORDS = 64;

export const createCounter = (line: Line): Counter =>
  line.colours <= WORDS ? narrowCounter(line) : wideCounter(line);

function narrowCounter(line: Line): Counter {
  const { jobs, needles, first, asked } = line;
  const low = new Int32Array(jobs + 1);
  const high = new Int32Array(jobs + 1);
  for (let j = 0; j < jobs; j++)
    for (let e = first[j]!; e < first[j + 1]!; e++) {
      if (asked[e]! < 32) low[j]! |= 1 << asked[e]!;
      else high[j]! |= 1 << (asked[e]! - 32);
    }
  line.on.forEach((threaded, colour) => {
    if (!threaded) return;
    if (colour < 32) low[jobs]! |= 1 << colour;
    else high[jobs]! |= 1 << (colour - 32);
  });
  const spare = Int32Array.from({ length: jobs }, (_, j) => needles - (first[j + 1]! - first[j]!));
  /** Colours of a job that the one before it does not have; row `jobs`: the start. */
  const fresh = new Int32Array((jobs + 1) * jobs);
  for (let before = 0; before <= jobs; before++)
    for (let j = 0; j < jobs; j++)
      fresh[before * jobs + j] = bits(low[j]! & ~low[before]!) + bits(high[j]! & ~high[before]!);

  // By place, 0 the start.
  const free = new Int32Array(jobs + 1);
  const here = new Int32Array(jobs + 1);
  const hereHigh = new Int32Array(jobs + 1);
  // The state before each place of the order kept.
  const wide = jobs + 1;
  const keptFree = new Int32Array(wide * wide);
  const keptFull = new Int32Array(wide);
  const keptCount = new Int32Array(wide);
  const keptPool = new Int32Array(wide);
  const keptPoolHigh = new Int32Array(wide);
  keptPool[0] = low[jobs]!;
  keptPoolHigh[0] = high[jobs]!;
  /** Threadings from a place on, at least: whatever is on the needles there. */
  const rest = new Int32Array(wide);
  const turned = new Int32Array(jobs);

  function run(order: Int32Array, from: number, to: number, limit: number, keeping: boolean): number {
    let full = keptFull[from]!;
    let sum = keptCount[from]!;
    let pool = keptPool[from]!;
    let poolHigh = keptPoolHigh[from]!;
    for (let p = full, base = from * wide; p <= from; p++) {
      const j = p === 0 ? jobs : order[p - 1]!;
      free[p] = keptFree[base + p]!;
      here[p] = low[j]!;
      hereHigh[p] = high[j]!;
    }
    const restThere = rest[to + 1]!;
    let before = from === 0 ? jobs : order[from - 1]!;
    for (let at = from; at < jobs; at++) {
      const j = order[at]!;
      const own = low[j]!;
      const ownHigh = high[j]!;
      sum += fresh[before * jobs + j]!;
      let kept = own & pool & ~low[before]!;
      let keptHigh = ownHigh & poolHigh & ~high[before]!;
      while (kept !== 0) {
        const bit = kept & -kept;
        kept ^= bit;
        sum--;
        for (let p = at; (here[p]! & bit) === 0; p--) {
          if (--free[p]! !== 0) continue;
          full = p;
          pool = poolHigh = 0;
          for (let q = p; q <= at; q++) {
            pool |= here[q]!;
            poolHigh |= hereHigh[q]!;
          }
          kept &= pool;
          keptHigh &= poolHigh;
          break;
        }
      }
      while (keptHigh !== 0) {
        const bit = keptHigh & -keptHigh;
        keptHigh ^= bit;
        sum--;
        for (let p = at; (hereHigh[p]! & bit) === 0; p--) {
          if (--free[p]! !== 0) continue;
          full = p;
          pool = poolHigh = 0;
          for (let q = p; q <= at; q++) {
            pool |= here[q]!;
            poolHigh |= hereHigh[q]!;
          }
          keptHigh &= poolHigh;
          break;
        }
      }
      const place = at + 1;
      here[place] = own;
      hereHigh[place] = ownHigh;
      free[place] = spare[j]!;
      if (spare[j] === 0) {
        full = place;
        pool = own;
        poolHigh = ownHigh;
      } else {
        pool |= own;
        poolHigh |= ownHigh;
      }
      before = j;
      if (keeping) {
        keptFull[place] = full;
        keptCount[place] = sum;
        keptPool[place] = pool;
        keptPoolHigh[place] = poolHigh;
        for (let p = full, base = place * wide; p <= place; p++) keptFree[base + p] = free[p]!;
      } else if (sum + (at < to ? restThere : rest[place]!) > limit) return TOO_MANY;
    }
    return sum;
  }

  /** Pipes are the same seen from behind: one pass from the end gives what every tail of the order costs at least. */
  function measureRests(order: Int32Array): void {
    for (let at = 0; at < jobs; at++) turned[at] = order[jobs - 1 - at]!;
    let full = 1;
    let sum = 0;
    let pool = 0;
    let poolHigh = 0;
    let used = 0;
    let usedHigh = 0;
    let colours = 0;
    let before = -1;
    for (let at = 0; at < jobs; at++) {
      const j = turned[at]!;
      const own = low[j]!;
      const ownHigh = high[j]!;
      sum += before < 0 ? needles - spare[j]! : fresh[before * jobs + j]!;
      let kept = before < 0 ? 0 : own & pool & ~low[before]!;
      let keptHigh = before < 0 ? 0 : ownHigh & poolHigh & ~high[before]!;
      while ((kept | keptHigh) !== 0) {
        const bit = kept & -kept;
        const bitHigh = bit === 0 ? keptHigh & -keptHigh : 0;
        kept ^= bit;
        keptHigh ^= bitHigh;
        sum--;
        for (let p = at; ((here[p]! & bit) | (hereHigh[p]! & bitHigh)) === 0; p--) {
          if (--free[p]! !== 0) continue;
          full = p;
          pool = poolHigh = 0;
          for (let q = p; q <= at; q++) {
            pool |= here[q]!;
            poolHigh |= hereHigh[q]!;
          }
          kept &= pool;
          keptHigh &= poolHigh;
          break;
        }
      }
      const place = at + 1;
      here[place] = own;
      hereHigh[place] = ownHigh;
      free[place] = spare[j]!;
      if (spare[j] === 0) {
        full = place;
        pool = own;
        poolHigh = ownHigh;
      } else if (full <= place) {
        pool |= own;
        poolHigh |= ownHigh;
      }
      before = j;
      colours += bits(own & ~used) + bits(ownHigh & ~usedHigh);
      used |= own;
      usedHigh |= ownHigh;
      rest[jobs - 1 - at] = sum - Math.min(needles, colours);
    }
  }

  return {
    line,
    count: (order) => run(order, 0, -1, TOO_MANY, false),
    keep(order, from) {
      const sum = run(order, from, 0, 0, true);
      measureRests(order);
      return sum;
    },
    test: (order, from, to, limit) => run(order, from, to, limit, false),
  };
}

/** The same for more colours than two words hold: each colour's last place instead of sets of colours. */
function wideCounter(line: Line): Counter {
  const { jobs, needles, first, asked, on, colours } = line;
  const free = new Int32Array(jobs + 1);
  const last = new Int32Array(colours);
  function run(order: Int32Array, limit: number): number {
    let full = 0;
    let sum = 0;
    for (let colour = 0; colour < colours; colour++) last[colour] = on[colour] ? 0 : -1;
    for (let at = 0; at < jobs; at++) {
      const j = order[at]!;
      const from = first[j]!;
      const to = first[j + 1]!;
      for (let e = from; e < to; e++) {
        const colour = asked[e]!;
        const since = last[colour]!;
        last[colour] = at + 1;
        if (since < full) {
          if (++sum > limit) return TOO_MANY;
          continue;
        }
        for (let p = at; p > since; p--) {
          if (--free[p]! !== 0) continue;
          full = p;
          break;
        }
      }
      free[at + 1] = needles - (to - from);
      if (to - from === needles) full = at + 1;
    }
    return sum;
  }
  return {
    line,
    count: (order) => run(order, TOO_MANY),
    keep: (order) => run(order, TOO_MANY),
    test: (order, _from, _to, limit) => run(order, limit),
  };
}

/** Bits set in a word (H. S. Warren, Hacker's Delight, section 5–1). */
export function bits(word: number): number {
  let v = word - ((word >>> 1) & 0x55555555);
  v = (v & 0x33333333) + ((v >>> 2) & 0x33333333);
  return Math.imul((v + (v >>> 4)) & 0x0f0f0f0f, 0x01010101) >>> 24;
}
