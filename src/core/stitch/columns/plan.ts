import { SEWING } from "../cloth";
import { at, nearestOn, type Place } from "../spine";
import type { Sewer } from "../sewer";
import { type Column, halfAt, type Rung, rungAt } from "./column";
import type { Link } from "./join";
import { runPlaces, wideUnderlay } from "./underlay";
import { zigzag, type ZigzagOptions } from "./zigzag";

/** A penetration of a run or of underlay, and the column whose satin covers it later. */
export interface CoveredPlace {
  readonly x: number;
  readonly y: number;
  readonly coveredBy: number;
}

export interface PlanOptions extends ZigzagOptions {
  readonly leaveAt: readonly Place[];
  readonly wide: boolean;
  /** Told of each run penetration and of each column whose satin is done; for proofs. */
  readonly onRun?: ((place: CoveredPlace) => void) | undefined;
  readonly onSatin?: ((column: number) => void) | undefined;
}

/** The run to where the needle will leave keeps left of the middle and the run out right of it: side by side. */
const LANE_MM = 0.22;

interface Stand {
  readonly column: number;
  readonly s: number;
}

/** To leave a column inside its length makes a seam; so much further away an end may be. */
const SEAM_COST_MM = 1.6;
/** A cut costs as much as this way. */
const CUT_COST_MM = 4;
/** The needle comes in this far inside a column's edge. */
const EDGE_INSET_MM = 0.2;
/** Two halves of one column pass one another by twice this. */
const HALVES_OVERLAP_MM = 0.12;

/**
 * Sews columns that touch by "run out, satin back" (docs/models/stitches.md). The needle comes in where it is nearest,
 * runs to where it will leave; rooted there the columns are a tree: each is run outwards, its side columns are sewn
 * where they touch, and its satin covers the way back. Invariant: a run penetration lies inside the rungs of a column
 * whose satin is sewn later; where there is none, the run is left out and satin goes on from satin.
 */
export function sewTree(
  sewer: Sewer,
  columns: readonly Column[],
  links: readonly Link[],
  group: readonly number[],
  options: PlanOptions,
): void {
  // prettier-ignore
  const linksOf = new Map<number, Link[]>();
  for (const link of links) linksOf.set(link.column, [...(linksOf.get(link.column) ?? []), link]);
  const leave = leavingStand(columns, group, options.leaveAt);
  const nearest = enteringStand(columns, group, sewer.place);
  // A new thread may as well begin where it will leave: that spares the run there.
  const edge = beside(columns[nearest.column]!, nearest.s, edgeTowards(columns[nearest.column]!, nearest.s, sewer.place, options)); // prettier-ignore
  const enter = sewer.beginsAt(edge.x, edge.y) ? leave : nearest;
  const done = new Set<number>();
  const seen = new Set<number>();

  const rungCovers = (column: Column, s: number, offset = 0): boolean => {
    const rung: Rung | null = rungAt(column, s, options);
    return rung !== null && rung.lo <= offset - 0.15 && rung.hi >= offset + 0.15;
  };
  /** Which column not yet sewn will lie over `column` at `s`, `offset` to the left of its middle; −1 when none will. */
  const coverAt = (column: Column, s: number, offset: number): number => {
    if (!done.has(column.index) && rungCovers(column, s, offset)) return column.index;
    const here = beside(column, s, offset);
    for (const link of linksOf.get(column.index) ?? []) {
      const other = columns[link.other]!;
      if (done.has(link.other)) continue;
      const near = nearestOn(other.spine, here.x, here.y);
      if (near.far <= 0.8 * halfAt(other, near.s) && rungAt(other, near.s, options) !== null)
        return link.other;
    }
    return -1;
  };
  /** Needle points on the way to a place further off than a stitch may be. */
  const approach = (x: number, y: number): void => {
    if (!sewer.hasSewn) return;
    const [fromX, fromY] = sewer.place;
    const pieces = Math.ceil(Math.hypot(x - fromX, y - fromY) / (options.splitMm - 0.15));
    for (let i = 1; i < pieces; i++)
      sewer.sewTo(fromX + ((x - fromX) * i) / pieces, fromY + ((y - fromY) * i) / pieces);
  };
  const underneath = (x: number, y: number, coveredBy: number): void => {
    approach(x, y);
    if (!sewer.sewTo(x, y)) return;
    options.crowd.add(x, y);
    options.onRun?.({ x, y, coveredBy });
  };
  const run = (column: Column, from: number, to: number, lane: 1 | -1): void => {
    for (const s of runPlaces(column, from, to)) {
      const offset = lane * Math.min(LANE_MM, Math.max(0, halfAt(column, s) + options.pullMm - 0.4));
      const coveredBy = coverAt(column, s, offset);
      if (coveredBy < 0) continue;
      const { x, y } = beside(column, s, offset);
      underneath(x, y, coveredBy);
    }
  };

  /** A dot has no length to run along: across its middle towards where the satin begins. */
  const runDot = (column: Column, out: number): void => {
    const reach = 0.55 * halfAt(column, 0);
    const ends = [-reach, column.spine.lengthMm + reach];
    for (const s of out > 0 ? ends : [ends[1]!, ends[0]!]) {
      const { x, y } = at(column.spine, s);
      underneath(x, y, column.index);
    }
  };

  const sewColumn = (index: number, s: number): void => {
    seen.add(index);
    const column = columns[index]!;
    for (const [out, back] of legsFrom(column, s)) {
      let place = s;
      const onTheWay = (linksOf.get(index) ?? [])
        .map((link) => ({ ...link, s: placeOnLeg(column, s, out, link.s) }))
        .filter((link) => between(link.s, s, out))
        .sort((a, b) => Math.abs(a.s - s) - Math.abs(b.s - s));
      for (const link of onTheWay) {
        if (seen.has(link.other)) continue;
        run(column, place, link.s, -1);
        place = link.s;
        sewColumn(link.other, link.otherS);
      }
      if (isDot(column)) runDot(column, out);
      else run(column, place, turnOf(column, place, out, rungCovers), -1);
      if (options.wide)
        for (const [x, y] of wideUnderlay(column, back, out, options)) underneath(x, y, index);
      const satin = zigzag(column, out, back, options);
      if (satin.length > 0) approach(...satin[0]!);
      const isLast = index === leave.column && Math.abs(back - s) < 0.5;
      sewer.sewAlong(isLast ? endedTowards(satin, options.leaveAt) : satin);
    }
    done.add(index);
    options.onSatin?.(index);
  };

  // Where the shape ends before its stroke does, the needle comes in where satin will be.
  const entered = columns[enter.column]!;
  let entry = enter.s;
  const inwards = entry > entered.spine.lengthMm / 2 ? -0.1 : 0.1;
  for (let n = 0; n * 0.1 < entered.spine.lengthMm && coverAt(entered, entry, 0) < 0; n++) entry += inwards;
  // From another piece the needle comes in at the near edge, so that the thread between them is as short as may be.
  const aside = sewer.hasSewn ? edgeTowards(entered, entry, sewer.place, options) : 0;
  const { x, y } = beside(entered, entry, coverAt(entered, entry, aside) < 0 ? 0 : aside);
  sewer.moveTo(x, y);
  for (const leg of wayBetween(columns, linksOf, enter, leave))
    run(columns[leg.column]!, leg.from, leg.to, 1);
  sewColumn(leave.column, leave.s);
  // Groups are linked throughout; a column that no leg came by would stay bare.
  for (const index of group) if (!seen.has(index)) sewColumn(index, columns[index]!.spine.closed ? 0 : columns[index]!.from); // prettier-ignore
}

function beside({ spine }: Column, s: number, offset: number): { readonly x: number; readonly y: number } {
  const { x, y, nx, ny } = at(spine, s);
  return { x: x + offset * nx, y: y + offset * ny };
}

/** How far aside of a column's middle its edge is towards a place, a little inside what satin will cover. */
function edgeTowards(column: Column, s: number, [px, py]: Place, options: PlanOptions): number {
  const rung = rungAt(column, s, options);
  if (rung === null) return 0;
  const { x, y, nx, ny } = at(column.spine, s);
  const way = (px - x) * nx + (py - y) * ny;
  const inside = Math.max(0, (way > 0 ? rung.hi : -rung.lo) - EDGE_INSET_MM);
  return Math.sign(way) * Math.min(Math.abs(way), inside);
}

/** Satin ends on the side that is nearer to what is sewn next: its last needle point is left out where that helps. */
function endedTowards(satin: Place[], next: readonly Place[]): Place[] {
  const [before, last] = [satin.at(-2), satin.at(-1)];
  if (before === undefined || last === undefined || satin.length < 8) return satin;
  const far = ([x, y]: Place): number => Math.min(...next.map(([px, py]) => Math.hypot(px - x, py - y)));
  return far(before) < far(last) - 0.5 ? satin.slice(0, -1) : satin;
}

const isDot = (column: Column): boolean => !column.spine.closed && column.spine.lengthMm < halfAt(column, 0);

/** Where the run turns: a little before the end, in the middle of what its own satin will cover. */
function turnOf(
  column: Column,
  place: number,
  out: number,
  covers: (column: Column, s: number) => boolean,
): number {
  // prettier-ignore
  const way = Math.sign(out - place);
  let turn = column.spine.closed ? out : Math.min(column.spine.lengthMm, Math.max(0, out));
  while ((turn - place) * way > 0.3 && !covers(column, turn)) turn -= way * 0.1;
  const inset = Math.min(0.3, Math.abs(turn - place) / 4);
  return column.spine.closed ? turn : turn - way * inset;
}

/** The legs a column is sewn in from `s`: out along the run to the first number, satin back to the second. */
function legsFrom(column: Column, s: number): readonly (readonly [out: number, back: number])[] {
  if (column.spine.closed) return [[s + column.spine.lengthMm, s]];
  const near = 1.2 * halfAt(column, s) + 0.3;
  if (s < near) return [[column.to, column.from]];
  if (column.spine.lengthMm - s < near) return [[column.from, column.to]];
  return [
    [column.from, s + HALVES_OVERLAP_MM],
    [column.to, s - HALVES_OVERLAP_MM],
  ];
}

const between = (value: number, a: number, b: number): boolean =>
  Math.min(a, b) - 0.6 <= value && value <= Math.max(a, b) + 0.6;

/** On a ring places repeat each round; take the one on the way from `s` to `out`. */
function placeOnLeg({ spine }: Column, s: number, out: number, value: number): number {
  if (!spine.closed) return Math.min(spine.lengthMm, Math.max(0, value));
  const turns = Math.floor((value - Math.min(s, out)) / spine.lengthMm);
  return value - turns * spine.lengthMm;
}

/** Where the needle may leave: at an end, or inside a column when that is much nearer to what comes next. */
function leavingStand(columns: readonly Column[], group: readonly number[], next: readonly Place[]): Stand {
  let best: Stand = { column: group[0]!, s: 0 };
  let bestCost = Infinity;
  const offer = (column: number, s: number, cost: number): void => {
    if (cost >= bestCost) return;
    bestCost = cost;
    best = { column, s };
  };
  for (const index of group) {
    const column = columns[index]!;
    const { spine } = column;
    const cut = (far: number, s: number): number =>
      far - halfAt(column, s) > SEWING.trimGapMm ? CUT_COST_MM : 0;
    for (const [x, y] of next) {
      if (!spine.closed) {
        for (const s of [0, spine.lengthMm]) {
          const here = at(spine, s);
          const far = Math.hypot(here.x - x, here.y - y);
          offer(index, s, far + cut(far + 0.6 * halfAt(column, s), s));
        }
      }
      const near = nearestOn(spine, x, y);
      offer(index, near.s, near.far + cut(near.far, near.s) + (spine.closed ? 0 : SEAM_COST_MM));
    }
  }
  return best;
}

/** Where the needle comes in: the nearest place of all; the run from there is covered. */
function enteringStand(columns: readonly Column[], group: readonly number[], [x, y]: Place): Stand {
  let best: Stand = { column: group[0]!, s: 0 };
  let bestFar = Infinity;
  for (const index of group) {
    const near = nearestOn(columns[index]!.spine, x, y);
    if (near.far >= bestFar) continue;
    bestFar = near.far;
    best = { column: index, s: near.s };
  }
  return best;
}

interface Leg {
  readonly column: number;
  readonly from: number;
  readonly to: number;
}

/** The way through the fewest columns from one stand to another. */
function wayBetween(
  columns: readonly Column[],
  linksOf: ReadonlyMap<number, readonly Link[]>,
  from: Stand,
  to: Stand,
): Leg[] {
  // prettier-ignore
  const came = new Map<number, Link | null>([[from.column, null]]);
  const queue = [from.column];
  for (let next = queue.shift(); next !== undefined && !came.has(to.column); next = queue.shift()) {
    for (const link of linksOf.get(next) ?? []) {
      if (came.has(link.other)) continue;
      came.set(link.other, link);
      queue.push(link.other);
    }
  }
  const steps: Link[] = [];
  for (let link = came.get(to.column) ?? null; link !== null; link = came.get(link.column) ?? null)
    steps.unshift(link);
  const legs: Leg[] = [];
  let stand = from;
  for (const link of steps) {
    legs.push({ column: stand.column, from: stand.s, to: shortWay(columns[stand.column]!, stand.s, link.s) });
    stand = { column: link.other, s: link.otherS };
  }
  legs.push({ column: stand.column, from: stand.s, to: shortWay(columns[stand.column]!, stand.s, to.s) });
  return legs;
}

function shortWay({ spine }: Column, from: number, to: number): number {
  if (!spine.closed) return to;
  const length = spine.lengthMm;
  const ahead = (((to - from) % length) + length) % length;
  return ahead <= length / 2 ? from + ahead : from + ahead - length;
}
