/**
 * A needle's life: how long it has sewn, why it was changed, and whether thread breaks on it more than it should. The
 * last by an EWMA chart of breaks per thousand stitches (charts.ts), the limits from the Poisson scatter of so few
 * events, with an exact Poisson limit for a sudden jump (probability limits, as the same handbook advises where counts
 * are small). What rising breaks mean is common practice, no source.
 */
import { atLeast, invariant } from "#core/base";
import type { CalendarDate } from "#core/shop";
import { type ChartPoint, ewmaChart } from "./charts";
import { counted, dateWords, runWords, thousands } from "./words";

/** What one needle sewed in one run or on one day. */
export interface NeedleUse {
  readonly machineId: string;
  /** From 1. */
  readonly needle: number;
  readonly atMs: number;
  readonly day: CalendarDate;
  readonly runS: number;
  readonly stitches: number;
  readonly breaks: number;
}

export type NeedleReason = "worn" | "struck" | "other-size" | "other";

export interface NeedleChanged {
  readonly machineId: string;
  readonly needle: number;
  readonly atMs: number;
  readonly day: CalendarDate;
  readonly why: NeedleReason;
}

/** One needle in its place, from the change that brought it to the one that took it. */
export interface NeedleLife {
  readonly machineId: string;
  readonly needle: number;
  /** Null where it was there before anything was noted. */
  readonly from: CalendarDate | null;
  /** Null while it is still in; then `why` is null too. */
  readonly to: CalendarDate | null;
  readonly why: NeedleReason | null;
  readonly runS: number;
  readonly stitches: number;
  readonly breaks: number;
  readonly sentence: string;
}

export interface NeedlesAsked {
  /** In any order. */
  readonly uses: readonly NeedleUse[];
  readonly changes: readonly NeedleChanged[];
}

interface Life {
  readonly from: NeedleChanged | null;
  readonly to: NeedleChanged | null;
  readonly uses: readonly NeedleUse[];
}

/** All lives by machine and needle, oldest first; the last of each is the needle in it now. */
export function needleLives(asked: NeedlesAsked): NeedleLife[] {
  return livesOf(asked).flatMap(({ machineId, needle, lives }) =>
    lives.map((life) => {
      const sums = sumsOf(life.uses);
      const told = {
        machineId,
        needle,
        from: life.from?.day ?? null,
        to: life.to?.day ?? null,
        why: life.to?.why ?? null,
        ...sums,
      };
      return { ...told, sentence: lifeSentence(told) };
    }),
  );
}

function sumsOf(uses: readonly NeedleUse[]) {
  const sum = (of: (use: NeedleUse) => number) => uses.reduce((total, use) => total + of(use), 0);
  return {
    runS: sum((one) => one.runS),
    stitches: sum((one) => one.stitches),
    breaks: sum((one) => one.breaks),
  };
}

function livesOf({ uses, changes }: NeedlesAsked) {
  const places = new Map<string, { machineId: string; needle: number }>();
  for (const { machineId, needle } of [...uses, ...changes])
    places.set(`${machineId} ${needle}`, { machineId, needle });
  return [...places.values()]
    .sort((a, b) => (a.machineId < b.machineId ? -1 : a.machineId > b.machineId ? 1 : a.needle - b.needle))
    .map((place) => {
      const isHere = (one: NeedleUse | NeedleChanged) =>
        one.machineId === place.machineId && one.needle === place.needle;
      const own = uses.filter(isHere).sort((a, b) => a.atMs - b.atMs);
      const changed = changes.filter(isHere).sort((a, b) => a.atMs - b.atMs);
      const lives = [null, ...changed].map((from, index): Life => {
        const to = changed[index] ?? null;
        const isIn = (use: NeedleUse) =>
          (from === null || from.atMs <= use.atMs) && (to === null || use.atMs < to.atMs);
        return { from, to, uses: own.filter(isIn) };
      });
      // Nothing is known of a needle that never sewed before the first change noted.
      return { ...place, lives: lives.filter((life) => life.from !== null || life.uses.length > 0) };
    });
}

const reasonWords: Readonly<Record<NeedleReason, string>> = {
  worn: "worn",
  struck: "struck",
  "other-size": "for another size or point",
  other: "for another reason",
};

function lifeSentence(life: Omit<NeedleLife, "sentence">): string {
  const sewn = `${runWords(life.runS)} and ${thousands(life.stitches)} stitches, ${counted(life.breaks, "break")}`;
  const since = life.from === null ? "" : ` since ${dateWords(life.from)}`;
  return life.to === null || life.why === null
    ? `Needle ${life.needle}: ${sewn}${since}.`
    : `Needle ${life.needle}: ${sewn}; changed on ${dateWords(life.to)}, ${reasonWords[life.why]}.`;
}

export interface NeedleBreaksAsked extends NeedlesAsked {
  /** What is usual in this shop, breaks per 1000 stitches; above 0. */
  readonly usualPerThousand: number;
}

export interface NeedleBreaks {
  readonly machineId: string;
  readonly needle: number;
  readonly state: "steady" | "rising";
  /** Since when, as far as the chart can tell; null while steady. */
  readonly since: CalendarDate | null;
  /** Since then, or since the needle was changed where it is steady. */
  readonly breaks: number;
  readonly stitches: number;
  /** The chart: breaks per 1000 stitches, averaged; one point for each time so much was sewn that one break is usual. */
  readonly chart: readonly (ChartPoint & { readonly day: CalendarDate })[];
  readonly usualPerThousand: number;
  readonly sentence: string;
}

const LAMBDA = 0.2;
/** Wider than the usual 3 below counts of ten or so: a Poisson count leans to the high side. See docs/models/care.md. */
const EWMA_WIDTH = 3.3;
/** A jump that chance makes less than once in 740 points (three standard deviations of a normal, one side). */
const JUMP_CHANCE = 0.00135;
/** A needle that has sewn less than this when its breaks began to rise is hardly worn. */
const YOUNG_S = 2 * 3600;

/** Whether thread breaks more than usual on the needles that are in now; a change starts a chart anew. */
export function needleBreaks(asked: NeedleBreaksAsked): NeedleBreaks[] {
  invariant(asked.usualPerThousand > 0, "the usual breaks are above 0");
  const found = livesOf(asked).map(({ machineId, needle, lives }) => ({
    machineId,
    needle,
    ...judged(lives.at(-1)?.uses ?? [], asked.usualPerThousand),
  }));
  return found.map((one) => {
    const kin = found.filter((other) => other.machineId === one.machineId);
    const rising = kin.filter((other) => other.state === "rising").length;
    const { youngAtStart, ...told } = { ...one, usualPerThousand: asked.usualPerThousand };
    const isWholeMachine = rising >= 3 && rising * 2 > kin.length;
    return { ...told, sentence: breaksSentence({ ...told, youngAtStart, isWholeMachine }) };
  });
}

/** Uses put together until one break is usual in them; what is left over at the end stands by itself. */
function grouped(uses: readonly NeedleUse[], usual: number) {
  const groups: NeedleUse[][] = [];
  let open: NeedleUse[] = [];
  let thousand = 0;
  for (const use of uses) {
    open.push(use);
    thousand += use.stitches / 1000;
    if (thousand * usual < 1) continue;
    groups.push(open);
    open = [];
    thousand = 0;
  }
  return { groups, rest: open };
}

function judged(uses: readonly NeedleUse[], usual: number) {
  const { groups, rest } = grouped(uses, usual);
  const sums = groups.map(sumsOf);
  const chart = ewmaChart({
    values: sums.map(({ stitches, breaks }) => ({
      value: breaks / (stitches / 1000),
      sigma: Math.sqrt(usual / (stitches / 1000)),
    })),
    target: usual,
    lambda: LAMBDA,
    width: EWMA_WIDTH,
  }).points.map((point, index) => ({ ...point, day: groups[index]!.at(-1)!.day }));
  const isJump = (group: readonly NeedleUse[]) => {
    const { stitches, breaks } = sumsOf(group);
    return breaks > 1 && atLeast(breaks, (stitches / 1000) * usual) < JUMP_CHANCE;
  };
  const last = chart.at(-1);
  const isRising = last?.side === "above" || isJump(rest) || (groups.length > 0 && isJump(groups.at(-1)!));
  const from = isRising ? riseFrom(chart, usual, groups.length) : 0;
  const since = [...groups.slice(from), rest].flat();
  const before = sumsOf(groups.slice(0, from).flat());
  return {
    state: isRising ? ("rising" as const) : ("steady" as const),
    since: isRising ? (since[0]?.day ?? null) : null,
    breaks: sumsOf(since).breaks,
    stitches: sumsOf(since).stitches,
    chart,
    youngAtStart: before.runS < YOUNG_S,
  };
}

/** The first point after the average was last at or under the usual: the chart's own estimate of when it began. */
function riseFrom(chart: readonly ChartPoint[], usual: number, count: number): number {
  for (let index = chart.length - 1; index >= 0; index--)
    if (chart[index]!.value <= usual) return Math.min(index + 1, count);
  return 0;
}

interface RiseTold extends Pick<
  NeedleBreaks,
  "needle" | "since" | "breaks" | "stitches" | "usualPerThousand"
> {
  readonly youngAtStart: boolean;
  readonly isWholeMachine: boolean;
}

function breaksSentence(told: RiseTold): string {
  const { needle, since, breaks, stitches, usualPerThousand } = told;
  const sewn = `${counted(breaks, "break")} in ${thousands(stitches)} stitches`;
  if (since === null)
    return stitches === 0 ? `Needle ${needle}: not sewn yet.` : `Needle ${needle}: ${sewn}, as usual.`;
  const expected = Math.max(1, Math.round((usualPerThousand * stitches) / 1000));
  const start = `Thread breaks on needle ${needle} rise since ${dateWords(since)}: ${sewn}, where about ${expected} ${expected === 1 ? "is" : "are"} usual`;
  if (told.isWholeMachine)
    return `${start}; most needles of this machine do the same. Look at the hook, the bobbin and the tensions before the needles.`;
  if (told.youngAtStart)
    return `${start}, though the needle was new. Look whether it is the right size and put in right, then at the thread, its path and its tension.`;
  return `${start}. Change the needle; if they go on, look at the thread, its path and its tension.`;
}
