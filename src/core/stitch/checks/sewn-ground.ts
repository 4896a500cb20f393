import { JUMP, STITCH, type Stitches, stitchExtents } from "../stitches";

/**
 * The cloth as squares, and what thread lies on each: how much, and which records sewed there first and last. Thread
 * is marched along each sewn stitch; a move without sewing and the stitch that ends it leave nothing.
 */
export interface SewnGround {
  readonly cellMm: number;
  readonly columns: number;
  readonly rows: number;
  /** The lower left corner in tenths of mm. */
  readonly leftTenths: number;
  readonly lowTenths: number;
  readonly lengthMm: Float32Array;
  /** Record numbers; −1 where nothing is sewn. */
  readonly first: Int32Array;
  readonly last: Int32Array;
}

const CELL_MM = 0.5;
const MOST_CELLS = 2_500_000;

/** Squares of 0.5 mm; larger ones where a far-flung design would take too many. */
export function sewnGround(design: Stitches): SewnGround {
  const box = stitchExtents(design);
  const empty = box.right < box.left;
  const [wide, high] = empty ? [0, 0] : [box.right - box.left, box.top - box.bottom];
  let cellMm = CELL_MM;
  while ((wide / cellMm / 10 + 2) * (high / cellMm / 10 + 2) > MOST_CELLS) cellMm *= 2;
  const cell = cellMm * 10;
  const leftTenths = empty ? 0 : box.left - cell / 2;
  const lowTenths = empty ? 0 : box.bottom - cell / 2;
  const columns = Math.ceil(wide / cell) + 1;
  const rows = Math.ceil(high / cell) + 1;
  const lengthMm = new Float32Array(columns * rows);
  const first = new Int32Array(columns * rows).fill(-1);
  const last = new Int32Array(columns * rows).fill(-1);
  const { kind, x, y } = design;
  for (let i = 1; i < kind.length; i++) {
    if (kind[i] !== STITCH || kind[i - 1] !== STITCH) continue;
    const fromX = x[i - 1]! - leftTenths;
    const fromY = y[i - 1]! - lowTenths;
    const dx = x[i]! - x[i - 1]!;
    const dy = y[i]! - y[i - 1]!;
    const length = Math.sqrt(dx * dx + dy * dy);
    const steps = Math.max(1, Math.ceil(length / (cell / 2)));
    const share = length / steps / 10;
    for (let n = 0; n < steps; n++) {
      const t = (n + 0.5) / steps;
      const at = (((fromY + dy * t) / cell) | 0) * columns + (((fromX + dx * t) / cell) | 0);
      lengthMm[at]! += share;
      if (first[at]! < 0) first[at] = i;
      last[at] = i;
    }
  }
  return { cellMm, columns, rows, leftTenths, lowTenths, lengthMm, first, last };
}

/** The number of the square at a place in tenths of mm; −1 off the ground. */
export function cellAt(ground: SewnGround, xTenths: number, yTenths: number): number {
  const column = Math.floor((xTenths - ground.leftTenths) / ground.cellMm / 10);
  const row = Math.floor((yTenths - ground.lowTenths) / ground.cellMm / 10);
  return 0 <= column && column < ground.columns && 0 <= row && row < ground.rows
    ? row * ground.columns + column
    : -1;
}

/** A move without sewing between two stitches of one part. */
export interface ThreadMove {
  /** Its jumps are the records [from, to); the stitches before and after it are `from` − 1 and `to`. */
  readonly from: number;
  readonly to: number;
  readonly gapMm: number;
  /** How much of the thread over the gap would lie on cloth or sewing that nothing covers later. */
  readonly bareMm: number;
  /** How much of that lies on what is sewn already. */
  readonly acrossMm: number;
}

/** Where a thread end goes into the cloth anyway: this much of a gap at both its ends is not looked at. */
const END_MM = 0.75;
const STEP_MM = 0.25;

/** Every move inside a part with where its thread would lie; `bareMm` and `acrossMm` only where `ground` is given. */
export function threadMoves(design: Stitches, groundOf: () => SewnGround): ThreadMove[] {
  const { kind, x, y } = design;
  const moves: ThreadMove[] = [];
  for (let from = 1; from < kind.length; from++) {
    if (kind[from] !== JUMP || kind[from - 1] !== STITCH) continue;
    let to = from;
    while (kind[to] === JUMP) to++;
    if (kind[to] === STITCH) {
      const dx = x[to]! - x[from - 1]!;
      const dy = y[to]! - y[from - 1]!;
      const gapMm = Math.sqrt(dx * dx + dy * dy) / 10;
      let bareMm = 0;
      let acrossMm = 0;
      const looked = gapMm - 2 * END_MM;
      const steps = looked > 0 ? Math.ceil(looked / STEP_MM) : 0;
      for (let n = 0; n < steps; n++) {
        const t = (END_MM + ((n + 0.5) * looked) / steps) / gapMm;
        const ground = groundOf();
        const cell = cellAt(ground, x[from - 1]! + dx * t, y[from - 1]! + dy * t);
        if (cell >= 0 && ground.last[cell]! > to) continue;
        bareMm += looked / steps;
        if (cell >= 0 && ground.first[cell]! >= 0) acrossMm += looked / steps;
      }
      moves.push({ from, to, gapMm, bareMm, acrossMm });
    }
    from = to - 1;
  }
  return moves;
}
