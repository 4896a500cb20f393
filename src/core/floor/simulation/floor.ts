/** What the floor and whoever decides on it tell each other: tasks, pieces and where they are. */
import type { Stretch } from "./needle-use";
import type { Compiled } from "./shop";

/** What a person can be asked to do. */
export const HOOP = 0;
export const THREAD = 1;
export const LOAD = 2;
export const UNLOAD = 3;
export const UNHOOP = 4;
export const FINISH = 5;
export const CHORE = 6;
export const MEND = 7;
export const BOBBIN = 8;
export const OIL = 9;

/** A step that is ready for a person now. */
export interface Task {
  readonly kind: number;
  /** The piece, or the chore for `CHORE`; −1 for care by run hours. */
  readonly item: number;
  /** The machine that stands meanwhile; −1 for work away from one. */
  readonly machine: number;
  /** The machine the piece goes to: who hoops wants to know. */
  readonly goesTo: number;
  readonly expectedS: number;
  readonly nth: number;
}

/** What a policy sees and can do. */
export interface Floor {
  readonly compiled: Compiled;
  /** Tasks that are ready and that nobody does yet, in the order they became ready. */
  readonly ready: Task[];
  /** Pieces put on each machine's list and not begun there, in their order. */
  readonly lists: readonly number[][];
  readonly standing: (machine: number) => boolean;
  readonly isIn: (piece: number) => boolean;
  readonly isHooped: (piece: number) => boolean;
  readonly isFree: (frame: number) => boolean;
  readonly idleHand: () => boolean;
  /** Puts a piece, or a chore as −2 − number, at the end of a machine's list. */
  assign(machine: number, item: number): void;
  /** Gives a piece its frame; its hooping is ready from now on. */
  frame(piece: number, frame: number): void;
  /** Whether the hand has the time for it before the shift ends, and the machine is up for it. */
  canDo(hand: number, task: Task): boolean;
}

/** How the shop decides; the floor asks and does the rest. */
export interface Policy {
  /** A piece is here, anew where it was spoiled. */
  arrived(piece: number): void;
  /** Puts pieces on machines' lists and gives frames, as far as it wants to now. */
  refill(now: number): void;
  /** What an idle person does next, an index into `floor.ready`; −1 for nothing. */
  pick(hand: number, now: number): number;
  /** What an empty machine begins now: one of the pieces or chores on the lists; −1 for nothing. */
  choose(machine: number, now: number): number;
  /** The stretches of a piece that its machine begins now. */
  begun(machine: number, piece: number): readonly Stretch[];
}

export interface Told {
  /** A task or a stretch of sewing that is over, for those who compare schedules. */
  readonly what: "task" | "sewing";
  readonly kind: number;
  readonly item: number;
  readonly machine: number;
  readonly hand: number;
  readonly nth: number;
  readonly start: number;
  readonly end: number;
}

export interface PlayOptions {
  readonly seed: number;
  /** Seconds between which is counted; without, all is. What comes in before warms the shop up. */
  readonly counted?: readonly [fromS: number, untilS: number];
  /** Is told of each step that is over. */
  readonly tell?: (step: Told) => void;
  /** Is called after each event: tests look here whether anything was lost. */
  readonly watch?: (state: Watched) => void;
}

/** Who and what is where, for tests of conservation. */
export interface Watched {
  readonly now: number;
  readonly stateOf: Uint8Array;
  readonly frameOf: Int32Array;
  readonly pieceInFrame: Int32Array;
  readonly onMachine: Int32Array;
  readonly arrived: number;
  readonly done: number;
}

// Where a piece is.
export const AWAY = 0;
export const WAITING = 1;
export const LISTED = 2;
export const HOOPED = 3;
export const LOADED = 4;
export const OFF = 5;
export const FINISHING = 6;
export const DONE = 7;
