import type { Finding } from "#core/base";
import type { Rings } from "../rings";
import type { Place } from "../spine";

export interface MedialOptions {
  /** Narrower parts are no columns but lines (`thin`), in mm. */
  readonly smallestColumnMm: number;
  /** Wider parts are no columns but areas (`thick`), in mm. */
  readonly widestColumnMm: number;
  /** Boundary samples lie about this far apart, in mm; nearer in bends. */
  readonly sampleMm?: number;
  /** A branch is kept where the boundary walked between its two sides is this many times the straight way. */
  readonly residual?: number;
  /** A twig that stands out of its stem by less than this share of the stem's radius is dropped. */
  readonly protrusion?: number;
  /** Branches within this many degrees of straight go through a junction as one column. */
  readonly throughDeg?: number;
  /** A branch that turns by more than this over 0.7 radii is cut in two, in degrees. */
  readonly cornerDeg?: number;
  /** At a corner that turns by more than this one side runs through and the other ends on it; else both end there. */
  readonly buttDeg?: number;
  /** The centre-line is smoothed over this share of its radius. */
  readonly smoothing?: number;
}

/**
 * A column found in a shape: its middle, with the half width there, both in mm. Free ends reach past the outline with
 * their width held, so they want to be clipped by it; an end on another column lies on that column's middle.
 */
export interface MedialColumn {
  readonly places: readonly Place[];
  readonly closed: boolean;
  /** As many as there are places. */
  readonly halfMm: readonly number[];
  /** What each end lies on; both are `free` of a closed column. */
  readonly start: "free" | "joint";
  readonly end: "free" | "joint";
}

/** What is too narrow for satin: a run along it, `passes` times forth and back. */
export interface ThinLine {
  readonly places: readonly Place[];
  readonly closed: boolean;
  readonly widthMm: number;
  readonly passes: 1 | 2 | 3;
}

/** A shape taken apart: every place of it is in a column, a thick area or near a thin line. */
export interface MedialParts {
  readonly columns: readonly MedialColumn[];
  /** Areas wider than satin may be; each is an outline with its holes, to be filled. */
  readonly thick: readonly Rings[];
  readonly thin: readonly ThinLine[];
  readonly findings: readonly Finding[];
}
