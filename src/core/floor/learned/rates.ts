/**
 * How often thread breaks, per 1000 stitches, by machine and thread: a Poisson count with a gamma belief (conjugate:
 * the posterior of Gamma(a, b) after k breaks in n thousand stitches is Gamma(a + k, b + n)), the belief of a machine
 * drawn to the shop's and that of a thread on it to the machine's. What is long sewn past counts less: the discount
 * a ← φa + k, b ← φb + n (J. Q. Smith, J. Royal Statistical Society B 41 (1979) 375–387), φ by stitches sewn since.
 */
import { gammaQuantile } from "#core/base";
import type { LearnedKey } from "./quantities";
import { RANGE_LEVEL } from "./groups";

/** Stitches sewn on a machine with a thread and the breaks among them, usually of one run. */
export interface BreakObservation extends Pick<LearnedKey, "machineId" | "threadId"> {
  readonly stitches: number;
  readonly breaks: number;
  readonly atMs: number;
}

/** One in 20,000 stitches (TRADE.md gives 15,000 to 30,000; common practice, no source). */
export const USUAL_BREAKS_PER_THOUSAND = 0.05;
/** What is believed beforehand counts like so many breaks. */
const PRIOR_BREAKS = { shop: 2, machine: 6, thread: 6 } as const;
/** After so many stitches more of the same, a break weighs e⁻¹ of a new one. */
export const BREAK_MEMORY_STITCHES = 3_000_000;

interface Counted {
  readonly breaks: number;
  readonly thousands: number;
}

/** What the floor's breaks have taught; ask it with `learnedBreaks`. */
export interface LearnedBreaks {
  readonly shop: Counted;
  readonly machines: ReadonlyMap<string, Counted>;
  /** By machine and thread. */
  readonly pairs: ReadonlyMap<string, Counted>;
  readonly usualPerThousand: number;
}

export interface BreaksSettings {
  readonly usualPerThousand?: number;
  readonly memoryStitches?: number;
}

const pairOf = (machineId: string | null, threadId: string | null) =>
  `${machineId ?? ""}\u0000${threadId ?? ""}`;

/** Learns from all runs, in any order; runs without stitches are left out. */
export function learnBreaks(
  observations: readonly BreakObservation[],
  {
    usualPerThousand = USUAL_BREAKS_PER_THOUSAND,
    memoryStitches = BREAK_MEMORY_STITCHES,
  }: BreaksSettings = {},
): LearnedBreaks {
  const pairs = new Map<string, Counted>();
  const inOrder = observations.filter((one) => one.stitches > 0).sort((a, b) => a.atMs - b.atMs);
  for (const { machineId, threadId, stitches, breaks } of inOrder) {
    const key = pairOf(machineId, threadId);
    const keep = Math.exp(-stitches / memoryStitches);
    const { breaks: k, thousands: n } = pairs.get(key) ?? { breaks: 0, thousands: 0 };
    pairs.set(key, { breaks: keep * k + breaks, thousands: keep * n + stitches / 1000 });
  }
  const machines = new Map<string, Counted>();
  for (const [key, counted] of pairs) {
    const machine = key.split("\u0000")[0]!;
    machines.set(machine, sum(machines.get(machine) ?? NONE, counted));
  }
  return { shop: [...machines.values()].reduce(sum, NONE), machines, pairs, usualPerThousand };
}

const NONE: Counted = { breaks: 0, thousands: 0 };
const sum = (a: Counted, b: Counted): Counted => ({
  breaks: a.breaks + b.breaks,
  thousands: a.thousands + b.thousands,
});
const less = (a: Counted, b: Counted): Counted => ({
  breaks: Math.max(0, a.breaks - b.breaks),
  thousands: Math.max(0, a.thousands - b.thousands),
});

/** Breaks per 1000 stitches as they are believed to be. */
export interface LearnedRate {
  readonly estimate: number;
  readonly unit: "breaks/1000 stitches";
  /** Of just this machine and thread, the older counting less. */
  readonly breaks: number;
  readonly stitches: number;
  /** The rate lies here with the chance `level`. */
  readonly low: number;
  readonly high: number;
  readonly level: number;
  readonly source: "learned" | "default" | "fixed";
  readonly learnedEstimate: number;
  readonly sentence: string;
}

export interface BreaksAsked extends Pick<LearnedKey, "machineId" | "threadId"> {
  readonly fixed: number | null;
}

/** The rate of a machine, of a thread on it (null: whatever thread), or of the shop (both null). */
export function learnedBreaks(
  learned: LearnedBreaks,
  { machineId, threadId, fixed }: BreaksAsked,
): LearnedRate {
  const machine = (machineId === null ? undefined : learned.machines.get(machineId)) ?? NONE;
  const pair = learned.pairs.get(pairOf(machineId, threadId)) ?? NONE;
  const own = machineId === null ? learned.shop : threadId === null ? machine : pair;
  const { shape, rate } = beliefOf(learned, { machineId, threadId, machine, pair });
  const learnedEstimate = shape / rate;
  const tail = (1 - RANGE_LEVEL) / 2;
  const value = {
    estimate: fixed ?? learnedEstimate,
    unit: "breaks/1000 stitches" as const,
    breaks: own.breaks,
    stitches: own.thousands * 1000,
    low: fixed ?? gammaQuantile(tail, shape, rate),
    high: fixed ?? gammaQuantile(1 - tail, shape, rate),
    level: RANGE_LEVEL,
    source:
      fixed !== null
        ? ("fixed" as const)
        : learned.shop.thousands > 0
          ? ("learned" as const)
          : ("default" as const),
    learnedEstimate,
  };
  return { ...value, sentence: sentenceOf(value) };
}

interface GammaBelief {
  readonly shape: number;
  readonly rate: number;
}

/** Down the levels; each one's prior leaves out what the level below says itself, so that nothing counts twice. */
function beliefOf(
  learned: LearnedBreaks,
  at: Pick<LearnedKey, "machineId" | "threadId"> & { readonly machine: Counted; readonly pair: Counted },
): GammaBelief {
  const usual = after({ shape: PRIOR_BREAKS.shop, rate: PRIOR_BREAKS.shop / learned.usualPerThousand }, NONE);
  if (at.machineId === null) return after(usual, learned.shop);
  const shop = after(usual, less(learned.shop, at.machine));
  const ofMachine = after(
    drawnTo(shop, PRIOR_BREAKS.machine),
    at.threadId === null ? at.machine : less(at.machine, at.pair),
  );
  return at.threadId === null ? ofMachine : after(drawnTo(ofMachine, PRIOR_BREAKS.thread), at.pair);
}

const after = ({ shape, rate }: GammaBelief, { breaks, thousands }: Counted): GammaBelief => ({
  shape: shape + breaks,
  rate: rate + thousands,
});

/**
 * The belief of a member of a group: the group's mean; its weight that of the group's own belief and of the scatter of
 * members about it together (relative variances add up: 1/shape).
 */
function drawnTo(group: GammaBelief, members: number): GammaBelief {
  const shape = 1 / (1 / group.shape + 1 / members);
  return { shape, rate: (shape * group.rate) / group.shape };
}

function sentenceOf(value: Omit<LearnedRate, "sentence">): string {
  const every = (rate: number) => `one in ${Math.round(1000 / rate).toLocaleString("en-US")} stitches`;
  if (value.source === "default")
    return `Thread breaks: ${every(value.estimate)}, the usual value; nothing measured yet.`;
  const counted = `${value.breaks.toFixed(value.breaks % 1 < 0.05 ? 0 : 1)} in ${Math.round(value.stitches).toLocaleString("en-US")} stitches counted`;
  if (value.source === "fixed")
    return `Thread breaks: ${every(value.estimate)}, fixed by hand; ${counted} would say ${every(value.learnedEstimate)}.`;
  return `Thread breaks: ${every(value.estimate)}, from ${counted}; between ${every(value.high)} and ${every(value.low)} nine times in ten.`;
}
