import type { FloorEvent, RunFacts } from "#core/floor";
import type { PlanInForceNow } from "../plans";
import { machineTimes } from "#core/shop";
import type { JobTable, Store } from "#store";
import { keptOf, studioOf, type VersionReport } from "../records";
import type { shapes } from "#contract";

/**
 * What is known of a run when it begins, kept with its event so that hours, stitches a needle and thread used follow
 * from the events alone, whatever becomes of the records later.
 */
export async function factsOf(
  db: Store["db"],
  job: JobTable,
  machineId: string | null,
  known: {
    readonly plan: Pick<PlanInForceNow, "runs" | "startsAtMs"> | null;
    readonly needles: readonly (number | null)[] | undefined;
  },
): Promise<RunFacts | null> {
  if (job.design_version_id === null) return null;
  const [version, piece, machine, studio] = await Promise.all([
    db
      .selectFrom("design_versions")
      .select(["report", "trims"])
      .where("id", "=", job.design_version_id)
      .executeTakeFirst(),
    db.selectFrom("pieces").select("product_id").where("id", "=", job.piece_id).executeTakeFirst(),
    machineId === null
      ? undefined
      : db.selectFrom("machines").selectAll().where("id", "=", machineId).executeTakeFirst(),
    studioOf(db),
  ]);
  if (!version || !piece || !studio) return null;
  const { parts } = JSON.parse(version.report) as VersionReport;
  const threads = JSON.parse(job.thread_ids) as (string | null)[];
  const run = known.plan?.runs.find((one) => one.job === job.id && one.machine === machineId);
  const body = machine ? keptOf<shapes.MachineBody>(machine) : null;
  const needleOf = (part: number): number | null => {
    const told = ofLast(known.needles, parts.length, part) ?? ofLast(run?.needles, parts.length, part);
    if (told !== undefined) return told;
    const at = body?.needles.find((needle) => needle.threadId === threads[part]);
    return at?.number ?? null;
  };
  const changes = parts.filter((_, part) => part > 0 && threads[part] !== threads[part - 1]).length;
  const times = body ? machineTimes(body, studio.body.stepTimes) : null;
  return {
    stitches: job.stitches,
    trims: version.trims,
    colourChanges: changes,
    expectedS:
      body && times
        ? Math.ceil(
            (60 * job.stitches) / body.stitchesPerMinute +
              changes * times.colourChangeS +
              version.trims * times.trimS,
          )
        : 0,
    parts: parts.map((part, at) => ({
      needle: needleOf(at),
      threadId: threads[at] ?? "",
      stitches: part.stitches,
      threadMm: Math.round(part.threadMm),
    })),
    productId: piece.product_id,
    hoopId: job.hoop_id,
    planned:
      run && known.plan
        ? {
            startMs: known.plan.startsAtMs + run.stretches[0]!.start * 1000,
            endMs: known.plan.startsAtMs + run.stretches.at(-1)!.end * 1000,
          }
        : null,
  };
}

/** A part's needle where the list may hold the last parts only, as of a run that is taken up again. */
const ofLast = (
  needles: readonly (number | null)[] | undefined,
  parts: number,
  part: number,
): number | null | undefined => needles?.[part - Math.max(0, parts - needles.length)];

/** Events that begin or end a run carry its facts. */
export const bearsFacts = (
  event: FloorEvent,
): event is FloorEvent & { kind: "started" | "sewn" | "finished" } =>
  event.kind === "started" || event.kind === "sewn" || event.kind === "finished";
