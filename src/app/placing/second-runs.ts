import type { Run } from "#core/floor";
import type { Store } from "#store";
import { runOfRow } from "../floor/rows";
import { inPortions } from "../records";
import { type SecondRun, secondRuns } from "./files";

/**
 * Runs taken up again, as the plan is to see them: only what remains is to sew, of the parts that remain, and what was
 * sewn before the piece came out of its hoop does not count again. Pieces, runs and designs are given to the plan with
 * that said in them; the records stay as they are.
 */

interface JobLike {
  readonly id: string;
  readonly piece_id: string;
  readonly design_version_id: string | null;
  readonly placement_name: string;
  readonly thread_ids: string;
}
interface VersionLike {
  readonly parts: readonly { readonly stitches: number }[];
  readonly trims: number;
}
interface PieceLike {
  readonly id: string;
  readonly state: string;
}
interface ToldLike {
  readonly jobId: string;
  readonly isOnMachine: boolean;
  readonly sewedS: number;
  readonly stretch: number;
  readonly isBetween: boolean;
}

interface Asked<P, J, V, T> {
  readonly pieces: readonly P[];
  readonly jobs: readonly J[];
  /** By design version. */
  readonly versions: ReadonlyMap<string, V>;
  /** Runs under way that stations told of, by piece. */
  readonly told: ReadonlyMap<string, T>;
  /** When pieces last went onto a machine. */
  readonly starts: ReadonlyMap<string, { readonly atMs: number }>;
  readonly nowMs: number;
}

/** The same with what remains of runs that were placed to be taken up again. */
export async function withSecondRuns<
  P extends PieceLike,
  J extends JobLike,
  V extends VersionLike,
  T extends ToldLike,
>(
  db: Store["db"],
  asked: Asked<P, J, V, T>,
): Promise<Pick<Asked<P, J, V, T>, "pieces" | "jobs" | "versions" | "told">> {
  const again = await secondRuns(
    db,
    asked.jobs.map((job) => job.id),
  );
  if (again.size === 0) return asked;
  const versions = new Map(asked.versions);
  const jobs = asked.jobs.map((job) => {
    const rest = again.get(job.id);
    const version = versions.get(job.design_version_id ?? "");
    if (!rest || !version) return job;
    // The design as this run sews it; other runs have it whole.
    const own = `${job.design_version_id} of ${job.id}`;
    versions.set(own, { ...version, parts: partsOf(version, rest), trims: rest.trims });
    return {
      ...job,
      design_version_id: own,
      placement_name: `${job.placement_name}, second run from stitch ${rest.fromStitch}`,
      thread_ids: JSON.stringify((JSON.parse(job.thread_ids) as unknown[]).slice(rest.firstPart)),
    };
  });
  const told = await toldSince(db, asked, again);
  const offMachine = new Set(
    asked.jobs
      .filter(({ id, piece_id }) => {
        const [rest, one] = [again.get(id), told.get(piece_id)];
        if (!rest) return false;
        // Without a station's word the piece's page has the last one.
        return one
          ? one.jobId === id && !one.isOnMachine
          : (asked.starts.get(piece_id)?.atMs ?? 0) < rest.sinceMs;
      })
      .map((job) => job.piece_id),
  );
  return {
    jobs,
    versions,
    told,
    pieces: asked.pieces.map((piece) =>
      piece.state === "sewing" && offMachine.has(piece.id) ? { ...piece, state: "hooped" } : piece,
    ),
  };
}

const partsOf = <V extends VersionLike>({ parts }: V, rest: SecondRun): V["parts"] =>
  parts.slice(rest.firstPart).map((part, i) => ({ ...part, stitches: rest.partStitches[i] ?? 0 }));

async function toldSince<P, J, V, T extends ToldLike>(
  db: Store["db"],
  { told, nowMs }: Asked<P, J, V, T>,
  again: ReadonlyMap<string, SecondRun>,
): Promise<ReadonlyMap<string, T>> {
  const ids = [...told.values()].map((one) => one.jobId).filter((id) => again.has(id));
  const rows = await inPortions(ids, (portion) =>
    db.selectFrom("floor_runs").select(["job_id", "run"]).where("job_id", "in", portion).execute(),
  );
  const runs = new Map(rows.map((row) => [row.job_id, runOfRow(row)]));
  return new Map(
    [...told].map(([pieceId, one]) => {
      const [rest, run] = [again.get(one.jobId), runs.get(one.jobId)];
      return [pieceId, rest && run ? { ...one, ...since(run, rest, nowMs) } : one];
    }),
  );
}

/** How far a run has come since it was placed again. */
function since(run: Run, { sinceMs, sewedMs }: SecondRun, nowMs: number): Omit<ToldLike, "jobId"> {
  const sewingMs = run.sewingSinceMs === null ? 0 : Math.max(0, nowMs - run.sewingSinceMs);
  const stops = run.stops.filter((stop) => stop.atMs > sinceMs);
  const threaded = stops.filter((stop) => stop.why === "threading").length;
  const isBetween = run.stage === "stopped" && stops.at(-1)?.why === "threading";
  const isBack = (run.loadedAtMs ?? 0) > sinceMs || (run.sewingSinceMs ?? 0) > sinceMs || stops.length > 0;
  return {
    isOnMachine: isBack && run.stage !== "hooped",
    sewedS: Math.max(0, Math.round((run.sewedMs - sewedMs + sewingMs) / 1000)),
    stretch: isBetween ? threaded - 1 : threaded,
    isBetween,
  };
}
