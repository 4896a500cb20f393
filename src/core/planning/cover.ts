import type { Compiled } from "./compile";

/**
 * Threads against hours: what threadings and stops must cost when every machine's work must be done by a given time.
 *
 * A machine that sews jobs whose colours together are S threads at least every colour of S that is not on it at the
 * start, however its runs follow each other and wherever they stop. Fewer machines, fewer colours; but a machine can
 * only work so long. So: every job goes to a machine, a machine takes a set S, sews only jobs with colours inside S,
 * and its work and threadings fit its hours. Prices u ≥ 0 for each job's place (Lagrange multipliers of "goes
 * somewhere") part the machines: for each, the best S is found by trying all, with the jobs inside S filled in by gain
 * a second, the last one in part (G. B. Dantzig's bound for the knapsack, Operations Research 5 (1957) 266–277). For
 * any prices Σ u + Σₘ (cheapest of m) lies not above any plan; prices are improved by subgradient steps (M. Held, P.
 * Wolfe, H. P. Crowder, Mathematical Programming 6 (1974) 62–88). Sets are tried over the commonest colours only; a
 * rarer colour's threading is shared out among the jobs that ask for it, which can but lower the bound.
 */
export interface CoverPrices {
  readonly perThreading: number;
  readonly perMidStop: number;
}

export interface Cover {
  /** The least that threadings and stops cost with machines free for work as given; Infinity when the work does not fit. */
  least(room: readonly MachineRoom[], prices: CoverPrices, rounds: number, state?: CoverState): number;
  /** Nothing fixed, no prices yet. */
  fresh(): CoverState;
  from(state: CoverState): CoverState;
  /** The state parted by the machine of one job: every plan of it lies in one of the parts. Empty when all are fixed. */
  divided(state: CoverState): CoverState[];
  /** Steps of one round, about. */
  readonly steps: number;
}

/** Where jobs must go (−1: anywhere they can), their prices, and how often each went to each machine of late. */
export interface CoverState {
  readonly fixed: Int8Array;
  readonly prices: Float64Array;
  readonly share: Float64Array;
}

/** Seconds a machine has: in all, and after its first piece can have been hooped (before, it can only be threaded). */
export interface MachineRoom {
  readonly allS: number;
  readonly sewingS: number;
}

/** A job on a machine, at its least. */
export interface CoverWork {
  readonly m: number;
  readonly stops: number;
  /** Colours beyond the machine's free needles: threadings inside the run. */
  readonly beyond: number;
  /** Seconds the machine is busy with it but for threading, were it stopped nowhere for thread. */
  readonly busyS: number;
  /** Of them, changes of colour. */
  readonly changesS: number;
}

interface MachineCover {
  readonly jobs: Int32Array;
  readonly seconds: Float64Array;
  readonly stops: Float64Array;
  readonly beyond: Float64Array;
  /** Threadings of rare colours that fall to a job. */
  readonly shared: Float64Array;
  readonly mask: Int32Array;
  /** Unions of jobs' colours, and how many colours each has. */
  readonly sets: Int32Array;
  readonly sizes: Int32Array;
  /** Seconds a threading takes at least, a change of colour saved. */
  readonly threadS: number;
  /** Seconds that threading rare colours can take before the first piece is hooped, at most. */
  readonly sharedS: number;
  readonly order: Int32Array;
  readonly gain: Float64Array;
  readonly rate: Float64Array;
  readonly taken: Float64Array;
}

/** Sets tried for all machines times jobs, at most. */
const MOST_WORK = 400_000;

export function createCover(
  compiled: Compiled,
  jobs: readonly number[],
  worksOf: (job: number) => readonly CoverWork[],
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
  const uses = new Int32Array(colours);
  for (const own of sets) for (const colour of own) uses[colour]!++;
  const common = commonColours(uses, on, jobs.length);
  const parts = Array.from({ length: machines }, (_, m) => machineCover(m));
  const busy = jobs.map((job) => Math.min(...worksOf(job).map((work) => work.busyS)));
  const allBusy = busy.reduce((sum, seconds) => sum + seconds, 1);
  const threadable = uses.reduce(
    (sum, count, c) => sum + (count > 0 && !on.every((own) => own[c]) ? 1 : 0),
    0,
  );
  const allParts = jobs.reduce((sum, job) => sum + compiled.colourOf[job]!.length, 0);
  const fresh = (): CoverState => ({
    fixed: new Int8Array(jobs.length).fill(-1),
    prices: new Float64Array(jobs.length),
    share: new Float64Array(jobs.length * machines),
  });
  const from = ({ fixed, prices, share }: CoverState): CoverState => ({
    fixed,
    prices: prices.slice(),
    share: share.slice(),
  });
  const all = fresh();

  function machineCover(m: number): MachineCover {
    const bit = new Int32Array(colours).fill(-1);
    let bits = 0;
    for (const colour of common) if (!on[m]![colour]) bit[colour] = bits++;
    const machine = compiled.problem.machines[m]!;
    const saves = machine.threadS >= machine.colourChangeS;
    const threadS = saves ? machine.threadS - machine.colourChangeS : machine.threadS;
    const rows = jobs.flatMap((job, at) => {
      const work = worksOf(job).find((one) => one.m === m);
      if (!work) return [];
      let mask = 0;
      let shared = 0;
      for (const colour of sets[at]!) {
        if (on[m]![colour]) continue;
        if (bit[colour]! >= 0) mask |= 1 << bit[colour]!;
        else shared += 1 / uses[colour]!;
      }
      const seconds = work.busyS - (saves ? 0 : work.changesS) + shared * threadS;
      return [{ at, mask, shared, seconds, stops: work.stops, beyond: work.beyond }];
    });
    const closed: number[] = [];
    for (let set = 0; set < 1 << bits; set++) {
      let union = 0;
      for (const row of rows) if ((row.mask & ~set) === 0) union |= row.mask;
      if (union === set) closed.push(set);
    }
    return {
      jobs: Int32Array.from(rows, (row) => row.at),
      seconds: Float64Array.from(rows, (row) => row.seconds),
      stops: Float64Array.from(rows, (row) => row.stops),
      beyond: Float64Array.from(rows, (row) => row.beyond),
      shared: Float64Array.from(rows, (row) => row.shared),
      mask: Int32Array.from(rows, (row) => row.mask),
      sets: Int32Array.from(closed),
      sizes: Int32Array.from(closed, bitCount),
      threadS,
      sharedS:
        threadS * uses.reduce((sum, count, c) => sum + (count > 0 && !on[m]![c] && bit[c]! < 0 ? 1 : 0), 0),
      order: Int32Array.from(rows, (_, row) => row),
      gain: new Float64Array(rows.length),
      rate: new Float64Array(rows.length),
      taken: new Float64Array(rows.length),
    };
  }

  function least(
    room: readonly MachineRoom[],
    ask: CoverPrices,
    rounds: number,
    { prices, fixed, share }: CoverState = all,
  ): number {
    if (ask.perThreading + ask.perMidStop === 0) return 0;
    // A plan that threads each part when it is sewn and stops before it costs no more than this.
    const most = 2 * (ask.perThreading + ask.perMidStop) * (1 + allParts);
    const move = new Float64Array(jobs.length);
    if (!prices.some((price) => price > 0))
      busy.forEach((seconds, at) => (prices[at] = (ask.perThreading * threadable * seconds) / allBusy));
    const bestPrices = prices.slice();
    let best = 0;
    let length = 1;
    let since = 0;
    for (let round = 0; round < rounds; round++) {
      move.fill(1);
      let total = 0;
      for (let at = 0; at < jobs.length; at++) total += prices[at]!;
      for (let m = 0; m < machines; m++) total += cheapest(parts[m]!, room[m]!, ask, prices, fixed, m);
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
        if (length < 0.02) break;
      }
      let norm = 0;
      parts.forEach((part, m) =>
        part.jobs.forEach((at, row) => {
          move[at]! -= part.taken[row]!;
          share[at * machines + m]! += 0.15 * (part.taken[row]! - share[at * machines + m]!);
        }),
      );
      for (let at = 0; at < jobs.length; at++) {
        if (move[at]! < 0 && prices[at] === 0) move[at] = 0;
        norm += move[at]! * move[at]!;
      }
      if (norm < 1e-9) break;
      const step = (length * (best * 1.15 + ask.perThreading + 0.5 * ask.perMidStop - total)) / norm;
      for (let at = 0; at < jobs.length; at++) prices[at] = Math.max(0, prices[at]! + step * move[at]!);
    }
    prices.set(bestPrices);
    return best;
  }
  return {
    least,
    fresh,
    from,
    divided,
    steps: parts.reduce((sum, part) => sum + part.sets.length * jobs.length, 0),
  };

  /** The job parted is the one whose machine is least certain, wide ones first. */
  function divided(state: CoverState): CoverState[] {
    let best = -1;
    let bestWorth = -1;
    jobs.forEach((job, at) => {
      if (state.fixed[at]! >= 0 || compiled.choices[job]!.length < 2) return;
      let sum = 1e-9;
      let most = 0;
      for (let m = 0; m < machines; m++) {
        sum += state.share[at * machines + m]!;
        most = Math.max(most, state.share[at * machines + m]!);
      }
      const worth = (1.05 - most / sum) * sets[at]!.length;
      if (worth > bestWorth) {
        bestWorth = worth;
        best = at;
      }
    });
    if (best < 0) return [];
    return [...compiled.choices[jobs[best]!]!].map((m) => {
      const fixed = state.fixed.slice();
      fixed[best] = m;
      return { ...from(state), fixed };
    });
  }

  function commonColours(count: Int32Array, onIt: readonly Uint8Array[], width: number): number[] {
    const ranked = [...count.keys()].filter(
      (colour) => count[colour]! > 1 && !onIt.every((own) => own[colour]),
    );
    ranked.sort((a, b) => count[b]! - count[a]! || a - b);
    const chosen: number[] = [];
    const bits = new Int32Array(machines);
    for (const colour of ranked.slice(0, 24)) {
      let work = 0;
      onIt.forEach((own, m) => (work += 2 ** (bits[m]! + (own[colour] ? 0 : 1)) * width));
      if (work > MOST_WORK) break;
      chosen.push(colour);
      onIt.forEach((own, m) => (bits[m]! += own[colour] ? 0 : 1));
    }
    return chosen;
  }
}

const bitCount = (set: number): number => {
  let count = 0;
  for (let rest = set; rest !== 0; rest &= rest - 1) count++;
  return count;
};

/** The cheapest set of colours and jobs for one machine at these prices (at most 0); what it takes of each job stands in `taken`. */
function cheapest(
  part: MachineCover,
  room: MachineRoom,
  ask: CoverPrices,
  prices: Float64Array,
  fixed: Int8Array,
  m: number,
): number {
  const { jobs, seconds, stops, shared, mask, order, gain, rate, sets, sizes, taken } = part;
  const count = jobs.length;
  for (let row = 0; row < count; row++) {
    gain[row] = prices[jobs[row]!]! - ask.perMidStop * stops[row]! - ask.perThreading * shared[row]!;
    const canGo = fixed[jobs[row]!]! < 0 || fixed[jobs[row]!] === m;
    rate[row] = canGo && gain[row]! > 0 ? gain[row]! / (seconds[row]! + 1e-9) : -1;
  }
  // The order of the round before is nearly right: insertion sort.
  for (let i = 1; i < count; i++) {
    const row = order[i]!;
    let j = i - 1;
    while (j >= 0 && rate[order[j]!]! < rate[row]!) {
      order[j + 1] = order[j]!;
      j--;
    }
    order[j + 1] = row;
  }
  let useful = count;
  while (useful > 0 && rate[order[useful - 1]!]! < 0) useful--;
  let best = 0;
  let bestSet = -1;
  for (let s = 0; s < sets.length; s++) {
    const outside = ~sets[s]!;
    let value = ask.perThreading * sizes[s]!;
    let left = Math.min(room.allS - part.threadS * sizes[s]!, room.sewingS + part.sharedS);
    if (left < 0) continue;
    for (let i = 0; i < useful; i++) {
      const row = order[i]!;
      if ((mask[row]! & outside) !== 0) continue;
      if (seconds[row]! <= left) {
        left -= seconds[row]!;
        value -= gain[row]!;
      } else {
        value -= rate[row]! * left;
        break;
      }
    }
    if (value < best) {
      best = value;
      bestSet = s;
    }
  }
  taken.fill(0);
  if (bestSet < 0) return 0;
  let left = Math.min(room.allS - part.threadS * sizes[bestSet]!, room.sewingS + part.sharedS);
  for (let i = 0; i < useful && left > 0; i++) {
    const row = order[i]!;
    if ((mask[row]! & ~sets[bestSet]!) !== 0) continue;
    const share = seconds[row]! <= left ? 1 : left / seconds[row]!;
    taken[row] = share;
    left -= share * seconds[row]!;
  }
  return best;
}
