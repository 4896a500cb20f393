import { SEWING } from "../cloth";
import { grownRings, type Rings, unitedRings } from "../rings";
import type { Sewer } from "../sewer";
import type { Place } from "../spine";
import { Region } from "./region";
import { type Row, rowPlaces, sectionsOf } from "./sections";

/**
 * Row fill (docs/models/stitches.md): the shape is turned so that rows lie flat, cut by rows on a lattice fixed to the
 * design, and the pieces of neighbouring rows that overlap one to one are chained to sections (H. Choset, "Coverage of
 * known spaces: the boustrophedon cellular decomposition", Autonomous Robots 9 (2000) 247–253). Sections are walked
 * depth first: a run goes out through a section not yet sewn, all sections behind it are sewn, then it is sewn itself
 * on the way back. Invariant: a run between sections lies on rows that are sewn later, or along a row in a row's own
 * stitches; where the shape is one piece there is no cut.
 */
export interface FillShape {
  /** Rings in mm; a place is inside where an odd number of them is round it. */
  readonly rings: Rings;
}

export interface FillOptions {
  readonly angleDeg?: number;
  /** Distance of rows; two numbers for a shade that opens from the one to the other across the rows. */
  readonly spacingMm?: number | readonly [from: number, to: number];
  readonly stitchMm?: number;
  readonly pullMm?: number;
  /** Rows across underneath, and a run inside the edge; two layers of rows on pile. */
  readonly underlay?: "double" | "full" | "edge" | "none";
}

const EDGE_INSET_MM = 0.5;
const UNDER_ROWS_MM = 2.3;

/** Sews a fill into the shape: edge run and cross rows first, then the rows. */
export function rowFill(sewer: Sewer, shape: FillShape, options: FillOptions = {}): void {
  const { angleDeg = 0, spacingMm = SEWING.rowSpacingMm, stitchMm = SEWING.fillStitchMm } = options;
  const { pullMm = 0.2, underlay = "full" } = options;
  const rings = unitedRings(shape.rings, "evenodd");
  if (rings.length === 0) return;
  const region = new Region(rings);
  if (underlay !== "none") edgeRuns(sewer, rings, region);
  const under = { spacingMm: UNDER_ROWS_MM, stitchMm: 3, growMm: -0.6, beneath: true };
  if (underlay === "double") fillRows(sewer, region, { ...under, angleDeg: angleDeg + 45 });
  if (underlay === "full" || underlay === "double")
    fillRows(sewer, region, { ...under, angleDeg: angleDeg + (underlay === "double" ? 135 : 90) });
  fillRows(sewer, region, { angleDeg, spacingMm, stitchMm, growMm: pullMm, beneath: false });
}

/** Goes to a place under stitches that come later: by runs inside the shape where it can, else with a move. */
export function travel(sewer: Sewer, region: Region, to: Place): void {
  const way = sewer.hasSewn ? region.way(sewer.place, to) : null;
  if (way === null) sewer.moveTo(to[0], to[1]);
  else for (const place of way) sewer.sewAlong(steps(sewer.place, place));
}

/** Rows beneath a fill of another kind, so that no cloth shows where its lines part. */
export function rowsBeneath(sewer: Sewer, region: Region, spacingMm: number, angleDeg: number): void {
  fillRows(sewer, region, { spacingMm, angleDeg, stitchMm: 3, growMm: -0.3, beneath: true });
}

interface RowOptions {
  readonly angleDeg: number;
  readonly spacingMm: number | readonly [number, number];
  readonly stitchMm: number;
  /** Added to both ends of each row; below 0 the rows stay inside the edge. */
  readonly growMm: number;
  /** Underlay: all of it is covered later, so that it is sewn straight on. */
  readonly beneath: boolean;
}

function fillRows(sewer: Sewer, region: Region, options: RowOptions): void {
  const { stitchMm, growMm, beneath } = options;
  const angle = (options.angleDeg * Math.PI) / 180;
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  const flat = ([x, y]: Place): Place => [cos * x + sin * y, cos * y - sin * x];
  const back = (x: number, y: number): Place => [cos * x - sin * y, sin * x + cos * y];
  const sections = sectionsOf(
    region.rings.map((ring) => ring.map(flat)),
    options.spacingMm,
    growMm,
  );
  const done = new Uint8Array(sections.length);
  const run = (x: number, y: number): void => sewer.sewAlong(steps(sewer.place, back(x, y)));

  for (let left = sections.length; left > 0;) {
    const [px, py] = flat(sewer.place);
    let best = -1;
    let bestRow: Row | null = null;
    let bestFar = Infinity;
    sections.forEach((section, i) => {
      if (done[i]) return;
      for (const row of [section.rows[0]!, section.rows.at(-1)!]) {
        const far = Math.hypot(Math.max(row.left - px, 0, px - row.right), row.y - py);
        if (far < bestFar) [best, bestRow, bestFar] = [i, row, far];
      }
    });
    const row = bestRow!;
    const inside = Math.min(row.innerRight, Math.max(row.innerLeft, px));
    const entry: Place = beneath ? back(inside, row.y) : back((row.innerLeft + row.innerRight) / 2, row.y);
    travel(sewer, region, entry);
    sewSection(best, row === sections[best]!.rows[0] ? "first" : "last");
    left = sections.length - done.reduce((sum, is) => sum + is, 0);
  }

  function sewSection(index: number, entry: "first" | "last"): void {
    done[index] = 1;
    const section = sections[index]!;
    const outwards = entry === "first" ? section.rows : [...section.rows].reverse();
    if (beneath) {
      sewRows(outwards);
      return;
    }
    visit(index, entry, outwards[0]!);
    walk(outwards);
    visit(index, entry === "first" ? "last" : "first", outwards.at(-1)!);
    sewRows([...outwards].reverse());
  }

  /** Sews all that hangs on one side of a section, and comes back to its row there. */
  function visit(index: number, side: "first" | "last", here: Row): void {
    for (const link of sections[index]!.links) {
      if (link.at !== side || done[link.other]) continue;
      const child = sections[link.other]!;
      const there = side === "first" ? child.rows.at(-1)! : child.rows[0]!;
      const x = within(here, (Math.max(here.innerLeft, there.innerLeft) + Math.min(here.innerRight, there.innerRight)) / 2); // prettier-ignore
      run(x, here.y);
      sewSection(link.other, side === "first" ? "last" : "first");
      // Back along the child's last row in a row's own stitches as far as needed; the next stitch goes over into this one.
      const [endX] = flat(sewer.place);
      const over = within(here, endX);
      const onward = within(there, over);
      if (Math.abs(onward - endX) > 1) {
        const row = { ...there, left: Math.min(endX, onward), right: Math.max(endX, onward) };
        for (const at of rowPlaces(row, onward > endX ? 1 : -1, stitchMm, null).slice(1))
          sewer.sewAlong(steps(sewer.place, back(at, there.y), stitchMm + 1));
      }
    }
  }

  /** Runs out through a section's rows near their middles, never leaving them. */
  function walk(rows: readonly Row[]): void {
    let [x] = flat(sewer.place);
    let at = 0;
    while (at < rows.length - 1) {
      let next = at + 1;
      let nextX = within(rows[next]!, (rows[next]!.innerLeft + rows[next]!.innerRight) / 2);
      for (let far = Math.min(rows.length - 1, at + 12); far > at + 1; far--) {
        const target = (rows[far]!.innerLeft + rows[far]!.innerRight) / 2;
        const [from, to] = [rows[at]!.y, rows[far]!.y];
        if (Math.hypot(target - x, to - from) > 3) continue;
        const stays = rows.slice(at + 1, far).every((row) => {
          const on = x + ((target - x) * (row.y - from)) / (to - from);
          return row.innerLeft + 0.1 <= on && on <= row.innerRight - 0.1;
        });
        if (stays) {
          [next, nextX] = [far, target];
          break;
        }
      }
      if (next === at + 1) run(within(rows[at]!, nextX), rows[at]!.y);
      run(nextX, rows[next]!.y);
      [x, at] = [nextX, next];
    }
  }

  function sewRows(rows: readonly Row[]): void {
    const [placeX] = flat(sewer.place);
    const begin = rows[0]!;
    let way: 1 | -1 = Math.abs(placeX - begin.right) < Math.abs(placeX - begin.left) ? -1 : 1;
    let turnX: number | null = null;
    for (const row of rows) {
      const places = rowPlaces(row, way, stitchMm, turnX);
      if (beneath && turnX !== null) travel(sewer, region, back(places[0]!, row.y));
      for (const x of places) sewer.sewAlong(steps(sewer.place, back(x, row.y), stitchMm + 1));
      turnX = places.at(-1)!;
      way = way === 1 ? -1 : 1;
    }
  }
}

const within = (row: Row, x: number): number => {
  const margin = Math.min(0.3, (row.innerRight - row.innerLeft) / 2);
  return Math.min(row.innerRight - margin, Math.max(row.innerLeft + margin, x));
};

/** Runs half a millimetre inside every ring. */
function edgeRuns(sewer: Sewer, rings: Rings, region: Region): void {
  const left = grownRings(rings, -EDGE_INSET_MM).map((ring) => resample(ring, 2));
  while (left.length > 0) {
    const [x, y] = sewer.place;
    let [ringAt, start, far] = [0, 0, Infinity];
    left.forEach((ring, r) =>
      ring.forEach((place, i) => {
        const own = Math.hypot(place[0] - x, place[1] - y);
        if (own < far) [ringAt, start, far] = [r, i, own];
      }),
    );
    const [ring] = left.splice(ringAt, 1) as [Place[]];
    travel(sewer, region, ring[start]!);
    for (let i = 1; i <= ring.length; i++) {
      const place = ring[(start + i) % ring.length]!;
      sewer.sewTo(place[0], place[1]);
    }
  }
}

/** A closed ring as places about `every` mm apart; where it bends, so near that no chord leaves it by more than `mostOffMm`. */
export function resample(ring: readonly Place[], every: number, mostOffMm = 0.15): Place[] {
  const count = ring.length;
  const along = [0];
  for (let i = 0; i < count; i++) {
    const [a, b] = [ring[i]!, ring[(i + 1) % count]!];
    along.push(along[i]! + Math.hypot(b[0] - a[0], b[1] - a[1]));
  }
  const total = along[count]!;
  const pieces = Math.max(3, Math.round(total / every));
  const places: Place[] = [];
  /** Puts the vertices between two places on the ring that stand off their chord. */
  const bend = (from: Place, to: Place, first: number, last: number): void => {
    let [worst, at] = [mostOffMm, -1];
    const length = Math.hypot(to[0] - from[0], to[1] - from[1]) || 1;
    for (let i = first; i <= last; i++) {
      const [x, y] = ring[i % count]!;
      const off = Math.abs((to[0] - from[0]) * (from[1] - y) - (from[0] - x) * (to[1] - from[1])) / length;
      if (off > worst) [worst, at] = [off, i];
    }
    if (at < 0) return;
    const corner = ring[at % count]!;
    bend(from, corner, first, at - 1);
    places.push(corner);
    bend(corner, to, at + 1, last);
  };
  let vertex = 0;
  let before: Place | null = null;
  for (let k = 0; k <= pieces; k++) {
    const s = (total * k) / pieces;
    const first = vertex + 1;
    while (vertex < count - 1 && along[vertex + 1]! <= s) vertex++;
    const [a, b] = [ring[vertex]!, ring[(vertex + 1) % count]!];
    const t = Math.min(1, (s - along[vertex]!) / (along[vertex + 1]! - along[vertex]! || 1));
    const here: Place = [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
    if (before) bend(before, here, first, vertex);
    if (k < pieces) places.push(here);
    before = here;
  }
  return places;
}

/** Whether a place is inside by the even-odd rule. */
export function isInside({ rings }: FillShape, [x, y]: Place): boolean {
  let inside = false;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i++) {
      const a = ring[i]!;
      const b = ring[(i + 1) % ring.length]!;
      if (a[1] > y !== b[1] > y && x < a[0] + ((y - a[1]) / (b[1] - a[1])) * (b[0] - a[0])) inside = !inside;
    }
  }
  return inside;
}

/** A straight run in stitches of at most `most` mm, its first place left out. */
export function steps(from: Place, to: Place, most = 2.5): Place[] {
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const count = Math.max(1, Math.ceil(length / most));
  return Array.from({ length: count }, (_, i): Place => [
    from[0] + ((to[0] - from[0]) * (i + 1)) / count,
    from[1] + ((to[1] - from[1]) * (i + 1)) / count,
  ]);
}
