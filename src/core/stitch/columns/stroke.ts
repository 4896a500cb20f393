import type { Place } from "../spine";
import type { CoveredPlace } from "./plan";

/** How a stroke's free end is sewn; an end that lies on another stroke is joined instead. */
export type StrokeEnd = "round" | "square" | "point";

/** A stroke to be covered with satin: its centre-line in mm and half its width. */
export interface ColumnStroke {
  readonly places: readonly Place[];
  /** The line ends where it began and has no corner there. */
  readonly closed: boolean;
  /** Half the width in mm: one number, or one for each of `places`. */
  readonly halfMm: number | readonly number[];
  /** `round` when left out. */
  readonly startEnd?: StrokeEnd;
  readonly endEnd?: StrokeEnd;
}

export interface SewColumnsOptions {
  /** Added to both sides of each stitch, in mm: stitches pull the cloth in. */
  readonly pullMm: number;
  /** What is sewn next lies here (or has these places); the needle leaves as near to it as it can under cover. */
  readonly leaveAt: Place | readonly Place[];
  /** Whether a place is inside the wanted shape grown by `pullMm`; stitches are cut to it. */
  readonly clip?: (x: number, y: number) => boolean;
  /** Satin stitches longer than this are split; 7 mm when left out, 5 mm is usual on pile. */
  readonly splitMm?: number;
  /** Between two needle points of one side; by the column's width when left out. */
  readonly pitchMm?: number | undefined;
  /** `light` leaves out edge runs, for letters under 8 mm. */
  readonly underlay?: "full" | "light";
  /** Told of each penetration of a run or underlay with the column that covers it, and of each column done. */
  readonly onRun?: ((place: CoveredPlace) => void) | undefined;
  readonly onSatin?: ((column: number) => void) | undefined;
}
