import { byTime, type FloorEvent } from "./events";
import type { Run } from "./runs";

/** What a machine's time went on. */
export type MinuteUse =
  "sewing" | "threading" | "loading" | "mending" | "care" | "down" | "waiting-hands" | "waiting-work";

export const minuteUses: readonly MinuteUse[] = [
  "sewing",
  "threading",
  "loading",
  "mending",
  "care",
  "down",
  "waiting-hands",
  "waiting-work",
];

export interface UsedSpan {
  readonly fromMs: number;
  readonly toMs: number;
  readonly use: MinuteUse;
  readonly jobId: string | null;
}

type Span = readonly [fromMs: number, toMs: number];

interface MinutesAsked {
  readonly machineId: string;
  /** Events that name the machine, taken-back ones left out. */
  readonly events: readonly FloorEvent[];
  /** When the studio was open, in order. */
  readonly open: readonly Span[];
  /** When the machine was away. */
  readonly down: readonly Span[];
  /** Up to now, where the open time reaches further. */
  readonly untilMs: number;
  readonly usual: { readonly threadS: number; readonly loadS: number; readonly careS: number };
}

/**
 * Where a machine's open minutes went. Sewing lies between start and stop; a stop other than for threading is mending;
 * threading and loading are told when they are over and had their usual time before that, as far as the gap holds it;
 * what is left of a gap that ends with a piece is waiting for hands, and what follows the last piece is waiting for
 * work. Outside the open hours only sewing counts. The spans follow one another and fill the open time.
 */
export function usedMinutes(asked: MinutesAsked): UsedSpan[] {
  const told = toldSpans(asked);
  const spans: UsedSpan[] = [];
  for (const [from, to] of asked.open) {
    const end = Math.min(to, asked.untilMs);
    if (from < end) spans.push(...within(told, from, end, asked));
  }
  for (const span of told) if (span.use === "sewing") spans.push(...outside(span, asked.open));
  return spans.sort((a, b) => a.fromMs - b.fromMs);
}

/** Spans that events tell of, in order, without overlap. */
function toldSpans({ machineId, events, usual, untilMs }: MinutesAsked): UsedSpan[] {
  const spans: UsedSpan[] = [];
  let reached = -Infinity;
  let sewing: { readonly sinceMs: number; readonly jobId: string } | null = null;
  let mending: { readonly sinceMs: number; readonly jobId: string } | null = null;
  const put = (fromMs: number, toMs: number, use: MinuteUse, jobId: string | null) => {
    const from = Math.max(fromMs, reached);
    if (from < toMs) spans.push({ fromMs: from, toMs, use, jobId });
    reached = Math.max(reached, toMs);
  };
  const endSewing = (atMs: number) => {
    if (sewing) put(sewing.sinceMs, atMs, "sewing", sewing.jobId);
    sewing = null;
  };
  // A piece may be told spoiled or put off away from its machine.
  const isHere = (event: FloorEvent) =>
    ("machineId" in event && event.machineId === machineId) ||
    ((event.kind === "spoiled" || event.kind === "skipped") && event.machineId === null);
  for (const event of events.filter(isHere).sort(byTime)) {
    switch (event.kind) {
      case "started":
        if (mending) put(mending.sinceMs, event.atMs, "mending", mending.jobId);
        mending = null;
        if (!sewing) reached = Math.max(reached, event.atMs);
        sewing ??= { sinceMs: event.atMs, jobId: event.jobId };
        break;
      case "stopped":
        endSewing(event.atMs);
        if (event.why !== "threading") mending = { sinceMs: event.atMs, jobId: event.jobId };
        break;
      case "sewn":
      case "spoiled":
      case "skipped":
        if (event.machineId === null && event.jobId !== (sewing ?? mending)?.jobId) break;
        endSewing(event.atMs);
        mending = null;
        break;
      case "threaded":
        put(event.atMs - 1000 * usual.threadS * event.needles.length, event.atMs, "threading", null);
        break;
      case "loaded":
        put(event.atMs - 1000 * usual.loadS, event.atMs, "loading", event.jobId);
        break;
      case "care-done":
      case "needle-changed":
      case "repaired":
        put(event.atMs - 1000 * usual.careS, event.atMs, "care", null);
        break;
      default:
    }
  }
  endSewing(untilMs);
  return spans;
}

/** The told spans of an open time, and what the gaps between them are. */
function within(told: readonly UsedSpan[], from: number, to: number, { down }: MinutesAsked): UsedSpan[] {
  const inside = told
    .map((span) => ({ ...span, fromMs: Math.max(span.fromMs, from), toMs: Math.min(span.toMs, to) }))
    .filter((span) => span.fromMs < span.toMs);
  const lastPiece = inside.findLast((span) => span.use === "sewing")?.toMs ?? from;
  const spans: UsedSpan[] = [];
  let at = from;
  const gap = (end: number) => {
    if (at < end) spans.push(...gapSpans(at, end, lastPiece, down));
    at = end;
  };
  for (const span of inside) {
    gap(span.fromMs);
    spans.push(span);
    at = span.toMs;
  }
  gap(to);
  return spans;
}

function gapSpans(from: number, to: number, lastPieceMs: number, down: readonly Span[]): UsedSpan[] {
  const spans: UsedSpan[] = [];
  const use: MinuteUse = from < lastPieceMs ? "waiting-hands" : "waiting-work";
  let at = from;
  for (const [start, end] of [...down].sort((a, b) => a[0] - b[0])) {
    const [lo, hi] = [Math.max(start, at), Math.min(end, to)];
    if (lo >= hi) continue;
    if (at < lo) spans.push({ fromMs: at, toMs: lo, use, jobId: null });
    spans.push({ fromMs: lo, toMs: hi, use: "down", jobId: null });
    at = hi;
  }
  if (at < to) spans.push({ fromMs: at, toMs: to, use, jobId: null });
  return spans;
}

function outside(span: UsedSpan, open: readonly Span[]): UsedSpan[] {
  let rest: Span[] = [[span.fromMs, span.toMs]];
  for (const [from, to] of open)
    rest = rest.flatMap(([lo, hi]): Span[] =>
      hi <= from || to <= lo
        ? [[lo, hi]]
        : [...(lo < from ? [[lo, from] as Span] : []), ...(to < hi ? [[to, hi] as Span] : [])],
    );
  return rest.map(([fromMs, toMs]) => ({ ...span, fromMs, toMs }));
}

/** Seconds by use. */
export function sumOfUses(spans: readonly UsedSpan[]): Record<MinuteUse, number> {
  const sums = Object.fromEntries(minuteUses.map((use) => [use, 0])) as Record<MinuteUse, number>;
  for (const span of spans) sums[span.use] += (span.toMs - span.fromMs) / 1000;
  return sums;
}

/** How far a run began and ended from where the plan had it; seconds, late when positive. Null where either is not known. */
export function offPlan(run: Run): { readonly startS: number; readonly endS: number } | null {
  const planned = run.facts?.planned;
  if (!planned || run.startedAtMs === null || run.endedAtMs === null) return null;
  return {
    startS: Math.round((run.startedAtMs - planned.startMs) / 1000),
    endS: Math.round((run.endedAtMs - planned.endMs) / 1000),
  };
}
