import { addDays, daysBetween } from "#core/shop";
import type { Store } from "#store";
import { groupedBy, inPortions } from "../records";
import type { CostGround } from "./ground";
import { bobbinLasts, bobbinOf, cutOf } from "./piece";
import { jobColumns, runSewing, versionsOf } from "./sewing";

/** What the orders of some weeks took of each stock item and thread, by its id, week by week. Metres of thread. */
export type WeeklyUse = ReadonlyMap<string, readonly number[]>;

/** Spoiled pieces have used up their blank as others have; cancelled ones have not. */
export async function weeklyUse(
  db: Store["db"],
  ground: CostGround,
  { from, weeks }: { readonly from: string; readonly weeks: number },
): Promise<WeeklyUse> {
  const pieces = await db
    .selectFrom("pieces")
    .innerJoin("orders", "orders.id", "pieces.order_id")
    .select(["pieces.id", "pieces.product_id", "orders.placed_on"])
    .where("orders.placed_on", ">=", from)
    .where("orders.placed_on", "<", addDays(from, 7 * weeks))
    .where("pieces.state", "!=", "cancelled")
    .execute();
  const jobs = await inPortions(
    pieces.map(({ id }) => id),
    (portion) => db.selectFrom("jobs").select(jobColumns).where("piece_id", "in", portion).execute(),
  );
  const versions = await versionsOf(
    db,
    jobs.map((job) => job.design_version_id),
  );
  const byPiece = groupedBy(jobs, (job) => job.piece_id);
  const used = new Map<string, number[]>();
  const bobbin = bobbinOf(ground);
  const perBobbin = bobbinLasts(ground).value;
  for (const piece of pieces) {
    const week = Math.floor(daysBetween(from, piece.placed_on) / 7);
    const take = (id: string, amount: number) => {
      let own = used.get(id);
      if (!own) used.set(id, (own = new Array<number>(weeks).fill(0)));
      own[week]! += amount;
    };
    const product = ground.products.get(piece.product_id)!;
    if (product.blankId !== null) take(product.blankId, 1);
    for (const { stockId, amount } of ground.figures.products.get(product.id)?.takes ?? [])
      take(stockId, amount);
    for (const job of byPiece.get(piece.id) ?? []) {
      const run = runSewing(job, versions, new Map());
      const placement = product.placements.find((one) => one.id === run.placementId);
      for (const id of [placement?.backingId, placement?.toppingId])
        if (id) take(id, cutOf(ground, id, run.hoopId));
      if (!run.sewing) continue;
      for (const [id, metres] of run.sewing.topM) if (id !== "") take(id, metres);
      if (bobbin) take(bobbin.id, run.sewing.stitches / perBobbin);
    }
  }
  return used;
}
