/** How much a finding matters: read it, look at it, or do not go on. */
export type FindingLevel = "note" | "warning" | "stop";

/** A value about the work: what a check found. Checks return all of them; none is thrown. */
export interface Finding {
  readonly code: string;
  readonly level: FindingLevel;
  /** What it says, in the trade's words, with both numbers where two disagree. */
  readonly message: string;
  /** What to do about it, when there is something to do. */
  readonly advice?: string;
  /** Where it is: a place in tenths of mm, a record or stitch number, a row and a column. */
  readonly at?: FindingPlace;
  /** Where it stands in several places: at most fifty of them, the worst first, in tenths of mm. */
  readonly places?: readonly { readonly xTenths: number; readonly yTenths: number }[];
}

export interface FindingPlace {
  readonly xTenths?: number;
  readonly yTenths?: number;
  readonly stitch?: number;
  readonly part?: number;
  readonly byte?: number;
  readonly row?: number;
  readonly column?: string;
}
