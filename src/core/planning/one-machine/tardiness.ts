import { type Chance, seededChance } from "#core/base";

/**
 * One machine, every job with its seconds, weight and due time, nothing to thread: the order with the least weighted
 * tardiness. Iterated dynasearch (R. K. Congram, C. N. Potts, S. L. van de Velde, INFORMS J. on Computing 14 (2002)
 * 52–67): the best set of moves that do not overlap is found by dynamic programming over the places, here of swaps
 * and of insertions either way (A. Grosso, F. Della Croce, R. Tadei, Operations Research Letters 32 (2004) 68–72; both
 * from memory), until none helps; then a few random swaps and again.
 */
export interface TardyJobs {
  readonly seconds: Float64Array;
  readonly weight: Float64Array;
  /** Infinity for none. */
  readonly due: Float64Array;
}

export interface TardyState {
  readonly order: Int32Array;
  readonly tardiness: number;
  readonly best: Int32Array;
  readonly bestTardiness: number;
  /** Descents since the search last went back to the best. */
  readonly since: number;
}

export interface TardyKernel {
  readonly jobs: TardyJobs;
  /** Σ weight × seconds late. */
  tardiness(order: Int32Array): number;
  start(order: Int32Array): TardyState;
  /** So many passes of dynasearch on; the same state, passes and seed give the same state. */
  search(state: TardyState, passes: number, seed: number): TardyState;
}

const KICK_SWAPS = 6;
/** Descents before the search goes back to the best order. */
const BACK_AFTER = 8;

export function createTardyKernel(jobs: TardyJobs): TardyKernel {
  const { seconds, weight, due } = jobs;
  const n = seconds.length;
  const before = new Float64Array(n + 1);
  const costHere = new Float64Array(n);
  /** Best change of cost over the first k places, the first place of the last move in it, and its kind. */
  const gain = new Float64Array(n + 1);
  const first = new Int32Array(n + 1);
  const kind = new Int8Array(n + 1);

  const late = (job: number, end: number): number => {
    const over = end - due[job]!;
    return over > 0 ? weight[job]! * over : 0;
  };

  function tardiness(order: Int32Array): number {
    let clock = 0;
    let sum = 0;
    for (let at = 0; at < n; at++) {
      clock += seconds[order[at]!]!;
      sum += late(order[at]!, clock);
    }
    return sum;
  }

  /** One pass: makes the best set of moves apart from each other; what it gains, 0 when nothing helps. */
  function improve(order: Int32Array): number {
    for (let at = 0; at < n; at++) {
      before[at + 1] = before[at]! + seconds[order[at]!]!;
      costHere[at] = late(order[at]!, before[at + 1]!);
    }
    gain[0] = 0;
    for (let to = 1; to <= n; to++) {
      gain[to] = Infinity;
      kind[to] = 0;
    }
    for (let from = 0; from < n; from++) {
      const base = gain[from]!;
      if (base < gain[from + 1]!) {
        gain[from + 1] = base;
        kind[from + 1] = 0;
      }
      const job = order[from]!;
      const own = seconds[job]!;
      // The job goes behind those after it, one by one; what lies between moves ahead.
      let shifted = 0;
      let stood = costHere[from]!;
      // The job at `to` goes ahead of all from `from` on.
      for (let to = from + 1; to < n; to++) {
        const other = order[to]!;
        const length = seconds[other]!;
        stood += costHere[to]!;
        shifted += late(other, before[to + 1]! - own);
        const behind = shifted + late(job, before[to + 1]!) - stood;
        if (base + behind < gain[to + 1]! - 1e-9) offer(to + 1, from, base + behind, 1);
        const swap = late(other, before[from]! + length) + late(job, before[to + 1]!) - stood;
        const ahead = late(other, before[from]! + length) + late(job, before[from + 1]! + length) - stood;
        const most = gain[to + 1]! - base - 1e-9;
        // What lies between only adds.
        if (swap < most) {
          let sum = swap;
          const step = length - own;
          for (let at = from + 1; at < to && sum < most; at++)
            sum += late(order[at]!, before[at + 1]! + step);
          if (sum < most) offer(to + 1, from, base + sum, 2);
        }
        const limit = gain[to + 1]! - base - 1e-9;
        if (ahead < limit) {
          let sum = ahead;
          for (let at = from + 1; at < to && sum < limit; at++)
            sum += late(order[at]!, before[at + 1]! + length);
          if (sum < limit) offer(to + 1, from, base + sum, 3);
        }
      }
    }
    const gained = -gain[n]!;
    if (gained <= 1e-6) return 0;
    for (let to = n; to > 0;) {
      if (kind[to] === 0) {
        to--;
        continue;
      }
      const from = first[to]!;
      const head = order[from]!;
      const tail = order[to - 1]!;
      if (kind[to] === 1) {
        order.copyWithin(from, from + 1, to);
        order[to - 1] = head;
      } else if (kind[to] === 2) {
        order[from] = tail;
        order[to - 1] = head;
      } else {
        order.copyWithin(from + 1, from, to - 1);
        order[from] = tail;
      }
      to = from;
    }
    return gained;
  }

  function offer(to: number, from: number, change: number, how: number): void {
    gain[to] = change;
    first[to] = from;
    kind[to] = how;
  }

  function kick(order: Int32Array, chance: Chance): void {
    for (let swap = 0; swap < KICK_SWAPS; swap++) {
      const a = chance.below(n);
      const b = chance.below(n);
      const job = order[a]!;
      order[a] = order[b]!;
      order[b] = job;
    }
  }

  return {
    jobs,
    tardiness,
    start(order) {
      const known = tardiness(order);
      return { order, tardiness: known, best: order, bestTardiness: known, since: 0 };
    },
    search(state, passes, seed) {
      if (n < 2 || state.bestTardiness === 0) return state;
      const chance = seededChance(seed);
      const order = state.order.slice();
      const best = state.best.slice();
      let { bestTardiness, since } = state;
      let left = passes;
      const descend = (): number => {
        while (left-- > 0 && improve(order) > 0);
        return tardiness(order);
      };
      let current = descend();
      const resting = order.slice();
      for (;;) {
        if (current < bestTardiness - 1e-6) {
          bestTardiness = current;
          best.set(order);
          since = 0;
        }
        if (left <= 0 || bestTardiness === 0) break;
        if (++since >= BACK_AFTER) {
          order.set(best);
          current = bestTardiness;
          since = 0;
        }
        resting.set(order);
        const stood = current;
        kick(order, chance);
        current = descend();
        // A little worse is walked on from, far worse is not.
        if (current > stood && chance.below(3) > 0 && current > bestTardiness) {
          order.set(resting);
          current = stood;
        }
      }
      return { order, tardiness: current, best, bestTardiness, since };
    },
  };
}
