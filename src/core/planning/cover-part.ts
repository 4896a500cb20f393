import type { CoverPrices, MachineRoom } from "./cover";

/**
 * One machine's part of the cover: the cheapest set of colours and jobs at given prices.
 *
 * All sets of the open colours it looks at are tried. What jobs inside a set gain, the last in part (G. B. Dantzig's
 * bound for the knapsack, Operations Research 5 (1957) 266–277), is not above λ·room + Σ max(0, gain − λ·seconds) for
 * any λ ≥ 0; those sums are had for all sets at once by adding each set's half without a colour to the half with it
 * (F. Yates's sums over subsets, 1937, from memory). Sets which that cannot rule out are filled one by one.
 */
export interface PartRows {
  /** Place of each row's job in the prices; the last row is waiting, where there is any. */
  readonly jobs: Int32Array;
  /** Seconds and stops at least, threads of rare colours aside. */
  readonly seconds: Float64Array;
  readonly stops: Float64Array;
  /** Colours looked at, as bits, and rare ones: rare[first[row]…first[row + 1] − 1], colour numbers. */
  readonly mask: Int32Array;
  readonly first: Int32Array;
  readonly rare: Int32Array;
}

export interface Part extends PartRows {
  readonly m: number;
  /** Colours looked at, by bit. */
  readonly bits: Int32Array;
  /** Threadings certain here besides those of the set: of colours threaded in any case, and what must be threaded again. */
  readonly sure: number;
  readonly threadS: number;
  /** Seconds that threading rare and sure colours can take before the first piece is hooped, at most. */
  readonly aheadS: number;
  /** A second of the machine can be had by a stop for so much. */
  readonly perSecond: number;
  /** What falls of each rare colour's threading to a row, 1 in all for each colour. */
  readonly share: Float64Array;
  readonly gain: Float64Array;
  readonly width: Float64Array;
  readonly rate: Float64Array;
  readonly order: Int32Array;
  /** What the cheapest set takes of each row, and the set (−1: none). */
  readonly taken: Float64Array;
  set: number;
  /** How much of the later seconds it takes, 0 to 1. */
  laterTaken: number;
}

/** Memory for sets, lent to one part after the other. */
export interface SetScratch {
  readonly gains: Float64Array;
  readonly least: Float64Array;
  readonly sizes: Uint8Array;
}

export function setScratch(bits: number): SetScratch {
  const sizes = new Uint8Array(1 << bits);
  for (let set = 1; set < sizes.length; set++) sizes[set] = sizes[set >> 1]! + (set & 1);
  return { gains: new Float64Array(1 << bits), least: new Float64Array(1 << bits), sizes };
}

/** Prices of a second tried for all sets at once. */
export const SECOND_PRICES = 4;

const NO_ROOM = 1e300;

/** What the machine costs less what its jobs are paid for, at least; more than NO_ROOM's half when nothing fits. */
export function cheapestSet(
  part: Part,
  room: MachineRoom,
  ask: CoverPrices,
  prices: Float64Array,
  waitS: number,
  laterShare: number,
  { gains, least, sizes }: SetScratch,
): number {
  const { jobs, mask, gain, width, rate, order, taken } = part;
  const rows = jobs.length;
  const useful = ranked(part, ask, prices, waitS);
  const sets = 1 << part.bits.length;
  const roomOf = (size: number): number => room.allS - part.threadS * (size + part.sure);
  const laterPrice = Math.min(part.perSecond, laterShare * ask.perLaterSecond);
  let totalS = 0;
  for (let i = 0; i < useful; i++) totalS += width[order[i]!]!;
  part.laterTaken = 0;
  const steps = totalS > room.allS - part.threadS * (part.bits.length + part.sure) ? SECOND_PRICES : 1;
  const base = new Float64Array(part.bits.length + 1);
  for (let step = 0; step < steps; step++) {
    const perSecond = step === 0 ? 0 : Math.min(part.perSecond, rateAt(step / (steps - 1)));
    for (let size = 0; size < base.length; size++) {
      const left = roomOf(size);
      const bought = room.laterS * Math.max(0, perSecond - laterPrice);
      base[size] =
        left + room.laterS < 0 ? NO_ROOM : ask.perThreading * (size + part.sure) - perSecond * left - bought;
    }
    gains.fill(0, 0, sets);
    for (let i = 0; i < useful; i++) {
      const row = order[i]!;
      const more = gain[row]! - perSecond * width[row]!;
      if (more > 0) gains[mask[row]!]! += more;
    }
    sumSubsets(gains, sets);
    if (step === 0) for (let set = 0; set < sets; set++) least[set] = base[sizes[set]!]! - gains[set]!;
    else
      for (let set = 0; set < sets; set++) {
        const value = base[sizes[set]!]! - gains[set]!;
        if (value > least[set]!) least[set] = value;
      }
  }
  let start = 0;
  for (let set = 1; set < sets; set++) if (least[set]! < least[start]!) start = set;
  part.set = start;
  taken.fill(0);
  if (least[start]! >= NO_ROOM / 2) return NO_ROOM;
  let best = filled(start, false);
  for (let set = 0; set < sets; set++) {
    if (least[set]! >= best - 1e-9) continue;
    const value = filled(set, false);
    if (value >= best) continue;
    best = value;
    part.set = set;
  }
  filled(part.set, true);
  return best;

  /** The price of a second at which all jobs together fill the room (1) or more of it (towards 0). */
  function rateAt(share: number): number {
    const target = room.allS + (totalS - room.allS) * (1 - share) ** 1.5;
    let sum = 0;
    for (let i = 0; i < useful; i++) {
      sum += width[order[i]!]!;
      if (sum >= target) return rate[order[i]!]!;
    }
    return 0;
  }

  /** The set's cost with its jobs filled in by gain a second. */
  function filled(set: number, marking: boolean): number {
    const size = sizes[set]!;
    let value = ask.perThreading * (size + part.sure);
    let left = roomOf(size);
    let later = room.laterS;
    let sewingLeft = room.sewingS + part.aheadS;
    if (left < 0) {
      value -= laterPrice * left;
      later += left;
      left = 0;
    }
    for (let i = 0; i < useful; i++) {
      const row = order[i]!;
      if ((mask[row]! & ~set) !== 0) continue;
      const perSecond = rate[row]!;
      const isWaiting = row === rows - 1 && waitS > 0;
      const roomy = perSecond > laterPrice ? left + later : left;
      const most = isWaiting || roomy < sewingLeft ? roomy : sewingLeft;
      const seconds = width[row]!;
      let share = seconds <= most ? 1 : most / seconds;
      const used = share * seconds;
      value -= share * gain[row]!;
      if (!isWaiting) sewingLeft -= used;
      if (used <= left) left -= used;
      else {
        value += laterPrice * (used - left);
        later -= used - left;
        left = 0;
      }
      // Beyond that, seconds are bought with stops where a job gains more than they cost.
      if (share < 1 && perSecond > part.perSecond) {
        value -= (1 - share) * (gain[row]! - part.perSecond * seconds);
        share = 1;
      }
      if (marking) taken[row] = share;
      if (left <= 0 && perSecond <= laterPrice) break;
      if (left + later <= 0 && perSecond <= part.perSecond) break;
    }
    if (marking) part.laterTaken = room.laterS > 0 ? 1 - later / room.laterS : 0;
    return value;
  }
}

/** Works out gains, and orders rows by gain a second; how many gain anything. */
function ranked(part: Part, ask: CoverPrices, prices: Float64Array, waitS: number): number {
  const { jobs, seconds, stops, first, share, gain, width, rate, order, threadS } = part;
  const rows = jobs.length;
  for (let row = 0; row < rows; row++) {
    let shared = 0;
    for (let e = first[row]!; e < first[row + 1]!; e++) shared += share[e]!;
    gain[row] = prices[jobs[row]!]! - ask.perMidStop * stops[row]! - ask.perThreading * shared;
    width[row] = seconds[row]! + threadS * shared;
    rate[row] = gain[row]! > 0 ? gain[row]! / (width[row]! + 1e-9) : -1;
  }
  if (waitS > 0) {
    width[rows - 1] = waitS;
    rate[rows - 1] = gain[rows - 1]! / waitS;
  }
  // The order of the round before is nearly right: insertion sort.
  for (let i = 1; i < rows; i++) {
    const row = order[i]!;
    let j = i - 1;
    while (j >= 0 && rate[order[j]!]! < rate[row]!) {
      order[j + 1] = order[j]!;
      j--;
    }
    order[j + 1] = row;
  }
  let useful = rows;
  while (useful > 0 && rate[order[useful - 1]!]! <= 0) useful--;
  return useful;
}

/** Each set's entry becomes the sum of the entries of all sets inside it; the first two colours in one pass. */
function sumSubsets(values: Float64Array, sets: number): void {
  if (sets === 2) values[1]! += values[0]!;
  for (let at = 0; at + 3 < sets; at += 4) {
    const none = values[at]!;
    const one = values[at + 1]! + none;
    const other = values[at + 2]!;
    values[at + 1] = one;
    values[at + 2] = other + none;
    values[at + 3]! += one + other;
  }
  for (let bit = 4; bit < sets; bit <<= 1)
    for (let from = 0; from < sets; from += 2 * bit)
      for (let at = from; at < from + bit; at++) values[at + bit]! += values[at]!;
}
