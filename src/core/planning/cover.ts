import type { Compiled } from "./compile";
import { cheapestSet, type Part, SECOND_PRICES, setScratch } from "./cover-part";

/**
 * Threads against hours: what threadings and stops must cost when every machine's work must be done by a given time.
 *
 * A machine that sews jobs whose colours together are S threads at least every colour of S that is not on it at the
 * start, however its runs follow each other and wherever they stop. Fewer machines, fewer colours; but a machine can
 * only work so long. So: every job goes to a machine, a machine takes a set S, sews only jobs with colours inside S,
 * and its work and threadings fit its hours, which all machines' waiting for hands fills in part. Prices u ≥ 0 for each
 * job's place (Lagrange multipliers of "goes somewhere") part the machines: `cover-part.ts` finds the best S of each.
 * For any prices Σ u + Σₘ (cheapest of m) lies not above any plan; prices are improved by subgradient steps (M. Held,
 * P. Wolfe, H. P. Crowder, Mathematical Programming 6 (1974) 62–88). Sets are tried over the commonest colours only; a
 * rarer colour's threading is shared out among the jobs that ask for it, which can but lower the bound, and the shares
 * move to the jobs that are taken.
 */
export interface CoverPrices {
  readonly perThreading: number;
  readonly perMidStop: number;
  /** What a second costs by which all ends later than at the start of the span, shared out among the machines. */
  readonly perLaterSecond: number;
}

export interface Cover {
  /** The least that threadings and stops cost with machines free for work as given; Infinity when the work does not fit. */
  least(rooms: Rooms, prices: CoverPrices, rounds: number, state: CoverState): number;
  /** Nothing decided, no prices yet. */
  fresh(): CoverState;
  from(state: CoverState): CoverState;
  /** The state parted by whether one machine ever threads one colour: every plan of it lies in one of the two. Empty when all is decided. */
  divided(state: CoverState): CoverState[];
  /** Steps of one round, about. */
  readonly steps: number;
}

/** What is decided of each colour on each machine, and the prices and shares to go on from. */
export interface CoverState {
  /** By machine and colour: OPEN, THREADED or NEVER. */
  readonly decided: Uint8Array;
  /** Of each job, then of waiting. */
  readonly prices: Float64Array;
  /** By machine, job and colour. */
  readonly shares: Float64Array;
  /** How often each machine threaded each colour of late. */
  readonly seen: Float64Array;
  /** What falls of a second's price to each machine, 1 in all. */
  readonly later: Float64Array;
  /** How long the next steps are, from 1 down; what is proven so far. */
  length: number;
}

const OPEN = 0;
const THREADED = 1;
const NEVER_THREADED = 2;

/** Seconds a machine has: in all, and after its first piece can have been hooped (before, it can only be threaded). */
export interface MachineRoom {
  readonly allS: number;
  readonly sewingS: number;
  /** Seconds there are more when all ends later, for their price. */
  readonly laterS: number;
}

export interface Rooms {
  readonly machines: readonly MachineRoom[];
  /** Seconds of them that go by in waiting for hands, on all machines together, at least. */
  readonly waitS: number;
}

/** A job on a machine, at its least. */
export interface CoverWork {
  readonly m: number;
  readonly stops: number;
  /** Seconds the machine is busy with it but for threading, were it stopped nowhere for thread. */
  readonly busyS: number;
  /** Of them, changes of colour. */
  readonly changesS: number;
}

/** Sets of all machines times their colours, at most. */
const MOST_SETS = 300_000;
const MOST_BITS = 15;
/** How fast shares of rare colours move to the jobs taken. */
const SHARE_STEP = 0.5;
/** Steps shorter than this end the search for prices; a part of what was decided begins with steps this long at least. */
const SHORTEST = 0.02;
const REFRESHED = 0.3;
/** How much of each step's direction is new, and how far beyond the best steps aim. */
const NEW_PART = 0.4;
const BEYOND = 1.05;

/** `again`: threadings of each machine beyond one for each colour, certain in any case. */
export function createCover(
  compiled: Compiled,
  jobs: readonly number[],
  worksOf: (job: number) => readonly CoverWork[],
  again: readonly number[],
): Cover {
  const { machines } = compiled;
  const colours = compiled.colourNames.length;
  const on = compiled.startColour.map((start, m) => {
    const own = new Uint8Array(colours);
    for (const colour of start) if (colour >= 0) own[colour] = 1;
    compiled.heldAt[m]!.forEach((needle, colour) => needle >= 0 && (own[colour] = 1));
    return own;
  });
  const sets = jobs.map((job) => [...new Set(compiled.colourOf[job])]);
  const works = jobs.map((job) => {
    const byMachine = new Map(worksOf(job).map((work) => [work.m, work]));
    return compiled.problem.machines.map((_, m) => byMachine.get(m) ?? null);
  });
  const uses = new Int32Array(colours);
  for (const own of sets) for (const colour of own) uses[colour]!++;
  const busy = works.map((own) => Math.min(...own.map((work) => work?.busyS ?? Infinity)));
  const allBusy = busy.reduce((sum, seconds) => sum + seconds, 1);
  /** Long jobs have high prices: they take longer steps. */
  const scale = [...busy.map((seconds) => Math.sqrt((seconds * jobs.length) / allBusy) + 0.01), 1];
  const threadable = uses.reduce(
    (sum, count, c) => sum + (count > 0 && !on.every((own) => own[c]) ? 1 : 0),
    0,
  );
  const allParts = jobs.reduce((sum, job) => sum + compiled.colourOf[job]!.length, 0);
  const bits = bitsFor(
    on.map((own) => uses.reduce((sum, count, c) => sum + (count > 1 && !own[c] ? 1 : 0), 0)),
  );
  const scratch = setScratch(bits);
  const fresh = (): CoverState => ({
    decided: new Uint8Array(machines * colours),
    prices: new Float64Array(jobs.length + 1),
    shares: new Float64Array(machines * jobs.length * colours),
    seen: new Float64Array(machines * colours),
    later: new Float64Array(machines).fill(1 / machines),
    length: 1,
  });
  const from = ({ decided, prices, shares, seen, later, length }: CoverState): CoverState => ({
    decided,
    prices: prices.slice(),
    shares: shares.slice(),
    seen: seen.slice(),
    later: later.slice(),
    length: Math.max(length, REFRESHED),
  });
  const open = on.map((own) => uses.reduce((sum, count, c) => sum + (count > 0 && !own[c] ? 1 : 0), 0));
  const steps = open.reduce((sum, count) => {
    const looked = Math.min(bits, count);
    return sum + SECOND_PRICES * (looked + 4) * 2 ** looked + 8 * jobs.length;
  }, 0);
  return { least, fresh, from, divided, steps };

  function partOf(m: number, state: CoverState, ask: CoverPrices, waits: boolean): Part {
    const machine = compiled.problem.machines[m]!;
    const decided = (colour: number): number => state.decided[m * colours + colour]!;
    const at = [...jobs.keys()].filter(
      (one) => works[one]![m] !== null && sets[one]!.every((colour) => decided(colour) !== NEVER_THREADED),
    );
    const asked = new Int32Array(colours);
    for (const one of at)
      for (const colour of sets[one]!) if (!on[m]![colour] && decided(colour) === OPEN) asked[colour]!++;
    const ranked = [...asked.keys()].filter((colour) => asked[colour]! > 0);
    ranked.sort((a, b) => asked[b]! - asked[a]! || a - b);
    const looked = ranked.filter((colour, rank) => rank < bits && asked[colour]! > 1);
    const bitOf = new Int32Array(colours).fill(-1);
    looked.forEach((colour, bit) => (bitOf[colour] = bit));
    const sure = on[m]!.reduce(
      (sum, there, colour) => sum + (!there && decided(colour) === THREADED ? 1 : 0),
      again[m]!,
    );
    // A stop saves a change of colour: its price is the stop's, or, where stops are cheap, that each threads something.
    const bought = machine.colourChangeS === 0 || ask.perMidStop >= ask.perThreading;
    const saves = !bought && machine.threadS >= machine.colourChangeS;
    const threadS = saves ? machine.threadS - machine.colourChangeS : machine.threadS;
    const rare = at.map((one) =>
      sets[one]!.filter((colour) => !on[m]![colour] && decided(colour) === OPEN && bitOf[colour]! < 0),
    );
    const first = new Int32Array(at.length + 2);
    rare.forEach((own, row) => (first[row + 1] = first[row]! + own.length));
    first[at.length + 1] = first[at.length]!;
    const rows = at.length + (waits ? 1 : 0);
    const work = at.map((one) => works[one]![m]!);
    const withWaiting = (values: number[]): Float64Array =>
      Float64Array.from(waits ? [...values, 0] : values);
    const part: Part = {
      m,
      bits: Int32Array.from(looked),
      sure,
      threadS,
      aheadS: threadS * (sure + ranked.length - looked.length),
      perSecond: bought && machine.colourChangeS > 0 ? ask.perMidStop / machine.colourChangeS : Infinity,
      jobs: Int32Array.from(waits ? [...at, jobs.length] : at),
      seconds: withWaiting(
        work.map((one) =>
          Math.max(0, one.busyS - (bought ? one.stops * machine.colourChangeS : saves ? 0 : one.changesS)),
        ),
      ),
      stops: withWaiting(work.map((one) => one.stops)),
      mask: Int32Array.from({ length: rows }, (_, row) =>
        row < at.length
          ? sets[at[row]!]!.reduce((word, c) => (bitOf[c]! >= 0 ? word | (1 << bitOf[c]!) : word), 0)
          : 0,
      ),
      first,
      rare: Int32Array.from(rare.flat()),
      share: Float64Array.from(
        rare.flatMap((own, row) =>
          own.map((colour) => state.shares[(m * jobs.length + at[row]!) * colours + colour]! || 1),
        ),
      ),
      gain: new Float64Array(rows),
      width: new Float64Array(rows),
      rate: new Float64Array(rows),
      order: Int32Array.from({ length: rows }, (_, row) => row),
      taken: new Float64Array(rows),
      set: -1,
      laterTaken: 0,
    };
    moveShares(part, 0);
    return part;
  }

  /** Shares of rare colours move to the rows taken, by step, and are 1 in all again. */
  function moveShares({ jobs: own, first, rare, share, taken }: Part, step: number): void {
    if (rare.length === 0) return;
    const sums = new Float64Array(colours);
    for (let row = 0; row < own.length; row++)
      for (let e = first[row]!; e < first[row + 1]!; e++) {
        share[e] = Math.max(1e-9, share[e]! * Math.exp(step * taken[row]!));
        sums[rare[e]!]! += share[e]!;
      }
    // A hair less than 1 in all, for the sums are rounded.
    for (let e = 0; e < rare.length; e++) share[e]! *= (1 - 1e-12) / sums[rare[e]!]!;
  }

  /** Machines that take more of the later seconds pay more of their price. */
  function moveLater(parts: readonly Part[], later: Float64Array, step: number): void {
    let sum = 0;
    for (const part of parts) sum += later[part.m]! *= Math.exp(step * part.laterTaken);
    for (const part of parts) later[part.m]! *= (1 - 1e-12) / sum;
  }

  function least(rooms: Rooms, ask: CoverPrices, rounds: number, state: CoverState): number {
    if (ask.perThreading + ask.perMidStop === 0) return 0;
    const { prices, seen, later } = state;
    const { waitS } = rooms;
    const parts = rooms.machines.map((_, m) => partOf(m, state, ask, waitS > 0));
    const places = new Uint8Array(jobs.length + 1);
    for (const part of parts) for (const at of part.jobs) places[at] = 1;
    if (jobs.some((_, at) => !places[at])) return Infinity;
    // A plan that threads each part when it is sewn and stops before it costs no more than this.
    const most = 2 * (ask.perThreading + ask.perMidStop) * (1 + allParts);
    const count = jobs.length + (waitS > 0 ? 1 : 0);
    const move = new Float64Array(count);
    const way = new Float64Array(count);
    if (!prices.some((price) => price > 0))
      busy.forEach((seconds, at) => (prices[at] = (ask.perThreading * threadable * seconds) / allBusy));
    if (waitS === 0) prices[jobs.length] = 0;
    const bestPrices = prices.slice();
    let best = 0;
    let { length } = state;
    let since = 0;
    for (let round = 0; round < rounds; round++) {
      move.fill(1);
      let total = 0;
      for (let at = 0; at < count; at++) total += prices[at]!;
      for (const part of parts)
        total += cheapestSet(part, rooms.machines[part.m]!, ask, prices, waitS, later[part.m]!, scratch);
      if (total > best + 1e-9) {
        since = total > best * 1.0005 + 1e-6 ? 0 : since + 1;
        best = total;
        bestPrices.set(prices);
      } else since++;
      if (total > most) return Infinity;
      if (since > 5) {
        since = 0;
        length *= 0.6;
        prices.set(bestPrices);
        if (length < SHORTEST) break;
      }
      let norm = 0;
      for (const part of parts) {
        part.jobs.forEach((at, row) => (move[at]! -= part.taken[row]!));
        watch(part, seen);
        moveShares(part, SHARE_STEP * length);
      }
      moveLater(parts, later, SHARE_STEP * length);
      for (let at = 0; at < count; at++) {
        way[at]! += NEW_PART * (move[at]! - way[at]!);
        if (way[at]! < 0 && prices[at] === 0) way[at] = 0;
        norm += way[at]! * way[at]! * scale[at]!;
      }
      if (norm < 1e-9) break;
      const step = (length * (best * BEYOND + ask.perThreading + 0.5 * ask.perMidStop - total)) / norm;
      for (let at = 0; at < count; at++) prices[at] = Math.max(0, prices[at]! + step * scale[at]! * way[at]!);
    }
    state.length = length;
    prices.set(bestPrices);
    for (const part of parts) keepShares(part, state.shares);
    return best;
  }

  function keepShares({ m, jobs: own, first, rare, share }: Part, shares: Float64Array): void {
    for (let row = 0; row < own.length; row++)
      for (let e = first[row]!; e < first[row + 1]!; e++)
        shares[(m * jobs.length + own[row]!) * colours + rare[e]!] = share[e]!;
  }

  function watch({ m, bits: looked, set, jobs: own, first, rare, taken }: Part, seen: Float64Array): void {
    const now = new Float64Array(colours);
    looked.forEach((colour, bit) => set >= 0 && (set & (1 << bit)) !== 0 && (now[colour] = 1));
    for (let row = 0; row < own.length; row++)
      for (let e = first[row]!; e < first[row + 1]!; e++)
        now[rare[e]!] = Math.max(now[rare[e]!]!, taken[row]!);
    for (let colour = 0; colour < colours; colour++)
      seen[m * colours + colour]! += 0.15 * (now[colour]! - seen[m * colours + colour]!);
  }

  /** The colour is the one whose threading on a machine is least certain, those asked for often first. */
  function divided(state: CoverState): CoverState[] {
    let best = -1;
    let bestWorth = 0;
    for (let m = 0; m < machines; m++)
      for (let colour = 0; colour < colours; colour++) {
        const place = m * colours + colour;
        if (on[m]![colour] || uses[colour] === 0 || state.decided[place] !== OPEN) continue;
        const share = state.seen[place]!;
        const worth = (Math.min(share, 1 - share) + 1e-6) * Math.sqrt(uses[colour]!);
        if (worth > bestWorth) {
          bestWorth = worth;
          best = place;
        }
      }
    if (best < 0) return [];
    return [THREADED, NEVER_THREADED].map((way) => {
      const decided = state.decided.slice();
      decided[best] = way;
      return { ...from(state), decided };
    });
  }

  /** So many colours that trying all their sets on all machines stays within MOST_SETS. */
  function bitsFor(counts: readonly number[]): number {
    let most = 1;
    const work = (width: number): number =>
      counts.reduce((sum, count) => sum + Math.min(count, width) * 2 ** Math.min(count, width), 0);
    while (most < MOST_BITS && most < Math.max(1, ...counts) && work(most + 1) <= MOST_SETS) most++;
    return most;
  }
}
