import type { Glyph } from "./glyph";

const BANDS = 15;
const LOWEST = -0.46;
const BAND = 1.6 / BANDS;
/** An empty band, or one whose edge lies further back, counts as this much space, in em. */
const DEEPEST = 0.3;

export interface SpacingMeasures {
  readonly heightMm: number;
  readonly strokeMm: number;
  /** Mean free space wanted, as a share of the height. */
  readonly air: number;
  /** Free space needed at the narrowest, in mm. */
  readonly leastMm: number;
}

/**
 * The distance in mm from the right edge of one letter's centre-lines to the left edge of the next. Letters are moved
 * together until the mean free space of the height bands both fill comes to a set share of the height, never nearer
 * than the threads need: AV and To close up, II stays apart.
 */
export function spacing(
  one: Glyph,
  two: Glyph,
  { heightMm, strokeMm, air, leastMm }: SpacingMeasures,
): number {
  const scale = heightMm - strokeMm;
  const right = profile(one, "right");
  const left = profile(two, "left");
  let nearest = Infinity;
  for (let band = 0; band < BANDS; band++) {
    for (const other of [band - 1, band, band + 1])
      nearest = Math.min(nearest, (right[band] ?? Infinity) + (left[other] ?? Infinity));
  }
  if (nearest === Infinity) nearest = 0;
  let sum = 0;
  let count = 0;
  for (let band = 0; band < BANDS; band++) {
    const r = right[band]!;
    const l = left[band]!;
    if (r === Infinity && l === Infinity) continue;
    sum += Math.min(DEEPEST, Math.min(DEEPEST, r) + Math.min(DEEPEST, l) - nearest);
    count++;
  }
  const mean = count === 0 ? 0 : sum / count;
  const wanted = air * heightMm - mean * scale * 0.75;
  return strokeMm + Math.max(leastMm, wanted) - nearest * scale;
}

/** For each height band how far the letter stays away from its own right (left) edge; Infinity where it is empty. */
function profile(glyph: Glyph, side: "left" | "right"): number[] {
  const bands = new Array<number>(BANDS).fill(Infinity);
  glyph.strokes.forEach((stroke, n) => {
    // The stroke that runs on is no edge of the letter.
    const last = side === "right" && n === glyph.exit ? stroke.places.length - 3 : stroke.places.length;
    for (let i = 0; i < last; i++) {
      const a = stroke.places[Math.max(0, i - 1)]!;
      const b = stroke.places[i]!;
      for (let t = 0; t <= 8; t++) {
        const x = a[0] + ((b[0] - a[0]) * t) / 8;
        const y = a[1] + ((b[1] - a[1]) * t) / 8;
        const band = Math.floor((y - LOWEST) / BAND);
        if (band < 0 || band >= BANDS) continue;
        bands[band] = Math.min(bands[band]!, side === "left" ? x - glyph.left : glyph.right - x);
      }
    }
  });
  return bands;
}
