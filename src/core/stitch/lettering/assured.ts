import { type ColumnStroke, type CoveredPlace, sewColumns, type SewColumnsOptions } from "../columns";
import { maskOfStrokes, measureCover, missedLimits, type ShapeMask } from "../metrics";
import type { Sewer } from "../sewer";

/** Other ways to sew the same strokes, tried in turn where the first does not hold the limits. */
interface Way {
  /** Stroke widths are multiplied by this. */
  readonly wider?: number;
  readonly pitchMm?: number;
  /** Added to the compensation. */
  readonly moreMm?: number;
  readonly underlay?: "light";
  /** Another place to leave makes another tree of columns. */
  readonly leave?: "where it came";
}

const WAYS: readonly Way[] = [
  {},
  { pitchMm: 0.415 },
  { pitchMm: 0.385 },
  { wider: 1.05 },
  { wider: 0.95, moreMm: 0.03 },
  { moreMm: 0.04 },
  { pitchMm: 0.43, underlay: "light" },
  { wider: 1.08, pitchMm: 0.42 },
  { leave: "where it came" },
  { pitchMm: 0.415, leave: "where it came" },
  { pitchMm: 0.45, underlay: "light" },
  { wider: 0.93, pitchMm: 0.45, moreMm: 0.03 },
  { moreMm: 0.08 },
  { pitchMm: 0.385, moreMm: 0.06 },
  { pitchMm: 0.46 },
  { wider: 1.1, moreMm: 0.04, pitchMm: 0.44 },
];

/** A raster as fine as the letter needs; what misses there is looked at closely. */
const pixelOf = (heightMm: number): number => Math.min(0.12, Math.max(0.08, 0.0065 * heightMm));
const FINE_PIXEL_MM = 0.05;
/** Figures this near to a limit are looked at closely too: a coarse raster errs by as much. */
const SURE_COVER = 0.9965;
const ROUGH_COVER = 0.99;

/** The limits a piece misses, and how it misses them. */
export interface Miss {
  readonly letters: string;
  readonly limits: readonly string[];
}

/**
 * Sews strokes and measures what came of it, where it is sewn and as it was entered and left; where a limit is missed
 * it is sewn again in other ways. Yields the limits missed by the best way; none as a rule.
 */
export function sewAssured(
  sewer: Sewer,
  strokes: readonly ColumnStroke[],
  options: SewColumnsOptions,
  heightMm: number,
): readonly string[] {
  const begin = sewer.mark();
  const masks = new Map<number, ShapeMask>();
  const mask = (pixelMm: number): ShapeMask => {
    let known = masks.get(pixelMm);
    if (known === undefined) masks.set(pixelMm, (known = maskOfStrokes(strokes, { pixelMm, marginMm: 1 })));
    return known;
  };
  let best: { way: Way; misses: string[] } | null = null;
  for (const way of WAYS) {
    const proof = sewIn(sewer, strokes, way, options);
    const sewn = sewer.since(begin);
    let figures = measureCover(sewn, mask(pixelOf(heightMm)), options);
    let misses = missedLimits(figures);
    if (misses.length > 0 ? figures.cover > ROUGH_COVER : figures.cover < SURE_COVER) {
      figures = measureCover(sewn, mask(FINE_PIXEL_MM), options);
      misses = missedLimits(figures);
    }
    if (misses.length === 0) {
      proof();
      return [];
    }
    if (best === null || misses.length < best.misses.length) best = { way, misses };
    sewer.backTo(begin);
  }
  sewIn(sewer, strokes, best!.way, options)();
  return best!.misses;
}

/** Sews in one way; the proofs of covered runs are told only when this is the way that stays. */
function sewIn(
  sewer: Sewer,
  strokes: readonly ColumnStroke[],
  { wider = 1, pitchMm, moreMm = 0, underlay, leave }: Way,
  options: SewColumnsOptions,
): () => void {
  const told: (() => void)[] = [];
  const widened = strokes.map((stroke): ColumnStroke => {
    const { halfMm } = stroke;
    return {
      ...stroke,
      halfMm: typeof halfMm === "number" ? halfMm * wider : halfMm.map((half) => half * wider),
    };
  });
  sewColumns(sewer, widened, {
    ...options,
    pullMm: options.pullMm + moreMm,
    leaveAt: leave === undefined ? options.leaveAt : sewer.place,
    pitchMm: pitchMm ?? options.pitchMm,
    underlay: underlay ?? options.underlay ?? "full",
    onRun: (place: CoveredPlace) => told.push(() => options.onRun?.(place)),
    onSatin: (column: number) => told.push(() => options.onSatin?.(column)),
  });
  return () => told.forEach((tell) => tell());
}
