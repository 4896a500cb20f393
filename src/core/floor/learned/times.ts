import {
  groupKey,
  joined,
  learnQuantity,
  MEMORY,
  pathOf,
  type QuantityLearned,
  RANGE_LEVEL,
  rangeWidth,
} from "./groups";
import {
  type LearnedKey,
  type LearnedQuantity,
  levelWords,
  type QuantityKind,
  quantityKinds,
} from "./quantities";
import { type RobustLocation, SPREAD_WEIGHT } from "./robust";

/** One time (or speed) measured on the floor. */
export interface TimeObservation extends LearnedKey {
  readonly quantity: LearnedQuantity;
  /** In the quantity's unit; what is not above 0 is left out. */
  readonly value: number;
  /** What would have been planned for it without any learning, in the same unit. */
  readonly usual: number;
  readonly atMs: number;
}

/** What the floor's times have taught; ask it with `learnedTime`. */
export interface LearnedTimes {
  readonly quantities: ReadonlyMap<LearnedQuantity, QuantityLearned>;
}

export interface LearnedTimesSettings {
  readonly memory?: number;
}

/** Learns from all times measured, in any order. Takes about 10 ms for a thousand of them. */
export function learnTimes(
  observations: readonly TimeObservation[],
  { memory = MEMORY }: LearnedTimesSettings = {},
): LearnedTimes {
  const byQuantity = new Map<LearnedQuantity, TimeObservation[]>();
  for (const one of observations) {
    if (!(one.value > 0 && one.usual > 0 && Number.isFinite(one.value / one.usual))) continue;
    const known = byQuantity.get(one.quantity);
    if (known) known.push(one);
    else byQuantity.set(one.quantity, [one]);
  }
  return {
    quantities: new Map(
      [...byQuantity].map(([quantity, own]) => [
        quantity,
        learnQuantity(quantityKinds[quantity], own, memory),
      ]),
    ),
  };
}

export interface LearnedRange {
  readonly low: number;
  readonly high: number;
}

/** What a time (or speed) is believed to be. All values in `unit`. */
export interface LearnedValue {
  /** The typical value: half of all take longer. */
  readonly estimate: number;
  /** What many of them average: for times above the typical one, since single long ones weigh; what a plan adds up. */
  readonly average: number;
  readonly unit: QuantityKind["unit"];
  /** Measurements used: of just this, or of the nearest group that has any. */
  readonly observations: number;
  /** Left out as interrupted, in the same group. */
  readonly rejected: number;
  /** The typical value lies here with the chance `level`. */
  readonly low: number;
  readonly high: number;
  readonly level: number;
  /** Nine of ten single ones lie here. */
  readonly single: LearnedRange;
  readonly source: "learned" | "default" | "fixed";
  /** What the measurements are of: the finest level that has any; "shop" above all, "nothing" without any. */
  readonly of: keyof LearnedKey | "shop" | "nothing";
  /** What was learned, where a person has fixed another value. */
  readonly learnedEstimate: number;
  readonly sentence: string;
}

export interface LearnedAsked extends LearnedKey {
  readonly quantity: LearnedQuantity;
  /** What is planned without any learning, in the quantity's unit. */
  readonly usual: number;
  /** A value fixed by hand; null leaves it to what was learned. */
  readonly fixed: number | null;
}

/** What a time is believed to be: measured where it was, drawn to what is known of its kin where it hardly was. */
export function learnedTime(learned: LearnedTimes, asked: LearnedAsked): LearnedValue {
  const kind = quantityKinds[asked.quantity];
  const found = learned.quantities.get(asked.quantity);
  const known = found ? lookUp(kind, found, asked) : unknownValue(kind);
  const value = valueOf(kind, asked, known);
  return { ...value, sentence: sentenceOf(kind, asked, value) };
}

interface Known {
  readonly mean: number;
  readonly variance: number;
  readonly spread: number;
  readonly width: number;
  readonly observations: number;
  readonly rejected: number;
  readonly of: LearnedValue["of"];
}

const NOTHING_WIDTH = rangeWidth(SPREAD_WEIGHT);

const unknownValue = (kind: QuantityKind): Known => ({
  mean: 0,
  variance: kind.usualBetween.reduce((sum, one) => sum + one * one, 0),
  spread: kind.usualSpread,
  width: NOTHING_WIDTH,
  observations: 0,
  rejected: 0,
  of: "nothing",
});

function lookUp(kind: QuantityKind, found: QuantityLearned, key: LearnedKey): Known {
  const path = pathOf(kind, key);
  let node = found.believed;
  let depth = 0;
  for (const id of path) {
    const member = node.members.get(id);
    if (!member) break;
    node = member;
    depth++;
  }
  const own = depth === path.length ? found.leaves.get(joined(path)) : undefined;
  const unseen = found.between.slice(depth).reduce((sum, tau) => sum + tau, 0);
  return {
    mean: node.belief.mean,
    variance: node.belief.variance + unseen,
    spread: own?.spread ?? found.spread,
    width: rangeWidth(degreesOf(found, depth, own)),
    ...(found.counts.get(groupKey(path.slice(0, depth))) ?? { observations: 0, rejected: 0 }),
    of: depth === 0 ? "shop" : kind.levels[depth - 1]!,
  };
}

/**
 * What stands behind a belief's variance, in degrees of freedom (F. E. Satterthwaite, Biometrics Bulletin 2 (1946)
 * 110–114). A group with values of its own is believed with v·τ²/(v + τ²): the values' variance v, from its own spread,
 * bears τ²/(v + τ²) of what that may be wrong by, the scatter of groups τ² the rest.
 */
function degreesOf(found: QuantityLearned, depth: number, own: RobustLocation | undefined): number {
  // With a measurement or two each, spread and scatter of groups are told apart by the usual alone: all rests on that.
  const most = found.degrees.spread;
  // Of what was never seen the scatter of its like is most of what is not known.
  if (!own) return Math.min(most, found.degrees.between[depth] ?? most);
  const tau = found.between[depth - 1]!;
  const behindTau = found.degrees.between[depth - 1]!;
  const share = tau + own.variance === 0 ? 1 : tau / (tau + own.variance);
  const behindSpread = SPREAD_WEIGHT + Math.max(0, own.effective - 1);
  return Math.min(most, 1 / (share ** 2 / behindSpread + (1 - share) ** 2 / behindTau));
}

function valueOf(kind: QuantityKind, asked: LearnedAsked, known: Known): Omit<LearnedValue, "sentence"> {
  const at = (log: number) => asked.usual * Math.exp(log);
  const half = known.width * Math.sqrt(known.variance);
  const halfSingle = known.width * Math.sqrt(known.variance + known.spread ** 2);
  const learnedEstimate = at(known.mean);
  // A speed's average is the one that gives the average time for as many stitches.
  const sign = kind.unit === "s" ? 1 : -1;
  const isFixed = asked.fixed !== null;
  return {
    estimate: asked.fixed ?? learnedEstimate,
    average: asked.fixed ?? at(known.mean + (sign * known.spread ** 2) / 2),
    unit: kind.unit,
    observations: known.observations,
    rejected: known.rejected,
    low: asked.fixed ?? at(known.mean - half),
    high: asked.fixed ?? at(known.mean + half),
    level: RANGE_LEVEL,
    single: { low: at(known.mean - halfSingle), high: at(known.mean + halfSingle) },
    source: isFixed ? "fixed" : known.observations > 0 ? "learned" : "default",
    of: known.of,
    learnedEstimate,
  };
}

function sentenceOf(kind: QuantityKind, asked: LearnedAsked, value: Omit<LearnedValue, "sentence">): string {
  const words = (amount: number) => `${Math.round(amount)} ${kind.unit === "s" ? "s" : "stitches a minute"}`;
  const { observations, rejected } = value;
  const measured = `${observations} ${observations === 1 ? "measurement" : "measurements"}`;
  if (value.source === "default")
    return `${kind.name}: ${words(asked.usual)}, the usual value; nothing measured yet.`;
  if (value.source === "fixed")
    return observations === 0
      ? `${kind.name}: ${words(value.estimate)}, fixed by hand; nothing measured yet.`
      : `${kind.name}: ${words(value.estimate)}, fixed by hand; ${measured} would say ${words(value.learnedEstimate)}.`;
  const finest = kind.levels.at(-1)!;
  const near =
    value.of === finest
      ? ""
      : value.of === "shop"
        ? " elsewhere in the shop"
        : ` on ${levelWords[value.of as keyof LearnedKey]}`;
  const noneYet = value.of === finest ? "" : `, none yet of ${levelWords[finest]}`;
  const left = rejected === 0 ? "" : `, ${rejected} more left out as interrupted`;
  return `${kind.name}: ${words(value.estimate)} from ${measured}${near}${noneYet}${left}; between ${words(value.low)} and ${words(value.high)} nine times in ten. Usual: ${words(asked.usual)}.`;
}
