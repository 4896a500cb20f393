import type { Finding } from "#core/base";
import type { Place } from "../spine";

/** An area of one colour; its rings in the artwork's own units, y up. */
export interface PaintedArea {
  readonly kind: "area";
  readonly rings: readonly (readonly Place[])[];
  readonly rule: "nonzero" | "evenodd";
  /** `#rrggbb`. */
  readonly colour: string;
}

/** Lines painted with a width, in the artwork's own units, y up. */
export interface PaintedLine {
  readonly kind: "line";
  readonly lines: readonly { readonly places: readonly Place[]; readonly closed: boolean }[];
  readonly width: number;
  readonly cap: "butt" | "round" | "square";
  readonly join: "miter" | "round" | "bevel";
  readonly colour: string;
}

/** What is painted, lowest first: what comes later lies on top. */
export type Painted = PaintedArea | PaintedLine;

/** A drawing or picture as flat colours, before any stitch is thought of. */
export interface Artwork {
  readonly painted: readonly Painted[];
  /** How large it says it is; null where it gives no lengths of the real world. */
  readonly naturalMm: { readonly width: number; readonly height: number } | null;
  /** The lowest is a ground found under a picture; a drawing's lowest is taken for one only where it is white. */
  readonly hasGround?: boolean;
  /** What thread cannot follow and was left out or made plain. */
  readonly findings: readonly Finding[];
}

/** Whether a place is inside an area by its own fill rule. */
export function insideArea({ rings, rule }: PaintedArea, [x, y]: Place): boolean {
  let winding = 0;
  let crossings = 0;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i++) {
      const a = ring[i]!;
      const b = ring[(i + 1) % ring.length]!;
      if (a[1] > y === b[1] > y) continue;
      if (x >= a[0] + ((y - a[1]) / (b[1] - a[1])) * (b[0] - a[0])) continue;
      crossings++;
      winding += b[1] > a[1] ? 1 : -1;
    }
  }
  return rule === "evenodd" ? crossings % 2 === 1 : winding !== 0;
}
