import type { Chance } from "#core/base";
import type { Compiled } from "../compile";
import type { Candidate } from "../candidate";

/** What a move may know of the candidate it changes. */
export interface Surroundings {
  readonly compiled: Compiled;
  /** For each job, the others by likeness of colours, most alike first. */
  readonly alike: readonly Int32Array[];
  /** Seconds a job keeps each machine busy, threadings left aside; job × machine. */
  readonly workS: Int32Array;
  /** End of each item in the plan in hand; −1 when left out. */
  readonly endOf: Int32Array;
}

/** Changes the candidate in place; false when it found nothing to change. */
export interface Move {
  readonly name: string;
  /** How often it is drawn, against the others. */
  readonly share: number;
  apply(candidate: Candidate, around: Surroundings, chance: Chance): boolean;
}

/** Takes the item at `from` out and puts it in so that it stands at `to`. */
export function shift(order: Int32Array, from: number, to: number): void {
  const item = order[from]!;
  if (from < to) order.copyWithin(from, from + 1, to + 1);
  else order.copyWithin(to + 1, to, from);
  order[to] = item;
}

/** Puts a job on a machine, in that machine's first cut. */
export function assign(candidate: Candidate, job: number, machine: number): void {
  if (candidate.machine[job] === machine) return;
  candidate.machine[job] = machine;
  candidate.cut[job] = 0;
}

/** A place: mostly near `at`, now and then anywhere. */
export function placeNear(at: number, length: number, chance: Chance): number {
  const reach = chance.below(4) === 0 ? length : 2 + (length >> 3);
  const to = at - reach + chance.below(2 * reach + 1);
  return Math.max(0, Math.min(length - 1, to));
}

/** Place in the order of a job drawn evenly; −1 when there are only chores. */
export function someJob(order: Int32Array, jobs: number, chance: Chance): number {
  if (jobs === 0) return -1;
  for (let tries = 0; tries < 12; tries++) {
    const at = chance.below(order.length);
    if (order[at]! < jobs) return at;
  }
  return order.findIndex((item) => item < jobs);
}
