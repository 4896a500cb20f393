/** What a season came to, added up while it is played. */
import type { Clock } from "./hours";

/** What a machine's open time goes on; the words of the day's history, and waiting for a piece to be hooped. */
export const machineUses = [
  "sewing",
  "threading",
  "loading",
  "mending",
  "care",
  "waiting-hands",
  "waiting-hooping",
  "waiting-work",
] as const;
export type MachineUse = (typeof machineUses)[number];

export const handUses = [
  "hooping",
  "threading",
  "loading",
  "mending",
  "finishing",
  "care",
  "chores",
] as const;
export type HandUse = (typeof handUses)[number];

export interface MachineSeason {
  readonly id: string;
  /** Seconds; waiting counts within the hours in which the machine could have sewn. */
  readonly seconds: Readonly<Record<MachineUse, number>>;
  readonly runs: number;
  readonly stitches: number;
}

export interface HandSeason {
  readonly id: string;
  readonly seconds: Readonly<Record<HandUse, number>>;
  /** Seconds of tasks beyond the end of a shift. */
  readonly overtimeS: number;
  readonly shiftS: number;
}

/** Of the pieces that came in from the counting on (all without a warming up), and of the time since. */
export interface Season {
  readonly pieces: number;
  readonly done: number;
  /** Pieces that cannot be made here at all: no machine takes them. */
  readonly impossible: number;
  /** Of the pieces with a date that are done or whose date has passed: those that kept it. */
  readonly onTimeShare: number;
  readonly lateS: number;
  /** Mean seconds from coming in to done. */
  readonly meanThroughS: number;
  readonly threadings: number;
  readonly midStops: number;
  readonly breaks: number;
  readonly bobbins: number;
  readonly spoiled: number;
  readonly machines: readonly MachineSeason[];
  readonly hands: readonly HandSeason[];
  /** When the last task ended. */
  readonly endS: number;
  /** End of each piece, in the shop's order; −1 where it was not done. */
  readonly endOf: Float64Array;
  /** The same of each chore; sewn goods are chores of hands. */
  readonly choreEndOf: Float64Array;
  readonly events: number;
}

export interface UseLedger {
  switchTo(machine: number, use: number, now: number): void;
  /** Closes all accounts at a time. */
  close(now: number): void;
  readonly seconds: readonly Float64Array[];
}

export const SEWING = machineUses.indexOf("sewing");
export const THREADING = machineUses.indexOf("threading");
export const LOADING = machineUses.indexOf("loading");
export const MENDING = machineUses.indexOf("mending");
export const CARE = machineUses.indexOf("care");
export const WAIT_HANDS = machineUses.indexOf("waiting-hands");
export const WAIT_HOOPING = machineUses.indexOf("waiting-hooping");
export const WAIT_WORK = machineUses.indexOf("waiting-work");

/** Each machine is in one use at a time; the time since the last switch goes to the use that ends. */
export function createUseLedger(clocks: readonly Clock[]): UseLedger {
  const use = new Int8Array(clocks.length).fill(WAIT_WORK);
  const since = new Float64Array(clocks.length);
  const seconds = clocks.map(() => new Float64Array(machineUses.length));
  const settle = (machine: number, now: number): void => {
    const was = use[machine]!;
    const from = since[machine]!;
    if (now > from)
      seconds[machine]![was]! += was >= WAIT_HANDS ? clocks[machine]!.within(from, now) : now - from;
    since[machine] = now;
  };
  return {
    seconds,
    switchTo(machine, next, now) {
      if (use[machine] === next) return;
      settle(machine, now);
      use[machine] = next;
    },
    close: (now) => clocks.forEach((_, machine) => settle(machine, now)),
  };
}
