import type { Job, PlanningMachine } from "./problem";

/**
 * A design may ask for more colours than a machine has free needles, or sew longer than the shop is open. Then it
 * is cut into stretches with a stop for threading between them. Any part of a feasible stretch is feasible, so
 * going as far as possible each time gives the fewest stops; between that cut and the one made from the far end lie
 * all others with as few. The search chooses among a handful of them, since where the stops fall changes what has
 * to be re-threaded.
 */
export interface Cut {
  readonly from: Int32Array;
  readonly to: Int32Array;
  /** Sewing seconds of each stretch, whole; the trims in the last. */
  readonly seconds: Int32Array;
  /** Their sum. */
  readonly sewS: number;
  /** Colours of each stretch that must sit on free needles: those of stretch s at colours[first[s]..first[s+1]-1]. */
  readonly first: Int32Array;
  readonly colours: Int32Array;
}

/** Whole seconds of sewing of the parts from…to; docs/formats/problem.md. */
export function stretchSeconds(job: Job, machine: PlanningMachine, from: number, to: number): number {
  let stitches = 0;
  let changes = 0;
  for (let part = from; part <= to; part++) {
    stitches += job.parts[part]!.stitches;
    if (part > from && job.parts[part]!.colour !== job.parts[part - 1]!.colour) changes++;
  }
  const trims = to === job.parts.length - 1 ? job.trims : 0;
  const seconds =
    (60 * stitches) / machine.stitchesPerMinute + machine.colourChangeS * changes + machine.trimS * trims;
  return Math.ceil(seconds - 1e-9);
}

export interface CutQuestion {
  readonly job: Job;
  readonly machine: PlanningMachine;
  /** Number of each part's colour. */
  readonly colourOf: Int32Array;
  /** 1 for a colour that a fixed needle holds. */
  readonly held: Uint8Array;
  readonly freeNeedles: number;
  readonly longestSewingS: number;
  /** How many stops more than the fewest are worth trying. */
  readonly extraStops: number;
  readonly most: number;
}

/** The cuts worth trying, the furthest-reaching first; empty when no cut fits. */
export function cutsOf(question: CutQuestion): Cut[] {
  const count = question.job.parts.length;
  const fits = fitTable(question);
  const farthest: number[] = []; // last part of each stretch, going as far as possible
  for (let from = 0; from < count;) {
    let to = count - 1;
    while (to >= from && !fits(from, to)) to--;
    if (to < from) return [];
    farthest.push(to);
    from = to + 1;
  }
  const cuts: Cut[] = [];
  const fewest = farthest.length;
  for (let stretches = fewest; stretches <= Math.min(count, fewest + question.extraStops); stretches++) {
    enumerate(question, fits, stretches, cuts);
  }
  return cuts;
}

function fitTable(question: CutQuestion): (from: number, to: number) => boolean {
  const { job, machine, colourOf, held, freeNeedles, longestSewingS } = question;
  const known = new Map<number, boolean>();
  return (from, to) => {
    const key = from * job.parts.length + to;
    const before = known.get(key);
    if (before !== undefined) return before;
    const distinct = new Set<number>();
    for (let part = from; part <= to; part++) if (!held[colourOf[part]!]) distinct.add(colourOf[part]!);
    const answer = distinct.size <= freeNeedles && stretchSeconds(job, machine, from, to) <= longestSewingS;
    known.set(key, answer);
    return answer;
  };
}

function enumerate(
  question: CutQuestion,
  fits: (from: number, to: number) => boolean,
  stretches: number,
  cuts: Cut[],
): void {
  const count = question.job.parts.length;
  const ends: number[] = [];
  let steps = 0;
  const dead = new Set<number>(); // (from, stretches left) from which nothing comes
  const extend = (from: number, left: number): boolean => {
    if (cuts.length >= question.most || ++steps > 4000) return true;
    if (left === 1) {
      if (!fits(from, count - 1)) return false;
      cuts.push(cutAt(question, [...ends, count - 1]));
      return true;
    }
    const key = from * 64 + left;
    if (dead.has(key)) return false;
    let found = false;
    for (let to = count - left; to >= from; to--) {
      if (!fits(from, to)) continue;
      ends.push(to);
      if (extend(to + 1, left - 1)) found = true;
      ends.pop();
    }
    if (!found) dead.add(key);
    return found;
  };
  extend(0, stretches);
}

function cutAt(question: CutQuestion, ends: readonly number[]): Cut {
  const { job, machine, colourOf, held } = question;
  const from = Int32Array.from(ends, (_, s) => (s === 0 ? 0 : ends[s - 1]! + 1));
  const colours: number[] = [];
  const first = new Int32Array(ends.length + 1);
  ends.forEach((to, s) => {
    const own = new Set<number>();
    for (let part = from[s]!; part <= to; part++) if (!held[colourOf[part]!]) own.add(colourOf[part]!);
    colours.push(...own);
    first[s + 1] = colours.length;
  });
  const seconds = Int32Array.from(ends, (to, s) => stretchSeconds(job, machine, from[s]!, to));
  return {
    from,
    to: Int32Array.from(ends),
    seconds,
    sewS: seconds.reduce((sum, one) => sum + one, 0),
    first,
    colours: Int32Array.from(colours),
  };
}
