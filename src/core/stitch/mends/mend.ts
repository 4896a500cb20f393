import { type CheckContext, checkInput } from "../checks";
import type { CheckInput } from "../checks/check";
import { STITCH, type Stitches, stitchExtents } from "../stitches";

/** What a mend is given: the design, what is known about where it is sewn, and the measures checks share. */
export type MendInput = CheckInput;

export const mendInput = (design: Stitches, context: CheckContext): MendInput => checkInput(design, context);

/** What a mend did. Without anything to do the design comes back as it is, `changed` 0. */
export interface Mended {
  readonly design: Stitches;
  /** How many things were changed; `says` names them. */
  readonly changed: number;
  readonly says: string;
  /** The old part each new part's thread comes from, where parts were moved; else parts stay as they are. */
  readonly partsFrom?: readonly number[];
}

/**
 * A mend works on finished stitches: pure, the same result each time, and done twice it does nothing more. It never
 * moves a needle point it does not say it moves, and the penetrations keep their extents.
 */
export interface DesignMend {
  readonly code: string;
  /** What pressing it does, as a person would ask for it. */
  readonly title: string;
  /** What it does to the sewing, and what it leaves alone. */
  readonly about: string;
  /** Codes of the findings it mends. */
  readonly mends: readonly string[];
  readonly mend: (input: MendInput) => Mended;
}

export const unchanged = (design: Stitches, says: string): Mended => ({ design, changed: 0, says });

/** Records that hold the design's extents, and the first and last penetration of each sewn line: they are never dropped. */
export function heldRecords(design: Stitches, endsHeld = 1): Uint8Array {
  const { kind, x, y } = design;
  const box = stitchExtents(design);
  const held = new Uint8Array(kind.length);
  const sides = [false, false, false, false];
  for (let i = 0; i < kind.length; i++) {
    if (kind[i] !== STITCH) continue;
    const on = [x[i] === box.left, x[i] === box.right, y[i] === box.bottom, y[i] === box.top];
    // The first point on each side holds it; the others may go.
    on.forEach((is, side) => {
      if (is && !sides[side]) {
        sides[side] = true;
        held[i] = 1;
      }
    });
  }
  forRuns(kind, (from, to) => {
    for (let n = 0; n < endsHeld; n++) {
      held[Math.min(from + n, to - 1)] = 1;
      held[Math.max(to - 1 - n, from)] = 1;
    }
  });
  return held;
}

/** Calls back for each unbroken row of stitch records [from, to). */
export function forRuns(kind: Uint8Array, visit: (from: number, to: number) => void): void {
  for (let from = 0; from < kind.length; from++) {
    if (kind[from] !== STITCH) continue;
    let to = from;
    while (kind[to] === STITCH) to++;
    visit(from, to);
    from = to;
  }
}

/** The design without the records marked. */
export function withoutRecords(design: Stitches, dropped: Uint8Array): Stitches {
  const keep = <T extends Uint8Array | Int32Array>(values: T): T =>
    values.filter((_, i) => dropped[i] === 0) as T;
  return { kind: keep(design.kind), x: keep(design.x), y: keep(design.y) };
}
