import { STITCH, type Stitches } from "../stitches";

/**
 * Satin found in stitches alone. Three needle points in a row are satin when the thread turns back at the middle one
 * and the outer two lie next to each other: the middle one's height over them is the column's width there, their
 * distance the pitch on that rail. Zig-zag underlay advances further and is not satin; forth-and-back runs have no height.
 */
export interface SewnColumn {
  /** Records: the needle points from `from` to `to`, both in it. */
  readonly from: number;
  readonly to: number;
  /** Width at each inner needle point, from `from` + 1 on, mm; the distance along the column between two is half the pitch. */
  readonly widthsMm: Float32Array;
  readonly pitchesMm: Float32Array;
  readonly lengthMm: number;
}

const FEWEST_TURNS = 5;
/** Above this distance of successive needle points on one rail it is underlay or a loose zig-zag. */
const LARGEST_PITCH = 12;
const SHORTEST = 5;

/** Every stretch of satin, in sewing order. */
export function sewnColumns({ kind, x, y }: Stitches): SewnColumn[] {
  const found: SewnColumn[] = [];
  let widths: number[] = [];
  let pitches: number[] = [];
  const close = (last: number): void => {
    if (widths.length >= FEWEST_TURNS) {
      let lengthMm = 0;
      for (const pitch of pitches) lengthMm += pitch / 2;
      const from = last - widths.length - 1;
      found.push({ from, to: last, widthsMm: Float32Array.from(widths), pitchesMm: Float32Array.from(pitches), lengthMm }); // prettier-ignore
    }
    if (widths.length > 0) {
      widths = [];
      pitches = [];
    }
  };
  for (let i = 1; i + 1 < kind.length; i++) {
    if (kind[i - 1] !== STITCH || kind[i] !== STITCH || kind[i + 1] !== STITCH) {
      close(i);
      continue;
    }
    const ax = x[i]! - x[i - 1]!;
    const ay = y[i]! - y[i - 1]!;
    const bx = x[i + 1]! - x[i]!;
    const by = y[i + 1]! - y[i]!;
    if (ax * bx + ay * by >= 0) {
      close(i);
      continue;
    }
    const pitch = Math.sqrt((ax + bx) * (ax + bx) + (ay + by) * (ay + by));
    const shorter = Math.sqrt(Math.min(ax * ax + ay * ay, bx * bx + by * by));
    const height = pitch < 1 ? 0 : Math.abs(ax * by - ay * bx) / pitch;
    if (shorter < SHORTEST || pitch > LARGEST_PITCH || height < 0.4 * shorter) {
      close(i);
      continue;
    }
    widths.push(height / 10);
    pitches.push(pitch / 10);
  }
  close(kind.length - 1);
  return found;
}

/** The middle of some numbers; 0 for none. */
export function medianOf(values: Float32Array): number {
  return values.length === 0 ? 0 : Float32Array.from(values).sort()[values.length >> 1]!;
}
