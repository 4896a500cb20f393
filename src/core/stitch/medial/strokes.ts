import type { Place } from "../spine";
import type { Boundary } from "./boundary";
import {
  type AxisLine,
  bridge,
  crossing,
  cut,
  directionOf,
  distance,
  resampled,
  reversedLine,
  turnBetween,
  walked,
} from "./line";
import { lengthOf } from "./prune";
import type { Skeleton } from "./skeleton";

/**
 * How a stroke ends: `free` reaches the outline; `knot` stops at a place that other strokes reach too; `host` runs into
 * the stroke that goes through the knot.
 */
export type StrokeEnding =
  | { readonly kind: "free" }
  | { readonly kind: "knot"; readonly place: Place }
  | { readonly kind: "host"; readonly knot: number };

export interface AxisStroke extends AxisLine {
  readonly closed: boolean;
  readonly start: StrokeEnding;
  readonly end: StrokeEnding;
  /** The knots it goes through. */
  readonly through: readonly number[];
}

export interface StrokeOptions {
  readonly throughDeg: number;
  readonly cornerDeg: number;
  readonly buttDeg: number;
  readonly isInside: (place: Place) => boolean;
}

interface Piece extends AxisLine {
  start: StrokeEnding | { readonly kind: "open"; readonly knot: number };
  end: StrokeEnding | { readonly kind: "open"; readonly knot: number };
  readonly closed: boolean;
  readonly through: number[];
}

const STEP_MM = 0.08;
/** A stroke goes straight through a junction from this many of its radii before to as many after: the axis dips there. */
const BRIDGED_RADII = 1.35;

/** The graph as strokes: branches cut at corners, and joined through junctions where they go on straight. */
export function strokesOf(skeleton: Skeleton, boundary: Boundary, options: StrokeOptions): AxisStroke[] {
  const pieces: Piece[] = [];
  const counts = new Map<number, number>();
  for (const { a, b } of skeleton.branches) {
    counts.set(a, (counts.get(a) ?? 0) + 1);
    counts.set(b, (counts.get(b) ?? 0) + 1);
  }
  let corner = -1;
  for (const branch of skeleton.branches) {
    const loop = branch.a === branch.b && counts.get(branch.a) === 2;
    const ending = (knot: number): Piece["start"] =>
      counts.get(knot)! > 1 ? { kind: "open", knot } : { kind: "free" };
    if (lengthOf(branch.places) < 1e-3) continue;
    const whole: Piece = {
      ...resampled(branch, STEP_MM),
      start: loop ? { kind: "free" } : ending(branch.a),
      end: loop ? { kind: "free" } : ending(branch.b),
      closed: loop,
      through: [],
    };
    const cutUp = cutAtCorners(whole, boundary, options, () => corner--);
    pieces.push(...cutUp);
  }
  return joinThrough(pieces, skeleton, options);
}

/** The radius a given way along a line; beyond its ends that at the end. */
function widthNear({ places, radii }: AxisLine, s: number): number {
  const sums = walked(places);
  let i = 0;
  while (i < radii.length - 1 && sums[i]! < s) i++;
  return radii[i]!;
}

interface Corner {
  readonly index: number;
  readonly turn: number;
  readonly reach: number;
}

function cutAtCorners(
  piece: Piece,
  boundary: Boundary,
  options: StrokeOptions,
  newKnot: () => number,
): Piece[] {
  let line: AxisLine = piece;
  let corners = cornersOf(line, piece.closed, boundary, options);
  if (corners.length === 0) return [piece];
  if (piece.closed) {
    // Begin half way between two corners, so that every corner lies inside.
    const last = line.places.length - 1;
    const [a, b] = [corners.at(-1)!.index, corners[0]!.index + last];
    const from = Math.round((a + b) / 2) % last;
    const turned = <T>(list: readonly T[]): T[] => [...list.slice(from, last), ...list.slice(0, from + 1)];
    line = { places: turned(line.places), radii: turned(line.radii) };
    corners = cornersOf(line, false, boundary, options);
    if (corners.length === 0) return [piece];
  }
  const sums = walked(line.places);
  const parts: Piece[] = [];
  let from = 0;
  let start: Piece["start"] = piece.start;
  let lead: Place[] = [];
  for (const { index, reach } of corners) {
    const s = sums[index]!;
    const before = directionOf(line, Math.max(0, s - 2 * reach), s - reach);
    const after = directionOf(line, s + reach, Math.min(sums.at(-1)!, s + 2 * reach));
    const here = cut(line, s - reach, s + reach);
    const meets = crossing(here.places[0]!, before, here.places.at(-1)!, after);
    const turn = Math.abs(turnBetween(before, after));
    const far = 1.9 * line.radii[index]!;
    const node =
      meets !== null && distance(meets, line.places[index]!) < far && options.isInside(meets)
        ? meets
        : line.places[index]!;
    const kept = cut(line, from, Math.max(from + STEP_MM, s - reach));
    const acute = turn > options.buttDeg;
    // At a sharp corner the wider side runs through to the outline, or the longer of like ones; the other ends on it.
    const longerFirst = s - from > (sums.at(-1)! - s) / (corners.length > 1 ? 2 : 1);
    const wider = widthNear(line, s - 1.5 * reach) / widthNear(line, s + 1.5 * reach);
    const firstRuns = wider > 1.15 || (wider > 1 / 1.15 && longerFirst);
    const knot = newKnot();
    const ends: Piece = {
      places: [...lead, ...kept.places, ...(acute && firstRuns ? [] : [node])],
      radii: [
        ...lead.map(() => kept.radii[0]!),
        ...kept.radii,
        ...(acute && firstRuns ? [] : [line.radii[index]!]),
      ],
      start,
      end: acute && firstRuns ? { kind: "free" } : { kind: "knot", place: node },
      closed: false,
      through: acute && firstRuns ? [knot] : [],
    };
    parts.push(ends);
    from = s + reach;
    const runsThrough = acute && !firstRuns;
    start = runsThrough ? { kind: "free" } : { kind: "knot", place: node };
    lead = runsThrough ? [] : [node];
  }
  const rest = cut(line, Math.min(from, sums.at(-1)! - STEP_MM), sums.at(-1)!);
  const tail: Piece = {
    places: [...lead, ...rest.places],
    radii: [...lead.map(() => rest.radii[0]!), ...rest.radii],
    start,
    end: piece.end,
    closed: false,
    through: [],
  };
  if (!piece.closed) return [...parts, tail];
  // The first and the last part of a closed line are one.
  const [first, ...others] = parts;
  return [
    {
      places: [...tail.places, ...first!.places.slice(1)],
      radii: [...tail.radii, ...first!.radii.slice(1)],
      start: tail.start,
      end: first!.end,
      closed: false,
      through: [...tail.through, ...first!.through],
    },
    ...others,
  ];
}

/** Where a line turns sharply, by index, in order. */
function cornersOf(
  { places, radii }: AxisLine,
  closed: boolean,
  boundary: Boundary,
  { cornerDeg }: StrokeOptions,
): Corner[] {
  const last = places.length - 1;
  const step = distance(places[0]!, places[1]!) || STEP_MM;
  const at = (i: number): Place | null =>
    closed ? places[((i % last) + last) % last]! : i < 0 || i > last ? null : places[i]!;
  const turnAt = (i: number, reachMm: number, baseMm: number): number => {
    const w = Math.max(1, Math.round(reachMm / step));
    const d = Math.max(2, Math.round(baseMm / step));
    const [p, q, u, v] = [at(i - w - d), at(i - w), at(i + w), at(i + w + d)];
    if (p === null || q === null || u === null || v === null) return 0;
    return turnBetween([q[0] - p[0], q[1] - p[1]], [v[0] - u[0], v[1] - u[1]]);
  };
  const found: (Corner & { readonly score: number })[] = [];
  for (let i = 0; i <= last; i++) {
    const r = radii[i]!;
    const base = Math.max(0.16, 0.5 * r);
    const near = turnAt(i, 0.35 * r, base);
    const wide = turnAt(i, 1.1 * r, base);
    const middle = turnAt(i, 0.9 * r, base);
    const sharp =
      Math.abs(near) > cornerDeg ||
      Math.abs(wide) > 112 ||
      (Math.abs(middle) > 58 && hasOutlineCorner(boundary, places[i]!, r, middle, i, at));
    if (!sharp) continue;
    found.push({ index: i, turn: wide, reach: 0.9 * r, score: Math.abs(near) + Math.abs(middle) });
  }
  found.sort((a, b) => b.score - a.score);
  const kept: Corner[] = [];
  for (const corner of found) {
    const apart = kept.every((other) => {
      const gap = Math.abs(corner.index - other.index);
      return (closed ? Math.min(gap, last - gap) : gap) * step > 2.2 * radii[corner.index]!;
    });
    if (apart) kept.push(corner);
  }
  return kept.sort((a, b) => a.index - b.index);
}

/** Whether the outline has a sharp corner on the outer side of a bend. */
function hasOutlineCorner(
  { corners }: Boundary,
  here: Place,
  radius: number,
  turn: number,
  i: number,
  at: (i: number) => Place | null,
): boolean {
  const [before, after] = [at(i - 2), at(i + 2)];
  if (before === null || after === null) return false;
  const dx = after[0] - before[0];
  const dy = after[1] - before[1];
  return corners.some(({ place, turnDeg }) => {
    if (turnDeg < 45 || distance(place, here) > 1.75 * radius) return false;
    const side = dx * (place[1] - here[1]) - dy * (place[0] - here[0]);
    return side * turn < 0;
  });
}

/**
 * The direction of a line at its start as it is seen from a little way off, where a junction does not bend it: between
 * two ways along it, and turned on by as much as the line bends there.
 */
function arriving(line: AxisLine, from: number, to: number): Place {
  const direction = directionOf(line, from, to);
  const span = to - from;
  if (lengthOf(line.places) < to + span) return direction;
  const further = directionOf(line, to, to + span);
  const rate = turnBetween(further, direction) / span;
  const turn = Math.max(-40, Math.min(40, 0.8 * rate * (from + span / 2)));
  const [cos, sin] = [Math.cos((turn * Math.PI) / 180), Math.sin((turn * Math.PI) / 180)];
  return [cos * direction[0] - sin * direction[1], sin * direction[0] + cos * direction[1]];
}

function joinThrough(pieces: Piece[], skeleton: Skeleton, { throughDeg }: StrokeOptions): AxisStroke[] {
  interface End {
    readonly piece: Piece;
    readonly atStart: boolean;
  }
  const byKnot = new Map<number, End[]>();
  for (const piece of pieces) {
    for (const atStart of [true, false]) {
      const ending = atStart ? piece.start : piece.end;
      if (ending.kind !== "open") continue;
      byKnot.set(ending.knot, [...(byKnot.get(ending.knot) ?? []), { piece, atStart }]);
    }
  }
  const owner = new Map<Piece, Piece>();
  const live = (piece: Piece): Piece => (owner.has(piece) ? live(owner.get(piece)!) : piece);
  const all = new Set(pieces);
  /** What each original end has become: pieces are joined, so ends are found again by their knot. */
  const outgoing = ({ piece, atStart }: End): { line: AxisLine; length: number } => {
    const line = atStart ? piece : reversedLine(piece);
    return { line, length: lengthOf(line.places) };
  };
  for (const [knot, ends] of byKnot) {
    const { place, radius } = skeleton.knots.get(knot)!;
    const looks = ends.map((end) => {
      const { line, length } = outgoing(end);
      const from = Math.min(0.9 * radius, length * 0.4);
      const to = Math.min(1.7 * radius, length * 0.9);
      return {
        end,
        direction: arriving(line, from, to),
        width: cut(line, from, to).radii.at(-1)!,
        length,
      };
    });
    let best: { one: number; two: number; cost: number } | null = null;
    for (let one = 0; one < looks.length; one++) {
      for (let two = one + 1; two < looks.length; two++) {
        const bend = 180 - Math.abs(turnBetween(looks[one]!.direction, looks[two]!.direction));
        const cost = bend + 25 * Math.abs(Math.log(looks[one]!.width / looks[two]!.width));
        const limit = looks.length === 2 ? 180 : throughDeg;
        if (bend <= limit && (best === null || cost < best.cost)) best = { one, two, cost };
      }
    }
    if (best !== null) {
      const [one, two] = [looks[best.one]!.end, looks[best.two]!.end];
      const joined = joinEnds(one, two, radius, knot);
      all.delete(one.piece);
      all.delete(two.piece);
      all.add(joined);
      replaceEnds(byKnot, one, two, joined, knot);
      owner.set(one.piece, joined);
      if (two.piece !== one.piece) owner.set(two.piece, joined);
    }
    looks.forEach(({ end }, i) => {
      if (best !== null && (i === best.one || i === best.two)) return;
      const piece = live(end.piece);
      const ending: StrokeEnding = best === null ? { kind: "knot", place } : { kind: "host", knot };
      // A piece that was joined at its other end may run the other way now.
      const isStart = piece.start.kind === "open" && piece.start.knot === knot;
      const isEnd = piece.end.kind === "open" && piece.end.knot === knot;
      if (isStart && (!isEnd || end.atStart)) piece.start = ending;
      else if (isEnd) piece.end = ending;
    });
  }
  return [...all].map((piece): AxisStroke => ({
    ...piece,
    start: piece.start.kind === "open" ? { kind: "free" } : piece.start,
    end: piece.end.kind === "open" ? { kind: "free" } : piece.end,
  }));

  function joinEnds(one: End, two: End, radius: number, knot: number): Piece {
    const loop = one.piece === two.piece;
    const first = one.atStart ? reversedLine(one.piece) : one.piece;
    const firstStart = one.atStart ? one.piece.end : one.piece.start;
    const length = lengthOf(first.places);
    const back = Math.min(BRIDGED_RADII * radius, length * (loop ? 0.25 : 0.4));
    if (loop) {
      const kept = cut(first, back, length - back);
      const inner = join(kept, kept, radius);
      const places = [...kept.places, ...inner.places, kept.places[0]!];
      return {
        places,
        radii: [...kept.radii, ...inner.radii, kept.radii[0]!],
        start: { kind: "free" },
        end: { kind: "free" },
        closed: true,
        through: [...one.piece.through, knot],
      };
    }
    const second = two.atStart ? two.piece : reversedLine(two.piece);
    const secondEnd = two.atStart ? two.piece.end : two.piece.start;
    const secondLength = lengthOf(second.places);
    const a = cut(first, 0, length - back);
    const b = cut(second, Math.min(BRIDGED_RADII * radius, secondLength * 0.4), secondLength);
    const inner = join(a, b, radius);
    return {
      places: [...a.places, ...inner.places, ...b.places],
      radii: [...a.radii, ...inner.radii, ...b.radii],
      start: firstStart,
      end: secondEnd,
      closed: false,
      through: [...one.piece.through, ...two.piece.through, knot],
    };
  }

  function join(a: AxisLine, b: AxisLine, radius: number): AxisLine {
    const la = lengthOf(a.places);
    const lb = lengthOf(b.places);
    const reach = Math.max(0.2, 0.7 * radius);
    const da = directionOf(a, Math.max(0, la - reach), la);
    const db = directionOf(b, 0, Math.min(lb, reach));
    const places = bridge(a.places.at(-1)!, da, b.places[0]!, db, STEP_MM);
    const [ra, rb] = [a.radii.at(-1)!, b.radii[0]!];
    return { places, radii: places.map((_, i) => ra + ((rb - ra) * (i + 1)) / (places.length + 1)) };
  }

  function replaceEnds(map: Map<number, End[]>, one: End, two: End, joined: Piece, knot: number): void {
    if (joined.closed) return;
    // The far end of the first piece is the joined piece's start, the far end of the second its end.
    const swap = (piece: Piece, atStart: boolean, toStart: boolean): void => {
      for (const [at, list] of map) {
        const index = list.findIndex((end) => end.piece === piece && end.atStart === atStart);
        if (index >= 0 && !(at === knot && (list[index] === one || list[index] === two)))
          list[index] = { piece: joined, atStart: toStart };
      }
    };
    swap(one.piece, !one.atStart, true);
    swap(two.piece, !two.atStart, false);
  }
}
