import type { Used, Work } from "#core/costing";
import type { Asking } from "./missing";

/** What a piece uses and what is worked at it, as it is gathered. */
export interface Gathered {
  readonly used: Used[];
  readonly work: Work[];
  /** Seconds the machine is taken up. */
  machineS: number;
  readonly needed: Asking;
}

export const timeWords = (seconds: number): string =>
  seconds < 120 ? `${Math.round(seconds)} s` : `${(seconds / 60).toFixed(1)} min`;
