import type { Place } from "../spine";
import type { ColumnStroke, StrokeEnd } from "./stroke";

/** A stroke ready to be a column: smooth, its half width known at every place, nothing crossing it but at its ends. */
export interface SmoothStroke {
  readonly places: readonly Place[];
  readonly closed: boolean;
  readonly half: readonly number[];
  readonly startEnd: StrokeEnd;
  readonly endEnd: StrokeEnd;
}

/** A turn at one vertex from which on it is a corner, not a bend. */
const CORNER_RAD = (28 * Math.PI) / 180;

/** In half widths. */
const KINK_REACH = 0.4;

/** Cuts strokes at corners, joins ends that run on smoothly, and cuts the shorter of two strokes that cross. */
export function smoothStrokes(strokes: readonly ColumnStroke[]): SmoothStroke[] {
  const pieces = strokes.flatMap(cutAtTurns);
  const joined = joinSmoothEnds(pieces);
  return cutCrossings(joined);
}

export const lengthOf = (places: readonly Place[]): number => {
  let sum = 0;
  for (let i = 1; i < places.length; i++) sum += far(places[i - 1]!, places[i]!);
  return sum;
};

const far = (a: Place, b: Place): number => Math.hypot(b[0] - a[0], b[1] - a[1]);
const turnOf = (a: Place, b: Place, c: Place): number => {
  const ux = b[0] - a[0];
  const uy = b[1] - a[1];
  const vx = c[0] - b[0];
  const vy = c[1] - b[1];
  return Math.abs(Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy));
};

function cutAtTurns(stroke: ColumnStroke): SmoothStroke[] {
  const places: Place[] = [];
  const half: number[] = [];
  stroke.places.forEach((place, i) => {
    const last = places.at(-1);
    if (last !== undefined && far(last, place) < 1e-4) return;
    places.push(place);
    half.push(typeof stroke.halfMm === "number" ? stroke.halfMm : (stroke.halfMm[i] ?? stroke.halfMm.at(-1) ?? 0.5)); // prettier-ignore
  });
  if (places.length === 0) return [];
  if (places.length === 1) {
    places.push([places[0]![0] + 1e-3, places[0]![1]]);
    half.push(half[0]!);
  }
  let closed = stroke.closed && places.length > 3;
  if (closed && far(places[0]!, places.at(-1)!) > 1e-3) {
    places.push(places[0]!);
    half.push(half[0]!);
  }
  if (closed && turnOf(places.at(-2)!, places[0]!, places[1]!) > CORNER_RAD) closed = false;
  const cuts = [0];
  const sums = lengths(places);
  // A kink that near to an end is no corner: what it cuts off would lie within the end.
  const isAtEnd = (i: number): boolean =>
    !closed && Math.min(sums[i]! / half[0]!, (sums.at(-1)! - sums[i]!) / half.at(-1)!) < KINK_REACH;
  for (let i = 1; i < places.length - 1; i++)
    if (turnOf(places[i - 1]!, places[i]!, places[i + 1]!) > CORNER_RAD && !isAtEnd(i)) cuts.push(i);
  cuts.push(places.length - 1);
  const { startEnd = "round", endEnd = "round" } = stroke;
  if (closed && cuts.length > 2) {
    // A ring with corners: begin at the first one.
    const turned = (list: readonly number[] | readonly Place[], at: number): unknown[] => [...list.slice(at, -1), ...list.slice(0, at + 1)]; // prettier-ignore
    const at = cuts[1]!;
    return cutAtTurns({ places: turned(places, at) as Place[], halfMm: turned(half, at) as number[], closed: false, startEnd, endEnd }); // prettier-ignore
  }
  return cuts.slice(1).map((to, n) => ({
    places: places.slice(cuts[n]!, to + 1),
    half: half.slice(cuts[n]!, to + 1),
    closed,
    startEnd: n === 0 ? startEnd : "round",
    endEnd: n === cuts.length - 2 ? endEnd : "round",
  }));
}

/** The way a stroke leaves its start (or its end, going back), taken over about half its half width. */
function leaving(stroke: SmoothStroke, end: 0 | 1): Place {
  const places = end === 0 ? stroke.places : [...stroke.places].reverse();
  const reach = Math.max(0.2, 0.5 * stroke.half[end === 0 ? 0 : stroke.half.length - 1]!);
  let i = 1;
  while (i < places.length - 1 && far(places[0]!, places[i]!) < reach) i++;
  const d = far(places[0]!, places[i]!) || 1;
  return [(places[i]![0] - places[0]![0]) / d, (places[i]![1] - places[0]![1]) / d];
}

const reversed = (stroke: SmoothStroke): SmoothStroke => ({
  places: [...stroke.places].reverse(),
  half: [...stroke.half].reverse(),
  closed: stroke.closed,
  startEnd: stroke.endEnd,
  endEnd: stroke.startEnd,
});

function joinSmoothEnds(pieces: readonly SmoothStroke[]): SmoothStroke[] {
  const strokes = [...pieces];
  const isDot = (stroke: SmoothStroke): boolean => lengthOf(stroke.places) < stroke.half[0]!;
  for (;;) {
    let best: { i: number; a: 0 | 1; j: number; b: 0 | 1; turn: number } | null = null;
    for (let i = 0; i < strokes.length; i++) {
      const one = strokes[i]!;
      if (one.closed || isDot(one)) continue;
      for (let j = i; j < strokes.length; j++) {
        const two = strokes[j]!;
        if (two.closed || isDot(two)) continue;
        for (const a of [0, 1] as const) {
          for (const b of [0, 1] as const) {
            if (i === j && !(a === 0 && b === 1)) continue;
            if (i === j && lengthOf(one.places) < 6 * one.half[0]!) continue;
            const p = one.places[a === 0 ? 0 : one.places.length - 1]!;
            const q = two.places[b === 0 ? 0 : two.places.length - 1]!;
            const h = one.half[a === 0 ? 0 : one.half.length - 1]!;
            const g = two.half[b === 0 ? 0 : two.half.length - 1]!;
            if (far(p, q) > 0.2 * Math.min(h, g) || Math.max(h, g) > 1.35 * Math.min(h, g)) continue;
            const u = leaving(one, a);
            const v = leaving(two, b);
            const turn = Math.PI - Math.acos(Math.max(-1, Math.min(1, u[0] * v[0] + u[1] * v[1])));
            if (turn < CORNER_RAD && (best === null || turn < best.turn)) best = { i, a, j, b, turn };
          }
        }
      }
    }
    if (best === null) return strokes;
    const one = best.a === 1 ? strokes[best.i]! : reversed(strokes[best.i]!);
    if (best.i === best.j) {
      const whole = strokes[best.i]!;
      strokes[best.i] = {
        ...whole,
        closed: true,
        places: [...whole.places.slice(0, -1), whole.places[0]!],
      };
      continue;
    }
    const two = best.b === 0 ? strokes[best.j]! : reversed(strokes[best.j]!);
    strokes[best.i] = {
      places: [...one.places, ...two.places.slice(1)],
      half: [...one.half, ...two.half.slice(1)],
      closed: false,
      startEnd: one.startEnd,
      endEnd: two.endEnd,
    };
    strokes.splice(best.j, 1);
  }
}

interface Crossing {
  readonly sa: number;
  readonly sb: number;
}

/** Places where two lines cross, as lengths along each; for one line with itself each crossing once. */
function crossingsOf(a: SmoothStroke, b: SmoothStroke): Crossing[] {
  const same = a === b;
  const found: Crossing[] = [];
  const la = lengths(a.places);
  const lb = same ? la : lengths(b.places);
  for (let i = 1; i < a.places.length; i++) {
    const [p, q] = [a.places[i - 1]!, a.places[i]!];
    const left = Math.min(p[0], q[0]);
    const right = Math.max(p[0], q[0]);
    const low = Math.min(p[1], q[1]);
    const high = Math.max(p[1], q[1]);
    for (let j = same ? i + 2 : 1; j < b.places.length; j++) {
      const [r, s] = [b.places[j - 1]!, b.places[j]!];
      if (r[0] < left && s[0] < left) continue;
      if (r[0] > right && s[0] > right) continue;
      if (r[1] < low && s[1] < low) continue;
      if (r[1] > high && s[1] > high) continue;
      const dx = q[0] - p[0];
      const dy = q[1] - p[1];
      const ex = s[0] - r[0];
      const ey = s[1] - r[1];
      const det = dx * ey - dy * ex;
      if (Math.abs(det) < 1e-9) continue;
      const t = ((r[0] - p[0]) * ey - (r[1] - p[1]) * ex) / det;
      const u = ((r[0] - p[0]) * dy - (r[1] - p[1]) * dx) / det;
      if (t < 0 || t >= 1 || u < 0 || u >= 1) continue;
      found.push({ sa: la[i - 1]! + t * (la[i]! - la[i - 1]!), sb: lb[j - 1]! + u * (lb[j]! - lb[j - 1]!) });
    }
  }
  return found;
}

function lengths(places: readonly Place[]): number[] {
  const sums = [0];
  for (let i = 1; i < places.length; i++) sums.push(sums[i - 1]! + far(places[i - 1]!, places[i]!));
  return sums;
}

function cutCrossings(strokes: readonly SmoothStroke[]): SmoothStroke[] {
  const total = strokes.map((stroke) => lengthOf(stroke.places));
  const cuts = strokes.map((): number[] => []);
  /** Where an end reaches past the stroke it stands on: it is cut off there. */
  const trims = strokes.map(() => ({ from: 0, to: Infinity }));
  const boxes = strokes.map((stroke) => boxOf(stroke.places));
  for (let i = 0; i < strokes.length; i++) {
    for (let j = i; j < strokes.length; j++) {
      if (!meets(boxes[i]!, boxes[j]!)) continue;
      for (const { sa, sb } of crossingsOf(strokes[i]!, strokes[j]!)) {
        if (i === j && Math.abs(sb - sa) < 4 * strokes[i]!.half[0]!) continue;
        const one = { at: sa, index: i };
        const two = { at: sb, index: j };
        // Its own crossing is cut where the line comes first; else the shorter is cut, an open one before a ring.
        const weight = (n: number): number => total[n]! + (strokes[n]!.closed ? 1e6 : 0);
        const [cut, host] = i === j || weight(i) <= weight(j) ? [one, two] : [two, one];
        const hostHalf = halfNear(strokes[host.index]!, host.at, total[host.index]!);
        const hostFree = (side: number): boolean => side < hostHalf;
        const atHostEnd =
          !strokes[host.index]!.closed && (hostFree(host.at) || hostFree(total[host.index]! - host.at));
        const atCutEnd =
          !strokes[cut.index]!.closed && Math.min(cut.at, total[cut.index]! - cut.at) < 1.05 * hostHalf;
        if (atHostEnd && atCutEnd) continue;
        if (atHostEnd) {
          trimEnd(trims[host.index]!, host.at, total[host.index]!);
        } else if (atCutEnd) {
          trimEnd(trims[cut.index]!, cut.at, total[cut.index]!);
        } else cuts[cut.index]!.push(cut.at);
      }
    }
  }
  return strokes.flatMap((stroke, i) => cutAt(stroke, cuts[i]!, trims[i]!));
}

/** About how wide a stroke is at a length along it; ends that narrow to a point tell nothing of its width. */
function halfNear({ half }: SmoothStroke, s: number, total: number): number {
  const share = Math.min(0.9, Math.max(0.1, s / (total || 1)));
  return half[Math.round(share * (half.length - 1))]!;
}

function trimEnd(trim: { from: number; to: number }, at: number, total: number): void {
  if (at < total / 2) trim.from = Math.max(trim.from, at);
  else trim.to = Math.min(trim.to, at);
}

function cutAt(
  stroke: SmoothStroke,
  cuts: readonly number[],
  trim: { readonly from: number; readonly to: number },
): SmoothStroke[] {
  // prettier-ignore
  const sums = lengths(stroke.places);
  const total = sums.at(-1)!;
  if (cuts.length === 0 && trim.from === 0 && trim.to >= total) return [stroke];
  // A crossing at a corner of both lines is found more than once.
  const sorted = [...cuts]
    .sort((a, b) => a - b)
    .filter((s, i, all) => i === 0 || s - all[i - 1]! > 0.5 * stroke.half[0]!);
  const part = (from: number, to: number): { places: Place[]; half: number[] } => {
    const places = [pointAt(from)];
    const half = [halfAt(from)];
    sums.forEach((s, i) => {
      if (s > from + 1e-6 && s < to - 1e-6) {
        places.push(stroke.places[i]!);
        half.push(stroke.half[i]!);
      }
    });
    places.push(pointAt(to));
    half.push(halfAt(to));
    return { places, half };
  };
  const indexAt = (s: number): [number, number] => {
    let i = 1;
    while (i < sums.length - 1 && sums[i]! < s) i++;
    return [i, (s - sums[i - 1]!) / (sums[i]! - sums[i - 1]! || 1)];
  };
  const pointAt = (s: number): Place => {
    const [i, t] = indexAt(s);
    const [a, b] = [stroke.places[i - 1]!, stroke.places[i]!];
    return [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
  };
  const halfAt = (s: number): number => {
    const [i, t] = indexAt(s);
    return stroke.half[i - 1]! + t * (stroke.half[i]! - stroke.half[i - 1]!);
  };
  if (stroke.closed) {
    const pieces = sorted.map((from, n) => {
      const to = sorted[n + 1];
      if (to !== undefined) return part(from, to);
      const tail = part(from, total);
      const head = part(0, sorted[0]!);
      return {
        places: [...tail.places, ...head.places.slice(1)],
        half: [...tail.half, ...head.half.slice(1)],
      };
    });
    return pieces.map((piece) => ({ ...piece, closed: false, startEnd: "round", endEnd: "round" }));
  }
  const edges = [trim.from, ...sorted.filter((s) => s > trim.from && s < trim.to), Math.min(total, trim.to)];
  return edges.slice(1).map((to, n) => ({
    ...part(edges[n]!, to),
    closed: false,
    startEnd: n === 0 ? stroke.startEnd : "round",
    endEnd: n === edges.length - 2 ? stroke.endEnd : "round",
  }));
}

type Bounds = readonly [left: number, right: number, low: number, high: number];

function boxOf(places: readonly Place[]): Bounds {
  let [left, right, low, high] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const [x, y] of places) {
    left = Math.min(left, x);
    right = Math.max(right, x);
    low = Math.min(low, y);
    high = Math.max(high, y);
  }
  return [left, right, low, high];
}

const meets = (a: Bounds, b: Bounds): boolean => a[0] <= b[1] && b[0] <= a[1] && a[2] <= b[3] && b[2] <= a[3];
