import { runAlong, satinStitches, type SatinColumn, wideUnderlay } from "../satin";
import type { Sewer } from "../sewer";
import { at, nearestOn, type Place, spineOf } from "../spine";

/**
 * Sews a letter by "run out, satin back" (docs/models/stitches.md): its strokes are the branches of a tree. From the
 * place where the needle comes in, a run follows the strokes to the place where it should leave; rooted there, each stroke
 * is run outwards (the underlay), its side strokes are sewn where they leave it, and satin covers the way back. So
 * every travel lies under a satin column sewn later, and a letter whose strokes touch needs no cut.
 */
export interface LetterStroke {
  readonly places: readonly Place[];
  readonly closed: boolean;
  readonly widthMm: number;
}

interface Column extends SatinColumn {
  readonly widthMm: number;
}

interface Link {
  readonly column: number;
  readonly s: number;
  readonly other: number;
  readonly otherS: number;
}

/** Sews all strokes, touching groups one after the other from left to right, loose dots and marks last. */
export function sewStrokes(
  sewer: Sewer,
  strokes: readonly LetterStroke[],
  { pullMm, leaveAt }: { readonly pullMm: number; readonly leaveAt: Place },
): void {
  const { columns, links } = joinColumns(strokes);
  const groups = groupsOf(columns.length, links);
  const size = (group: readonly number[]): number =>
    group.reduce((sum, i) => sum + columns[i]!.spine.lengthMm, 0);
  const largest = groups.reduce((a, b) => (size(b) > size(a) ? b : a), groups[0]!);
  const rest = groups.filter((group) => group !== largest);
  sewGroup(sewer, columns, links, largest, leaveAt, pullMm);
  while (rest.length > 0) {
    const [x, y] = sewer.place;
    rest.sort((a, b) => groupDistance(columns, a, x, y) - groupDistance(columns, b, x, y));
    sewGroup(sewer, columns, links, rest.shift()!, leaveAt, pullMm);
  }
}

function groupDistance(columns: readonly Column[], group: readonly number[], x: number, y: number): number {
  return Math.min(...group.map((i) => nearestOn(columns[i]!.spine, x, y).far));
}

/** Finds where strokes meet and gives each its ends: free ends are rounded and go out half a width, joints lie inside. */
export function joinColumns(strokes: readonly LetterStroke[]): {
  readonly columns: readonly Column[];
  readonly links: readonly Link[];
} {
  const spines = strokes.map(({ places, closed, widthMm }) =>
    spineOf(places, { closed, smoothMm: Math.max(0.25, 0.22 * widthMm) }),
  );
  const links: Link[] = [];
  const ends = strokes.map(
    (): { from: number; to: number; start: "round" | "square"; end: "round" | "square" } => ({
      from: 0,
      to: 0,
      start: "round",
      end: "round",
    }),
  );
  const order = spines.map((_, i) => i).sort((a, b) => spines[b]!.lengthMm - spines[a]!.lengthMm);
  const rank = new Map(order.map((column, place) => [column, place]));
  const linked = (a: number, b: number, s: number): boolean =>
    links.some((link) => link.column === a && link.other === b && Math.abs(link.s - s) < strokes[a]!.widthMm);
  const join = (a: number, sa: number, b: number, sb: number): void => {
    links.push({ column: a, s: sa, other: b, otherS: sb }, { column: b, s: sb, other: a, otherS: sa });
  };
  spines.forEach((spine, i) => {
    const half = strokes[i]!.widthMm / 2;
    ends[i]!.from = spine.closed ? 0 : -0.97 * half;
    ends[i]!.to = spine.closed ? spine.lengthMm + 0.45 : spine.lengthMm + 0.97 * half;
    if (spine.closed) return;
    for (const which of ["start", "end"] as const) {
      const s = which === "start" ? 0 : spine.lengthMm;
      const here = at(spine, s);
      for (const j of order) {
        if (j === i) continue;
        const host = spines[j]!;
        const near = nearestOn(host, here.x, here.y);
        if (near.far > 0.35 * strokes[j]!.widthMm) continue;
        const hostHalf = strokes[j]!.widthMm / 2;
        const atHostEnd =
          !host.closed && (near.s < 0.9 * hostHalf || near.s > host.lengthMm - 0.9 * hostHalf);
        if (!linked(i, j, s)) join(i, s, j, near.s);
        if (atHostEnd && rank.get(i)! < rank.get(j)!) continue;
        // Two ends on one place: the longer stroke keeps the round end. On a body: stop a little short of its middle.
        const short = atHostEnd ? 0 : 0.3 * hostHalf;
        if (which === "start") {
          ends[i]!.from = short;
          ends[i]!.start = "square";
        } else {
          ends[i]!.to = spine.lengthMm - short;
          ends[i]!.end = "square";
        }
        break;
      }
    }
  });
  addCrossings(spines.length, strokes, spines, linked, join);
  const columns = spines.map((spine, i): Column => {
    const half = strokes[i]!.widthMm / 2;
    return { spine, halfMm: () => half, widthMm: strokes[i]!.widthMm, ...ends[i]! };
  });
  return { columns, links };
}

function addCrossings(
  count: number,
  strokes: readonly LetterStroke[],
  spines: readonly ReturnType<typeof spineOf>[],
  linked: (a: number, b: number, s: number) => boolean,
  join: (a: number, sa: number, b: number, sb: number) => void,
): void {
  for (let i = 0; i < count; i++) {
    for (let j = i + 1; j < count; j++) {
      const one = spines[i]!;
      let best = Infinity;
      let bestS = 0;
      let otherS = 0;
      for (let at = 0; at < one.x.length; at += 3) {
        const near = nearestOn(spines[j]!, one.x[at]!, one.y[at]!);
        if (near.far < best) {
          best = near.far;
          bestS = at * one.stepMm;
          otherS = near.s;
        }
      }
      if (best <= 0.25 * strokes[j]!.widthMm && !linked(i, j, bestS) && !linked(j, i, otherS))
        join(i, bestS, j, otherS);
    }
  }
}

function groupsOf(count: number, links: readonly Link[]): number[][] {
  const group = Array.from({ length: count }, (_, i) => i);
  const root = (i: number): number => (group[i] === i ? i : root(group[i]!));
  for (const { column, other } of links) group[root(column)] = root(other);
  const found = new Map<number, number[]>();
  for (let i = 0; i < count; i++) found.set(root(i), [...(found.get(root(i)) ?? []), i]);
  return [...found.values()];
}

function sewGroup(
  sewer: Sewer,
  columns: readonly Column[],
  links: readonly Link[],
  group: readonly number[],
  leaveAt: Place,
  pullMm: number,
): void {
  const leave = nearestEnd(columns, group, leaveAt);
  const enter = nearestEnd(columns, group, sewer.place);
  const first = at(columns[enter.column]!.spine, enter.s);
  sewer.moveTo(first.x, first.y);
  for (const leg of way(columns, links, enter, leave))
    sewer.sewAlong(runAlong(columns[leg.column]!, leg.from, leg.to));
  const seen = new Set<number>();
  sewTree(leave.column, leave.s);

  function sewTree(index: number, s: number): void {
    seen.add(index);
    const column = columns[index]!;
    for (const [out, back] of legsFrom(column, s)) {
      let place = s;
      const inLeg = links
        .filter((link) => link.column === index)
        .map((link) => ({ ...link, s: along(column, s, out, link.s) }))
        .filter((link) => between(link.s, s, out))
        .sort((a, b) => Math.abs(a.s - s) - Math.abs(b.s - s));
      for (const link of inLeg) {
        if (seen.has(link.other)) continue;
        sewer.sewAlong(runAlong(column, place, link.s));
        place = link.s;
        sewTree(link.other, link.otherS);
        const here = at(column.spine, place);
        sewer.sewTo(here.x, here.y);
      }
      const turn = out - Math.sign(out - s) * Math.min(0.4, Math.abs(out - s) / 4);
      sewer.sewAlong(runAlong(column, place, turn));
      sewer.sewAlong(wideUnderlay(column, s, out));
      sewer.sewAlong(satinStitches(column, { pullMm, from: out, to: back }));
    }
  }
}

const between = (value: number, a: number, b: number): boolean =>
  Math.min(a, b) - 0.6 <= value && value <= Math.max(a, b) + 0.6;

/** On a closed stroke places repeat each round; take the one on the way from `s` to `out`. */
function along(column: Column, s: number, out: number, value: number): number {
  if (!column.spine.closed)
    return Math.min(Math.max(column.from, column.to), Math.max(Math.min(column.from, column.to), value));
  const length = column.spine.lengthMm;
  const turn = Math.floor((value - Math.min(s, out)) / length);
  return value - turn * length;
}

/** The legs in which a stroke is sewn from `s`: out along the run to the first number, satin back to the second. */
function legsFrom(column: Column, s: number): readonly (readonly [out: number, back: number])[] {
  if (column.spine.closed) return [[s + column.spine.lengthMm + 0.3, s]];
  const nearStart = s - column.from < column.widthMm * 1.1;
  const nearEnd = column.to - s < column.widthMm * 1.1;
  if (nearStart) return [[column.to, column.from]];
  if (nearEnd) return [[column.from, column.to]];
  return [
    [column.from, s + 0.15],
    [column.to, s - 0.15],
  ];
}

interface Stand {
  readonly column: number;
  readonly s: number;
}

/** The stroke end (any place of a closed stroke) nearest to a point. */
function nearestEnd(columns: readonly Column[], group: readonly number[], [x, y]: Place): Stand {
  let best: Stand = { column: group[0]!, s: 0 };
  let bestFar = Infinity;
  for (const column of group) {
    const { spine } = columns[column]!;
    const stands = spine.closed ? [nearestOn(spine, x, y).s] : [0, spine.lengthMm];
    for (const s of stands) {
      const here = at(spine, s);
      const far = Math.hypot(here.x - x, here.y - y);
      if (far < bestFar) {
        bestFar = far;
        best = { column, s };
      }
    }
  }
  return best;
}

/** The fewest strokes from one stand to another, as pieces of strokes. */
function way(
  columns: readonly Column[],
  links: readonly Link[],
  from: Stand,
  to: Stand,
): { readonly column: number; readonly from: number; readonly to: number }[] {
  const came = new Map<number, Link | null>([[from.column, null]]);
  const queue = [from.column];
  for (let next = queue.shift(); next !== undefined && !came.has(to.column); next = queue.shift()) {
    for (const link of links) {
      if (link.column !== next || came.has(link.other)) continue;
      came.set(link.other, link);
      queue.push(link.other);
    }
  }
  const steps: Link[] = [];
  for (let link = came.get(to.column) ?? null; link !== null; link = came.get(link.column) ?? null)
    steps.unshift(link);
  const legs: { column: number; from: number; to: number }[] = [];
  let place = from;
  for (const link of steps) {
    legs.push({ column: place.column, from: place.s, to: shortWay(columns[place.column]!, place.s, link.s) });
    place = { column: link.other, s: link.otherS };
  }
  legs.push({ column: place.column, from: place.s, to: shortWay(columns[place.column]!, place.s, to.s) });
  return legs;
}

function shortWay(column: Column, from: number, to: number): number {
  if (!column.spine.closed) return to;
  const length = column.spine.lengthMm;
  const ahead = (((to - from) % length) + length) % length;
  return ahead <= length / 2 ? from + ahead : from + ahead - length;
}
