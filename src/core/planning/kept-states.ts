import type { Compiled } from "./compile";
import type { Candidate } from "./candidate";
import type { Outcome } from "./decoder";
import type { HandGaps } from "./hand-gaps";

/** What a decoding has come to, where it is written down. */
export interface Decoding {
  readonly compiled: Compiled;
  readonly outcome: Outcome;
  /** Numbers of machines and frames up to `fixed`, the last of them how many runs wait; three numbers for each follow. */
  readonly state: Int32Array;
  readonly fixed: number;
  readonly gaps: HandGaps;
  readonly frameOf: Int32Array;
  readonly endOf: Int32Array;
  /** Whether equal heads of two orders are sure to come to the same state. */
  readonly exact: boolean;
}

/**
 * The states a candidate went through, every few items, so that another that begins alike goes on from the last one
 * both go through. Threadings before a stretch depend on the runs before it alone, hence equal heads of the order (with
 * machine, cut and patience) come to the same state.
 */
export interface KeptStates {
  forget(): void;
  /** Restores the last state that the candidate goes through too; the step to go on from, 0 for the beginning. */
  takeUp(candidate: Candidate): number;
  /** Before each step: writes the state down where it may be asked for. */
  record(step: number, from: number): void;
  /** The candidate decoded last is the one kept from now on. */
  keep(candidate: Candidate): void;
}

export function keptStates(decoding: Decoding): KeptStates {
  const { compiled, outcome, state, fixed, gaps, frameOf, endOf } = decoding;
  const { jobs } = compiled;
  const items = jobs + compiled.chores;
  const spacing = Math.max(2, Math.round(Math.sqrt(items) / 2));
  const emptyStates = () =>
    Array.from({ length: Math.floor(items / spacing) + 1 }, () => ({
      numbers: new Int32Array(fixed + 64 * compiled.hands),
      late: new Float64Array(2),
    }));
  let is = false;
  let length = 0;
  const order = new Int32Array(items);
  const machine = new Int32Array(jobs);
  const cut = new Int32Array(jobs);
  const patience = new Int32Array(jobs);
  const left = new Uint8Array(jobs);
  const keptEndOf = new Int32Array(items);
  const keptFrameOf = new Int32Array(jobs);
  const states = emptyStates();
  /** States of the decoding in hand; they change places with the kept ones when it is kept. */
  const fresh = emptyStates();
  let firstFresh = 1;

  function save(at: number): void {
    const slot = fresh[at]!;
    const own = fixed + 3 * state[fixed - 1]!;
    const need = own + 3 + gaps.savedSize();
    if (slot.numbers.length < need) slot.numbers = new Int32Array(2 * need);
    const { numbers, late } = slot;
    late[0] = outcome.lateS;
    late[1] = outcome.weightedLateS;
    for (let i = 0; i < own; i++) numbers[i] = state[i]!;
    numbers[own] = outcome.lateItems;
    numbers[own + 1] = outcome.finishAt;
    numbers[own + 2] = outcome.leftOut;
    gaps.save(numbers, own + 3);
  }

  function restore(at: number): void {
    const { numbers, late } = states[at]!;
    const own = fixed + 3 * numbers[fixed - 1]!;
    for (let i = 0; i < own; i++) state[i] = numbers[i]!;
    outcome.lateS = late[0]!;
    outcome.weightedLateS = late[1]!;
    outcome.lateItems = numbers[own]!;
    outcome.finishAt = numbers[own + 1]!;
    outcome.leftOut = numbers[own + 2]!;
    gaps.restore(numbers, own + 3);
  }

  /** Items at the head of the order that are as in the candidate kept. */
  function sameItems(candidate: Candidate): number {
    if (!is || candidate.order.length !== length || !decoding.exact) return 0;
    let at = 0;
    for (; at < length; at++) {
      const item = candidate.order[at]!;
      if (item !== order[at]) break;
      if (item >= jobs) continue;
      if (candidate.machine[item] !== machine[item] || candidate.cut[item] !== cut[item]) break;
      if (candidate.patience[item] !== patience[item] || candidate.left[item] !== left[item]) break;
    }
    return at;
  }

  function takeUp(candidate: Candidate): number {
    const at = Math.max(0, Math.floor(Math.min(sameItems(candidate), length - 1) / spacing));
    firstFresh = at + 1;
    if (at > 0) {
      restore(at);
      endOf.set(keptEndOf);
      frameOf.set(keptFrameOf);
      for (let step = at * spacing; step < length; step++) endOf[candidate.order[step]!] = -1;
      for (let p = 0; p < state[fixed - 1]!; p++) endOf[state[fixed + 3 * p]!] = -1;
    }
    return at * spacing;
  }

  function keep(candidate: Candidate): void {
    is = true;
    length = candidate.order.length;
    for (let at = firstFresh; at * spacing < length; at++) {
      const older = states[at]!;
      states[at] = fresh[at]!;
      fresh[at] = older;
    }
    order.set(candidate.order);
    machine.set(candidate.machine);
    cut.set(candidate.cut);
    patience.set(candidate.patience);
    left.set(candidate.left);
    keptEndOf.set(endOf);
    keptFrameOf.set(frameOf);
  }

  return {
    forget: () => void (is = false),
    takeUp,
    record(step, from) {
      if (step > from && step % spacing === 0) save(step / spacing);
    },
    keep,
  };
}
