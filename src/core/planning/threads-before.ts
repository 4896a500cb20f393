import type { Compiled } from "./compile";
import { chooseNeedles, emptyNeedlePlan, type NeedlePlan, needleRoom } from "./needles";
import { cutTables } from "./tables";

/** How many threadings come before each stretch of a machine's runs, without saying which needle. */
export interface ThreadCount {
  /** The order it was made for: job × 16 + cut, per run. */
  readonly key: Int32Array;
  length: number;
  readonly before: Int32Array;
  stretches: number;
  threadings: number;
  midStops: number;
  /** Seconds the runs keep their machine busy, at least: loading, sewing, threading, unloading. */
  workS: number;
}

export function emptyThreadCount(compiled: Compiled): ThreadCount {
  const parts = compiled.colourOf.reduce((sum, own) => sum + own.length, 0);
  return {
    key: new Int32Array(compiled.jobs + 1).fill(-1),
    length: -1,
    before: new Int32Array(parts + compiled.jobs + 1),
    stretches: 0,
    threadings: 0,
    midStops: 0,
    workS: 0,
  };
}

/**
 * Counts threadings by pipes: a colour need not be threaded when it has stayed on since it was last asked for, through
 * every stretch between, each of which has as many free needles as its own colours leave over. Pipes are laid as they
 * end, where no stretch between is full; that keeps just what "the needle asked for furthest in the future gives way"
 * keeps, stretch by stretch (M. Cherniavskii, B. Goldengorin, arXiv 2205.06042 (2022)). It asks nothing of the future:
 * what comes before a stretch depends on the runs up to it alone, so orders with a common head thread alike in it.
 *
 * Invariant: `full` is the last stretch no pipe can go through. Work: requirements, and a step for each stretch a pipe
 * goes through; no memory is taken.
 */
export function threadCounter(compiled: Compiled): (m: number, count: ThreadCount) => void {
  const { machines } = compiled;
  const { base, first, sewS, colourFirst, colours, odd } = cutTables(compiled);
  const lastAsked = new Int32Array(Math.max(1, compiled.colourNames.length));
  const parts = compiled.colourOf.reduce((sum, own) => sum + own.length, 0);
  const taken = new Int32Array(parts + compiled.jobs + 1);
  const atStart = compiled.startColour.map((own) => Int32Array.from(new Set(own.filter((c) => c >= 0))));
  const room = needleRoom(compiled);
  let plan: NeedlePlan | null = null;

  return (m, count) => {
    const { key, before, length } = count;
    const handlingS = compiled.loadS[m]! + compiled.unloadS[m]!;
    let workS = length * handlingS;
    if (odd[m]) {
      plan ??= emptyNeedlePlan(compiled);
      plan.length = length;
      plan.key.set(key.subarray(0, length));
      chooseNeedles(room, m, plan);
      before.set(plan.before.subarray(0, plan.stretches));
      count.stretches = plan.stretches;
      count.threadings = plan.threadings;
      count.midStops = plan.midStops;
      for (let at = 0; at < length; at++)
        workS += sewS[base[(key[at]! >> 4) * machines + m]! + (key[at]! & 15)]!;
      count.workS = workS + plan.threadings * compiled.threadS[m]!;
      return;
    }
    const needles = compiled.freeNeedles[m]!.length;
    lastAsked.fill(-2);
    for (const colour of atStart[m]!) lastAsked[colour] = -1;
    let full = -1;
    let time = 0;
    let threadings = 0;
    for (let at = 0; at < length; at++) {
      const cut = base[(key[at]! >> 4) * machines + m]! + (key[at]! & 15);
      workS += sewS[cut]!;
      const stretch0 = first[cut]!;
      const stretch1 = first[cut + 1]!;
      for (let s = stretch0; s < stretch1; s++, time++) {
        const e1 = colourFirst[s + 1]!;
        let threads = 0;
        for (let e = colourFirst[s]!; e < e1; e++) {
          const colour = colours[e]!;
          const last = lastAsked[colour]!;
          lastAsked[colour] = time;
          if (last < full) {
            threads++;
            continue;
          }
          for (let between = time - 1; between > last; between--) {
            // Counted from the end, so that the first one found full is the last.
            if (++taken[between]! === needles && between > full) full = between;
          }
        }
        taken[time] = e1 - colourFirst[s]!;
        if (taken[time]! >= needles) full = time;
        // A stop inside a design threads something, or it would be none.
        if (s > stretch0 && threads === 0) threads = 1;
        before[time] = threads;
        threadings += threads;
      }
    }
    count.stretches = time;
    count.threadings = threadings;
    count.midStops = time - length;
    count.workS = workS + threadings * compiled.threadS[m]!;
  };
}
