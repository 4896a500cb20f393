import type { MedialColumn } from "../medial/medial";
import { forPixelsNear, type ShapeMask } from "../metrics/raster";
import { THREAD_MM, threadRuns } from "../metrics/measure";
import type { Place } from "../spine";
import type { Stitches } from "../stitches";

/** A spot smaller than this is closed by the thread's own swelling. */
const LEAST_SPOT_MM2 = 0.03;
const MOST_PATCHES = 4;
/** A patch reaches this far beyond the bare spot on every side. */
const BEYOND_MM = 0.3;

/**
 * Short columns over the largest spots that stitches leave bare in a shape, along the longer way of each spot: where
 * strokes meet at sharp angles, neither of them reaches into the corner.
 */
export function patchesOver(design: Stitches, mask: ShapeMask, smallestColumnMm: number): MedialColumn[] {
  const { columns, pixelMm, inside, left, low } = mask;
  const bare = Uint8Array.from(inside);
  for (const run of threadRuns(design))
    for (let i = 1; i < run.length; i++)
      forPixelsNear(mask, run[i - 1]!, run[i]!, THREAD_MM / 2, (index) => (bare[index] = 0));
  const spots: Place[][] = [];
  for (let start = 0; start < bare.length; start++) {
    if (bare[start] === 0) continue;
    bare[start] = 0;
    const queue = [start];
    for (let n = 0; n < queue.length; n++) {
      const index = queue[n]!;
      for (const next of [index - 1, index + 1, index - columns, index + columns]) {
        if (bare[next] !== 1) continue;
        bare[next] = 0;
        queue.push(next);
      }
    }
    if (queue.length * pixelMm * pixelMm < LEAST_SPOT_MM2) continue;
    spots.push(
      queue.map((index): Place => [
        left + ((index % columns) + 0.5) * pixelMm,
        low + (Math.floor(index / columns) + 0.5) * pixelMm,
      ]),
    );
  }
  spots.sort((a, b) => b.length - a.length);
  return spots.slice(0, MOST_PATCHES).map((spot) => patchOver(spot, smallestColumnMm));
}

function patchOver(spot: readonly Place[], smallestColumnMm: number): MedialColumn {
  const cx = spot.reduce((sum, [x]) => sum + x, 0) / spot.length;
  const cy = spot.reduce((sum, [, y]) => sum + y, 0) / spot.length;
  let [xx, xy, yy] = [0, 0, 0];
  for (const [x, y] of spot) {
    xx += (x - cx) ** 2;
    xy += (x - cx) * (y - cy);
    yy += (y - cy) ** 2;
  }
  // The principal axis of the spot's places.
  const angle = Math.atan2(2 * xy, xx - yy) / 2;
  const [ux, uy] = [Math.cos(angle), Math.sin(angle)];
  const along = spot.map(([x, y]) => (x - cx) * ux + (y - cy) * uy);
  const across = spot.map(([x, y]) => (y - cy) * ux - (x - cx) * uy);
  const from = Math.min(...along) - BEYOND_MM;
  const to = Math.max(...along) + BEYOND_MM;
  const [low, high] = [Math.min(...across), Math.max(...across)];
  const half = Math.max(smallestColumnMm / 2, (high - low) / 2 + BEYOND_MM / 2);
  const middle = (low + high) / 2;
  const count = Math.max(6, Math.round((to - from) / 0.1));
  const places = Array.from({ length: count + 1 }, (_, i): Place => {
    const t = from + ((to - from) * i) / count;
    return [cx + t * ux - middle * uy, cy + t * uy + middle * ux];
  });
  return { places, closed: false, halfMm: places.map(() => half), start: "free", end: "free" };
}
