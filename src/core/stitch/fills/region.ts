import { boxOfRings, type Rings } from "../rings";
import type { Place } from "../spine";

/**
 * An area to travel in: whether a place or a straight line lies inside (even-odd), and the way from one place to another
 * that never leaves it. Ways are found on a grid (A*, P. Hart, N. Nilsson, B. Raphael 1968) whose cells near the edge
 * cost more, and pulled tight afterwards.
 */
export class Region {
  private readonly ax: Float64Array;
  private readonly ay: Float64Array;
  private readonly bx: Float64Array;
  private readonly by: Float64Array;
  private readonly bands: Int32Array[] = [];
  private readonly bottom: number;
  private readonly bandMm: number;
  private grid: Grid | null = null;

  constructor(readonly rings: Rings) {
    const count = rings.reduce((sum, ring) => sum + ring.length, 0);
    this.ax = new Float64Array(count);
    this.ay = new Float64Array(count);
    this.bx = new Float64Array(count);
    this.by = new Float64Array(count);
    const box = boxOfRings(rings);
    this.bottom = box.bottom;
    const height = Math.max(0.1, box.top - box.bottom);
    this.bandMm = Math.max(0.2, height / Math.max(1, Math.min(400, Math.ceil(count / 4))));
    const lists: number[][] = Array.from({ length: Math.ceil(height / this.bandMm) + 1 }, () => []);
    let n = 0;
    for (const ring of rings)
      for (let i = 0; i < ring.length; i++) {
        const [a, b] = [ring[i]!, ring[(i + 1) % ring.length]!];
        [this.ax[n], this.ay[n], this.bx[n], this.by[n]] = [a[0], a[1], b[0], b[1]];
        const from = this.bandOf(Math.min(a[1], b[1]));
        const to = this.bandOf(Math.max(a[1], b[1]));
        for (let band = from; band <= to; band++) lists[band]!.push(n);
        n++;
      }
    this.bands = lists.map((list) => Int32Array.from(list));
  }

  private bandOf(y: number): number {
    return Math.max(0, Math.floor((y - this.bottom) / this.bandMm));
  }

  inside(x: number, y: number): boolean {
    const band = this.bands[this.bandOf(y)];
    if (band === undefined || y < this.bottom) return false;
    let inside = false;
    for (const n of band) {
      const [ay, by] = [this.ay[n]!, this.by[n]!];
      if (ay > y !== by > y && x < this.ax[n]! + ((y - ay) / (by - ay)) * (this.bx[n]! - this.ax[n]!))
        inside = !inside;
    }
    return inside;
  }

  /** Where a flat line at height `y` goes in and out, from the left. */
  crossings(y: number): number[] {
    const found: number[] = [];
    for (const n of (y < this.bottom ? undefined : this.bands[this.bandOf(y)]) ?? []) {
      const [ay, by] = [this.ay[n]!, this.by[n]!];
      if (ay > y !== by > y) found.push(this.ax[n]! + ((y - ay) / (by - ay)) * (this.bx[n]! - this.ax[n]!));
    }
    return found.sort((a, b) => a - b);
  }

  /** Whether a straight line stays inside, tried every 0.15 mm; its ends may lie on the edge. */
  lineInside(from: Place, to: Place): boolean {
    const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
    const count = Math.max(2, Math.ceil(length / 0.15));
    for (let i = 1; i < count; i++) {
      const t = i / count;
      if (!this.inside(from[0] + (to[0] - from[0]) * t, from[1] + (to[1] - from[1]) * t)) return false;
    }
    return true;
  }

  /** The places to go through from one place to another without leaving the area, `from` left out; null where there is no way. */
  way(from: Place, to: Place): Place[] | null {
    if (this.lineInside(from, to)) return [to];
    this.grid ??= new Grid(this);
    const cells = this.grid.way(from, to);
    if (cells === null) return null;
    const all = [from, ...cells, to];
    const tight: Place[] = [];
    for (let i = 0; i < all.length - 1;) {
      let next = i + 1;
      for (let j = Math.min(all.length - 1, i + 60); j > i + 1; j--)
        if (this.lineInside(all[i]!, all[j]!)) {
          next = j;
          break;
        }
      tight.push(all[next]!);
      i = next;
    }
    return tight;
  }
}

const MOST_CELLS = 120_000;

class Grid {
  private readonly cell: number;
  private readonly left: number;
  private readonly bottom: number;
  private readonly columns: number;
  private readonly rows: number;
  /** 0 outside, else how many cells from the edge, at most 3. */
  private readonly depth: Uint8Array;

  constructor(region: Region) {
    const box = boxOfRings(region.rings);
    const [width, height] = [box.right - box.left, box.top - box.bottom];
    this.cell = Math.max(0.25, Math.sqrt((width * height) / MOST_CELLS));
    this.left = box.left;
    this.bottom = box.bottom;
    this.columns = Math.max(1, Math.ceil(width / this.cell));
    this.rows = Math.max(1, Math.ceil(height / this.cell));
    this.depth = new Uint8Array(this.columns * this.rows);
    for (let r = 0; r < this.rows; r++) {
      const cuts = region.crossings(this.bottom + (r + 0.5) * this.cell);
      for (let k = 0; k + 1 < cuts.length; k += 2) {
        const first = Math.max(0, Math.ceil((cuts[k]! - this.left) / this.cell - 0.5));
        const last = Math.min(this.columns - 1, Math.floor((cuts[k + 1]! - this.left) / this.cell - 0.5));
        if (first <= last) this.depth.fill(1, r * this.columns + first, r * this.columns + last + 1);
      }
    }
    for (let ring = 1; ring < 3; ring++)
      for (let n = 0; n < this.depth.length; n++) {
        if (this.depth[n] !== ring) continue;
        const inner = [1, -1, this.columns, -this.columns].every(
          (step) => (this.depth[n + step] ?? 0) >= ring,
        );
        if (inner) this.depth[n] = ring + 1;
      }
  }

  private middle(n: number): Place {
    const r = Math.floor(n / this.columns);
    return [this.left + (n - r * this.columns + 0.5) * this.cell, this.bottom + (r + 0.5) * this.cell];
  }

  /** The nearest cell inside; −1 when there is none within four cells. */
  private cellAt([x, y]: Place): number {
    const c = Math.floor((x - this.left) / this.cell);
    const r = Math.floor((y - this.bottom) / this.cell);
    let best = -1;
    let bestFar = Infinity;
    for (let dr = -4; dr <= 4; dr++)
      for (let dc = -4; dc <= 4; dc++) {
        if (r + dr < 0 || c + dc < 0 || r + dr >= this.rows || c + dc >= this.columns) continue;
        const n = (r + dr) * this.columns + c + dc;
        if (this.depth[n] === 0) continue;
        const [mx, my] = this.middle(n);
        const far = Math.hypot(mx - x, my - y);
        if (far < bestFar) [best, bestFar] = [n, far];
      }
    return best;
  }

  way(from: Place, to: Place): Place[] | null {
    const [start, goal] = [this.cellAt(from), this.cellAt(to)];
    if (start < 0 || goal < 0) return null;
    const { columns, depth } = this;
    const cost = new Float64Array(depth.length).fill(Infinity);
    const before = new Int32Array(depth.length).fill(-1);
    const heap = new Heap();
    const goalC = goal % columns;
    const goalR = Math.floor(goal / columns);
    const left = (n: number): number => Math.hypot((n % columns) - goalC, Math.floor(n / columns) - goalR);
    cost[start] = 0;
    heap.push(start, left(start));
    while (heap.size > 0) {
      const n = heap.pop();
      if (n === goal) break;
      const [c, r] = [n % columns, Math.floor(n / columns)];
      for (let dr = -1; dr <= 1; dr++)
        for (let dc = -1; dc <= 1; dc++) {
          if ((dr === 0 && dc === 0) || c + dc < 0 || c + dc >= columns || r + dr < 0 || r + dr >= this.rows)
            continue;
          const m = n + dr * columns + dc;
          const deep = depth[m]!;
          // A slanted step between two cells outside would cut a corner.
          if (deep === 0 || (dr !== 0 && dc !== 0 && (depth[n + dc] === 0 || depth[n + dr * columns] === 0)))
            continue;
          const worth = cost[n]! + Math.hypot(dr, dc) * (deep === 1 ? 2.5 : deep === 2 ? 1.3 : 1);
          if (worth >= cost[m]! - 1e-9) continue;
          cost[m] = worth;
          before[m] = n;
          heap.push(m, worth + left(m));
        }
    }
    if (cost[goal] === Infinity) return null;
    const cells: Place[] = [];
    for (let n = goal; n >= 0; n = before[n]!) cells.push(this.middle(n));
    return cells.reverse();
  }
}

/** A binary heap of cells by their worth; equal ones in the order they came. */
class Heap {
  private readonly items: number[] = [];
  private readonly worth: number[] = [];

  get size(): number {
    return this.items.length;
  }
  push(item: number, worth: number): void {
    let at = this.items.length;
    this.items.push(item);
    this.worth.push(worth);
    while (at > 0) {
      const up = (at - 1) >> 1;
      if (this.worth[up]! <= worth) break;
      this.items[at] = this.items[up]!;
      this.worth[at] = this.worth[up]!;
      at = up;
    }
    this.items[at] = item;
    this.worth[at] = worth;
  }
  pop(): number {
    const top = this.items[0]!;
    const item = this.items.pop()!;
    const worth = this.worth.pop()!;
    const size = this.items.length;
    if (size === 0) return top;
    let at = 0;
    for (;;) {
      let down = 2 * at + 1;
      if (down >= size) break;
      if (down + 1 < size && this.worth[down + 1]! < this.worth[down]!) down++;
      if (this.worth[down]! >= worth) break;
      this.items[at] = this.items[down]!;
      this.worth[at] = this.worth[down]!;
      at = down;
    }
    this.items[at] = item;
    this.worth[at] = worth;
    return top;
  }
}
