import { at, nearestOn, spineOf } from "../spine";
import { type Butt, type Column, type EndRule, halfAt, PUSH_MM } from "./column";
import type { SmoothStroke } from "./prepare";
import type { Place } from "../spine";

/** Two columns touch: at `s` of the first and `otherS` of the other. Each touch is listed both ways. */
export interface Link {
  readonly column: number;
  readonly s: number;
  readonly other: number;
  readonly otherS: number;
}

interface LooseEnd {
  readonly column: Column;
  readonly which: 0 | 1;
  readonly x: number;
  readonly y: number;
  /** The way from the end into the column. */
  readonly angle: number;
}

/** Columns of the strokes, each end with its rule, and where they touch. */
export function joinColumns(
  strokes: readonly SmoothStroke[],
  { pullMm, clipped }: { readonly pullMm: number; readonly clipped: boolean },
): { readonly columns: readonly Column[]; readonly links: readonly Link[] } {
  const columns = strokes.map((stroke, index) => columnOf(stroke, index));
  const links: Link[] = [];
  const link = (a: Column, sa: number, b: Column, sb: number): void => {
    links.push({ column: a.index, s: sa, other: b.index, otherS: sb }, { column: b.index, s: sb, other: a.index, otherS: sa }); // prettier-ignore
  };
  const loose: LooseEnd[] = [];
  for (const column of columns) {
    if (column.spine.closed) continue;
    for (const which of [0, 1] as const) {
      const butt = buttOf(column, which, columns);
      // Of two ends that lie on one another's bodies one runs through: cut by both, neither would cover the place.
      if (butt === null || endsOn(butt, column, which)) {
        loose.push(looseEnd(column, which));
        continue;
      }
      setEnd(column, which, butt, 0);
      if (butt.host !== column) link(column, which === 0 ? 0 : column.spine.lengthMm, butt.host, butt.hostS);
    }
  }
  const used = new Set<LooseEnd>();
  for (const end of loose) {
    if (used.has(end)) continue;
    const group = loose.filter(
      (other) =>
        !used.has(other) &&
        (other === end || other.column !== end.column || other.column.spine.lengthMm > 3 * endHalf(end)) &&
        Math.hypot(other.x - end.x, other.y - end.y) <= 0.45 * Math.max(endHalf(end), endHalf(other)),
    );
    group.forEach((one) => used.add(one));
    if (group.length === 1) {
      const { column, which } = end;
      const shape = strokes[column.index]![which === 0 ? "startEnd" : "endEnd"];
      const h = endHalf(end);
      const more = clipped
        ? 1.1 * h + 0.2
        : shape === "round"
          ? Math.max(0, h - pushOf(column, h, pullMm))
          : -PUSH_MM / 2;
      setEnd(column, which, { kind: "free", shape }, more);
      continue;
    }
    mitre(group, pullMm);
    for (let i = 0; i < group.length; i++)
      for (let j = i + 1; j < group.length; j++)
        link(group[i]!.column, sOf(group[i]!), group[j]!.column, sOf(group[j]!));
  }
  return { columns, links };
}

/** Whether a host's own end stands on this end of the column. Ends may narrow to a point: the host tells the width. */
function endsOn({ host, hostS }: Butt, column: Column, which: 0 | 1): boolean {
  const s = which === 0 ? 0 : column.spine.lengthMm;
  const near = 2.5 * Math.max(halfAt(column, s), halfAt(host, hostS)) + 0.5;
  return host !== column && host.ends.some((rule) => rule.kind === "butt" && rule.host === column && Math.abs(rule.hostS - s) < near); // prettier-ignore
}

/** Dots push half as much; narrow columns on firm cloth push less, and have less end to spare. */
function pushOf({ spine }: Column, h: number, pullMm: number): number {
  const firm = h < 0.7 && pullMm < 0.3;
  if (spine.lengthMm < h) return firm ? PUSH_MM / 4 : PUSH_MM / 2;
  return firm ? 0.7 * PUSH_MM : PUSH_MM;
}

const sOf = ({ column, which }: LooseEnd): number => (which === 0 ? 0 : column.spine.lengthMm);
const endHalf = (end: LooseEnd): number => halfAt(end.column, sOf(end));

function columnOf(stroke: SmoothStroke, index: number): Column {
  const middle = stroke.half[stroke.half.length >> 1]!;
  const spine = spineOf(stroke.places, {
    closed: stroke.closed,
    smoothMm: Math.max(0.25, 0.45 * middle),
  });
  const half = new Float64Array(spine.x.length);
  // Half widths along the same lengths as the spine was resampled by.
  let i = 1;
  let before = 0;
  let span = Math.hypot(stroke.places[1]![0] - stroke.places[0]![0], stroke.places[1]![1] - stroke.places[0]![1]); // prettier-ignore
  for (let n = 0; n < half.length; n++) {
    const s = n * spine.stepMm;
    while (i < stroke.places.length - 1 && before + span < s) {
      before += span;
      i++;
      span = Math.hypot(
        stroke.places[i]![0] - stroke.places[i - 1]![0],
        stroke.places[i]![1] - stroke.places[i - 1]![1],
      );
    }
    const t = Math.min(1, Math.max(0, (s - before) / (span || 1)));
    half[n] = stroke.half[i - 1]! + t * (stroke.half[i]! - stroke.half[i - 1]!);
  }
  const free: EndRule = { kind: "free", shape: "round" };
  return { index, spine, half, ends: [free, free], from: 0, to: spine.lengthMm };
}

function setEnd(column: Column, which: 0 | 1, rule: EndRule, beyondMm: number): void {
  column.ends = which === 0 ? [rule, column.ends[1]] : [column.ends[0], rule];
  if (which === 0) column.from = -beyondMm;
  else column.to = column.spine.lengthMm + beyondMm;
}

/** The body an end stands on, if any: the nearest, not near that body's own ends. */
function buttOf(column: Column, which: 0 | 1, columns: readonly Column[]): Butt | null {
  // prettier-ignore
  const s = which === 0 ? 0 : column.spine.lengthMm;
  const here = at(column.spine, s);
  let best = Infinity;
  let found: { host: Column; hostS: number } | null = null;
  for (const host of columns) {
    const near = host === column ? nearestAway(column, s) : nearestOn(host.spine, here.x, here.y);
    if (near === null) continue;
    const hostHalf = halfAt(host, near.s);
    if (near.far > 0.55 * hostHalf + 0.05 || near.far >= best) continue;
    if (!host.spine.closed && Math.min(near.s, host.spine.lengthMm - near.s) < 0.85 * hostHalf) continue;
    best = near.far;
    found = { host, hostS: near.s };
  }
  if (found === null) return null;
  const { host, hostS } = found;
  return { kind: "butt", host, hostS, side: sideOf(column, which, host, hostS) };
}

/** The side of its host a butted column lies on: where it first comes out of the host's body, or is furthest from it. */
function sideOf(column: Column, which: 0 | 1, host: Column, hostS: number): 1 | -1 {
  const { lengthMm } = column.spine;
  const hostHalf = halfAt(host, hostS);
  let farthest = 0;
  let side: 1 | -1 = 1;
  for (let out = 0.3; out <= Math.min(lengthMm, 10 * hostHalf); out += 0.2) {
    const { x, y } = at(column.spine, which === 0 ? out : lengthMm - out);
    const near = nearestIn(host, hostS, x, y, 5 * hostHalf);
    if (near.far <= farthest) continue;
    farthest = near.far;
    const point = at(host.spine, near.s);
    side = (x - point.x) * point.nx + (y - point.y) * point.ny >= 0 ? 1 : -1;
    if (farthest > 0.8 * hostHalf) break;
  }
  return side;
}

/** The nearest place of a column within a window round `s`. */
function nearestIn(
  { spine }: Column,
  s: number,
  x: number,
  y: number,
  reachMm: number,
): { s: number; far: number } {
  // prettier-ignore
  let best = { s, far: Infinity };
  for (let along = s - reachMm; along <= s + reachMm; along += 0.1) {
    const place = spine.closed ? along : Math.min(spine.lengthMm, Math.max(0, along));
    const point = at(spine, place);
    const far = Math.hypot(point.x - x, point.y - y);
    if (far < best.far) best = { s: place, far };
  }
  return best;
}

/** The nearest place of a column's own body to its end at `s`, the end's neighbourhood left out. */
function nearestAway(column: Column, s: number): { s: number; far: number } | null {
  const { spine } = column;
  const here = at(spine, s);
  let best: { s: number; far: number } | null = null;
  for (let i = 0; i < spine.x.length; i++) {
    const along = i * spine.stepMm;
    if (Math.abs(along - s) < 4 * halfAt(column, s)) continue;
    const far = Math.hypot(spine.x[i]! - here.x, spine.y[i]! - here.y);
    if (best === null || far < best.far) best = { s: along, far };
  }
  return best;
}

function looseEnd(column: Column, which: 0 | 1): LooseEnd {
  const { spine } = column;
  const s = which === 0 ? 0 : spine.lengthMm;
  const here = at(spine, s);
  const reach = Math.min(spine.lengthMm, Math.max(0.4, 1.1 * halfAt(column, s)));
  const there = at(spine, which === 0 ? reach : spine.lengthMm - reach);
  return { column, which, x: here.x, y: here.y, angle: Math.atan2(there.y - here.y, there.x - here.x) };
}

/** Star mitre: each column keeps the wedge between the bisectors to its neighbours round the node. */
function mitre(group: readonly LooseEnd[], pullMm: number): void {
  const x = group.reduce((sum, end) => sum + end.x, 0) / group.length;
  const y = group.reduce((sum, end) => sum + end.y, 0) / group.length;
  const round = [...group].sort((a, b) => a.angle - b.angle);
  round.forEach((end, i) => {
    const h = endHalf(end);
    const keep: Place[] = [];
    let narrowest = Math.PI;
    for (const way of [1, -1]) {
      const neighbour = round[(i + way + round.length) % round.length]!;
      let gap = way * (neighbour.angle - end.angle);
      while (gap <= 0) gap += 2 * Math.PI;
      if (round.length === 2 && gap > Math.PI) continue;
      narrowest = Math.min(narrowest, gap);
      const bisector = end.angle + (way * gap) / 2;
      // The normal of the bisecting line that points to this column's side.
      const normal = bisector - (way * Math.PI) / 2;
      keep.push([Math.cos(normal), Math.sin(normal)]);
    }
    const reachMm = (1.3 * (h + pullMm)) / Math.tan(Math.max(0.12, narrowest / 2)) + 0.6 * h;
    setEnd(end.column, end.which, { kind: "mitre", x, y, keep, reachMm }, h + pullMm);
  });
}
