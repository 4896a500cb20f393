import {
  isLater,
  type MovedByHand,
  type MovedRun,
  type Register,
  registersOfMove,
  type Run,
} from "#core/floor";
import type { Plan } from "#core/planning";
import type { PieceState } from "#core/shop";
import type { JobTable, Store } from "#store";
import { jobsOfPieces } from "../piece-records";
import { groupedBy, inPortions } from "../records";
import { factsOf } from "./facts";
import { runFrom } from "./following";
import { rowsOfPieces } from "./lives";
import { moveOf, registerRow, registerOf, runOfRow } from "./rows";

/**
 * Pieces moved from their pages: what is known of their runs goes with the move, so that machines' hours follow from
 * the record alone. Such runs are estimated; they touch neither needles nor thread, so that a move can be undone.
 */
type Reader = Store["db"];

interface Moving {
  readonly pieceId: string;
  readonly to: PieceState;
  readonly machineId: string | null;
}

const behind: readonly PieceState[] = ["finishing", "done", "packed", "shipped"];
const begun: readonly PieceState[] = ["hooped", "sewing"];
const isOver = (run: Run | undefined): boolean =>
  run !== undefined && ["sewn", "finished", "spoiled"].includes(run.stage);

/** What is known of the runs each move concerns, by piece and job. Before the move is written. */
export async function runsMoved(
  db: Reader,
  moves: readonly Moving[],
): Promise<Map<string, Record<string, MovedRun>>> {
  const ids = moves.map((move) => move.pieceId);
  const [jobRows, runRows] = await Promise.all([
    jobsOfPieces(db, ids),
    inPortions(ids, (portion) =>
      db.selectFrom("floor_runs").select("run").where("piece_id", "in", portion).execute(),
    ),
  ]);
  const jobs = groupedBy(jobRows, (job) => job.piece_id);
  const runs = new Map(runRows.map(runOfRow).map((run) => [run.jobId, run]));
  const plan = moves.some((move) => begun.includes(move.to) || behind.includes(move.to))
    ? await planNow(db)
    : null;
  const known = new Map<string, Record<string, MovedRun>>();
  for (const move of moves) {
    const concerned = jobsOf(move, jobs.get(move.pieceId) ?? [], runs, plan);
    if (concerned.length === 0) continue;
    const own: Record<string, MovedRun> = {};
    for (const job of concerned) own[job.id] = await movedRun(db, move, job, { run: runs.get(job.id), plan });
    known.set(move.pieceId, own);
  }
  return known;
}

interface PlanNow extends Pick<Plan, "runs"> {
  readonly startsAtMs: number;
}

/** The plan in force by its own clock. */
async function planNow(db: Reader): Promise<PlanNow | null> {
  const row = await db
    .selectFrom("plans")
    .select(["plan", "starts_at_ms"])
    .where("current", "=", 1)
    .executeTakeFirst();
  return row ? { runs: (JSON.parse(row.plan) as Plan).runs, startsAtMs: row.starts_at_ms } : null;
}

/** Behind its machine every run not told counts; at it the one under way or planned first; otherwise what was begun. */
function jobsOf(
  { to }: Moving,
  jobs: readonly JobTable[],
  runs: ReadonlyMap<string, Run>,
  plan: PlanNow | null,
): JobTable[] {
  const open = jobs.filter((job) => !isOver(runs.get(job.id)));
  if (behind.includes(to)) return open;
  if (!begun.includes(to)) return jobs.filter((job) => runs.has(job.id));
  const under = open.find((job) => runs.has(job.id));
  const again = jobs.filter((job) => runs.get(job.id)?.estimated).at(-1);
  const startOf = (job: JobTable) =>
    plan?.runs.find((run) => run.job === job.id)?.stretches[0]?.start ?? Infinity;
  const [first] = [...open].sort((a, b) => startOf(a) - startOf(b));
  const job = under ?? first ?? again;
  return job ? [job] : [];
}

async function movedRun(
  db: Reader,
  move: Moving,
  job: JobTable,
  { run, plan }: { readonly run: Run | undefined; readonly plan: PlanNow | null },
): Promise<MovedRun> {
  const allowed = job.machine_ids === null ? [] : (JSON.parse(job.machine_ids) as string[]);
  const machineId =
    run?.machineId ??
    move.machineId ??
    plan?.runs.find((one) => one.job === job.id)?.machine ??
    (allowed.length === 1 ? allowed[0]! : null);
  const facts =
    run?.facts ??
    (begun.includes(move.to) || behind.includes(move.to)
      ? await factsOf(db, job, machineId, { plan, needles: undefined })
      : null);
  return { machineId, facts };
}

/** Works the runs of moved pieces out anew and keeps them, and what stands on machines. After the moves were written. */
export async function followMoves(db: Reader, moveIds: readonly string[]): Promise<void> {
  const rows = await inPortions(moveIds, (ids) =>
    db.selectFrom("floor_events").selectAll().where("id", "in", ids).execute(),
  );
  const moves = rows.flatMap((row) => moveOf(row) ?? []).filter((move) => move.runs !== undefined);
  if (moves.length === 0) return;
  const lives = await rowsOfPieces(
    db,
    moves.map((move) => move.pieceId!),
  );
  for (const move of moves)
    for (const jobId of Object.keys(move.runs!)) {
      const { row } = runFrom(jobId, lives.get(move.pieceId!) ?? []);
      await db.deleteFrom("floor_runs").where("job_id", "=", jobId).execute();
      if (row) await db.insertInto("floor_runs").values(row).execute();
    }
  for (const move of moves) await standBy(db, move);
}

async function standBy(db: Reader, move: MovedByHand): Promise<void> {
  for (const register of registersOfMove(move, move.id)) {
    await db.insertInto("floor_registers").values(registerRow(register)).execute();
    const at = { kind: register.kind, subject: register.subject };
    const known = await standingAt(db, at);
    if (!isLater(register, known ?? undefined)) continue;
    await db
      .deleteFrom("floor_standing")
      .where("kind", "=", at.kind)
      .where("subject", "=", at.subject)
      .execute();
    await db.insertInto("floor_standing").values(registerRow(register)).execute();
  }
}

async function standingAt(
  db: Reader,
  { kind, subject }: Pick<Register, "kind" | "subject">,
): Promise<Register | null> {
  const row = await db
    .selectFrom("floor_standing")
    .selectAll()
    .where("kind", "=", kind)
    .where("subject", "=", subject)
    .executeTakeFirst();
  return row ? registerOf(row) : null;
}
