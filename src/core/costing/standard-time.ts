/**
 * From a measured time to the time a piece is paid with: observed time × rating is the normal time, and an allowance
 * for personal needs, fatigue and delays comes on top. Two conventions of the allowance are in use and differ by
 * several percent; which one holds is said with every figure.
 */
import { invariant } from "#core/base";

/** `of-work`: a share of the normal time, NT × (1 + A). `of-shift`: a share of the whole shift, NT / (1 − A). */
export type AllowanceOf = "of-work" | "of-shift";

export interface Allowance {
  /** 0.09 is 9 %; below 1. */
  readonly share: number;
  readonly of: AllowanceOf;
}

export const normalTime = (observedS: number, rating: number): number => observedS * rating;

export function standardTime(normalS: number, { share, of }: Allowance): number {
  invariant(share >= 0 && share < 1, "an allowance is a share from 0 to below 1");
  return of === "of-work" ? normalS * (1 + share) : normalS / (1 - share);
}

/** One element of work and how often it comes in a piece: 0.2 for once in five pieces. */
export interface Element {
  readonly observedS: number;
  readonly times: number;
}

/** The standard time of a piece made of elements, all rated alike. */
export const standardTimeOf = (elements: readonly Element[], rating: number, allowance: Allowance): number =>
  elements.reduce(
    (sum, { observedS, times }) => sum + standardTime(normalTime(observedS * times, rating), allowance),
    0,
  );

/** The allowance in words, for screens and quotes. */
export const allowanceWords = ({ share, of }: Allowance): string =>
  `${(100 * share).toFixed(share * 100 === Math.round(share * 100) ? 0 : 1)} % ${of === "of-work" ? "on top of the work" : "of the shift"}`;
