import { type Bend, placing } from "../lettering/baseline";
import type { Place } from "../spine";

/** How places of a piece of text go to the cloth, and back from there. */
export interface Bent {
  readonly move: (place: Place) => Place;
  readonly back: (place: Place) => Place;
}

/**
 * `placing` with its way back. A rigid piece is turned about its own middle, one that is written together with its
 * neighbours is bent place by place. `leftMm` is where the line begins on the cloth, before it is bent.
 */
export function bentBy(bend: Bend, pieceMiddle: number, rigid: boolean, leftMm: number): Bent {
  const place = placing(bend, pieceMiddle, rigid);
  const move = ([x, y]: Place): Place => place([x + leftMm, y]);
  const { radiusMm, middleX, baselineY } = bend;
  if (!Number.isFinite(radiusMm)) return { move, back: ([x, y]) => [x - leftMm, y - baselineY] };
  if (rigid) {
    const angle = -(pieceMiddle - middleX) / radiusMm;
    const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
    return {
      move,
      back: ([px, py]) => {
        const u = px - middleX;
        const v = py - baselineY + radiusMm;
        return [cos * u + sin * v + pieceMiddle - leftMm, cos * v - sin * u - radiusMm];
      },
    };
  }
  const sign = Math.sign(radiusMm);
  return {
    move,
    back: ([px, py]) => {
      const u = px - middleX;
      const v = py - baselineY + radiusMm;
      return [
        middleX + Math.atan2(u * sign, v * sign) * radiusMm - leftMm,
        sign * Math.hypot(u, v) - radiusMm,
      ];
    },
  };
}
