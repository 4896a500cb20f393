import { SEWING } from "../cloth";
import { type ColumnStroke, type CoveredPlace, sewColumns, type SewColumnsOptions } from "../columns";
import { maskOfStrokes, measureCover, missedLimits, type ShapeMask } from "../metrics";
import type { Sewer, SewerMark } from "../sewer";
import type { Place } from "../spine";
import type { Stitches } from "../stitches";

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
  { wider: 0.98 },
  { wider: 1.02 },
  { moreMm: 0.08 },
  { pitchMm: 0.385, moreMm: 0.06 },
  { pitchMm: 0.46 },
  { underlay: "light" },
  { wider: 1.1, moreMm: 0.04, pitchMm: 0.44 },
];

/** A raster as fine as the letter needs; what misses there is looked at closely. Low letters are small and tight. */
const pixelOf = (heightMm: number): number =>
  heightMm < 12 ? FINE_PIXEL_MM : Math.min(0.12, Math.max(0.08, 0.0065 * heightMm));
const FINE_PIXEL_MM = 0.05;
/** Figures this near to a limit are looked at closely too: a coarse raster errs by as much. */
const SURE_COVER = 0.9965;
const ROUGH_COVER = 0.99;

/** The limits a piece misses, and how it misses them. */
export interface Miss {
  readonly letters: string;
  readonly limits: readonly string[];
}

export interface Surroundings {
  readonly heightMm: number;
  /** Places of what is sewn next; null where the thread ends. */
  readonly next: readonly Place[] | null;
}

/** With a gap as long as this a cut is likely; the needle comes in at the near edge of what is next. */
const LIKELY_CUT_MM = SEWING.trimGapMm - 0.3;

/** What was sewn, with the tie-off that it will have where the thread is cut after it. */
function sewnSince(sewer: Sewer, begin: SewerMark, next: readonly Place[] | null): Stitches {
  const [x, y] = sewer.place;
  const isNear = next?.some(([px, py]) => Math.hypot(px - x, py - y) < LIKELY_CUT_MM) ?? false;
  if (isNear) return sewer.since(begin);
  const end = sewer.mark();
  sewer.tieOff();
  const sewn = sewer.since(begin);
  sewer.backTo(end);
  return sewn;
}

/**
 * Sews strokes and measures what came of it, where it is sewn and as it was entered and left; where a limit is missed
 * it is sewn again in other ways. Yields the limits missed by the best way; none as a rule.
 */
export function sewAssured(
  sewer: Sewer,
  strokes: readonly ColumnStroke[],
  options: SewColumnsOptions,
  { heightMm, next }: Surroundings,
): readonly string[] {
  const begin = sewer.mark();
  const pixelMm = pixelOf(heightMm);
  const masks = new Map<number, ShapeMask>();
  const mask = (pixel: number): ShapeMask => {
    let known = masks.get(pixel);
    if (known === undefined)
      masks.set(pixel, (known = maskOfStrokes(strokes, { pixelMm: pixel, marginMm: 1 })));
    return known;
  };
  let best: { way: Way; misses: string[] } | null = null;
  for (const way of WAYS) {
    const proof = sewIn(sewer, strokes, way, options);
    const sewn = sewnSince(sewer, begin, next);
    let figures = measureCover(sewn, mask(pixelMm), options);
    let misses = missedLimits(figures);
    const near = misses.length > 0 ? figures.cover > ROUGH_COVER : figures.cover < SURE_COVER;
    if (near && pixelMm > FINE_PIXEL_MM) {
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
