import { byTime, type FloorEvent } from "./events";

/** What a pair of hands' time went on. */
export type HandUse =
  | "hooping"
  | "threading"
  | "loading"
  | "mending"
  | "finishing"
  | "packing"
  | "sewing"
  | "care"
  | "waiting-machine"
  | "away"
  | "not-told";

export const handUses: readonly HandUse[] = [
  "hooping",
  "threading",
  "loading",
  "mending",
  "finishing",
  "packing",
  "sewing",
  "care",
  "waiting-machine",
  "away",
  "not-told",
];

export interface HandSpan {
  readonly fromMs: number;
  readonly toMs: number;
  readonly use: HandUse;
  readonly jobId: string | null;
}

type Span = readonly [fromMs: number, toMs: number];

interface HandsAsked {
  readonly personId: string;
  /** All events of the day, taken-back ones left out. */
  readonly events: readonly FloorEvent[];
  /** When the person was there, in order. */
  readonly shifts: readonly Span[];
  /** When they were told away. */
  readonly away: readonly Span[];
  /** When each machine sewed. */
  readonly sewing: ReadonlyMap<string, readonly Span[]>;
  readonly untilMs: number;
  /** Seconds a task usually takes. */
  readonly usualS: (event: FloorEvent, use: HandUse) => number;
}

/** A gap of up to so many times the usual before a task was told is the task's; of a longer one only the usual. */
const AT_MOST_USUAL = 2;

/**
 * Where a person's minutes went, as far as what they told says it. A task is told when it is over: it lasted from what
 * the same person told before, where that is not much longer than usual; else its usual time. What is left before a
 * task at a machine, while that machine sewed, is waiting for it; all else is not told. The spans of the shifts follow
 * one another and fill them; work told outside the shifts counts too.
 */
export function handMinutes(asked: HandsAsked): HandSpan[] {
  const tasks = toldTasks(asked);
  const spans: HandSpan[] = tasks.map(({ machineId: _, ...span }) => span);
  for (const [from, to] of asked.shifts) {
    const end = Math.min(to, asked.untilMs);
    let at = from;
    for (const task of tasks) {
      if (task.toMs <= at || end <= task.fromMs) continue;
      spans.push(...gapSpans(asked, at, Math.min(end, task.fromMs), task.machineId));
      at = Math.max(at, task.toMs);
    }
    spans.push(...gapSpans(asked, at, end, null));
  }
  return spans.sort((a, b) => a.fromMs - b.fromMs);
}

type Task = HandSpan & { readonly machineId: string | null };

function toldTasks({ personId, events, usualS }: HandsAsked): Task[] {
  const tasks: Task[] = [];
  const mending = new Set<string>();
  let lastMs = -Infinity;
  for (const event of [...events].sort(byTime)) {
    if (event.kind === "stopped" && event.why !== "threading") mending.add(event.machineId);
    const use = useOf(event, mending);
    if (event.kind === "started") mending.delete(event.machineId);
    if (event.personId !== personId) continue;
    if (use !== null) {
      const usualMs = usualS(event, use) * 1000;
      const gapMs = event.atMs - lastMs;
      const longMs = gapMs <= AT_MOST_USUAL * usualMs ? gapMs : usualMs;
      if (longMs > 0)
        tasks.push({
          fromMs: event.atMs - longMs,
          toMs: event.atMs,
          use,
          jobId: "jobId" in event ? event.jobId : null,
          machineId: "machineId" in event ? event.machineId : null,
        });
    }
    lastMs = event.atMs;
  }
  return tasks;
}

function useOf(event: FloorEvent, mending: ReadonlySet<string>): HandUse | null {
  switch (event.kind) {
    case "hooped":
      return "hooping";
    case "threaded":
      return "threading";
    case "loaded":
    case "sewn":
      return "loading";
    case "started":
      return mending.has(event.machineId) ? "mending" : null;
    case "unhooped":
    case "finished":
      return "finishing";
    case "packed":
      return "packing";
    case "batch-done":
      return "sewing";
    case "care-done":
    case "needle-changed":
    case "repaired":
      return "care";
    default:
      return null;
  }
}

/** What a time without a task was: away, waiting for the machine of the task after it, or not told. */
function gapSpans(asked: HandsAsked, from: number, to: number, machineId: string | null): HandSpan[] {
  if (to <= from) return [];
  const spans: HandSpan[] = [];
  let rest: Span[] = [[from, to]];
  const take = (use: HandUse, ranges: readonly Span[]) => {
    for (const [start, end] of ranges) {
      const next: Span[] = [];
      for (const [lo, hi] of rest) {
        const [a, b] = [Math.max(lo, start), Math.min(hi, end)];
        if (b <= a) {
          next.push([lo, hi]);
          continue;
        }
        spans.push({ fromMs: a, toMs: b, use, jobId: null });
        if (lo < a) next.push([lo, a]);
        if (b < hi) next.push([b, hi]);
      }
      rest = next;
    }
  };
  take("away", asked.away);
  take("waiting-machine", machineId === null ? [] : (asked.sewing.get(machineId) ?? []));
  return [
    ...spans,
    ...rest.map(([fromMs, toMs]): HandSpan => ({ fromMs, toMs, use: "not-told", jobId: null })),
  ];
}

/** Seconds by use. */
export function sumOfHandUses(spans: readonly HandSpan[]): Record<HandUse, number> {
  const sums = Object.fromEntries(handUses.map((use) => [use, 0])) as Record<HandUse, number>;
  for (const span of spans) sums[span.use] += (span.toMs - span.fromMs) / 1000;
  return sums;
}
