import type { Day } from "../today/day";

export interface NeedleLeft {
  /** The design's part, from 0. */
  readonly part: number;
  /** The needle that sews it; null: none of the machine's has its thread, it is threaded first. */
  readonly needle: number | null;
}

/**
 * Which needle of a machine sews each part that remains: as planned where the plan has the run on that very machine,
 * else the needles that have the threads now. A plan made since the piece was taken up again has only those parts.
 */
export function needlesLeft(
  day: Pick<Day, "blocks" | "machines">,
  asked: {
    readonly jobId: string;
    readonly machineId: string;
    readonly partsOfDesign: number;
    readonly parts: readonly { readonly part: number; readonly threadId: string | null }[];
  },
): readonly NeedleLeft[] {
  const block = day.blocks.get(asked.jobId);
  const planned = block?.machineId === asked.machineId ? block.run.needles : [];
  const threaded = day.machines.get(asked.machineId)?.threaded ?? [];
  return asked.parts.map(({ part, threadId }, at) => {
    const own =
      planned.length === asked.partsOfDesign
        ? planned[part]
        : planned.length === asked.parts.length
          ? planned[at]
          : undefined;
    const there = threadId === null ? -1 : threaded.indexOf(threadId);
    return { part, needle: own ?? (there < 0 ? null : there + 1) };
  });
}
