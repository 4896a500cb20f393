import type { whatIf } from "#contract";
import type { MeantQuestion, Worth } from "./candidates";

/** A question as its row keeps it: as it was asked, and what it meant then. */
export interface KeptQuestion {
  readonly asked: whatIf.WhatIfQuestion;
  readonly meant: MeantQuestion;
  readonly worth: Worth;
  readonly currency: string;
  readonly names: {
    readonly hoops: readonly (readonly [string, string])[];
    readonly machines: readonly (readonly [string, string])[];
  };
}
