import { type Box, invariant } from "#core/base";

/** What a record does: sew to here, move here without sewing, stop for a colour. */
export const STITCH = 0;
export const JUMP = 1;
export const STOP = 2;

/** The longest move one record of a machine file can make on an axis, in tenths of mm. */
export const LONGEST_MOVE_TENTHS = 121;
/** Machines cut the thread at this many successive jumps (common practice, no source). */
export const TRIM_JUMPS = 3;

/**
 * A design as stitches: record i does `kind[i]` and leaves the needle at (`x[i]`, `y[i]`), whole tenths of mm from the
 * design's start, y up. The three arrays are equally long. The end is not a record here: it is the arrays' end.
 */
export interface Stitches {
  readonly kind: Uint8Array;
  readonly x: Int32Array;
  readonly y: Int32Array;
}

/** What lies between two colour stops: records [from, to) of the design, the stops themselves left out. */
export interface Part {
  readonly from: number;
  readonly to: number;
  readonly stitches: number;
  /** The sum of the lengths of the stitch records; moves without sewing are left out. */
  readonly threadMm: number;
  readonly trims: number;
}

export const EMPTY_STITCHES: Stitches = {
  kind: new Uint8Array(0),
  x: new Int32Array(0),
  y: new Int32Array(0),
};

/** Counts of a design; `parts` has one more entry than there are stops. */
export interface StitchCounts {
  readonly stitches: number;
  readonly jumps: number;
  readonly stops: number;
  readonly trims: number;
  readonly parts: readonly Part[];
}

/** Walks the design once. A trim is a group of three or more successive jumps; it counts in the part it stands in. */
export function countStitches(design: Stitches): StitchCounts {
  const { kind, x, y } = design;
  const parts: Part[] = [];
  let jumps = 0;
  let allStitches = 0;
  let allTrims = 0;
  let from = 0;
  let stitches = 0;
  let trims = 0;
  let path = 0;
  let run = 0;
  let px = 0;
  let py = 0;
  const close = (to: number): void => {
    parts.push({ from, to, stitches, threadMm: path / 10, trims });
    allStitches += stitches;
    allTrims += trims;
    from = to + 1;
    stitches = trims = path = run = 0;
  };
  for (let i = 0; i < kind.length; i++) {
    const nx = x[i]!;
    const ny = y[i]!;
    if (kind[i] === STITCH) {
      stitches++;
      path += Math.sqrt((nx - px) * (nx - px) + (ny - py) * (ny - py));
      run = 0;
    } else if (kind[i] === JUMP) {
      jumps++;
      if (++run === TRIM_JUMPS) trims++;
    } else {
      close(i);
    }
    px = nx;
    py = ny;
  }
  close(kind.length);
  return { stitches: allStitches, jumps, stops: parts.length - 1, trims: allTrims, parts };
}

/** The box of the penetrations in tenths of mm; right < left when there are none. */
export function stitchExtents(design: Stitches): Box {
  let left = Infinity;
  let right = -Infinity;
  let bottom = Infinity;
  let top = -Infinity;
  for (let i = 0; i < design.kind.length; i++) {
    if (design.kind[i] !== STITCH) continue;
    const x = design.x[i]!;
    const y = design.y[i]!;
    if (x < left) left = x;
    if (x > right) right = x;
    if (y < bottom) bottom = y;
    if (y > top) top = y;
  }
  return { left, right, bottom, top };
}

/** The design's part at `part` (from 0) as a design of its own, coordinates kept. */
export function partOf(design: Stitches, part: number): Stitches {
  const found = countStitches(design).parts[part];
  invariant(found !== undefined, `the design has a part ${part}`);
  return sliceStitches(design, found.from, found.to);
}

/** Records [from, to), coordinates kept. */
export function sliceStitches(design: Stitches, from: number, to: number): Stitches {
  return { kind: design.kind.slice(from, to), x: design.x.slice(from, to), y: design.y.slice(from, to) };
}

/**
 * Collects records. Positions are absolute, in tenths of mm, and are rounded here, so rounding never adds up. Moves
 * longer than a record can make are split evenly; zero-length stitches are dropped.
 */
export class StitchRecorder {
  private kinds: number[] = [];
  private xs: number[] = [];
  private ys: number[] = [];
  private atX = 0;
  private atY = 0;

  get length(): number {
    return this.kinds.length;
  }
  /** Where the needle is, in tenths of mm. */
  get x(): number {
    return this.atX;
  }
  get y(): number {
    return this.atY;
  }
  /** Whether anything has been sewn since the last stop. */
  get sewnInPart(): boolean {
    for (let i = this.kinds.length - 1; i >= 0 && this.kinds[i] !== STOP; i--)
      if (this.kinds[i] === STITCH) return true;
    return false;
  }

  /** Sews to a place; a stitch longer than one record is several penetrations, evenly spaced. */
  stitch(xTenths: number, yTenths: number): void {
    const toX = Math.round(xTenths);
    const toY = Math.round(yTenths);
    if (toX === this.atX && toY === this.atY) return;
    this.walk(STITCH, toX, toY, 1, STITCH);
  }
  /** Moves without sewing and without asking for a cut, as far as two records reach; further away it is a trim. */
  jump(xTenths: number, yTenths: number): void {
    const toX = Math.round(xTenths);
    const toY = Math.round(yTenths);
    if (toX === this.atX && toY === this.atY) return;
    this.walk(JUMP, toX, toY, 1);
  }
  /** Moves with a cut: exactly three jumps, more where the distance needs more. */
  trim(xTenths: number, yTenths: number): void {
    this.walk(JUMP, Math.round(xTenths), Math.round(yTenths), TRIM_JUMPS);
  }
  /** A colour stop where the needle is. */
  stop(): void {
    this.push(STOP, this.atX, this.atY);
  }
  /** One record as another design has it, stitches of no length too; a long move is split by jumps. */
  put(kind: number, xTenths: number, yTenths: number): void {
    this.walk(kind, xTenths, yTenths, 1);
  }
  /** All records of another design, shifted; its long moves are split. */
  append(design: Stitches, dxTenths = 0, dyTenths = 0): void {
    for (let i = 0; i < design.kind.length; i++) {
      const kind = design.kind[i]!;
      this.walk(kind, design.x[i]! + dxTenths, design.y[i]! + dyTenths, 1);
    }
  }
  /** Forgets the records from one on; the needle is back where it was before them. */
  cutBack(length: number): void {
    this.kinds.length = this.xs.length = this.ys.length = length;
    this.atX = this.xs.at(-1) ?? 0;
    this.atY = this.ys.at(-1) ?? 0;
  }
  /** The records from one on. */
  from(first: number): Stitches {
    return {
      kind: Uint8Array.from(this.kinds.slice(first)),
      x: Int32Array.from(this.xs.slice(first)),
      y: Int32Array.from(this.ys.slice(first)),
    };
  }
  done(): Stitches {
    return { kind: Uint8Array.from(this.kinds), x: Int32Array.from(this.xs), y: Int32Array.from(this.ys) };
  }

  private walk(kind: number, toX: number, toY: number, least: number, between = JUMP): void {
    const fromX = this.atX;
    const fromY = this.atY;
    const far = Math.max(Math.abs(toX - fromX), Math.abs(toY - fromY));
    const steps = Math.max(least, Math.ceil(far / LONGEST_MOVE_TENTHS), 1);
    for (let step = 1; step <= steps; step++) {
      const x = Math.round(fromX + ((toX - fromX) * step) / steps);
      const y = Math.round(fromY + ((toY - fromY) * step) / steps);
      this.push(step < steps ? between : kind, x, y);
    }
  }
  private push(kind: number, x: number, y: number): void {
    this.kinds.push(kind);
    this.xs.push(x);
    this.ys.push(y);
    this.atX = x;
    this.atY = y;
  }
}

/**
 * The design whose every move fits one record: long moves are split evenly by jumps, so that penetrations stay what
 * they are. A design that fits already comes back as it is.
 */
export function withSplitMoves(design: Stitches): Stitches {
  const { x, y } = design;
  let longest = 0;
  for (let i = 0, px = 0, py = 0; i < x.length; px = x[i]!, py = y[i]!, i++) {
    longest = Math.max(longest, Math.abs(x[i]! - px), Math.abs(y[i]! - py));
  }
  if (longest <= LONGEST_MOVE_TENTHS) return design;
  const recorder = new StitchRecorder();
  recorder.append(design);
  return recorder.done();
}
