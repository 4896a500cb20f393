import { BOARD, type Register, type RegisterKind, type RegisterValues } from "#core/floor";
import type { Store } from "#store";
import { registerOf } from "./floor/rows";
import type { SeenPlan } from "./plan-floor";

/** What people said of the floor that binds the plan until it is over: who and what is away, put off, to be left alone. */
export interface FloorMarks {
  readonly downUntil: ReadonlyMap<string, number>;
  readonly awayUntil: ReadonlyMap<string, number>;
  /** Jobs put off, and until when. */
  readonly skippedUntil: ReadonlyMap<string, number>;
  readonly threadsOut: ReadonlySet<string>;
  /** The board is left alone till then; 0 where it is not. */
  readonly boardUntilMs: number;
  /** The machines a job may go on: where one keeps its pieces, those stay on it and no other comes. */
  readonly kept: (job: {
    readonly jobId: string;
    readonly machineIds: readonly string[];
  }) => readonly string[];
}

const binding: readonly RegisterKind[] = ["down", "away", "skipped", "thread-out", "board", "locked"];

export async function floorMarks(db: Store["db"], nowMs: number, seen: SeenPlan | null): Promise<FloorMarks> {
  const rows = await db.selectFrom("floor_standing").selectAll().where("kind", "in", binding).execute();
  const registers = rows.map(registerOf);
  const until = (kind: RegisterKind): Map<string, number> =>
    new Map(
      registers
        .filter((one) => one.kind === kind && untilOf(one) > nowMs)
        .map((one) => [one.subject, untilOf(one)]),
    );
  const out = registers.filter((one) => one.kind === "thread-out" && isOut(one));
  return {
    downUntil: until("down"),
    awayUntil: until("away"),
    skippedUntil: until("skipped"),
    threadsOut: new Set(out.map((one) => one.subject)),
    boardUntilMs: until("board").get(BOARD) ?? 0,
    kept: keptOn(until("locked"), seen),
  };
}

const untilOf = (register: Register): number => (register.value as RegisterValues["down"]).untilMs;
const isOut = (register: Register): boolean => (register.value as RegisterValues["thread-out"]).out;

function keptOn(locked: ReadonlyMap<string, number>, seen: SeenPlan | null): FloorMarks["kept"] {
  if (locked.size === 0 || seen === null) return ({ machineIds }) => machineIds;
  const own = new Map(
    seen.plan.runs
      .filter((run) => {
        const untilMs = locked.get(run.machine);
        return untilMs !== undefined && seen.startsAtMs + run.stretches[0]!.start * 1000 < untilMs;
      })
      .map((run) => [run.job, run.machine]),
  );
  return ({ jobId, machineIds }) => {
    const machine = own.get(jobId);
    if (machine !== undefined && machineIds.includes(machine)) return [machine];
    const others = machineIds.filter((id) => !locked.has(id));
    return others.length > 0 ? others : machineIds;
  };
}

type Spans = [number, number][];

/** Hours without what lies before `untilS`. */
export const without = (spans: Spans, untilS: number): Spans =>
  untilS === 0
    ? spans
    : spans
        .map(([start, end]): [number, number] => [Math.max(start, untilS), end])
        .filter(([start, end]) => start < end);

/** Spans with one more from the start on. */
export function joinedSpans(spans: Spans, untilS: number): Spans {
  if (untilS === 0) return spans;
  const after = spans.filter(([, end]) => end > untilS);
  const [first] = after;
  if (first && first[0] <= untilS) return [[0, first[1]], ...after.slice(1)];
  return [[0, untilS], ...after];
}

/** Spans in order, those that touch or overlap made one. */
export function mergedSpans(spans: readonly (readonly [number, number])[]): Spans {
  const merged: Spans = [];
  for (const [start, end] of [...spans].sort((a, b) => a[0] - b[0])) {
    const last = merged.at(-1);
    if (last && start <= last[1]) last[1] = Math.max(last[1], end);
    else merged.push([start, end]);
  }
  return merged;
}
