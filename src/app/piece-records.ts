import type { shapes } from "#contract";
import { isClosed, type PieceState, pieceStates } from "#core/shop";
import type { JobTable, PieceTable, Store } from "#store";
import { groupedBy, inPortions } from "./records";

/** Pieces and their runs as they stand and as they travel. */

type Reader = Store["db"];

export const openStates: readonly PieceState[] = pieceStates.filter((state) => !isClosed(state));

/** States in which nothing has been done to the piece yet: its design may still change. */
export const unbegunStates: readonly PieceState[] = ["waiting", "ready"];

export const isUnbegun = (state: string): boolean => (unbegunStates as readonly string[]).includes(state);

const natural = new Intl.Collator("en", { numeric: true });

/** By the numbers in their codes: 1005-2, 1005-2R, 1005-10. */
export const byCode = (a: Pick<PieceTable, "code" | "id">, b: Pick<PieceTable, "code" | "id">): number =>
  natural.compare(a.code, b.code) || (a.id < b.id ? -1 : 1);

/** All pieces of an order, by their codes. */
export const piecesOfOrder = async (db: Reader, orderId: string): Promise<PieceTable[]> =>
  (await db.selectFrom("pieces").selectAll().where("order_id", "=", orderId).execute()).sort(byCode);

export const jobsOfPieces = (db: Reader, pieceIds: readonly string[]): Promise<JobTable[]> =>
  inPortions(pieceIds, (ids) =>
    db
      .selectFrom("jobs")
      .selectAll()
      .where("piece_id", "in", ids)
      .orderBy("piece_id")
      .orderBy("position")
      .execute(),
  );

export function jobOf(row: JobTable): shapes.JobRecord {
  return {
    id: row.id,
    version: row.version,
    pieceId: row.piece_id,
    placementId: row.placement_id,
    placementName: row.placement_name,
    designVersionId: row.design_version_id,
    trouble: row.trouble,
    threadIds: JSON.parse(row.thread_ids) as (string | null)[],
    hoopId: row.hoop_id,
    machineIds: row.machine_ids === null ? null : (JSON.parse(row.machine_ids) as string[]),
    hoopS: row.hoop_s,
    unhoopS: row.unhoop_s,
    finishS: row.finish_s,
    stitches: row.stitches,
    sewn: row.sewn === 1,
  };
}

/** Pieces as they travel, with what lists show of their orders; in the order of the rows. */
export async function pieceRecords(db: Reader, rows: readonly PieceTable[]): Promise<shapes.PieceRecord[]> {
  const jobs = groupedBy(
    await jobsOfPieces(
      db,
      rows.map((row) => row.id),
    ),
    (job) => job.piece_id,
  );
  const orderIds = [...new Set(rows.map((row) => row.order_id))];
  const orders = new Map(
    (
      await inPortions(orderIds, (ids) =>
        db
          .selectFrom("orders")
          .select(["id", "reference", "customer", "promise_date"])
          .where("id", "in", ids)
          .execute(),
      )
    ).map((row) => [row.id, row]),
  );
  return rows.map((row) => {
    const order = orders.get(row.order_id)!;
    return {
      id: row.id,
      version: row.version,
      code: row.code,
      orderId: row.order_id,
      lineId: row.line_id,
      productId: row.product_id,
      personalText: row.personal_text,
      state: row.state as PieceState,
      waitingFor: row.waiting_for as shapes.PieceRecord["waitingFor"],
      urgency: row.urgency as shapes.PieceRecord["urgency"],
      heldWhy: row.held_why,
      pinnedMachineId: row.pinned_machine_id,
      remakeOf: row.remake_of,
      stateChangedAtMs: row.state_changed_at_ms,
      orderReference: order.reference,
      customer: order.customer,
      promiseDate: order.promise_date,
      shipBy: row.ship_by,
      jobs: (jobs.get(row.id) ?? []).map(jobOf),
    };
  });
}
