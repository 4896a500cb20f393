import type { shapes } from "#contract";
import type { Store } from "#store";
import { refuseOrders } from "./order-refusals";
import { inPortions } from "./records";

/** What a person may set on a run: only what is there, and only machines that embroider. */

type Reader = Store["db"];

export type JobBody = {
  readonly designVersionId: string | null;
  readonly threadIds: readonly (string | null)[];
  readonly hoopId: string | null;
  readonly machineIds: readonly string[] | null;
  readonly hoopS: number | null;
  readonly unhoopS: number | null;
  readonly finishS: number | null;
};

export async function checkJob(db: Reader, body: JobBody): Promise<void> {
  if (body.designVersionId !== null) {
    const version = await db
      .selectFrom("design_versions")
      .select("thread_ids")
      .where("id", "=", body.designVersionId)
      .executeTakeFirst();
    if (!version)
      throw refuseOrders("line-names-unknown", `There is no design version ${body.designVersionId}.`, [
        { field: "designVersionId", found: body.designVersionId },
      ]);
    const parts = (JSON.parse(version.thread_ids) as unknown[]).length;
    if (body.threadIds.length !== parts)
      throw refuseOrders(
        "line-names-unknown",
        `The design has ${parts} parts; ${body.threadIds.length} threads were given.`,
        [{ field: "threadIds", found: String(body.threadIds.length), expected: String(parts) }],
      );
  }
  const threads = [...new Set(body.threadIds.filter((id) => id !== null))];
  const known = new Set(
    (
      await inPortions(threads, (ids) =>
        db.selectFrom("threads").select("id").where("id", "in", ids).execute(),
      )
    ).map((row) => row.id),
  );
  const strange = threads.find((id) => !known.has(id));
  if (strange !== undefined)
    throw refuseOrders("line-names-unknown", `There is no thread ${strange}.`, [
      { field: "threadIds", found: strange },
    ]);
  if (
    body.hoopId !== null &&
    !(await db.selectFrom("hoops").select("id").where("id", "=", body.hoopId).executeTakeFirst())
  )
    throw refuseOrders("line-names-unknown", `There is no hoop ${body.hoopId}.`, [
      { field: "hoopId", found: body.hoopId },
    ]);
  for (const id of body.machineIds ?? []) await checkMachine(db, id, "machineIds");
}

export async function checkMachine(db: Reader, id: string, field: string): Promise<void> {
  const row = await db
    .selectFrom("machines")
    .select(["name", "archived", "body"])
    .where("id", "=", id)
    .executeTakeFirst();
  if (!row) throw refuseOrders("line-names-unknown", `There is no machine ${id}.`, [{ field, found: id }]);
  if (row.archived === 1)
    throw refuseOrders("line-names-unknown", `The machine ${row.name} is archived.`, [
      { field, found: row.name, expected: "a machine in use" },
    ]);
  if ((JSON.parse(row.body) as shapes.MachineBody).kind === "straight-stitch")
    throw refuseOrders("line-names-unknown", `The machine ${row.name} does not embroider.`, [
      { field, found: row.name, expected: "an embroidery machine" },
    ]);
}
