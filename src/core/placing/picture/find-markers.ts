/**
 * Markers in a photo: dark spots by an adaptive threshold on a shrunk picture, their outlines, outlines with four
 * corners, the cells read in the full photo, the corners made exact there. A square that is not a marker fails at the
 * rings, the margin or the code.
 */
import type { Lens } from "../lens";
import type { PointPx } from "../points";
import { followOutlines } from "./contours";
import { type Corners, type FrameMap, mapOfSquare, squareUnder, turnedMap } from "./frame-map";
import { CORNER_CELLS, MARKER_CELLS, turnedWordOf } from "./marker-code";
import { type GreyPicture, shrunk } from "./pixels";
import { quadOf } from "./quads";
import { readMarker } from "./reading";
import { bentPlace, refineMarker, straightPlace } from "./refine";
import { darkMask } from "./threshold";

export interface FoundMarker {
  readonly id: number;
  /** Corners of the dark ring's middle: top left, top right, bottom right, bottom left of the marker as printed; px. */
  readonly cornersPx: Corners;
  /** Standard error of a corner in x or y, px, from how well the edges agree. */
  readonly cornerErrorPx: number;
  /** Cells of the code that were read wrong and mended. */
  readonly correctedBits: number;
  /** σ of the blur at the edges, px: small is sharp. */
  readonly sharpnessPx: number;
  /** (light − dark) / (light + dark) in linear light, 0 to 1. */
  readonly contrast: number;
}

export interface MarkerAsk {
  /** The phone's lens where it is known: edges are then followed along their true curve. */
  readonly lens?: Lens;
  /** The shortest marker side looked for; default 20, or a hundredth of the photo's longer side if that is more. */
  readonly smallestSidePx?: number;
}

/** The shrunk picture still shows a marker's side with so many px. */
const LEAST_SHRUNK_SIDE_PX = 19;
/** The threshold's neighbourhood on the shrunk picture, px each way. */
const REACH_PX = 14;
/** And for the smallest markers, where some are looked for. */
const NEAR_REACH_PX = 4;
const SMALL_SIDE_PX = 24;

/** All markers in the photo, by id. Each place in the photo gives one; the same id twice is given twice. */
export function findMarkers(grey: GreyPicture, ask: MarkerAsk = {}): FoundMarker[] {
  const longer = Math.max(grey.widthPx, grey.heightPx);
  const smallest = ask.smallestSidePx ?? Math.max(20, longer / 100);
  const times = Math.max(1, Math.floor(smallest / LEAST_SHRUNK_SIDE_PX));
  const small = shrunk(grey, times);
  const leastSide = Math.max(10, (smallest / times) * 0.6);
  const found: FoundMarker[] = [];
  const range = {
    shortest: Math.floor(3 * leastSide),
    longest: 8 * Math.max(small.widthPx, small.heightPx),
  };
  // The smallest markers' margin drowns between their ring and a dark rim: once more against what lies within a cell or
  // two only. In large photos, which take long, none are that small.
  for (const reach of smallest < SMALL_SIDE_PX ? [REACH_PX, NEAR_REACH_PX] : [REACH_PX])
    followOutlines(darkMask(small, reach), range, (outline) => {
      const quad = quadOf(outline, leastSide);
      if (!quad || (reach !== REACH_PX && found.some((one) => isInside(quad, one)))) return;
      const marker = markerAt(grey, quad.map((one) => unshrunk(one, times)) as unknown as Corners, ask);
      if (marker) found.push(marker);
    });
  return withoutOverlaps(found).sort((one, other) => one.id - other.id);
}

/** The middle of a square of `times` pixels lies at its corner pixel's centre + (times − 1) / 2. */
const unshrunk = ({ xPx, yPx }: PointPx, times: number): PointPx => ({
  xPx: xPx * times + (times - 1) / 2,
  yPx: yPx * times + (times - 1) / 2,
});

/** The marker whose dark ring's outer corners are about there; null if there is none. */
export function markerAt(grey: GreyPicture, outer: Corners, ask: MarkerAsk): FoundMarker | null {
  const lens = ask.lens ?? null;
  const rough = mapOfSquare(outer, MARKER_CELLS / 2);
  const reading = rough && readMarker(grey, rough);
  if (!reading) return null;
  const straight = outer.map((corner) => straightPlace(lens, corner));
  if (straight.some((one) => one === null)) return null;
  const start = mapOfSquare(straight as unknown as Corners, MARKER_CELLS / 2);
  const refined = start && refineMarker(grey, start, lens, turnedWordOf(reading));
  if (!refined) return null;
  const bent = (map: FrameMap, half: number): Corners =>
    squareUnder(map, half).map((one) => bentPlace(lens, one)) as unknown as Corners;
  // Read once more where the cells really lie; this reading counts.
  const exact = mapOfSquare(bent(refined.map, MARKER_CELLS / 2), MARKER_CELLS / 2);
  const again = exact && readMarker(grey, exact);
  if (!again || again.id !== reading.id) return null;
  return {
    id: again.id,
    cornersPx: bent(turnedMap(refined.map, again.turns), CORNER_CELLS / 2),
    cornerErrorPx: refined.cornerErrorPx,
    correctedBits: again.wrong,
    sharpnessPx: refined.blurPx,
    contrast: again.contrast,
  };
}

const middleOf = (cornersPx: Corners): PointPx => ({
  xPx: cornersPx.reduce((sum, one) => sum + one.xPx, 0) / 4,
  yPx: cornersPx.reduce((sum, one) => sum + one.yPx, 0) / 4,
});
const sidePx = ({ cornersPx: [a, b] }: FoundMarker): number => Math.hypot(b.xPx - a.xPx, b.yPx - a.yPx);

/** Whether a found marker's middle lies about the middle of four corners. */
function isInside(quad: Corners, one: FoundMarker): boolean {
  const [at, there] = [middleOf(quad), middleOf(one.cornersPx)];
  return Math.hypot(at.xPx - there.xPx, at.yPx - there.yPx) < 0.3 * sidePx(one);
}

/** Of markers that lie over one another the one with the fewest mended cells, then the plainest. */
function withoutOverlaps(found: readonly FoundMarker[]): FoundMarker[] {
  const kept: FoundMarker[] = [];
  const order = [...found].sort(
    (one, other) => one.correctedBits - other.correctedBits || other.contrast - one.contrast,
  );
  for (const one of order) {
    const at = middleOf(one.cornersPx);
    const clear = kept.every((other) => {
      const there = middleOf(other.cornersPx);
      return Math.hypot(at.xPx - there.xPx, at.yPx - there.yPx) > 0.5 * Math.max(sidePx(one), sidePx(other));
    });
    if (clear) kept.push(one);
  }
  return kept;
}
