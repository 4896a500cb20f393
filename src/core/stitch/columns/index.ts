/**
 * Satin columns: any set of strokes that touch, sewn as one. Letters, outline fonts and thin artwork all come here.
 */
import { sewStrokes } from "../lettering/sew-glyph";
import type { Sewer } from "../sewer";
import type { ColumnStroke, SewColumnsOptions } from "./stroke";

export type { ColumnStroke, SewColumnsOptions, StrokeEnd } from "./stroke";

/**
 * Sews all strokes with satin, those that touch as one piece without a cut, loose ones nearest first. The needle comes
 * in at the stroke end nearest to where it is and leaves at the one nearest to `leaveAt`.
 */
export function sewColumns(
  sewer: Sewer,
  strokes: readonly ColumnStroke[],
  { pullMm, leaveAt }: SewColumnsOptions,
): void {
  const mean = (half: number | readonly number[]): number =>
    typeof half === "number" ? half : half.reduce((sum, value) => sum + value, 0) / Math.max(1, half.length);
  sewStrokes(
    sewer,
    strokes.map(({ places, closed, halfMm }) => ({ places, closed, widthMm: 2 * mean(halfMm) })),
    { pullMm, leaveAt },
  );
}
