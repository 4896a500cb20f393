/**
 * One quantity learned: robust values of the finest groups (robust.ts), joined on the tree of its levels (tree.ts).
 */
import { studentQuantile } from "#core/base";
import type { LearnedKey, QuantityKind } from "./quantities";
import { robustLocation, type RobustLocation, SPREAD_WEIGHT } from "./robust";
import {
  type BelievedNode,
  believe,
  betweenVariance,
  type GroupNode,
  membersSay,
  USUAL_WEIGHT,
} from "./tree";

/** A value measured, the value usually planned for it, and on what. */
export interface Measurement extends LearnedKey {
  readonly value: number;
  readonly usual: number;
  readonly atMs: number;
}

/** In the long run as many evenly weighted measurements as the newest-weigh-most window is worth. */
export const MEMORY = 60;
/** The level of every range told. */
export const RANGE_LEVEL = 0.9;

/** Half the width of a range in standard deviations when so much stands behind them. */
export const rangeWidth = (degrees: number): number => studentQuantile((1 + RANGE_LEVEL) / 2, degrees);

export interface GroupCount {
  readonly observations: number;
  readonly rejected: number;
}

export interface QuantityLearned {
  readonly believed: BelievedNode;
  /** τ² of each level, the first for groups under the shop. */
  readonly between: readonly number[];
  readonly leaves: ReadonlyMap<string, RobustLocation>;
  /** Measurements of every group, by its path from the shop down. */
  readonly counts: ReadonlyMap<string, GroupCount>;
  readonly spread: number;
  /** What stands behind the spread and behind each τ², in degrees of freedom. */
  readonly degrees: { readonly spread: number; readonly between: readonly number[] };
}

/** The path of a key down a quantity's levels; what is not known stands as its own nameless group. */
export const pathOf = (kind: QuantityKind, key: LearnedKey): string[] =>
  kind.levels.map((level) => key[level] ?? "");
export const joined = (path: readonly string[]): string => path.join("\u0000");

/** Learns one quantity from its measurements, in any order. */
export function learnQuantity(
  kind: QuantityKind,
  observations: readonly Measurement[],
  memory: number,
): QuantityLearned {
  const groups = groupsOf(kind, observations);
  // Once to see how single values scatter in this shop, then with that in the place of the usual scatter.
  const { spread } = pooledSpread(kind, [...leavesOf(groups, kind.usualSpread, memory).values()]);
  const leaves = leavesOf(groups, spread, memory);
  const pooled = pooledSpread(kind, [...leaves.values()]);
  const root = treeOf(leaves);
  const between = betweenOf(kind, root);
  const prior = { mean: 0, variance: kind.usualBetween[0]! ** 2 };
  return {
    believed: believe(root, prior, between),
    between,
    leaves,
    counts: countsOf(leaves),
    spread: pooled.spread,
    degrees: { spread: pooled.degrees, between: between.map((_, level) => degreesBetween(root, level)) },
  };
}

function countsOf(leaves: ReadonlyMap<string, RobustLocation>): Map<string, GroupCount> {
  const counts = new Map<string, GroupCount>();
  for (const [key, leaf] of leaves) {
    const path = key.split("\u0000");
    for (let depth = 0; depth <= path.length; depth++) {
      const group = groupKey(path.slice(0, depth));
      const known = counts.get(group) ?? { observations: 0, rejected: 0 };
      counts.set(group, {
        observations: known.observations + leaf.kept,
        rejected: known.rejected + leaf.rejected,
      });
    }
  }
  return counts;
}

/** A group's key in `counts`. */
export const groupKey = (path: readonly string[]): string => `${path.length}${joined(path)}`;

/** The logarithms of each finest group in the order of time. */
function groupsOf(kind: QuantityKind, observations: readonly Measurement[]): Map<string, number[]> {
  const groups = new Map<string, Measurement[]>();
  for (const one of observations) {
    const key = joined(pathOf(kind, one));
    const known = groups.get(key);
    if (known) known.push(one);
    else groups.set(key, [one]);
  }
  const inOrder = (a: Measurement, b: Measurement) => a.atMs - b.atMs || a.value - b.value;
  return new Map(
    [...groups].map(([key, group]) => [
      key,
      group.sort(inOrder).map((one) => Math.log(one.value / one.usual)),
    ]),
  );
}

function leavesOf(
  groups: ReadonlyMap<string, readonly number[]>,
  usualSpread: number,
  memory: number,
): Map<string, RobustLocation> {
  const leaves = new Map<string, RobustLocation>();
  for (const [key, values] of groups) {
    const found = robustLocation({ values, usualSpread, memory });
    if (found) leaves.set(key, found);
  }
  return leaves;
}

type DraftNode = { own: GroupNode["own"]; members: Map<string, DraftNode> };

function treeOf(leaves: ReadonlyMap<string, RobustLocation>): GroupNode {
  const root: DraftNode = { own: null, members: new Map() };
  for (const [key, { location, variance }] of leaves) {
    let node = root;
    for (const id of key.split("\u0000")) {
      const known = node.members.get(id) ?? { own: null, members: new Map() };
      node.members.set(id, known);
      node = known;
    }
    node.own = { mean: location, variance };
  }
  return root;
}

/** τ² level by level, the innermost first, since the outer ones are seen through it. */
function betweenOf(kind: QuantityKind, root: GroupNode): number[] {
  const usual = kind.usualBetween.slice(1).map((spread) => spread * spread);
  const between = [...usual];
  for (let level = usual.length - 1; level >= 0; level--) {
    const families = nodesAt(root, level).map((node) => membersSay(node, between.slice(level + 1)));
    between[level] = betweenVariance(families, usual[level]!);
  }
  return between;
}

/** What stands behind the τ² of a level: the usual one's weight and what its families of groups tell. */
const degreesBetween = (root: GroupNode, level: number): number =>
  USUAL_WEIGHT +
  Math.max(0, nodesAt(root, level).reduce((sum, node) => sum + Math.max(0, node.members.size - 1), 0) - 2);

const nodesAt = (node: GroupNode, depth: number): GroupNode[] =>
  depth === 0 ? [node] : [...node.members.values()].flatMap((member) => nodesAt(member, depth - 1));

/** The spread of single values over all groups, for those that have none of their own. */
function pooledSpread(kind: QuantityKind, leaves: readonly RobustLocation[]) {
  const worth = leaves.reduce((sum, leaf) => sum + Math.max(0, leaf.effective - 1), 0);
  // Undrawn: drawn to the usual in each group it would be drawn as often as there are groups.
  const squares = leaves.reduce((sum, leaf) => sum + leaf.squares, 0);
  const degrees = SPREAD_WEIGHT + worth;
  return { spread: Math.sqrt((SPREAD_WEIGHT * kind.usualSpread ** 2 + squares) / degrees), degrees };
}
