import type { shapes } from "#contract";

/** Which needle sews each part on a machine, as it is threaded now and with the fewest threads put on. */
export interface DesignNeedles {
  /** The needle of each part, from 1; null where none is left for its thread, or it has no thread yet. */
  readonly byPart: readonly (number | null)[];
  /** For each needle the thread the design wants on it; null where it wants nothing of it. */
  readonly wanted: readonly (string | null)[];
  /** Threads to put on before sewing. */
  readonly toThread: number;
  /** Threads that find no needle: the machine stops for them. */
  readonly without: readonly string[];
}

type Needle = Pick<shapes.MachineBody["needles"][number], "number" | "threadId" | "fixed">;

/**
 * A thread that is on already stays; others come onto empty needles first, then onto needles whose thread this design
 * does not use, in sewing order. Fixed needles keep theirs. The day's plan may choose otherwise: it looks further ahead.
 */
export function needlesFor(
  partThreads: readonly (string | null)[],
  needles: readonly Needle[],
): DesignNeedles {
  const threads = [...new Set(partThreads.filter((thread) => thread !== null))];
  const at = new Map<string, number>();
  for (const thread of threads) {
    const on = needles.find((needle) => needle.threadId === thread);
    if (on) at.set(thread, on.number);
  }
  const ready = at.size;
  const taken = new Set(at.values());
  const free = needles.filter(({ number, fixed }) => !fixed && !taken.has(number));
  const order = [...free.filter(({ threadId }) => threadId === null), ...free.filter(({ threadId }) => threadId !== null)]; // prettier-ignore
  const without: string[] = [];
  for (const thread of threads) {
    if (at.has(thread)) continue;
    const needle = order.shift();
    if (needle) at.set(thread, needle.number);
    else without.push(thread);
  }
  const threadAt = new Map([...at].map(([thread, number]) => [number, thread]));
  return {
    byPart: partThreads.map((thread) => (thread === null ? null : (at.get(thread) ?? null))),
    wanted: needles.map(({ number }) => threadAt.get(number) ?? null),
    toThread: at.size - ready,
    without,
  };
}
