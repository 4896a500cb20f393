import { standingEvents } from "#core/floor";
import type { PlacingTable, Store } from "#store";
import { rowsOfPieces } from "../floor/lives";
import { eventOf, type KeptEvent } from "../floor/rows";
import { inPortions } from "../records";
import { bodyOfPlacing, type PlacingBody } from "./records";

/**
 * Which placing of a run counts now. It follows from what is kept and what was told: the newest that was sure, until
 * the piece is hooped anew, taken out, sewn, or its design or hoop is another. Nothing is written for it, so taking an
 * event back brings the placing back too.
 */

type Reader = Store["db"];

export interface PlacingInForce {
  readonly row: PlacingTable;
  readonly body: PlacingBody;
}

type JobNow = {
  readonly id: string;
  readonly piece_id: string;
  readonly design_version_id: string | null;
  readonly hoop_id: string | null;
  readonly sewn: number;
};

/** The placings in force of these runs, by run. */
export async function placingsInForce(
  db: Reader,
  jobIds: readonly string[],
): Promise<ReadonlyMap<string, PlacingInForce>> {
  const rows = (
    await inPortions(jobIds, (ids) =>
      db.selectFrom("placings").selectAll().where("job_id", "in", ids).where("state", "=", "kept").execute(),
    )
  ).sort(byAge);
  const newest = new Map(rows.map((row) => [row.job_id, row as PlacingTable]));
  if (newest.size === 0) return new Map();
  const standing = await standingOf(db, [...newest.values()]);
  return new Map(
    [...newest].flatMap(([jobId, row]) =>
      standing(row) === "" ? [[jobId, { row, body: bodyOfPlacing(row) }] as const] : [],
    ),
  );
}

const byAge = (
  a: Pick<PlacingTable, "made_at_ms" | "id">,
  b: Pick<PlacingTable, "made_at_ms" | "id">,
): number => a.made_at_ms - b.made_at_ms || (a.id < b.id ? -1 : 1);

/** Why placings of one run do not count, by id; empty for the one that does. */
export async function standingsOfRun(
  db: Reader,
  placings: readonly PlacingTable[],
): Promise<ReadonlyMap<string, string>> {
  if (placings.length === 0) return new Map();
  const newest = [...placings]
    .filter((row) => row.state === "kept")
    .sort(byAge)
    .at(-1);
  const standing = await standingOf(db, placings);
  return new Map(
    placings.map((row) => {
      if (row.state === "unsure") return [row.id, "it was not known well enough"];
      if (row.state === "withdrawn") return [row.id, "it was withdrawn"];
      return [row.id, row === newest ? standing(row) : "the run was placed again since"];
    }),
  );
}

/** What keeps a kept placing from counting, in words; empty where nothing does. */
async function standingOf(
  db: Reader,
  placings: readonly PlacingTable[],
): Promise<(row: PlacingTable) => string> {
  const jobs = await inPortions([...new Set(placings.map((row) => row.job_id))], (ids) =>
    db
      .selectFrom("jobs")
      .select(["id", "piece_id", "design_version_id", "hoop_id", "sewn"])
      .where("id", "in", ids)
      .execute(),
  );
  const jobOf = new Map<string, JobNow>(jobs.map((job) => [job.id, job]));
  const told = await rowsOfPieces(db, [...new Set(jobs.map((job) => job.piece_id))]);
  return (row) => {
    const job = jobOf.get(row.job_id);
    if (!job) return "the run is not there any more";
    if (job.design_version_id !== row.design_version_id) return "the run has another design since";
    if (job.hoop_id !== row.hoop_id) return "the run has another hoop since";
    if (job.sewn === 1) return "the run is sewn";
    return outOfHoop(row, told.get(job.piece_id) ?? []);
  };
}

const ends: ReadonlySet<string> = new Set(["started", "stopped", "skipped", "sewn"]);

/** Whether the piece left the hooping it was placed in. The hooping itself may be told before or after the placing. */
function outOfHoop({ job_id, made_at_ms }: PlacingTable, rows: readonly KeptEvent[]): string {
  const takenOut = rows.some(
    (row) =>
      row.kind === "piece-moved" &&
      row.at_ms > made_at_ms &&
      ["ready", "waiting"].includes((JSON.parse(row.data) as { to: string }).to),
  );
  if (takenOut) return "the piece was taken out of its hoop since";
  const own = standingEvents(rows.flatMap((row) => eventOf(row) ?? [])).filter(
    (event) => "jobId" in event && event.jobId === job_id,
  );
  const before = own.filter((event) => event.atMs <= made_at_ms);
  const lastEnd = before.findLastIndex((event) => ends.has(event.kind));
  const isTold = before.slice(lastEnd + 1).some((event) => event.kind === "hooped");
  const since = own.filter((event) => event.kind === "hooped" && event.atMs > made_at_ms).length;
  return since > (isTold ? 0 : 1) ? "the piece was hooped again since" : "";
}
