import { byTime, type FloorEvent } from "./events";
import type { LearnedKey, LearnedQuantity } from "./learned";
import type { Run } from "./runs";

/**
 * What the floor's events tell of how long things take. A task is told when it is over; it began, at the earliest, when
 * whoever did it told of something else and when its machine was last told of. Where nobody said who it was, only what
 * a machine's own events enclose is measured. Waits that hide in it are for the estimators to find.
 */
export interface Measured extends LearnedKey {
  readonly quantity: LearnedQuantity;
  /** Seconds, or stitches a minute for the speed. */
  readonly value: number;
  readonly atMs: number;
  readonly jobId: string | null;
}

interface MeasuredAsked {
  readonly events: readonly FloorEvent[];
  readonly runs: ReadonlyMap<string, Run>;
  /** Seconds of a colour change and of a trim on a machine: not sewing. */
  readonly stepsOf: (machineId: string) => { readonly colourChangeS: number; readonly trimS: number };
}

/** Longer gaps are nights and weekends, and say nothing of the work. */
const LONGEST_MS = 4 * 3600_000;

export function measuredTimes({ events, runs, stepsOf }: MeasuredAsked): Measured[] {
  const found: Measured[] = [];
  const lastAt = new Map<string, number>();
  const lastBy = new Map<string, number>();
  for (const event of [...events].sort(byTime)) {
    const machineId = "machineId" in event ? event.machineId : null;
    const run = "jobId" in event && event.jobId !== null ? runs.get(event.jobId) : undefined;
    const at = machineId === null ? undefined : lastAt.get(machineId);
    const by = event.personId === null ? undefined : lastBy.get(event.personId);
    const one = measure(event, run, { at, by });
    if (one) found.push(one);
    if (machineId !== null) lastAt.set(machineId, event.atMs);
    if (event.personId !== null) lastBy.set(event.personId, event.atMs);
  }
  for (const run of runs.values()) {
    const speed = speedOf(run, stepsOf);
    if (speed) found.push(speed);
  }
  return found;
}

interface Before {
  /** When the machine was last told of; when the person last told of anything. */
  readonly at: number | undefined;
  readonly by: number | undefined;
}

function measure(event: FloorEvent, run: Run | undefined, { at, by }: Before): Measured | null {
  const key = { productId: run?.facts?.productId ?? null, hoopId: run?.facts?.hoopId ?? null };
  const since = (from: number | undefined, per = 1): number | null => {
    if (from === undefined) return null;
    const ms = event.atMs - from;
    return ms <= 0 || LONGEST_MS < ms ? null : ms / 1000 / per;
  };
  const told = (
    quantity: LearnedQuantity,
    value: number | null,
    own: Partial<LearnedKey>,
  ): Measured | null =>
    value === null
      ? null
      : {
          quantity,
          value,
          atMs: event.atMs,
          jobId: run?.jobId ?? null,
          machineId: null,
          hoopId: null,
          productId: null,
          threadId: null,
          ...own,
        };
  const later = at === undefined ? undefined : Math.max(at, by ?? at);
  switch (event.kind) {
    case "hooped":
      return told("hooping", since(by), key);
    case "finished":
      // Told in two parts, at two times, it says nothing of the whole.
      if (run?.unhoopedAtMs !== undefined) return null;
      return told("finishing", since(by), { productId: key.productId });
    case "threaded":
      return told("threading", since(later, event.needles.length), {
        machineId: event.machineId,
        threadId: event.needles.length === 1 ? event.needles[0]!.threadId : null,
      });
    case "loaded":
      return told("loading", since(later), { machineId: event.machineId, productId: key.productId });
    default:
      return null;
  }
}

/** Stitches a minute really reached while the machine sewed, colour changes and trims set aside. */
function speedOf(run: Run, stepsOf: MeasuredAsked["stepsOf"]): Measured | null {
  const { facts, machineId, endedAtMs } = run;
  if (!facts || machineId === null || endedAtMs === null || run.stage === "spoiled" || run.estimated)
    return null;
  const { colourChangeS, trimS } = stepsOf(machineId);
  const sewedS = run.sewedMs / 1000 - facts.colourChanges * colourChangeS - facts.trims * trimS;
  if (sewedS <= 0 || facts.stitches === 0) return null;
  return {
    quantity: "sewing-speed",
    value: (60 * facts.stitches) / sewedS,
    atMs: endedAtMs,
    jobId: run.jobId,
    machineId,
    hoopId: null,
    productId: facts.productId,
    threadId: null,
  };
}
