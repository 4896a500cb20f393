import type { Grid } from "./raster";

/** Further away than this is not told apart. */
const FARTHEST_MM = 2;

/** Steps to the pixels round one, nearest first. */
interface Steps {
  readonly di: Int16Array;
  readonly dj: Int16Array;
  readonly farMm: Float32Array;
}

const stepsBySize = new Map<number, Steps>();

function stepsOf(pixelMm: number): Steps {
  const known = stepsBySize.get(pixelMm);
  if (known !== undefined) return known;
  const reach = Math.ceil(FARTHEST_MM / pixelMm);
  const list: [di: number, dj: number][] = [];
  for (let di = -reach; di <= reach; di++)
    for (let dj = -reach; dj <= reach; dj++)
      if (Math.hypot(di, dj) * pixelMm <= FARTHEST_MM) list.push([di, dj]);
  list.sort((a, b) => Math.hypot(...a) - Math.hypot(...b));
  const steps: Steps = {
    di: Int16Array.from(list, ([di]) => di),
    dj: Int16Array.from(list, ([, dj]) => dj),
    farMm: Float32Array.from(list, ([di, dj]) => Math.hypot(di, dj) * pixelMm),
  };
  if (stepsBySize.size > 20) stepsBySize.clear();
  stepsBySize.set(pixelMm, steps);
  return steps;
}

/**
 * The distance in mm from a pixel to the nearest one where `seed` has `value`, 2 mm at most; worked out only for the
 * pixels asked for and kept: good stitches leave few pixels bare and few lie outside, so that this costs less than the
 * distances of all pixels (`distanceTo`, which tests hold it against).
 */
export function nearestTo(
  { columns, rows, pixelMm }: Grid,
  seed: Uint8Array | Uint16Array,
  holds: "some" | "none",
): (index: number) => number {
  const { di, dj, farMm } = stepsOf(pixelMm);
  const known = new Float32Array(columns * rows);
  const wanted = holds === "some";
  return (index) => {
    if (seed[index]! > 0 === wanted) return 0;
    const before = known[index]!;
    if (before > 0) return before;
    const i = index % columns;
    const j = (index - i) / columns;
    let far = FARTHEST_MM;
    for (let n = 1; n < di.length; n++) {
      const u = i + di[n]!;
      const v = j + dj[n]!;
      if (u < 0 || v < 0 || u >= columns || v >= rows) continue;
      if (seed[v * columns + u]! > 0 === wanted) {
        far = farMm[n]!;
        break;
      }
    }
    known[index] = far;
    return far;
  };
}
