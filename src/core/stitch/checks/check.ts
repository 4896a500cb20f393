import type { Finding } from "#core/base";
import type { StitchCounts, Stitches } from "../stitches";

/** What is known about where a design is to be sewn; what is left out is not checked. */
export interface CheckContext {
  /** The inner field of the hoop or the sewing field. */
  readonly fieldMm?: { readonly width: number; readonly height: number };
  readonly needles?: number;
  /** The thread each part uses, by any name; parts of the same thread share a needle. */
  readonly partThreads?: readonly (string | null)[];
}

/** What a check looks at; counts are taken once for all checks. */
export interface CheckInput {
  readonly design: Stitches;
  readonly counts: StitchCounts;
  readonly context: CheckContext;
}

/** A check gives what it found, nothing when all is well. */
export type DesignCheck = (input: CheckInput) => Finding[];
