import { SEWING } from "./cloth";
import type { Sewer } from "./sewer";
import type { Place } from "./spine";

/**
 * Row fill (docs/models/stitches.md): the shape is turned so that rows lie flat, cut by rows on a lattice fixed to the
 * design, and the pieces of neighbouring rows that overlap one to one are chained to sections (H. Choset, "Coverage of
 * known spaces: the boustrophedon cellular decomposition", Autonomous Robots 9 (2000) 247–253). Sections are walked
 * depth first: a run goes out through a section not yet sewn, all sections behind it are sewn, then it is sewn itself
 * on the way back. Invariant: a run between sections lies inside the shape, and rows sewn later cover it.
 */
export interface FillShape {
  /** Rings in mm; a place is inside where an odd number of them is round it. */
  readonly rings: readonly (readonly Place[])[];
}

export interface FillOptions {
  readonly angleDeg?: number;
  readonly spacingMm?: number;
  readonly stitchMm?: number;
  readonly pullMm?: number;
  /** Rows across underneath, and a run inside the edge. */
  readonly underlay?: "full" | "edge" | "none";
}

interface Row {
  readonly index: number;
  readonly left: number;
  readonly right: number;
}

interface Section {
  readonly rows: Row[];
  readonly links: { readonly other: number; readonly at: "first" | "last" }[];
}

/** Sews a fill into the shape: edge run and cross rows first, then the rows. */
export function rowFill(sewer: Sewer, shape: FillShape, options: FillOptions = {}): void {
  const {
    angleDeg = 0,
    spacingMm = SEWING.rowSpacingMm,
    stitchMm = SEWING.fillStitchMm,
    pullMm = 0.2,
    underlay = "full",
  } = options;
  if (underlay !== "none") for (const ring of shape.rings) edgeRun(sewer, shape, ring);
  if (underlay === "full") {
    fillRows(sewer, shape, { angleDeg: angleDeg + 90, spacingMm: 2.2, stitchMm: 3, growMm: -0.6 });
  }
  fillRows(sewer, shape, { angleDeg, spacingMm, stitchMm, growMm: pullMm });
}

interface RowOptions {
  readonly angleDeg: number;
  readonly spacingMm: number;
  readonly stitchMm: number;
  /** Added to both ends of each row; below 0 the rows stay inside the edge. */
  readonly growMm: number;
}

function fillRows(
  sewer: Sewer,
  shape: FillShape,
  { angleDeg, spacingMm, stitchMm, growMm }: RowOptions,
): void {
  const angle = (angleDeg * Math.PI) / 180;
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  const flat = ([x, y]: Place): Place => [cos * x + sin * y, cos * y - sin * x];
  const back = (x: number, y: number): Place => [cos * x - sin * y, sin * x + cos * y];
  const sections = sectionsOf(
    shape.rings.map((ring) => ring.map(flat)),
    spacingMm,
    growMm,
  );
  const done = new Set<number>();
  while (done.size < sections.length) {
    const [px, py] = flat(sewer.place);
    let best = -1;
    let bestFar = Infinity;
    sections.forEach((section, i) => {
      if (done.has(i)) return;
      for (const row of [section.rows[0]!, section.rows.at(-1)!]) {
        const far = Math.hypot(Math.max(row.left - px, 0, px - row.right), row.index * spacingMm - py);
        if (far < bestFar) {
          bestFar = far;
          best = i;
        }
      }
    });
    const section = sections[best]!;
    const first = section.rows[0]!;
    const last = section.rows.at(-1)!;
    const fromFirst = Math.abs(first.index * spacingMm - py) <= Math.abs(last.index * spacingMm - py);
    const entry = fromFirst ? first : last;
    const [ex, ey] = middleOf(entry);
    const [x, y] = back(ex, ey);
    if (sewer.hasSewn && insideLine(shape, sewer.place, [x, y])) sewer.sewAlong(steps(sewer.place, [x, y]));
    else sewer.moveTo(x, y);
    sewSection(best, fromFirst ? "first" : "last");
  }

  function middleOf(row: Row): Place {
    return [(row.left + row.right) / 2, row.index * spacingMm];
  }

  function sewSection(index: number, entry: "first" | "last"): void {
    done.add(index);
    const section = sections[index]!;
    const visit = (side: "first" | "last"): void => {
      for (const link of section.links) {
        if (link.at !== side || done.has(link.other)) continue;
        const child = sections[link.other]!;
        const [x, y] = middleOf(side === "first" ? child.rows.at(-1)! : child.rows[0]!);
        sewer.sewAlong(steps(sewer.place, back(x, y)));
        sewSection(link.other, side === "first" ? "last" : "first");
        const [mx, my] = middleOf(side === "first" ? section.rows[0]! : section.rows.at(-1)!);
        sewer.sewAlong(steps(sewer.place, back(mx, my)));
      }
    };
    visit(entry);
    // From the entry out along the middles of the rows, then the rows from there back.
    const outwards = entry === "first" ? section.rows : [...section.rows].reverse();
    const skip = Math.max(1, Math.round(2.4 / spacingMm));
    for (let i = skip; i < outwards.length - 1; i += skip) {
      const [x, y] = middleOf(outwards[i]!);
      sewer.sewAlong(steps(sewer.place, back(x, y)));
    }
    if (outwards.length > 1) {
      const [x, y] = middleOf(outwards.at(-1)!);
      sewer.sewAlong(steps(sewer.place, back(x, y)));
    }
    visit(entry === "first" ? "last" : "first");
    let rightwards = true;
    const [placeX] = flat(sewer.place);
    const begin = outwards.at(-1)!;
    if (Math.abs(placeX - begin.right) < Math.abs(placeX - begin.left)) rightwards = false;
    for (let i = outwards.length - 1; i >= 0; i--) {
      for (const x of rowPlaces(outwards[i]!, rightwards ? 1 : -1, stitchMm)) {
        const [px, py] = back(x, outwards[i]!.index * spacingMm);
        sewer.sewAlong(steps(sewer.place, [px, py], stitchMm + 1));
      }
      rightwards = !rightwards;
    }
  }
}

// Which quarter of a stitch each row is shifted by: no two neighbours alike, no slanting lines.
const SHIFTS = [0, 0.5, 0.25, 0.75];

const TURN_BACK_MM = 0.45;

/** Penetrations of a row in sewing order: its ends, and a lattice fixed to the design between them. */
function rowPlaces(row: Row, way: 1 | -1, stitchMm: number): number[] {
  const shift = SHIFTS[((row.index % 4) + 4) % 4]! * stitchMm;
  const places = [row.left];
  for (let k = Math.ceil((row.left + 1 - shift) / stitchMm); k * stitchMm + shift <= row.right - 1; k++) {
    places.push(k * stitchMm + shift);
  }
  places.push(row.right);
  if (way === -1) places.reverse();
  // The first needle point after a turn stands back, so that the turn is no short stitch and the edge no ridge.
  if (row.right - row.left > 1) places[0] = places[0]! + way * TURN_BACK_MM;
  return places;
}

function sectionsOf(rings: readonly (readonly Place[])[], spacing: number, grow: number): Section[] {
  const ys = rings.flatMap((ring) => ring.map(([, y]) => y));
  const firstRow = Math.ceil(Math.min(...ys) / spacing);
  const lastRow = Math.floor(Math.max(...ys) / spacing);
  const sections: Section[] = [];
  let open: { readonly section: number; readonly row: Row }[] = [];
  for (let index = firstRow; index <= lastRow; index++) {
    const rows = cutRow(rings, index, spacing, grow);
    const touches = (a: Row, b: Row): boolean => a.left < b.right && b.left < a.right;
    const now: { section: number; row: Row }[] = [];
    for (const row of rows) {
      const above = open.filter((before) => touches(before.row, row));
      const only = above.length === 1 ? above[0]! : null;
      if (only !== null && rows.filter((other) => touches(only.row, other)).length === 1) {
        sections[only.section]!.rows.push(row);
        now.push({ section: only.section, row });
        continue;
      }
      const section = sections.length;
      sections.push({ rows: [row], links: [] });
      for (const before of above) {
        sections[before.section]!.links.push({ other: section, at: "last" });
        sections[section]!.links.push({ other: before.section, at: "first" });
      }
      now.push({ section, row });
    }
    open = now;
  }
  return sections;
}

/** The pieces of one row inside the shape (even-odd), lengthened or shortened at both ends. */
function cutRow(rings: readonly (readonly Place[])[], index: number, spacing: number, grow: number): Row[] {
  // A hair off the lattice, so that no corner lies exactly on a row.
  const y = index * spacing + 1e-7;
  const cuts: number[] = [];
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i++) {
      const a = ring[i]!;
      const b = ring[(i + 1) % ring.length]!;
      if (a[1] > y === b[1] > y) continue;
      cuts.push(a[0] + ((y - a[1]) / (b[1] - a[1])) * (b[0] - a[0]));
    }
  }
  cuts.sort((a, b) => a - b);
  const rows: Row[] = [];
  for (let i = 0; i + 1 < cuts.length; i += 2) {
    const left = cuts[i]! - grow;
    const right = cuts[i + 1]! + grow;
    if (right - left < 0.5) continue;
    const last = rows.at(-1);
    // Rows grown into one another are one.
    if (last !== undefined && left <= last.right) rows[rows.length - 1] = { index, left: last.left, right };
    else rows.push({ index, left, right });
  }
  return rows;
}

/** A run half a millimetre inside the ring; where it would leave the shape it is broken off. */
function edgeRun(sewer: Sewer, shape: FillShape, ring: readonly Place[]): void {
  const inset = 0.6;
  const places = resample(ring, 2);
  let open = false;
  for (let i = 0; i <= places.length; i++) {
    const here = places[i % places.length]!;
    const before = places[(i + places.length - 1) % places.length]!;
    const after = places[(i + 1) % places.length]!;
    const length = Math.hypot(after[0] - before[0], after[1] - before[1]) || 1;
    const normal: Place = [-(after[1] - before[1]) / length, (after[0] - before[0]) / length];
    const sides = [1, -1].map((side): Place => [
      here[0] + side * inset * normal[0],
      here[1] + side * inset * normal[1],
    ]);
    const place = sides.find((side) => isInside(shape, side));
    if (place === undefined) {
      open = false;
      continue;
    }
    if (open && insideLine(shape, sewer.place, place)) sewer.sewTo(place[0], place[1]);
    else if (sewer.hasSewn && insideLine(shape, sewer.place, place))
      sewer.sewAlong(steps(sewer.place, place));
    else sewer.moveTo(place[0], place[1]);
    open = true;
  }
}

function resample(ring: readonly Place[], every: number): Place[] {
  const places: Place[] = [];
  let rest = 0;
  for (let i = 0; i < ring.length; i++) {
    const a = ring[i]!;
    const b = ring[(i + 1) % ring.length]!;
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    let s = rest;
    for (; s < length; s += every)
      places.push([a[0] + ((b[0] - a[0]) * s) / length, a[1] + ((b[1] - a[1]) * s) / length]);
    rest = s - length;
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

/** Whether a straight line stays inside the shape, tried every 0.4 mm. */
function insideLine(shape: FillShape, from: Place, to: Place): boolean {
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const count = Math.max(2, Math.ceil(length / 0.4));
  for (let i = 0; i <= count; i++) {
    const place: Place = [
      from[0] + ((to[0] - from[0]) * i) / count,
      from[1] + ((to[1] - from[1]) * i) / count,
    ];
    if (!isInside(shape, place)) return false;
  }
  return true;
}

/** A straight run in stitches of at most `most` mm, its first place left out. */
function steps(from: Place, to: Place, most = 2.5): Place[] {
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const count = Math.max(1, Math.ceil(length / most));
  return Array.from({ length: count }, (_, i): Place => [
    from[0] + ((to[0] - from[0]) * (i + 1)) / count,
    from[1] + ((to[1] - from[1]) * (i + 1)) / count,
  ]);
}
