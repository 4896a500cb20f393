/** One playing of a season: its state, its queue of events, its luck, and whoever decides. */
import type { Floor, PlayOptions, Policy, Task } from "./floor";
import { drawAt, factorOf, type Spread } from "./draws";
import type { Clock } from "./hours";
import type { UseLedger } from "./ledger";
import type { EventQueue } from "./queue";
import type { Compiled } from "./shop";
import type { State } from "./state";

export interface Run {
  readonly compiled: Compiled;
  readonly options: PlayOptions;
  readonly state: State;
  readonly queue: EventQueue;
  readonly uses: UseLedger;
  readonly shifts: readonly Clock[];
  readonly sewable: readonly Clock[];
  readonly downs: readonly Clock[];
  readonly floor: Floor;
  readonly policy: Policy;
  /** Makes a task ready for a person; a step that takes no time needs nobody. */
  ask(task: Task): void;
}

// Kinds of events; the number in the low bits says which.
export const ARRIVE = 0;
export const HAND_DONE = 1;
export const STOP = 2;
export const WAKE_HAND = 3;
export const WAKE = 4;
export const RELEASE = 5;
const BITS = 24;
const MASK = (1 << BITS) - 1;

export const event = (kind: number, which: number): number => (kind << BITS) | which;
export const kindOf = (what: number): number => what >> BITS;
export const whichOf = (what: number): number => what & MASK;

// Steps that draw chance, beside the tasks' own numbers.
const SECOND_DRAW = 16;
export const SEW = 33;
export const BREAK = 35;
export const SPOIL = 36;

/** What chance makes of an expected time. */
export function factor(seed: number, spread: Spread, item: number, step: number, nth: number): number {
  if (spread.kind === "none") return 1;
  return factorOf(spread, drawAt(seed, item, step, nth), () => drawAt(seed, item, step + SECOND_DRAW, nth));
}
