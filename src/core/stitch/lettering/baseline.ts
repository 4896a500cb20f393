import type { Place } from "../spine";

/** How a place of a piece of text goes to the cloth: bent, and moved to its line. */
export type Placing = (place: Place) => Place;

export interface Bend {
  /** Radius of the baseline in mm, positive like a bridge, negative like a bowl; Infinity is straight. */
  readonly radiusMm: number;
  /** The middle of the line, and its baseline. */
  readonly middleX: number;
  readonly baselineY: number;
}

/**
 * Each letter is turned rigidly about the middle of its own width; text written together is bent place by place, so
 * that it stays whole.
 */
export function placing(
  { radiusMm, middleX, baselineY }: Bend,
  pieceMiddle: number,
  rigid: boolean,
): Placing {
  if (!Number.isFinite(radiusMm)) return ([x, y]) => [x, y + baselineY];
  const turned = (x: number, y: number, middle: number): Place => {
    const angle = -(middle - middleX) / radiusMm;
    const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
    const dx = x - middle;
    const dy = y + radiusMm;
    return [middleX + cos * dx - sin * dy, sin * dx + cos * dy - radiusMm + baselineY];
  };
  return rigid ? ([x, y]) => turned(x, y, pieceMiddle) : ([x, y]) => turned(x, y, x);
}
