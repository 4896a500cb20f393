import type { Place } from "../spine";
import type { OutlineStep } from "./outline-font";

/** A quadratic curve is a cubic one whose handles lie two thirds of the way to its own. */
function asCubic(
  x0: number,
  y0: number,
  qx: number,
  qy: number,
  x: number,
  y: number,
): readonly [number, number, number, number, number, number] {
  const third = (end: number, handle: number): number => end + (2 / 3) * (handle - end);
  return [third(x0, qx), third(y0, qy), third(x, qx), third(y, qy), x, y];
}

/** A glyph's outline as rings in mm: curves in pieces that stay within `withinMm` of them. */
export function ringsOfOutline(steps: readonly OutlineStep[], scale: number, withinMm = 0.01): Place[][] {
  const rings: Place[][] = [];
  let ring: Place[] = [];
  let [px, py] = [0, 0];
  const finish = (): void => {
    if (ring.length > 2) rings.push(ring);
    ring = [];
  };
  const add = (x: number, y: number): void => {
    ring.push([x * scale, y * scale]);
    [px, py] = [x, y];
  };
  for (const step of steps) {
    if (step.kind === "close") {
      finish();
      continue;
    }
    if (step.kind === "move") {
      finish();
      add(...step.at);
    } else if (step.kind === "line") add(...step.at);
    else {
      const [x0, y0] = [px, py];
      // A quadratic curve is a cubic one whose handles lie two thirds of the way to its own.
      const [x1, y1, x2, y2, x3, y3] = step.kind === "cubic" ? step.at : asCubic(x0, y0, ...step.at);
      // Pieces by the curve's second differences: the chord's error is at most their size / (8 n²).
      const bend = Math.max(
        Math.hypot(x0 - 2 * x1 + x2, y0 - 2 * y1 + y2),
        Math.hypot(x1 - 2 * x2 + x3, y1 - 2 * y2 + y3),
      );
      const count = Math.min(64, Math.max(2, Math.ceil(Math.sqrt((6 * bend * scale) / (8 * withinMm)))));
      for (let i = 1; i <= count; i++) {
        const t = i / count;
        const u = 1 - t;
        add(
          u ** 3 * x0 + 3 * u * u * t * x1 + 3 * u * t * t * x2 + t ** 3 * x3,
          u ** 3 * y0 + 3 * u * u * t * y1 + 3 * u * t * t * y2 + t ** 3 * y3,
        );
      }
      [px, py] = [x3, y3];
    }
  }
  finish();
  return rings;
}
