import { CONSUMPTION_DEFAULTS, threadConsumption } from "#core/thread";
import type { JobTable, Store } from "#store";
import { type DesignVersionRow, groupedBy, inPortions, type VersionReport } from "../records";

/** What is sewn on a piece, by its runs: of one piece, or the mean of a product's last ones. */

type Reader = Store["db"];

/** Stitches and what they take; of a mean these are no whole numbers. */
export interface Sewing {
  readonly stitches: number;
  readonly colourChanges: number;
  readonly trims: number;
  /** Top thread, metres by thread id; "" where none is chosen. */
  readonly topM: ReadonlyMap<string, number>;
  readonly bobbinM: number;
}

export interface RunSewing {
  readonly placementId: string;
  readonly placementName: string;
  readonly hoopId: string | null;
  readonly machineIds: readonly string[] | null;
  /** The machine that sewed it, and for how long by what stations told; null before that. */
  readonly sewn: { readonly machineId: string; readonly sewedS: number } | null;
  readonly hoopS: number | null;
  readonly unhoopS: number | null;
  readonly finishS: number | null;
  /** Null: no design is there yet. */
  readonly sewing: Sewing | null;
  /** Runs it is the mean of. */
  readonly of: number;
}

export type VersionBrief = Pick<DesignVersionRow, "id" | "trims" | "stops" | "report" | "thread_ids">;

export async function versionsOf(
  db: Reader,
  ids: readonly (string | null)[],
): Promise<Map<string, VersionBrief>> {
  const wanted = [...new Set(ids.filter((one) => one !== null))];
  const rows = await inPortions(wanted, (portion) =>
    db
      .selectFrom("design_versions")
      .select(["id", "trims", "stops", "report", "thread_ids"])
      .where("id", "in", portion)
      .execute(),
  );
  return new Map(rows.map((row) => [row.id, row]));
}

const sewings = new WeakMap<VersionBrief, Map<string, Sewing>>();

/** As `sewingOf`, worked out once for a version read and its threads (JSON): pieces of one line share both. */
function sewingOnce(version: VersionBrief, threadIds: string): Sewing {
  const known = sewings.get(version) ?? new Map<string, Sewing>();
  if (known.size === 0) sewings.set(version, known);
  const there = known.get(threadIds);
  if (there) return there;
  const made = sewingOf(version, JSON.parse(threadIds) as (string | null)[]);
  known.set(threadIds, made);
  return made;
}

/** What a version takes when sewn with these threads; ends are its trims and one a part, shared by stitches. */
export function sewingOf(version: VersionBrief, threadIds: readonly (string | null)[]): Sewing {
  const { parts } = JSON.parse(version.report) as VersionReport;
  const stitches = parts.reduce((sum, part) => sum + part.stitches, 0);
  const topM = new Map<string, number>();
  let bobbinM = 0;
  parts.forEach((part, at) => {
    const used = threadConsumption(
      {
        pathMm: part.threadMm,
        stitches: part.stitches,
        ends: 1 + (stitches === 0 ? 0 : (version.trims * part.stitches) / stitches),
      },
      CONSUMPTION_DEFAULTS,
    );
    const id = threadIds[at] ?? "";
    topM.set(id, (topM.get(id) ?? 0) + used.topM);
    bobbinM += used.bobbinM;
  });
  return { stitches, colourChanges: Math.max(0, parts.length - 1), trims: version.trims, topM, bobbinM };
}

export function meanSewing(all: readonly Sewing[]): Sewing | null {
  if (all.length === 0) return null;
  const mean = (of: (one: Sewing) => number) => all.reduce((sum, one) => sum + of(one), 0) / all.length;
  const topM = new Map<string, number>();
  for (const one of all)
    for (const [id, metres] of one.topM) topM.set(id, (topM.get(id) ?? 0) + metres / all.length);
  return {
    stitches: mean((one) => one.stitches),
    colourChanges: mean((one) => one.colourChanges),
    trims: mean((one) => one.trims),
    topM,
    bobbinM: mean((one) => one.bobbinM),
  };
}

export type JobBrief = Pick<
  JobTable,
  | "id"
  | "piece_id"
  | "placement_id"
  | "placement_name"
  | "design_version_id"
  | "thread_ids"
  | "hoop_id"
  | "machine_ids"
  | "hoop_s"
  | "unhoop_s"
  | "finish_s"
>;

export const jobColumns = [
  "id",
  "piece_id",
  "placement_id",
  "placement_name",
  "design_version_id",
  "thread_ids",
  "hoop_id",
  "machine_ids",
  "hoop_s",
  "unhoop_s",
  "finish_s",
] as const;

export type SewnRuns = ReadonlyMap<string, { readonly machineId: string; readonly sewedS: number }>;

export function runSewing(
  job: JobBrief,
  versions: ReadonlyMap<string, VersionBrief>,
  sewn: SewnRuns,
): RunSewing {
  const version = job.design_version_id === null ? undefined : versions.get(job.design_version_id);
  return {
    placementId: job.placement_id,
    placementName: job.placement_name,
    hoopId: job.hoop_id,
    machineIds: job.machine_ids === null ? null : (JSON.parse(job.machine_ids) as string[]),
    sewn: sewn.get(job.id) ?? null,
    hoopS: job.hoop_s,
    unhoopS: job.unhoop_s,
    finishS: job.finish_s,
    sewing: version ? sewingOnce(version, job.thread_ids) : null,
    of: 1,
  };
}

/** Runs that stations told of from start to end. Those only moved on their page have no time of their own. */
export async function sewnRuns(db: Reader, jobIds: readonly string[]): Promise<SewnRuns> {
  const rows = await inPortions(jobIds, (portion) =>
    db
      .selectFrom("floor_runs")
      .select(["job_id", "machine_id", "sewed_ms", "run"])
      .where("job_id", "in", portion)
      .where("ended_at_ms", "is not", null)
      .where("stage", "!=", "spoiled")
      .execute(),
  );
  return new Map(
    rows.flatMap((row) => {
      const { estimated } = JSON.parse(row.run) as { estimated?: boolean };
      if (estimated === true || row.machine_id === null || row.sewed_ms <= 0) return [];
      return [[row.job_id, { machineId: row.machine_id, sewedS: row.sewed_ms / 1000 }] as const];
    }),
  );
}

/** So many of a product's last runs are looked at, of so many in all. */
const LAST_RUNS = 60;
const MOST_JOBS = 4000;

/** The last runs of every product, newest first, with their pieces' product. */
export async function lastRuns(db: Reader): Promise<Map<string, JobBrief[]>> {
  const rows = await db
    .selectFrom("jobs")
    .innerJoin("pieces", "pieces.id", "jobs.piece_id")
    .select(jobColumns.map((column) => `jobs.${column}` as const))
    .select("pieces.product_id")
    .where("jobs.design_version_id", "is not", null)
    // Ids rise with time, so the newest stand last in the key: nothing has to be sorted.
    .orderBy("pieces.id", "desc")
    .orderBy("jobs.id")
    .limit(MOST_JOBS)
    .execute();
  const grouped = groupedBy(rows, (row) => row.product_id);
  return new Map([...grouped].map(([id, jobs]) => [id, jobs.slice(0, LAST_RUNS)]));
}
