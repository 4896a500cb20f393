/** Needle points a window of 1 mm × 1 mm may hold (STITCHING.md, "Limits", letters). */
export const MOST_IN_WINDOW = 10;

const STEP_MM = 0.25;
const STEPS = 4;
/** Windows are kept in blocks of 64 × 64 (16 mm): a letter touches a few. */
const BLOCK_BITS = 6;
const BLOCK_MASK = (1 << BLOCK_BITS) - 1;
const WIDE = 1 << 16;

/** Counts needle points in all windows of 1 mm × 1 mm on a lattice of 0.25 mm, so that dense spots are seen coming. */
export class Crowd {
  private readonly blocks = new Map<number, Uint16Array>();
  private lastKey = NaN;
  private last: Uint16Array = new Uint16Array(0);

  add(x: number, y: number): void {
    const [column, row] = [cellOf(x), cellOf(y)];
    for (let i = column - STEPS + 1; i <= column; i++)
      for (let j = row - STEPS + 1; j <= row; j++) this.block(i, j)[slotOf(i, j)]!++;
  }

  /** The most needle points in one window that a new point here would fall into. */
  at(x: number, y: number): number {
    const [column, row] = [cellOf(x), cellOf(y)];
    let most = 0;
    for (let i = column - STEPS + 1; i <= column; i++)
      for (let j = row - STEPS + 1; j <= row; j++) {
        const count = this.block(i, j)[slotOf(i, j)]!;
        if (count > most) most = count;
      }
    return most;
  }

  private block(i: number, j: number): Uint16Array {
    const key = (i >> BLOCK_BITS) * WIDE + (j >> BLOCK_BITS);
    if (key === this.lastKey) return this.last;
    let block = this.blocks.get(key);
    if (block === undefined) this.blocks.set(key, (block = new Uint16Array(1 << (2 * BLOCK_BITS))));
    this.lastKey = key;
    this.last = block;
    return block;
  }
}

const slotOf = (i: number, j: number): number => ((i & BLOCK_MASK) << BLOCK_BITS) | (j & BLOCK_MASK);

/** Places are counted where they will be sewn, in whole tenths. */
const cellOf = (mm: number): number => Math.floor(Math.round(mm * 10) / 10 / STEP_MM + 1e-9);
