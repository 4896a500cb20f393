import type { Answer, costs, shapes } from "#contract";
import { earned, type Known, pieceCost, type PieceCost } from "#core/costing";
import type { OrderLineTable, OrderTable, PieceTable, Store } from "#store";
import { groupedBy, inPortions, type Kept } from "../records";
import type { CostGround } from "./ground";
import { asking, knownBy, leastKnown, missingOf } from "./missing";
import { type Costed, costedPiece } from "./piece";
import { type JobBrief, jobColumns, type RunSewing, runSewing, sewnRuns, versionsOf } from "./sewing";

/**
 * An order is its pieces, its parcel and its channel's fee. Spoiled pieces do not count by themselves: what is spoiled
 * in the mean stands in every piece. Each piece and each parcel is whole cents, so that sums of any of them agree.
 */

type Reader = Store["db"];
export type OrderBrief = Pick<OrderTable, "id" | "reference" | "customer" | "channel" | "placed_on">;
type LineBrief = Pick<OrderLineTable, "id" | "order_id" | "price_cents">;
type PieceBrief = Pick<
  PieceTable,
  "id" | "code" | "order_id" | "line_id" | "product_id" | "personal_text" | "state"
>;

export interface CostedPieceOf {
  readonly piece: PieceBrief;
  readonly product: Kept<shapes.ProductBody>;
  readonly cost: Costed;
  readonly priceCents: number;
}

export interface CostedOrder {
  readonly order: OrderBrief;
  readonly pieces: readonly CostedPieceOf[];
  readonly parcel: PieceCost;
  readonly parcelHandS: number;
  readonly earned: ReturnType<typeof earned>;
  readonly missing: readonly costs.MissingFigure[];
}

const notCounted = new Set(["spoiled", "cancelled"]);

/** Costs orders; those of which nothing is left (all cancelled) have no piece and no price. */
export async function costedOrders(
  db: Reader,
  ground: CostGround,
  orders: readonly OrderBrief[],
): Promise<CostedOrder[]> {
  const ids = orders.map(({ id }) => id);
  const [lines, pieces] = await Promise.all([
    inPortions(ids, (portion) =>
      db
        .selectFrom("order_lines")
        .select(["id", "order_id", "price_cents"])
        .where("order_id", "in", portion)
        .execute(),
    ),
    inPortions(ids, (portion) =>
      db
        .selectFrom("pieces")
        .select(["id", "code", "order_id", "line_id", "product_id", "personal_text", "state"])
        .where("order_id", "in", portion)
        .orderBy("code")
        .execute(),
    ),
  ]);
  const counted = pieces.filter((piece) => !notCounted.has(piece.state));
  const costed = await costedPieces(db, ground, counted, lines);
  const byOrder = groupedBy(costed, (one) => one.piece.order_id);
  const packed = parcelCost(ground);
  return orders.map((order) => whole(ground, order, byOrder.get(order.id) ?? [], packed));
}

async function costedPieces(
  db: Reader,
  ground: CostGround,
  pieces: readonly PieceBrief[],
  lines: readonly LineBrief[],
): Promise<CostedPieceOf[]> {
  const jobs = await inPortions(
    pieces.map(({ id }) => id),
    (portion) =>
      db.selectFrom("jobs").select(jobColumns).where("piece_id", "in", portion).orderBy("position").execute(),
  );
  const [versions, sewn] = await Promise.all([
    versionsOf(
      db,
      jobs.map((job) => job.design_version_id),
    ),
    sewnRuns(
      db,
      jobs.map(({ id }) => id),
    ),
  ]);
  const byPiece = groupedBy<JobBrief>(jobs, (job) => job.piece_id);
  const lineOf = new Map(lines.map((line) => [line.id, line]));
  return pieces.map((piece) => {
    const product = ground.products.get(piece.product_id)!;
    const own = byPiece.get(piece.id) ?? [];
    return {
      piece,
      product,
      cost: costedOnce(
        ground,
        product,
        own,
        own.map((job) => runSewing(job, versions, sewn)),
      ),
      priceCents: lineOf.get(piece.line_id)?.price_cents ?? product.priceCents,
    };
  });
}

const costedBefore = new WeakMap<CostGround, Map<string, Costed>>();

/** Pieces of one line that nobody has sewn yet are alike to the last figure: worked out once. */
function costedOnce(
  ground: CostGround,
  product: Kept<shapes.ProductBody>,
  jobs: readonly JobBrief[],
  runs: readonly RunSewing[],
): Costed {
  if (runs.some((run) => run.sewn !== null)) return costedPiece(ground, product, runs);
  let known = costedBefore.get(ground);
  if (!known) costedBefore.set(ground, (known = new Map<string, Costed>()));
  const key = `${product.id}${jobs.map(likeness).join("")}`;
  const there = known.get(key);
  if (there) return there;
  const made = costedPiece(ground, product, runs);
  known.set(key, made);
  return made;
}

/** All of a job that its cost follows from. */
const likeness = (job: JobBrief): string =>
  [
    "",
    job.placement_id,
    job.placement_name,
    job.design_version_id,
    job.thread_ids,
    job.hoop_id,
    job.machine_ids,
    job.hoop_s,
    job.unhoop_s,
    job.finish_s,
  ].join("|");

/** One piece by its id; null where there is none. */
export async function costedPieceOf(
  db: Reader,
  ground: CostGround,
  pieceId: string,
): Promise<CostedPieceOf | null> {
  const piece = await db
    .selectFrom("pieces")
    .select(["id", "code", "order_id", "line_id", "product_id", "personal_text", "state"])
    .where("id", "=", pieceId)
    .executeTakeFirst();
  if (!piece) return null;
  return (await costedPieces(db, ground, [piece], []))[0]!;
}

const emptyParcel: PieceCost = { lines: [], totalCents: 0 };

/** Box and work of one parcel. */
export function parcelCost({ settings }: CostGround, needed = asking()) {
  const { packing, wageCentsPerHour: wage, allowance } = settings;
  if (!packing) needed.ask("packing: the box and the time", "settings");
  if (!wage) needed.ask("the wage an hour", "settings");
  if (!allowance) needed.ask("the allowance on times of hands", "settings");
  if (!packing || !wage || !allowance) return { parcel: emptyParcel, handS: 0, missing: needed.found };
  const known: Known = knownBy(packing.from);
  const parcel = pieceCost({
    used: [
      {
        kind: "packing",
        what: "box, label, filling",
        amount: 1,
        unit: "piece",
        centsPerUnit: packing.cents,
        known,
        note: "One for each order.",
      },
    ],
    work: [
      {
        what: "packing the parcel",
        seconds: packing.seconds,
        known: leastKnown(known, knownBy(wage.from)),
        note: "Once for each order.",
      },
    ],
    wageCentsPerHour: wage.value,
    allowance,
    spoiledShare: 0,
    spoiledKnown: { by: "entered" },
    overhead: null,
  });
  const hands = parcel.lines.find((line) => line.kind === "hands");
  return { parcel, handS: (hands?.amount ?? 0) * 3600, missing: needed.found };
}

/** Tax and fees of a sale through a channel; what is not entered is asked for. */
export function sellingBy({ settings }: CostGround, channel: string, needed = asking()) {
  const found = settings.channels.find((one) => one.name.toLowerCase() === channel.trim().toLowerCase());
  if (!found && channel.trim() !== "") needed.ask(`the fee of the channel “${channel}”`, "settings");
  if (!settings.taxShare) needed.ask("the tax within prices, or that there is none", "settings");
  return {
    selling: {
      taxShare: settings.taxShare?.value ?? 0,
      feeShare: found?.feeShare ?? 0,
      feeCents: found?.feeCents ?? 0,
    },
    channel: found ?? null,
    missing: needed.found,
  };
}

function whole(
  ground: CostGround,
  order: OrderBrief,
  pieces: readonly CostedPieceOf[],
  parcel: ReturnType<typeof parcelCost>,
): CostedOrder {
  const { selling, missing } = sellingBy(ground, order.channel);
  // An order of which nothing is left goes out in no parcel and pays no fee.
  const packed = pieces.length === 0 ? { parcel: emptyParcel, handS: 0, missing: [] } : parcel;
  const priceCents = pieces.reduce((sum, one) => sum + one.priceCents, 0);
  const costCents = pieces.reduce((sum, one) => sum + one.cost.totalCents, packed.parcel.totalCents);
  return {
    order,
    pieces,
    parcel: packed.parcel,
    parcelHandS: packed.handS,
    earned: earned(priceCents, costCents, pieces.length === 0 ? { ...selling, feeCents: 0 } : selling),
    missing: missingOf([...pieces.map((one) => one.cost.missing), packed.missing, missing]),
  };
}

/** Cents by kind, largest first; they add up to what the lines do. */
export function centsByKind(lines: readonly PieceCost["lines"][number][]): Answer<"costLedger">["byKind"] {
  const kinds = new Map<PieceCost["lines"][number]["kind"], number>();
  for (const line of lines) kinds.set(line.kind, (kinds.get(line.kind) ?? 0) + line.cents);
  return [...kinds].map(([kind, cents]) => ({ kind, cents })).sort((a, b) => b.cents - a.cents);
}

export const orderMoney = (one: CostedOrder): Answer<"costLedger">["orders"][number] => ({
  orderId: one.order.id,
  reference: one.order.reference,
  customer: one.order.customer,
  channel: one.order.channel,
  placedOn: one.order.placed_on,
  pieces: one.pieces.length,
  earned: one.earned,
  isWhole: one.missing.length === 0,
});

/** Lines of several pieces as one list: what is the same is added up. */
export function addedLines(lists: readonly (readonly PieceCost["lines"][number][])[]): PieceCost["lines"] {
  const groups = groupedBy(lists.flat(), (line) => `${line.kind}|${line.what}`);
  const added = [...groups.values()].map((lines) => {
    const sum = (of: (line: PieceCost["lines"][number]) => number) =>
      lines.reduce((all, line) => all + of(line), 0);
    const [amount, exactCents] = [sum((line) => line.amount), sum((line) => line.exactCents)];
    return {
      ...lines[0]!,
      cents: sum((line) => line.cents),
      exactCents,
      amount,
      rate: amount === 0 ? lines[0]!.rate : exactCents / amount,
      known: leastKnown(...lines.map((line) => line.known)),
      note: lines.length === 1 ? lines[0]!.note : `${lines.length} lines of the pieces together.`,
    };
  });
  return added.sort((a, b) => kindOrder.indexOf(a.kind) - kindOrder.indexOf(b.kind));
}

const kindOrder: readonly PieceCost["lines"][number]["kind"][] = [
  "blank",
  "cloth",
  "thread",
  "bobbin",
  "backing",
  "topping",
  "machine",
  "hands",
  "packing",
  "spoilage",
  "overhead",
];
