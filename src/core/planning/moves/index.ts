import { beside } from "./beside";
import { block } from "./block";
import { choreShift } from "./chore-shift";
import { exchange } from "./exchange";
import type { Move } from "./move";
import { patience } from "./patience";
import { pullLate } from "./pull-late";
import { rebalance } from "./rebalance";
import { recreate } from "./recreate";
import { recut } from "./recut";
import { reinstate } from "./reinstate";
import { relocate } from "./relocate";
import { swap } from "./swap";

/** The moves of the search, the commonest first. */
export const moves: readonly Move[] = [
  relocate,
  beside,
  swap,
  block,
  exchange,
  rebalance,
  pullLate,
  choreShift,
  patience,
  reinstate,
  recut,
  recreate,
];
export type { Move, Surroundings } from "./move";
