import type { Compiled } from "./compile";

/** What the search changes: from it a day is decoded. */
export interface Candidate {
  /** Items: jobs, then chores (jobs + chore number). */
  readonly order: Int32Array;
  /** Machine of each job. */
  readonly machine: Int32Array;
  /** Which cut of each job on that machine. */
  readonly cut: Int32Array;
  /** Items put in between a run and its unhooping. */
  readonly patience: Int32Array;
  /** 1 for a job left out of the plan because it found no place before. */
  readonly left: Uint8Array;
}

/** A candidate with every doable item in the given order, each job on the first machine that can sew it. */
export function newCandidate(compiled: Compiled, order: ArrayLike<number>): Candidate {
  return {
    order: Int32Array.from(order),
    machine: Int32Array.from(compiled.choices, (choices) => choices[0] ?? -1),
    cut: new Int32Array(compiled.jobs),
    patience: new Int32Array(compiled.jobs).fill(compiled.machines),
    left: new Uint8Array(compiled.jobs),
  };
}

export function copyCandidate(from: Candidate): Candidate {
  return {
    order: from.order.slice(),
    machine: from.machine.slice(),
    cut: from.cut.slice(),
    patience: from.patience.slice(),
    left: from.left.slice(),
  };
}

export function writeCandidate(to: Candidate, from: Candidate): void {
  to.order.set(from.order);
  to.machine.set(from.machine);
  to.cut.set(from.cut);
  to.patience.set(from.patience);
  to.left.set(from.left);
}

/** Brings the items pulled first to the front, the highest level before the others, keeping the order among equals. */
export function pullFirst(order: Int32Array, first: Uint8Array): void {
  let ahead = 0;
  for (let level = 2; level > 0; level--) {
    while (ahead < order.length && first[order[ahead]!] === level) ahead++;
    for (let at = ahead; at < order.length; at++) {
      const item = order[at]!;
      if (first[item] !== level) continue;
      order.copyWithin(ahead + 1, ahead, at);
      order[ahead++] = item;
    }
  }
}
