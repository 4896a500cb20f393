import { orderHabits, type OrderHabits, type PastOrder } from "#core/floor";
import { addDays, type CalendarDate, daysBetween, handTimes } from "#core/shop";
import type { shapes } from "#contract";
import type { JobTable, Store } from "#store";
import { type PlannedTime, type Records, embroiders } from "../plan-gathering";
import { groupedBy, inPortions, type Kept, versionOf } from "../records";
import type { PieceKind, RunKind } from "./season";

/** The studio's own past orders as the simulation takes them: each piece with its runs, as a plan would make them. */

/** Orders of the last so many days say what is asked for, a whole year of seasons and a month. */
export const DAYS_BACK = 396;

/** Pieces sold of a product through a channel, for what they bring. */
export interface Sold {
  readonly product: number;
  readonly channel: string;
  pieces: number;
  /** Sum of their prices; those without a price of their own at the product's. */
  priceCents: number;
  /** Orders they came in, each piece as its share: for fees and parcels that fall on an order once. */
  orders: number;
}

export interface Past {
  readonly habits: OrderHabits<number>;
  readonly kinds: readonly PieceKind[];
  /** Pieces that cannot be made as the records stand, and are left out. */
  readonly leftOut: number;
  readonly from: CalendarDate;
  /** Products by their places in `kinds`. */
  readonly productIds: readonly string[];
  readonly sold: readonly Sold[];
}

interface PastAsked {
  readonly db: Store["db"];
  readonly records: Records;
  readonly today: CalendarDate;
  readonly planned: PlannedTime;
}

/** Orders placed before today; without any null. Cancelled pieces and remakes are not orders of customers. */
export async function pastOf({ db, records, today, planned }: PastAsked): Promise<Past | null> {
  const rows = await db
    .selectFrom("pieces")
    .innerJoin("orders", "orders.id", "pieces.order_id")
    .leftJoin("order_lines", "order_lines.id", "pieces.line_id")
    .select([
      "pieces.id",
      "pieces.order_id",
      "pieces.product_id",
      "pieces.ship_by",
      "orders.placed_on",
      "orders.channel",
      "order_lines.price_cents",
    ])
    .where("orders.placed_on", ">=", addDays(today, -DAYS_BACK))
    .where("orders.placed_on", "<=", today)
    .where("pieces.state", "!=", "cancelled")
    .where("pieces.remake_of", "is", null)
    .orderBy("orders.placed_on")
    .orderBy("pieces.order_id")
    .orderBy("pieces.code")
    .execute();
  if (rows.length === 0) return null;
  const jobs = await inPortions(
    rows.map(({ id }) => id),
    (ids) => db.selectFrom("jobs").selectAll().where("piece_id", "in", ids).execute(),
  );
  const jobsOf = groupedBy(
    jobs.sort((a, b) => a.position - b.position),
    (job) => job.piece_id,
  );
  const whole: Records = { ...records, versions: await versionsOf(db, jobs) };
  const kinds: PieceKind[] = [];
  const numberOf = new Map<string, number>();
  const productIds: string[] = [];
  const sold = new Map<string, Sold>();
  let leftOut = 0;
  const orders: PastOrder<number>[] = [];
  for (const pieces of groupedBy(rows, (row) => row.order_id).values()) {
    const numbers = pieces.flatMap((piece) => {
      const made = kindOf(whole, planned, piece.product_id, jobsOf.get(piece.id) ?? []);
      if (made === null) {
        leftOut++;
        return [];
      }
      const product = placeIn(productIds, piece.product_id);
      sell(sold, product, piece, {
        priceCents: piece.price_cents ?? records.products.get(piece.product_id)!.priceCents,
        share: 1 / pieces.length,
      });
      const kind: PieceKind = { ...made, product };
      const key = JSON.stringify(kind);
      const known = numberOf.get(key) ?? kinds.push(kind) - 1;
      numberOf.set(key, known);
      return [known];
    });
    const { placed_on, ship_by } = pieces[0]!;
    if (numbers.length > 0)
      orders.push({
        date: placed_on,
        secondOfDay: 0,
        leadDays: Math.max(0, daysBetween(placed_on, ship_by)),
        pieces: numbers,
      });
  }
  const from = rows[0]!.placed_on;
  if (orders.length === 0) return null;
  const habits = orderHabits(orders, from, today);
  return { habits, kinds, leftOut, from, productIds, sold: [...sold.values()] };
}

function placeIn(ids: string[], id: string): number {
  const place = ids.indexOf(id);
  return place >= 0 ? place : ids.push(id) - 1;
}

function sell(
  sold: Map<string, Sold>,
  product: number,
  { channel }: { readonly channel: string },
  { priceCents, share }: { readonly priceCents: number; readonly share: number },
): void {
  const key = `${product} ${channel}`;
  const known = sold.get(key) ?? { product, channel, pieces: 0, priceCents: 0, orders: 0 };
  known.pieces++;
  known.priceCents += priceCents;
  known.orders += share;
  sold.set(key, known);
}

async function versionsOf(db: Store["db"], jobs: readonly JobTable[]): Promise<Records["versions"]> {
  const ids = [...new Set(jobs.flatMap((job) => job.design_version_id ?? []))];
  const rows = await inPortions(ids, (portion) =>
    db.selectFrom("design_versions").selectAll().where("id", "in", portion).execute(),
  );
  return new Map(rows.map((row) => [row.id, { ...versionOf(row), designName: "" }]));
}

/** Null where the records do not say how to make it. */
function kindOf(
  records: Records,
  planned: PlannedTime,
  productId: string,
  jobs: readonly JobTable[],
): Omit<PieceKind, "product"> | null {
  const product = records.products.get(productId);
  if (!product) return null;
  if (product.kind === "sewn" || jobs.length === 0)
    return product.sewS > 0 ? { runs: [], sewS: product.sewS } : null;
  const runs = jobs.map((job) => runOf(records, planned, productId, job));
  return runs.includes(null) ? null : { runs: runs as RunKind[], sewS: 0 };
}

function runOf(records: Records, planned: PlannedTime, productId: string, job: JobTable): RunKind | null {
  const version = job.design_version_id === null ? undefined : records.versions.get(job.design_version_id);
  if (!version) return null;
  const known = job.hoop_id === null ? null : records.hoops.get(job.hoop_id);
  if (known === undefined || known?.archived) return null;
  const machines = machinesFor(records, job, version, known);
  if (machines.length === 0) return null;
  const threadIds = JSON.parse(job.thread_ids) as (string | null)[];
  const parts = version.parts.map(({ stitches }, at) => ({
    colour: threadIds[at] ?? "no thread yet",
    stitches,
  }));
  return {
    parts,
    trims: version.trims,
    hoop: known?.id ?? null,
    machines,
    sizeMm: [
      Math.ceil(version.extentsMm.right - version.extentsMm.left),
      Math.ceil(version.extentsMm.top - version.extentsMm.bottom),
    ],
    ...times(records, planned, productId, job),
  };
}

/** The rule of the plan: the design fits the machine's field and the machine takes its hoop. */
function machinesFor(
  records: Records,
  job: JobTable,
  version: shapes.DesignVersion,
  hoop: Kept<shapes.HoopBody> | null,
): string[] {
  const { left, right, bottom, top } = version.extentsMm;
  const allowed = job.machine_ids === null ? null : (JSON.parse(job.machine_ids) as string[]);
  return [...records.machines.values()]
    .filter(
      (machine) =>
        embroiders(machine) &&
        (allowed === null || allowed.includes(machine.id)) &&
        (hoop === null || machine.hoopIds.includes(hoop.id)) &&
        right - left <= machine.fieldWidthMm &&
        top - bottom <= machine.fieldHeightMm,
    )
    .map(({ id }) => id);
}

/** A time of the run's own first, then what the floor has taught, then what is usual; as a plan takes them. */
function times(
  { studio, hoops }: Records,
  planned: PlannedTime,
  productId: string,
  job: JobTable,
): Pick<RunKind, "hoopS" | "unhoopS" | "finishS"> {
  const hoop = job.hoop_id === null ? null : (hoops.get(job.hoop_id) ?? null);
  const own = { hoopS: job.hoop_s, unhoopS: job.unhoop_s, finishS: job.finish_s };
  const usual = handTimes(own, hoop, studio.body.stepTimes);
  const hoopS = job.hoop_s === null && hoop ? planned("hooping", hoop.id) : null;
  const both = job.unhoop_s === null && job.finish_s === null ? planned("finishing", productId) : null;
  const unhoopS =
    both === null ? null : Math.round((both * usual.unhoopS) / Math.max(1, usual.unhoopS + usual.finishS));
  return {
    hoopS: hoopS ?? usual.hoopS,
    unhoopS: unhoopS ?? usual.unhoopS,
    finishS: both === null ? usual.finishS : both - unhoopS!,
  };
}
