import type { Plan, PlanTask, Problem } from "#core/planning";
import type { JobTable, PieceTable, Store } from "#store";
import { runOfRow } from "./floor/rows";
import { groupedBy, inPortions } from "./records";

/**
 * What is left of a piece that is sewn: unhooping, trimming, pressing. A run cannot begin in the middle, so the problem
 * has it as work of a hand with the piece's due time; people see it as the finishing of the run it belongs to.
 * Left out: while a sewn piece is still in its hoop, the problem takes the hoop as free.
 */
const PREFIX = "finish/";

export const finishChoreId = (jobId: string): string => `${PREFIX}${jobId}`;

/** The job that a chore finishes; null for other chores. */
export const jobToFinish = (choreId: string): string | null =>
  choreId.startsWith(PREFIX) ? choreId.slice(PREFIX.length) : null;

/** What is still to be finished of a piece: told as one, of its last sewn run; the others' time is in it. */
export interface Unfinished {
  readonly job: JobTable;
  readonly withJobs: readonly JobTable[];
}

type Standing = Pick<PieceTable, "id" | "state">;

/**
 * Sewn and not finished, by piece. Of a piece in finishing every run told as sewn counts, or its last one where no
 * station told of any. A piece that waits for its next placement comes out of its hoop first.
 */
export async function unfinishedOf(
  db: Store["db"],
  pieces: readonly Standing[],
  jobs: readonly JobTable[],
): Promise<Map<string, Unfinished>> {
  const standing = pieces.filter((piece) => piece.state === "finishing" || piece.state === "ready");
  const runs = await inPortions(
    standing.map((piece) => piece.id),
    (ids) => db.selectFrom("floor_runs").select("run").where("piece_id", "in", ids).execute(),
  );
  const stages = new Map(runs.map(runOfRow).map((run) => [run.jobId, run.stage]));
  const byPiece = groupedBy(
    [...jobs].sort((a, b) => a.position - b.position),
    (job) => job.piece_id,
  );
  const found = new Map<string, Unfinished>();
  for (const piece of standing) {
    const own = byPiece.get(piece.id) ?? [];
    const told = own.filter((job) => job.sewn === 1 && stages.get(job.id) === "sewn");
    const last = own.at(-1);
    const withJobs = told.length > 0 ? told : piece.state === "finishing" && last ? [last] : [];
    const job = withJobs.at(-1);
    if (job) found.set(piece.id, { job, withJobs });
  }
  return found;
}

/** The plan with the finishing of sewn pieces told of their runs. */
export function withFinishing(plan: Plan): Plan {
  const named = <T extends { readonly chore?: string; readonly job?: string }>(one: T): T => {
    const job = one.chore === undefined ? null : jobToFinish(one.chore);
    if (job === null) return one;
    const { chore: _chore, ...rest } = one;
    return { ...rest, job } as T;
  };
  if (!plan.tasks.some((task) => task.do === "chore" && jobToFinish(task.chore!) !== null)) return plan;
  return {
    ...plan,
    tasks: plan.tasks.map((task): PlanTask =>
      task.do === "chore" && jobToFinish(task.chore!) !== null ? { ...named(task), do: "finish" } : task,
    ),
    unplanned: plan.unplanned.map(named),
  };
}

/** The problem with that work under the names of its jobs, as people see the plan. */
export const underJobs = (problem: Problem): Problem => ({
  ...problem,
  chores: problem.chores.map((chore) => ({ ...chore, id: jobToFinish(chore.id) ?? chore.id })),
});
