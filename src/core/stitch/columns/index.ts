/**
 * Satin columns: any set of strokes that touch, sewn as one. Letters, outline fonts and thin artwork all come here.
 * Strokes are made smooth (`prepare`), joined (`join`), each place of a column has a rung cut by its joints (`column`),
 * rungs become a zig-zag (`zigzag`) over underlay, and a tree of columns is sewn by "run out, satin back" (`plan`).
 */
import { SEWING } from "../cloth";
import type { Sewer } from "../sewer";
import { nearestOn, type Place } from "../spine";
import type { Column } from "./column";
import { Crowd } from "./crowd";
import { joinColumns, type Link } from "./join";
import { sewTree } from "./plan";
import { smoothStrokes } from "./prepare";
import type { ColumnStroke, SewColumnsOptions } from "./stroke";

export type { CoveredPlace } from "./plan";
export type { ColumnStroke, SewColumnsOptions, StrokeEnd } from "./stroke";

/**
 * Sews all strokes with satin, those that touch as one piece without a cut: the largest piece first, loose ones (dots,
 * accents) after it, nearest first. The needle comes in where it is nearest and leaves as near to `leaveAt` as it can.
 */
export function sewColumns(sewer: Sewer, strokes: readonly ColumnStroke[], options: SewColumnsOptions): void {
  if (strokes.length === 0) return;
  const { pullMm, leaveAt, clip, splitMm = SEWING.splitSatinMm, underlay = "full" } = options;
  const { columns, links } = joinColumns(smoothStrokes(strokes), { pullMm, clipped: clip !== undefined });
  const groups = groupsOf(columns.length, links);
  const size = (group: readonly number[]): number =>
    group.reduce((sum, i) => sum + columns[i]!.spine.lengthMm, 0);
  const largest = groups.reduce((a, b) => (size(b) > size(a) ? b : a));
  const rest = groups.filter((group) => group !== largest);
  const towards = placesOf(leaveAt);
  const plan = { crowd: new Crowd(), pullMm, pitchMm: options.pitchMm, clip, splitMm, wide: underlay === "full", onRun: options.onRun, onSatin: options.onSatin }; // prettier-ignore
  let next: readonly number[] | undefined = largest;
  while (next !== undefined) {
    const now: readonly number[] = next;
    const [x, y] = sewer.place;
    rest.sort((a, b) => groupDistance(columns, a, x, y) - groupDistance(columns, b, x, y));
    sewTree(sewer, columns, links, now, { ...plan, leaveAt: rest.length === 0 ? towards : nearestSpots(columns, now, rest) }); // prettier-ignore
    const [px, py] = sewer.place;
    rest.sort((a, b) => groupDistance(columns, a, px, py) - groupDistance(columns, b, px, py));
    next = rest.shift();
  }
}

const placesOf = (leaveAt: Place | readonly Place[]): readonly Place[] =>
  typeof leaveAt[0] === "number" ? [leaveAt as Place] : (leaveAt as readonly Place[]);

/** A few places of the groups still to be sewn. */
function nearestSpots(
  columns: readonly Column[],
  now: readonly number[],
  rest: readonly (readonly number[])[],
): Place[] {
  // prettier-ignore
  const spots = rest.map((group): Place => {
    const { spine } = columns[group[0]!]!;
    const middle = spine.x.length >> 1;
    return [spine.x[middle]!, spine.y[middle]!];
  });
  const far = ([x, y]: Place): number => groupDistance(columns, now, x, y);
  return spots.sort((a, b) => far(a) - far(b)).slice(0, 1);
}

function groupDistance(columns: readonly Column[], group: readonly number[], x: number, y: number): number {
  return Math.min(...group.map((i) => nearestOn(columns[i]!.spine, x, y).far));
}

function groupsOf(count: number, links: readonly Link[]): number[][] {
  const group = Array.from({ length: count }, (_, i) => i);
  const root = (i: number): number => (group[i] === i ? i : root(group[i]!));
  for (const { column, other } of links) group[root(column)] = root(other);
  const found = new Map<number, number[]>();
  for (let i = 0; i < count; i++) found.set(root(i), [...(found.get(root(i)) ?? []), i]);
  return [...found.values()];
}
