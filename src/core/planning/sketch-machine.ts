import type { Compiled } from "./compile";
import { bits } from "./one-machine/count";
import { cutTables } from "./tables";

/** What one machine sews in a sketch. */
export interface SketchedMachine {
  /** Jobs in their order; the first `length` count. */
  order: Int32Array;
  length: number;
}

/** When its last run is unloaded, and what its threadings, stops and lateness cost. */
export interface SketchVerdict {
  end: number;
  worth: number;
}

export interface SketchJudge {
  /** What the last order judged or kept comes to. */
  readonly said: SketchVerdict;
  /** Judges an order that is as the machine's kept one before place `from`; false, and nothing said, once the worth must exceed `limit`. */
  judge(m: number, trial: SketchedMachine, from: number, limit: number): boolean;
  /** Keeps an order, alike with the one kept before place `from`: later ones are judged from where they part from it. */
  keep(m: number, order: SketchedMachine, from: number): void;
  /** Start of each job of the machine's kept order, threaded for, before its loading. */
  startsOf(m: number, starts: Float64Array): void;
}

/** Hands are not always at once where they are wanted: the day goes slower, and a piece is wanted before it is due. */
const PACE = 1.08;
const SLACK_S = 1200;
/** Added where no open time is left. */
const NO_DAY_S = 1e6;

interface Kept {
  readonly order: Int32Array;
  length: number;
  /** Start of each place's job, threaded for, before its loading. */
  readonly start: Float64Array;
  // Before each place of the order, and after the last.
  readonly clock: Float64Array;
  readonly lateS: Float64Array;
  readonly threadings: Int32Array;
  readonly stretch: Int32Array;
  readonly full: Int32Array;
  readonly pool: Int32Array;
  /** Where its row begins in `rows`: free needles and colours of the stretches from the last full one on. */
  readonly rowAt: Int32Array;
  rows: Int32Array;
}

/**
 * Judges a machine's order by itself, hands and frames left aside: first cuts, and threadings counted by pipes between
 * sets of colours, as `one-machine/count.ts` does, which says why that is right. The state before each place of a kept
 * order is remembered, so that another is judged from where it parts.
 */
export function sketchJudge(compiled: Compiled): SketchJudge {
  const { jobs, machines } = compiled;
  const { cost } = compiled.problem;
  const words = Math.max(1, Math.ceil(compiled.colourNames.length / 32));
  const add = (sets: Int32Array, at: number, colour: number): void => {
    sets[at * words + (colour >> 5)]! |= 1 << (colour & 31);
  };
  const { first, sewS, spare, setOf } = firstCuts(compiled, words, add);
  const atStart = new Int32Array(machines * words);
  compiled.startColour.forEach((on, m) => on.forEach((colour) => colour >= 0 && add(atStart, m, colour)));
  const latePrice = cost.perLateMinute / 60;
  const said: SketchVerdict = { end: 0, worth: 0 };

  // By stretch, the state at the start being the first.
  const most = jobs + 1 + compiled.colourOf.reduce((sum, own) => sum + own.length, 0);
  const free = new Int32Array(most);
  const here = new Int32Array(most * words);
  const pool = new Int32Array(words);
  const kept = Array.from({ length: machines }, (_, m): Kept => {
    const own: Kept = {
      order: new Int32Array(jobs),
      length: 0,
      start: new Float64Array(jobs),
      clock: new Float64Array(jobs + 1),
      lateS: new Float64Array(jobs + 1),
      threadings: new Int32Array(jobs + 1),
      stretch: new Int32Array(jobs + 1).fill(1),
      full: new Int32Array(jobs + 1),
      pool: new Int32Array((jobs + 1) * words),
      rowAt: new Int32Array(jobs + 1),
      rows: new Int32Array(64 + words),
    };
    for (let w = 0; w < words; w++) own.pool[w] = own.rows[1 + w] = atStart[m * words + w]!;
    return own;
  });

  function run(m: number, trial: SketchedMachine, from: number, limit: number, keeping: boolean): boolean {
    const own = kept[m]!;
    const { order, length } = trial;
    const threadS = compiled.threadS[m]!;
    const loadS = compiled.loadS[m]!;
    const unloadS = compiled.unloadS[m]!;
    const opens = compiled.sewStart[m]!;
    const closes = compiled.sewEnd[m]!;
    let span = 0;
    let full = own.full[from]!;
    let time = own.stretch[from]!;
    let threadings = own.threadings[from]!;
    let lateS = own.lateS[from]!;
    let clock = own.clock[from]!;
    for (let w = 0; w < words; w++) pool[w] = own.pool[from * words + w]!;
    for (let s = full, row = own.rowAt[from]!; s < time; s++) {
      free[s] = own.rows[row++]!;
      for (let w = 0; w < words; w++) here[s * words + w] = own.rows[row++]!;
    }
    for (let at = from; at < length; at++) {
      if (keeping) write(own, at, clock, lateS, threadings, time, full);
      const job = order[at]!;
      const sewn0 = first[m * jobs + job]!;
      const sewn1 = first[m * jobs + job + 1]!;
      for (let sewn = sewn0; sewn < sewn1; sewn++, time++) {
        let threads = 0;
        for (let w = 0; w < words; w++) {
          const fresh = setOf[sewn * words + w]! & ~here[(time - 1) * words + w]!;
          if (fresh === 0) continue;
          threads += bits(fresh);
          let staying = fresh & pool[w]!;
          while (staying !== 0) {
            const bit = staying & -staying;
            staying ^= bit;
            threads--;
            for (let s = time - 1; (here[s * words + w]! & bit) === 0; s--) {
              if (--free[s]! !== 0) continue;
              full = s;
              poolFrom(s, time);
              staying &= pool[w]!;
              break;
            }
          }
        }
        free[time] = spare[sewn]!;
        for (let w = 0; w < words; w++) {
          const set = setOf[sewn * words + w]!;
          here[time * words + w] = set;
          pool[w] = spare[sewn]! <= 0 ? set : pool[w]! | set;
        }
        if (spare[sewn]! <= 0) full = time;
        // A stop inside a design threads something, or it would be none.
        if (sewn > sewn0 && threads === 0) threads = 1;
        threadings += threads;
        clock += threads * threadS;
        if (sewn === sewn0) {
          const hooped = compiled.release[job]! + compiled.hoopS[job]!;
          if (clock < hooped) clock = hooped;
          if (keeping) own.start[at] = clock;
          clock += loadS;
        }
        // In the first span, open and up, that holds it whole; where none does there is no day left for it.
        const seconds = sewS[sewn]!;
        while (span < opens.length && closes[span]! < clock) span++;
        let on = span;
        let start = clock;
        for (; on < opens.length; on++) {
          start = clock > opens[on]! ? clock : opens[on]!;
          if (start + seconds <= closes[on]!) break;
        }
        clock = on < opens.length ? start + seconds : clock + seconds + NO_DAY_S;
      }
      clock += unloadS;
      const late =
        clock * PACE + compiled.unhoopS[job]! + compiled.finishS[job]! + SLACK_S - compiled.due[job]!;
      if (late > 0) lateS += compiled.weight[job]! * late;
      if (cost.perThreading * threadings + latePrice * lateS > limit) return false;
    }
    const worth = cost.perThreading * threadings + cost.perMidStop * (time - 1 - length) + latePrice * lateS;
    if (worth > limit) return false;
    if (keeping) {
      write(own, length, clock, lateS, threadings, time, full);
      own.order.set(order.subarray(0, length));
      own.length = length;
    }
    said.end = clock;
    said.worth = worth;
    return true;
  }

  /** All colours of stretches from one up to another. */
  function poolFrom(from: number, to: number): void {
    for (let w = 0; w < words; w++) pool[w] = 0;
    for (let s = from; s < to; s++) for (let w = 0; w < words; w++) pool[w]! |= here[s * words + w]!;
  }

  function write(
    own: Kept,
    at: number,
    clock: number,
    lateS: number,
    threadings: number,
    time: number,
    full: number,
  ): void {
    own.clock[at] = clock;
    own.lateS[at] = lateS;
    own.threadings[at] = threadings;
    own.stretch[at] = time;
    own.full[at] = full;
    for (let w = 0; w < words; w++) own.pool[at * words + w] = pool[w]!;
    let to = own.rowAt[at]!;
    const end = to + (time - full) * (1 + words);
    if (end > own.rows.length) {
      const longer = new Int32Array(2 * end);
      longer.set(own.rows);
      own.rows = longer;
    }
    for (let s = full; s < time; s++) {
      own.rows[to++] = free[s]!;
      for (let w = 0; w < words; w++) own.rows[to++] = here[s * words + w]!;
    }
    if (at < jobs) own.rowAt[at + 1] = end;
  }

  return {
    said,
    judge: (m, trial, from, limit) => run(m, trial, from, limit, false),
    keep: (m, order, from) => void run(m, order, from, Infinity, true),
    startsOf(m, starts) {
      const own = kept[m]!;
      for (let at = 0; at < own.length; at++) starts[own.order[at]!] = own.start[at]!;
    },
  };
}

/** The first cut of each job on each machine, flat: stretches first[m · jobs + job] … first[m · jobs + job + 1] − 1. */
function firstCuts(
  compiled: Compiled,
  words: number,
  add: (sets: Int32Array, at: number, colour: number) => void,
) {
  const { jobs, machines } = compiled;
  const tables = cutTables(compiled);
  const first = new Int32Array(jobs * machines + 1);
  const sewS: number[] = [];
  const spare: number[] = [];
  const from: number[] = [];
  for (let m = 0; m < machines; m++)
    for (let job = 0; job < jobs; job++) {
      const cut = tables.base[job * machines + m]!;
      if (compiled.cuts[job * machines + m]!.length > 0)
        for (let s = tables.first[cut]!; s < tables.first[cut + 1]!; s++) {
          sewS.push(tables.stretchS[s]!);
          spare.push(compiled.freeNeedles[m]!.length - (tables.colourFirst[s + 1]! - tables.colourFirst[s]!));
          from.push(s);
        }
      first[m * jobs + job + 1] = sewS.length;
    }
  const setOf = new Int32Array(sewS.length * words);
  from.forEach((s, at) => {
    for (let e = tables.colourFirst[s]!; e < tables.colourFirst[s + 1]!; e++)
      add(setOf, at, tables.colours[e]!);
  });
  return { first, sewS: Int32Array.from(sewS), spare: Int32Array.from(spare), setOf };
}
