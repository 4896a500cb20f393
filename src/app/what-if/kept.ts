import type { whatIf } from "#contract";
import type { MeantQuestion, Worth } from "./candidates";

/** Raised when what was played before can no longer be read as an answer. */
export const KEPT_FORM = 2;

/** A question as its row keeps it: as it was asked, and what it meant then. */
export interface KeptQuestion {
  readonly form: number;
  readonly asked: whatIf.WhatIfQuestion;
  readonly meant: MeantQuestion;
  readonly worth: Worth;
  readonly currency: string;
  readonly names: {
    readonly hoops: readonly (readonly [string, string])[];
    readonly machines: readonly (readonly [string, string])[];
  };
}
