/** Needle points a window of 1 mm × 1 mm may hold (STITCHING.md, "Limits", letters). */
export const MOST_IN_WINDOW = 10;

const WIDE = 1 << 16;
const STEP_MM = 0.25;
const STEPS = 4;

/** Counts needle points in all windows of 1 mm × 1 mm on a lattice of 0.25 mm, so that dense spots are seen coming. */
export class Crowd {
  private readonly windows = new Map<number, number>();

  add(x: number, y: number): void {
    const corner = cornerKey(x, y);
    for (let i = 0; i < STEPS; i++)
      for (let j = 0; j < STEPS; j++) {
        const key = corner - i * WIDE - j;
        this.windows.set(key, (this.windows.get(key) ?? 0) + 1);
      }
  }

  /** The most needle points in one window that a new point here would fall into. */
  at(x: number, y: number): number {
    const corner = cornerKey(x, y);
    let most = 0;
    for (let i = 0; i < STEPS; i++)
      for (let j = 0; j < STEPS; j++) most = Math.max(most, this.windows.get(corner - i * WIDE - j) ?? 0);
    return most;
  }
}

/** Places are counted where they will be sewn, in whole tenths. */
function cornerKey(x: number, y: number): number {
  const i = Math.floor(Math.round(x * 10) / 10 / STEP_MM + 1e-9) + (WIDE >> 1);
  const j = Math.floor(Math.round(y * 10) / 10 / STEP_MM + 1e-9) + (WIDE >> 1);
  return i * WIDE + j;
}
