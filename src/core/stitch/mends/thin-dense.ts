import { countOf } from "../checks/check";
import { LONGEST_MOVE_TENTHS, STITCH, type Stitches, stitchExtents } from "../stitches";
import { type DesignMend, forRuns, heldRecords, unchanged, withoutRecords } from "./mend";

/** TRADE.md: over 12 penetrations on a square mm is a lump (common practice, no source). */
const MOST = 12;
const QUARTER = 2.5;
const LONGEST_TENTHS = 70;
/** Ties are small on purpose: so many points at each end of a sewn line stay. */
const ENDS_HELD = 4;

/**
 * Leaves needle points out where more than 12 fall on one square mm, in rounds: in satin two neighbours together, so
 * that the zig-zag goes on with a wider pitch there; elsewhere one. Never two in a row in one round.
 */
export const thinDense: DesignMend = {
  code: "thin-dense",
  title: "Thin the densest spots",
  about:
    "Leaves needle points out where more than 12 fall on a square millimetre; no other place is touched.",
  mends: ["dense-spot"],
  mend: ({ design }) => {
    let now = design;
    let changed = 0;
    for (;;) {
      const dropped = oneRound(now);
      const count = dropped.reduce((sum, one) => sum + one, 0);
      if (count === 0) break;
      changed += count;
      now = withoutRecords(now, dropped);
    }
    return changed === 0
      ? unchanged(design, "no spot can be thinned")
      : { design: now, changed, says: `${countOf(changed, "needle point")} left out` };
  },
};

const MOST_WINDOWS = 20_000_000;

/** Counts of needle points by windows of 1 mm × 1 mm moved by 0.25 mm; a point stands in sixteen of them. */
class Windows {
  private readonly counts: Uint16Array | Map<number, number>;
  private readonly i0: number;
  private readonly j0: number;
  private readonly columns: number;
  constructor(design: Stitches) {
    const { kind, x, y } = design;
    const box = stitchExtents(design);
    this.i0 = Math.floor(box.left / QUARTER) - 3;
    this.j0 = Math.floor(box.bottom / QUARTER) - 3;
    this.columns = Math.floor(box.right / QUARTER) - this.i0 + 1;
    const windows = this.columns * (Math.floor(box.top / QUARTER) - this.j0 + 1);
    // A far-flung design has more windows than can be laid out; few of them hold anything.
    this.counts =
      0 < windows && windows <= MOST_WINDOWS ? new Uint16Array(windows) : new Map<number, number>();
    for (let i = 0; i < kind.length; i++) if (kind[i] === STITCH) this.add(x[i]!, y[i]!, 1);
  }
  add(x: number, y: number, by: number): void {
    const first = this.firstOf(x, y);
    const { counts, columns } = this;
    for (let dj = 0; dj < 4; dj++)
      for (let di = 0; di < 4; di++) {
        const at = first - dj * columns - di;
        if (counts instanceof Map) counts.set(at, (counts.get(at) ?? 0) + by);
        else counts[at]! += by;
      }
  }
  fullest(x: number, y: number): number {
    const first = this.firstOf(x, y);
    const { counts, columns } = this;
    let most = 0;
    for (let dj = 0; dj < 4; dj++)
      for (let di = 0; di < 4; di++) {
        const at = first - dj * columns - di;
        most = Math.max(most, counts instanceof Map ? (counts.get(at) ?? 0) : counts[at]!);
      }
    return most;
  }
  private firstOf(x: number, y: number): number {
    return (Math.floor(y / QUARTER) - this.j0) * this.columns + Math.floor(x / QUARTER) - this.i0;
  }
}

function oneRound(design: Stitches): Uint8Array {
  const { kind, x, y } = design;
  const dropped = new Uint8Array(kind.length);
  const windows = new Windows(design);
  const held = heldRecords(design, ENDS_HELD);
  const turns = (i: number): boolean =>
    (x[i]! - x[i - 1]!) * (x[i + 1]! - x[i]!) + (y[i]! - y[i - 1]!) * (y[i + 1]! - y[i]!) < 0;
  const joins = (a: number, b: number): boolean => {
    const dx = x[b]! - x[a]!;
    const dy = y[b]! - y[a]!;
    const near = Math.max(Math.abs(dx), Math.abs(dy)) <= LONGEST_MOVE_TENTHS;
    return near && dx * dx + dy * dy <= LONGEST_TENTHS ** 2;
  };
  forRuns(kind, (from, to) => {
    let last = from;
    for (let i = from + 1; i + 1 < to; i++) {
      if (last >= i - 1 && last !== from) continue;
      if (held[i] === 1 || windows.fullest(x[i]!, y[i]!) <= MOST) continue;
      const pair = i + 2 < to && turns(i) && turns(i + 1) && held[i + 1] === 0;
      if (pair ? !joins(i - 1, i + 2) : turns(i) || !joins(i - 1, i + 1)) continue;
      for (let n = i; n <= (pair ? i + 1 : i); n++) {
        dropped[n] = 1;
        windows.add(x[n]!, y[n]!, -1);
        last = n;
      }
    }
  });
  return dropped;
}
