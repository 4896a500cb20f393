import type { Rings } from "../rings";
import type { Place } from "../spine";

/** A row's piece inside the shape: its ends as sewn, and as they lie in the shape itself. */
export interface Row {
  readonly index: number;
  readonly y: number;
  readonly left: number;
  readonly right: number;
  readonly innerLeft: number;
  readonly innerRight: number;
}

/** Rows that follow one another without a fork, and the sections that touch its first and last row. */
export interface Section {
  readonly rows: Row[];
  readonly links: { readonly other: number; readonly at: "first" | "last" }[];
}

const NARROWEST_ROW_MM = 0.4;

/** The sections of a shape (even-odd) cut by flat rows. `growMm` is added to both ends of each row. */
export function sectionsOf(
  rings: Rings,
  spacing: number | readonly [from: number, to: number],
  growMm: number,
): Section[] {
  let [bottom, top] = [Infinity, -Infinity];
  for (const ring of rings)
    for (const [, y] of ring) {
      if (y < bottom) bottom = y;
      if (y > top) top = y;
    }
  const sections: Section[] = [];
  let open: { readonly section: number; readonly row: Row }[] = [];
  const touches = (a: Row, b: Row): boolean => a.innerLeft < b.innerRight && b.innerLeft < a.innerRight;
  const edges = new Edges(rings);
  for (const { index, y } of rowsBetween(bottom, top, spacing)) {
    const rows = edges.cut(index, y, growMm);
    const now: { section: number; row: Row }[] = [];
    for (const row of rows) {
      const before = open.filter((other) => touches(other.row, row));
      const only = before.length === 1 ? before[0]! : null;
      if (only !== null && rows.filter((other) => touches(only.row, other)).length === 1) {
        sections[only.section]!.rows.push(row);
        now.push({ section: only.section, row });
        continue;
      }
      const section = sections.length;
      sections.push({ rows: [row], links: [] });
      for (const other of before) {
        sections[other.section]!.links.push({ other: section, at: "last" });
        sections[section]!.links.push({ other: other.section, at: "first" });
      }
      now.push({ section, row });
    }
    open = now;
  }
  return sections;
}

/** Rows' heights: multiples of the spacing, or opening evenly from the one spacing to the other over the shape. */
function* rowsBetween(
  bottom: number,
  top: number,
  spacing: number | readonly [number, number],
): Generator<{ index: number; y: number }> {
  if (typeof spacing === "number") {
    for (let index = Math.ceil(bottom / spacing); index * spacing <= top; index++)
      yield { index, y: index * spacing };
    return;
  }
  const [from, to] = spacing;
  for (let y = bottom + from / 2, index = 0; y <= top; index++) {
    yield { index, y };
    y += from + ((to - from) * (y - bottom)) / Math.max(1e-9, top - bottom);
  }
}

/** The edges of rings, those that a rising row line meets at hand. */
class Edges {
  private readonly edges: { readonly low: Place; readonly high: Place }[] = [];
  private next = 0;
  private active: { readonly low: Place; readonly high: Place }[] = [];

  constructor(rings: Rings) {
    for (const ring of rings)
      for (let i = 0; i < ring.length; i++) {
        const [a, b] = [ring[i]!, ring[(i + 1) % ring.length]!];
        if (a[1] !== b[1]) this.edges.push(a[1] < b[1] ? { low: a, high: b } : { low: b, high: a });
      }
    this.edges.sort((a, b) => a.low[1] - b.low[1]);
  }

  /** The pieces of one row inside; rows must be asked for from the bottom up. */
  cut(index: number, height: number, growMm: number): Row[] {
    // A hair off the lattice, so that no corner lies exactly on a row.
    const y = height + 1e-7;
    while (this.next < this.edges.length && this.edges[this.next]!.low[1] <= y)
      this.active.push(this.edges[this.next++]!);
    this.active = this.active.filter(({ high }) => high[1] > y);
    const cuts = this.active
      .map(({ low, high }) => low[0] + ((y - low[1]) / (high[1] - low[1])) * (high[0] - low[0]))
      .sort((a, b) => a - b);
    const rows: Row[] = [];
    for (let i = 0; i + 1 < cuts.length; i += 2) {
      const [innerLeft, innerRight] = [cuts[i]!, cuts[i + 1]!];
      // Rows grown towards one another leave the slit between them open.
      const gapLeft = i > 0 ? innerLeft - cuts[i - 1]! : Infinity;
      const gapRight = i + 2 < cuts.length ? cuts[i + 2]! - innerRight : Infinity;
      const left = innerLeft - (growMm > 0 ? Math.max(0, Math.min(growMm, gapLeft / 2 - 0.05)) : growMm);
      const right = innerRight + (growMm > 0 ? Math.max(0, Math.min(growMm, gapRight / 2 - 0.05)) : growMm);
      if (right - left < NARROWEST_ROW_MM || innerRight - innerLeft < 0.05) continue;
      rows.push({ index, y: height, left, right, innerLeft, innerRight });
    }
    return rows;
  }
}

// Which quarter of a stitch each row is shifted by: no two neighbours alike, no slanting lines.
const SHIFTS = [0, 0.5, 0.25, 0.75];
/** A turn shorter than this would be a short stitch. */
const TURN_MM = 0.55;

/**
 * Penetrations of a row in sewing order: its ends, and between them a lattice fixed to the design. After a turn (from
 * `turnX` on the row before) the first one stands back where else the turn would be a short stitch and the edge a ridge.
 */
export function rowPlaces(row: Row, way: 1 | -1, stitchMm: number, turnX: number | null): number[] {
  const shift = SHIFTS[((row.index % 4) + 4) % 4]! * stitchMm;
  const places = [row.left];
  for (let k = Math.ceil((row.left + 0.9 - shift) / stitchMm); k * stitchMm + shift <= row.right - 0.9; k++) {
    places.push(k * stitchMm + shift);
  }
  places.push(row.right);
  if (way === -1) places.reverse();
  if (turnX !== null && row.right - row.left > 1.2) {
    const missing = TURN_MM - Math.hypot(places[0]! - turnX, 0.38);
    if (missing > 0) {
      const back = Math.sqrt(TURN_MM * TURN_MM - 0.38 * 0.38);
      const from = way === 1 ? Math.max(places[0]!, turnX) : Math.min(places[0]!, turnX);
      places[0] = from + way * back;
    }
  }
  return places;
}
