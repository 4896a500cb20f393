import { STITCH, type Stitches } from "../stitches";
import { TIE_MM } from "../checks/missing-tie-off";

const TIE_TENTHS = 7;
const SHORTEST_TENTHS = 4;

/**
 * A point 0.7 mm from record `end` towards where its line of stitches goes (`step` 1) or comes from (−1), on that
 * stitch, so that it stands inside what is sewn; null where the line is shorter than 0.4 mm.
 */
export function tiePoint(
  { kind, x, y }: Stitches,
  end: number,
  step: 1 | -1,
): readonly [number, number] | null {
  for (let i = end + step; kind[i] === STITCH; i += step) {
    const dx = x[i]! - x[end]!;
    const dy = y[i]! - y[end]!;
    const length = Math.sqrt(dx * dx + dy * dy);
    if (length < SHORTEST_TENTHS) continue;
    const share = Math.min(1, TIE_TENTHS / length);
    return [Math.round(x[end]! + dx * share), Math.round(y[end]! + dy * share)];
  }
  return null;
}

/** Whether at least two of the first four stitches after `first` are as short as a tie's. */
export function tiedIn({ kind, x, y }: Stitches, first: number): boolean {
  let short = 0;
  for (let i = first + 1; i <= first + 4 && kind[i] === STITCH; i++)
    if (Math.hypot(x[i]! - x[i - 1]!, y[i]! - y[i - 1]!) <= TIE_MM * 10) short++;
  return short >= 2;
}
