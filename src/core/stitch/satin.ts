import { SEWING } from "./cloth";
import { at, type Place, type Spine, spineOf } from "./spine";

export type ColumnEnd = "round" | "square" | "point";

/** A column to be covered with satin: a centre-line with a half width at every place. Measures in mm. */
export interface SatinColumn {
  readonly spine: Spine;
  readonly halfMm: (s: number) => number;
  readonly start: ColumnEnd;
  readonly end: ColumnEnd;
  /** Where the column begins and ends along the spine; beyond the spine it goes on straight. */
  readonly from: number;
  readonly to: number;
}

/** A satin column along a line, as wide as `widthMm` (a number, or a function of 0…1 along it). */
export function satinColumn(
  line: readonly Place[],
  {
    widthMm,
    start = "round",
    end = "round",
    closed = false,
  }: {
    readonly widthMm: number | ((share: number) => number);
    readonly start?: ColumnEnd;
    readonly end?: ColumnEnd;
    readonly closed?: boolean;
  },
): SatinColumn {
  const width = typeof widthMm === "number" ? () => widthMm : widthMm;
  const middle = width(0.5) / 2;
  const spine = spineOf(line, { closed, smoothMm: Math.max(0.25, 0.45 * middle) });
  const halfMm = (s: number): number => width(Math.min(1, Math.max(0, s / spine.lengthMm))) / 2;
  // A line shorter than it is wide is a dot: its round ends need room to be round.
  const room = !closed && spine.lengthMm < middle ? middle * 0.97 : 0;
  return {
    spine,
    halfMm,
    start,
    end,
    from: -room,
    to: closed ? spine.lengthMm + 0.4 : spine.lengthMm + room,
  };
}

/**
 * The penetrations of the zig-zag from `from` to `to` (either way round), one per half pitch measured at the outer
 * edge. Inner edge points that come nearer than 0.25 mm are drawn back by turns (short stitches), so that needle holes
 * do not line up; stitches over 7 mm are split at places that wander. `pullMm` is added on both sides.
 */
export function satinStitches(
  column: SatinColumn,
  { pullMm, from = column.from, to = column.to, pitchMm = SEWING.satinPitchMm }: { readonly pullMm: number; readonly from?: number; readonly to?: number; readonly pitchMm?: number }, // prettier-ignore
): Place[] {
  const places: Place[] = [];
  const way = to >= from ? 1 : -1;
  let side = 1;
  let count = 0;
  let before: Place | null = null;
  for (let s = from; (to - s) * way > -1e-9; count++) {
    const here = at(column.spine, s);
    const half = column.halfMm(s) * endFactor(column, s);
    const bend = Math.abs(here.curvature);
    const inner = side * here.curvature > 0;
    let reach = half + pullMm;
    if (inner && bend > 0) {
      // Rungs must not cross past the centre of the bend.
      reach = Math.min(reach, 0.92 / bend);
      const innerPitch = (pitchMm * (1 - bend * reach)) / (1 + bend * half);
      if (innerPitch < 0.25 && (count >> 1) % 2 === 1) reach *= 0.7;
    }
    const place: Place = [here.x + side * here.nx * reach, here.y + side * here.ny * reach];
    if (before !== null) splitLong(before, place, count, places);
    places.push(place);
    before = place;
    side = -side;
    s += (way * pitchMm) / 2 / (1 + bend * half);
  }
  return places;
}

const SPLITS = [0.5, 0.34, 0.66, 0.42, 0.58];

function splitLong(a: Place, b: Place, count: number, places: Place[]): void {
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  // A hair under the limit, as rounding to tenths may lengthen a stitch.
  const most = SEWING.splitSatinMm - 0.15;
  if (length <= most) return;
  // The outermost split wanders by 0.16 of a piece.
  const pieces = Math.ceil((1.16 * length) / most);
  for (let piece = 1; piece < pieces; piece++) {
    const t = (piece + SPLITS[count % SPLITS.length]! - 0.5) / pieces;
    places.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
  }
}

/** How much of its width the column has near its ends: an ellipse for round ends, a wedge for points. */
function endFactor(column: SatinColumn, s: number): number {
  const half = column.halfMm(s);
  const factor = (shape: ColumnEnd, gone: number): number => {
    if (shape === "square") return 1;
    if (shape === "point") return Math.min(1, 0.12 + gone / Math.max(1, half * 5));
    const q = 1 - Math.min(1, Math.max(0, gone / half));
    return 0.22 + 0.78 * Math.sqrt(1 - q * q);
  };
  if (column.spine.closed) return 1;
  return Math.min(factor(column.start, s - column.from), factor(column.end, column.to - s));
}

/** A run along the column's middle (or `offsetMm` to its left), stitches of at most `stitchMm`. */
export function runAlong(
  column: SatinColumn,
  from: number,
  to: number,
  {
    offsetMm = 0,
    stitchMm = SEWING.runStitchMm,
  }: { readonly offsetMm?: number; readonly stitchMm?: number } = {},
): Place[] {
  const steps = Math.max(1, Math.ceil(Math.abs(to - from) / stitchMm));
  const places: Place[] = [];
  for (let i = 0; i <= steps; i++) {
    const here = at(column.spine, from + ((to - from) * i) / steps);
    places.push([here.x + here.nx * offsetMm, here.y + here.ny * offsetMm]);
  }
  return places;
}

/**
 * Underlay for the way from `from` to `to` that begins and ends at `to` after a centre run has come out there: edge
 * runs for columns over 2.5 mm, and a wide zig-zag over 4 mm (TRADE.md). Nothing for narrow columns.
 */
export function wideUnderlay(column: SatinColumn, from: number, to: number): Place[] {
  const width = 2 * column.halfMm((from + to) / 2);
  const way = to > from ? 1 : -1;
  if (width <= 2.5 || Math.abs(to - from) < 3) return [];
  const inset = 0.5;
  const edge = width / 2 - inset;
  const a = from + way * 0.5;
  const b = to - way * 0.5;
  const places = runAlong(column, b, a, { offsetMm: edge });
  if (width <= 4) places.push(...runAlong(column, a, b, { offsetMm: -edge }));
  else {
    const steps = Math.max(2, Math.round(Math.abs(b - a) / 1.25));
    for (let i = 0; i <= steps; i++) {
      const here = at(column.spine, a + ((b - a) * i) / steps);
      const offset = (i % 2 === 0 ? -1 : 1) * edge;
      places.push([here.x + here.nx * offset, here.y + here.ny * offset]);
    }
  }
  return places;
}

/** The stitches of one whole column from its start: centre run out, underlay, satin back. */
export function sewColumn(column: SatinColumn, pullMm: number): Place[] {
  const lead = Math.min(0.5, (column.to - column.from) / 4);
  return [
    ...runAlong(column, column.from + lead, column.to - lead),
    ...wideUnderlay(column, column.from, column.to),
    ...satinStitches(column, { pullMm, from: column.to, to: column.from }),
  ];
}
