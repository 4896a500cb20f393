import { type Candidate, copyCandidate, writeCandidate } from "../candidate";
import type { Compiled } from "../compile";
import { createCounter, TOO_MANY } from "./count";
import { lineOf } from "./line";

/** A candidate after polishing, and how many decodings that took. */
export interface Polished {
  readonly candidate: Candidate;
  readonly score: number;
  readonly evaluations: number;
}

/** Jobs move no further than this in their machine's order: due times and releases are not thought of. */
const SPAN = 10;

/**
 * Each machine's order looked through for changes that thread less: the split of jobs over machines stays, jobs and
 * short blocks go a few places on or back, change places, or stand the other way round. Counting sorts out in
 * microseconds what cannot help; what is left is decoded, and stays if the score is better. At most `most` decodings.
 */
export function polish(
  compiled: Compiled,
  from: { candidate: Candidate; score: number },
  most: number,
  evaluate: (candidate: Candidate, limit: number) => number,
): Polished {
  const { jobs, machines } = compiled;
  const best = copyCandidate(from.candidate);
  const trial = copyCandidate(best);
  let { score } = from;
  let evaluations = 0;
  for (let m = 0; m < machines && evaluations < most; m++) {
    const slots: number[] = [];
    best.order.forEach((item, at) => {
      if (item < jobs && best.machine[item] === m && best.left[item] === 0) slots.push(at);
    });
    if (slots.length < 3) continue;
    const own = slots.map((at) => best.order[at]!);
    const counter = createCounter(
      lineOf(
        own.map((job) => coloursAtTheEnd(compiled, job, m, best.cut[job]!)),
        compiled.freeNeedles[m]!.length,
        [...compiled.startColour[m]!].filter((colour) => colour >= 0),
      ),
    );
    const order = Int32Array.from(own.keys());
    const changed = order.slice();
    let count = counter.keep(order, 0);
    for (let at = 0; at < order.length - 1 && evaluations < most; at++) {
      const last = Math.min(order.length - 1, at + SPAN);
      for (let to = at + 1; to <= last && evaluations < most; to++) {
        for (let how = 0; how < 4; how++) {
          changed.set(order);
          change(changed, at, to, how);
          const found = counter.test(changed, at, to, count - 1);
          if (found === TOO_MANY) continue;
          writeCandidate(trial, best);
          slots.forEach((slot, place) => (trial.order[slot] = own[changed[place]!]!));
          evaluations++;
          const worth = evaluate(trial, score);
          if (worth >= score) continue;
          score = worth;
          writeCandidate(best, trial);
          order.set(changed);
          count = counter.keep(order, 0);
          break;
        }
      }
    }
  }
  return { candidate: best, score, evaluations };
}

/** What must be on for a job; of one that is stopped for thread, what its last stretch asks for. */
function coloursAtTheEnd(compiled: Compiled, job: number, m: number, which: number): number[] {
  const cut = compiled.cuts[job * compiled.machines + m]![which]!;
  return [...cut.colours.subarray(cut.first[cut.to.length - 1], cut.first[cut.to.length])];
}

function change(order: Int32Array, at: number, to: number, how: number): void {
  const head = order[at]!;
  const tail = order[to]!;
  if (how === 0) {
    order.copyWithin(at, at + 1, to + 1);
    order[to] = head;
  } else if (how === 1) {
    order.copyWithin(at + 1, at, to);
    order[at] = tail;
  } else if (how === 2) {
    order[at] = tail;
    order[to] = head;
  } else order.subarray(at, to + 1).reverse();
}
