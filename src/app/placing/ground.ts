import type { shapes } from "#contract";
import { designOutline, type PointMm } from "#core/placing";
import { readMachineFile, type Stitches } from "#core/stitch";
import type { JobTable, PieceTable, Store } from "#store";
import type { Context } from "../context";
import { runOfRow } from "../floor/rows";
import { refuseOrders } from "../order-refusals";
import { allOf, type Kept, keptOf, type VersionReport } from "../records";
import { refuseApp } from "../refusals";
import { type MachineSteps, ownSteps, ruleFor, type RuleOfPlacement, usualSteps } from "./records";
import { placingRefusals } from "./refusals";

/** What is known of a run before anything was touched: the records a placing rests on. */

type Reader = Store["db"];
type Product = Kept<shapes.ProductBody>;
export type Hoop = Kept<shapes.HoopBody>;
export type Machine = Kept<shapes.MachineBody>;

export interface RunGround {
  readonly job: JobTable;
  readonly piece: PieceTable;
  readonly product: Product;
  readonly placement: Product["placements"][number] | null;
  readonly versionId: string;
  readonly designName: string;
  readonly extentsMm: VersionReport["extentsMm"];
  readonly design: Stitches;
  /** The convex hull of its stitches, mm from its start. */
  readonly outline: readonly PointMm[];
  readonly threadIds: readonly (string | null)[];
  readonly partStitches: readonly number[];
  readonly hoop: Hoop | null;
  readonly rule: RuleOfPlacement;
  /** What the floor has told of the run so far; null while nothing. */
  readonly begun: {
    readonly stage: string;
    readonly stitches: number;
    readonly sewedMs: number;
    readonly hoopedAtMs: number | null;
  } | null;
}

/**
 * @throws Refusal job-unknown, placing-run-not-placeable
 */
export async function groundOf({ store }: Context, jobId: string): Promise<RunGround> {
  const { db } = store;
  const job = await db.selectFrom("jobs").selectAll().where("id", "=", jobId).executeTakeFirst();
  if (!job) throw refuseOrders("job-unknown", `There is no run ${jobId}.`, [{ field: "id", found: jobId }]);
  const piece = await db
    .selectFrom("pieces")
    .selectAll()
    .where("id", "=", job.piece_id)
    .executeTakeFirstOrThrow();
  const productRow = await db
    .selectFrom("products")
    .selectAll()
    .where("id", "=", piece.product_id)
    .executeTakeFirstOrThrow();
  const product = keptOf<shapes.ProductBody>(productRow);
  const version =
    job.design_version_id === null
      ? undefined
      : await db
          .selectFrom("design_versions")
          .innerJoin("designs", "designs.id", "design_versions.design_id")
          .select([
            "design_versions.id",
            "design_versions.file_hash",
            "design_versions.report",
            "designs.name",
          ])
          .where("design_versions.id", "=", job.design_version_id)
          .executeTakeFirst();
  if (!version)
    throw placingRefusals(
      "placing-run-not-placeable",
      `${job.placement_name} of piece ${piece.code}: ${job.trouble ?? "no design is chosen."}`,
    );
  const design = readMachineFile(await store.files.get(version.file_hash)).stitches;
  const outline = designOutline(design);
  if (outline.length === 0)
    throw placingRefusals("placing-run-not-placeable", `${version.name} has no stitches to place.`);
  const report = JSON.parse(version.report) as VersionReport;
  const hoops = await allOf(db, "hoops");
  return {
    job,
    piece,
    product,
    placement: product.placements.find((one) => one.id === job.placement_id) ?? null,
    versionId: version.id,
    designName: version.name,
    extentsMm: report.extentsMm,
    design,
    outline,
    threadIds: JSON.parse(job.thread_ids) as (string | null)[],
    partStitches: report.parts.map((part) => part.stitches),
    hoop: job.hoop_id === null ? null : (hoops.get(job.hoop_id) ?? null),
    rule: await ruleFor(db, piece.product_id, job.placement_id),
    begun: await begunOf(db, job.id),
  };
}

async function begunOf(db: Reader, jobId: string): Promise<RunGround["begun"]> {
  const row = await db
    .selectFrom("floor_runs")
    .select(["stage", "stitches", "run"])
    .where("job_id", "=", jobId)
    .executeTakeFirst();
  if (!row) return null;
  const { sewedMs, hoopedAtMs } = runOfRow(row);
  return { stage: row.stage, stitches: row.stitches, sewedMs, hoopedAtMs };
}

export interface MachineGround {
  readonly machine: Machine;
  readonly steps: MachineSteps;
}

/** The machines that may sew the run: allowed for it, taking its hoop, embroidering. */
export async function machinesOf(
  db: Reader,
  { job, hoop }: Pick<RunGround, "job" | "hoop">,
): Promise<MachineGround[]> {
  const [machines, steps] = [await allOf(db, "machines"), await ownSteps(db)];
  const allowed = job.machine_ids === null ? null : new Set(JSON.parse(job.machine_ids) as string[]);
  return [...machines.values()]
    .filter(
      (machine) =>
        !machine.archived &&
        machine.kind !== "straight-stitch" &&
        (allowed === null || allowed.has(machine.id)) &&
        (hoop === null || machine.hoopIds.includes(hoop.id)),
    )
    .map((machine) => ({ machine, steps: steps.get(machine.id) ?? usualSteps(machine) }));
}

/** @throws Refusal reference-wrong where the run cannot be sewn on it. */
export async function machineOf(db: Reader, ground: RunGround, id: string): Promise<MachineGround> {
  const able = await machinesOf(db, ground);
  const found = able.find(({ machine }) => machine.id === id);
  if (!found)
    throw refuseApp("reference-wrong", "The run cannot be sewn on this machine.", [
      { field: "machineId", found: id, expected: able.map(({ machine }) => machine.name).join(", ") },
    ]);
  return found;
}

export async function mustBePerson(db: Reader, id: string | null): Promise<void> {
  if (id === null) return;
  const row = await db.selectFrom("people").select("id").where("id", "=", id).executeTakeFirst();
  if (!row)
    throw refuseApp("reference-wrong", `There is no person ${id}.`, [{ field: "personId", found: id }]);
}
