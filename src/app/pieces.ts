import type { shapes } from "#contract";
import { isClosed, type PieceState, pieceStates } from "#core/shop";
import type { JobTable, OrderLineTable, OrderTable, PieceTable, Store, Writing } from "#store";
import type { Context } from "./context";
import { escapeLike, foldText, isLike } from "./fold";
import { type JobFacts, type LineFacts, type SetByHand, Workshop } from "./piece-jobs";
import { tellMoves } from "./piece-trail";
import { groupedBy, inPortions } from "./records";

/** From order line to pieces, and from pieces to their runs; what follows when a product or a design changes. */

type Reader = Store["db"];
export const closedStates: readonly PieceState[] = pieceStates.filter(isClosed);
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

export const factsOfLine = (line: OrderLineTable): LineFacts => ({
  productId: line.product_id,
  personalText: line.personal_text,
  designId: line.design_id,
  threadIds: line.thread_ids === null ? null : (JSON.parse(line.thread_ids) as (string | null)[]),
  textThreadId: line.text_thread_id,
});

export interface PiecesAsked {
  readonly order: Pick<OrderTable, "id" | "reference" | "customer" | "ship_by">;
  readonly line: OrderLineTable;
  readonly count: number;
  /** The number in the first one's code. */
  readonly firstNumber: number;
}

/** Rows that wait to be added together: an import's portion goes in with few statements. */
export interface NewRows {
  readonly orders: OrderTable[];
  readonly lines: OrderLineTable[];
  readonly pieces: PieceTable[];
  readonly jobs: JobTable[];
}
export const newRows = (): NewRows => ({ orders: [], lines: [], pieces: [], jobs: [] });

/** Adds what has been gathered, what is pointed to first. */
export async function keepRows(writing: Writing, rows: NewRows): Promise<void> {
  await writing.insertAll("orders", rows.orders);
  await writing.insertAll("order_lines", rows.lines);
  await writing.insertAll("pieces", rows.pieces);
  await writing.insertAll("jobs", rows.jobs);
}

/** Gathers a line's pieces with their runs; the workshop has been prepared for the line. Gives how many. */
export function makePieces(context: Context, rows: NewRows, workshop: Workshop, asked: PiecesAsked): number {
  const { order, line, count, firstNumber } = asked;
  const jobs = workshop.jobsOf(factsOfLine(line));
  const waits = jobs.some((job) => job.trouble !== null);
  for (let index = 0; index < count; index++) {
    const piece = newPiece(context, {
      order,
      line,
      code: `${order.reference}-${firstNumber + index}`,
      waits,
    });
    rows.pieces.push(piece);
    jobs.forEach((job, position) => rows.jobs.push(jobRow(context, piece.id, position, job)));
  }
  return count;
}

interface NewPiece {
  readonly order: PiecesAsked["order"];
  readonly line: Pick<OrderLineTable, "id" | "product_id" | "personal_text">;
  readonly code: string;
  readonly waits: boolean;
}

function newPiece(context: Context, { order, line, code, waits }: NewPiece): PieceTable {
  const atMs = context.nowMs();
  return {
    id: context.newId("pc"),
    version: 1,
    code,
    order_id: order.id,
    line_id: line.id,
    product_id: line.product_id,
    personal_text: line.personal_text,
    state: waits ? "waiting" : "ready",
    waiting_for: waits ? "artwork" : null,
    urgency: "normal",
    held_why: "",
    pinned_machine_id: null,
    remake_of: null,
    ship_by: order.ship_by,
    search: pieceSearch(code, order.customer, line.personal_text),
    state_changed_at_ms: atMs,
    created_at_ms: atMs,
    updated_at_ms: atMs,
  };
}

export const pieceSearch = (code: string, customer: string, personalText: string): string =>
  foldText(`${code} ${customer} ${personalText}`);

function jobRow(context: Context, pieceId: string, position: number, job: JobFacts): JobTable {
  return {
    id: context.newId("jb"),
    version: 1,
    piece_id: pieceId,
    ...jobColumns(job, position),
    sewn: 0,
    by_hand: "[]",
    updated_at_ms: context.nowMs(),
  };
}

const jobColumns = (job: JobFacts, position: number) => ({
  placement_id: job.placementId,
  placement_name: job.placementName,
  position,
  design_version_id: job.designVersionId,
  trouble: job.trouble,
  thread_ids: JSON.stringify(job.threadIds),
  hoop_id: job.hoopId,
  machine_ids: job.machineIds === null ? null : JSON.stringify(job.machineIds),
  hoop_s: job.hoopS,
  unhoop_s: job.unhoopS,
  finish_s: job.finishS,
  stitches: job.stitches,
});

/** A new piece with the same runs as a spoiled one, in its place in the order. */
export async function remakePiece(
  context: Context,
  writing: Writing,
  spoiled: PieceTable,
  customer: string,
): Promise<PieceTable> {
  const base = spoiled.code.replace(/R\d*$/, "");
  const { count } = await writing.db
    .selectFrom("pieces")
    .select((build) => build.fn.countAll<number>().as("count"))
    .where("line_id", "=", spoiled.line_id)
    .where("remake_of", "is not", null)
    .where((build) => build.or([build("code", "=", `${base}R`), isLike("code", `${escapeLike(base)}R%`)]))
    .executeTakeFirstOrThrow();
  const jobs = await writing.db
    .selectFrom("jobs")
    .selectAll()
    .where("piece_id", "=", spoiled.id)
    .orderBy("position")
    .execute();
  const waits = jobs.some((job) => job.trouble !== null);
  const code = `${base}R${Number(count) === 0 ? "" : Number(count) + 1}`;
  const fresh: PieceTable = {
    ...newPiece(context, {
      order: { id: spoiled.order_id, reference: "", customer, ship_by: spoiled.ship_by },
      line: { id: spoiled.line_id, product_id: spoiled.product_id, personal_text: spoiled.personal_text },
      code,
      waits,
    }),
    urgency: spoiled.urgency === "held" ? "normal" : spoiled.urgency,
    pinned_machine_id: spoiled.pinned_machine_id,
    remake_of: spoiled.id,
  };
  await writing.insert("pieces", fresh);
  for (const job of jobs)
    await writing.insert("jobs", {
      ...job,
      id: context.newId("jb"),
      version: 1,
      piece_id: fresh.id,
      sewn: 0,
      updated_at_ms: context.nowMs(),
    });
  return fresh;
}

/** Brings `open_pieces` of these orders up to what their pieces say; a wholly cancelled order goes to the archive. */
export async function recountOrders(writing: Writing, orderIds: readonly string[]): Promise<void> {
  const ids = [...new Set(orderIds)];
  const counts = await inPortions(ids, (portion) =>
    writing.db
      .selectFrom("pieces")
      .select((build) => ["order_id", "state", build.fn.countAll<number>().as("count")])
      .where("order_id", "in", portion)
      .groupBy(["order_id", "state"])
      .execute(),
  );
  const byOrder = groupedBy(counts, (row) => row.order_id);
  const orders = await inPortions(ids, (portion) =>
    writing.db
      .selectFrom("orders")
      .select(["id", "open_pieces", "archived"])
      .where("id", "in", portion)
      .execute(),
  );
  const changing = orders.flatMap((order) => {
    const rows = byOrder.get(order.id) ?? [];
    const open = rows.reduce(
      (sum, row) => sum + (isClosed(row.state as PieceState) ? 0 : Number(row.count)),
      0,
    );
    const archived = rows.length > 0 && rows.every((row) => row.state === "cancelled") ? 1 : 0;
    if (open === order.open_pieces && archived === order.archived) return [];
    return [{ id: order.id, open, archived }];
  });
  for (const alike of groupedBy(changing, (order) => `${order.open} ${order.archived}`).values())
    await writing.updateAll(
      "orders",
      alike.map((order) => order.id),
      { open_pieces: alike[0]!.open, archived: alike[0]!.archived },
    );
}

/** What has changed, so that runs not begun must follow. */
export type JobsAsked =
  | { readonly designId: string }
  | { readonly productId: string }
  | { readonly hoopId: string }
  | { readonly pieceIds: readonly string[] };

/**
 * Works out anew the runs of pieces not begun that follow a product, a design, a hoop, or of the pieces named. What a
 * person has set on a run by hand stays. A piece whose trouble is gone goes from waiting to ready, and back when trouble
 * comes. For use inside another write; gives the ids of the pieces whose runs changed.
 */
export async function refreshJobs(
  context: Context,
  writing: Writing,
  asked: JobsAsked,
  who = "The program",
): Promise<string[]> {
  const pieces = await piecesFollowing(writing.db, asked);
  if (pieces.length === 0) return [];
  const workshop = await Workshop.open(context, writing.db);
  const lines = new Map(
    (
      await inPortions([...new Set(pieces.map((piece) => piece.line_id))], (ids) =>
        writing.db.selectFrom("order_lines").selectAll().where("id", "in", ids).execute(),
      )
    ).map((row) => [row.id, row]),
  );
  const jobs = groupedBy(
    await jobsOfPieces(
      writing.db,
      pieces.map((piece) => piece.id),
    ),
    (job) => job.piece_id,
  );
  // The piece's own text and product decide: a line changed under a begun piece does not reach it.
  const factsOf = (piece: PieceTable): LineFacts => ({
    ...factsOfLine(lines.get(piece.line_id)!),
    productId: piece.product_id,
    personalText: piece.personal_text,
  });
  const facts = pieces.map(factsOf);
  await workshop.prepare(writing.db, facts);
  await workshop.keep(writing, facts);
  await workshop.loadVersions(
    writing.db,
    [...jobs.values()].flat().flatMap((job) => job.design_version_id ?? []),
  );
  const changed: string[] = [];
  for (const [index, piece] of pieces.entries())
    if (await refreshPiece(context, writing, workshop, piece, facts[index]!, jobs.get(piece.id) ?? []))
      changed.push(piece.id);
  const moved = await inPortions(changed, (ids) =>
    writing.db.selectFrom("pieces").selectAll().where("id", "in", ids).execute(),
  );
  const before = new Map(pieces.map((piece) => [piece.id, piece]));
  await tellMoves(
    context,
    writing.db,
    moved.flatMap((piece) =>
      piece.state === before.get(piece.id)!.state
        ? []
        : [
            {
              piece,
              from: before.get(piece.id)!.state as PieceState,
              to: piece.state as PieceState,
              who,
              why: piece.state === "ready" ? "its design can be made now" : "its design cannot be made",
            },
          ],
    ),
  );
  return changed;
}

async function refreshPiece(
  context: Context,
  writing: Writing,
  workshop: Workshop,
  piece: PieceTable,
  facts: LineFacts,
  jobs: readonly JobTable[],
): Promise<boolean> {
  const byHand = new Map(jobs.map((job) => [job.placement_id, handOf(job, workshop)]));
  const wanted = workshop.jobsOf(facts, byHand);
  const hadTrouble = jobs.some((job) => job.trouble !== null);
  let changed = false;
  for (const [position, job] of wanted.entries()) {
    const stands = jobs.find((one) => one.placement_id === job.placementId);
    if (!stands) {
      await writing.insert("jobs", jobRow(context, piece.id, position, job));
      changed = true;
      continue;
    }
    const set: Partial<JobTable> = jobColumns(job, position);
    const hand = JSON.parse(stands.by_hand) as string[];
    if (hand.includes("times"))
      for (const column of ["hoop_s", "unhoop_s", "finish_s"] as const) delete set[column];
    if (Object.entries(set).every(([column, value]) => stands[column as keyof JobTable] === value)) continue;
    await writing.update("jobs", stands.id, set);
    changed = true;
  }
  for (const job of jobs)
    if (!wanted.some((one) => one.placementId === job.placement_id)) {
      await writing.remove("jobs", job.id);
      changed = true;
    }
  const trouble = wanted.some((job) => job.trouble !== null);
  const atMs = context.nowMs();
  if (trouble && piece.state === "ready")
    await writing.update("pieces", piece.id, {
      state: "waiting",
      waiting_for: "artwork",
      state_changed_at_ms: atMs,
    });
  else if (!trouble && hadTrouble && piece.state === "waiting" && piece.waiting_for === "artwork")
    await writing.update("pieces", piece.id, {
      state: "ready",
      waiting_for: null,
      state_changed_at_ms: atMs,
    });
  else return changed;
  return true;
}

/** What a person has set on a run, as its columns say. */
export function handOf(job: JobTable, workshop: Workshop): SetByHand {
  const hand = JSON.parse(job.by_hand) as string[];
  return {
    ...(hand.includes("design")
      ? { design: job.design_version_id === null ? null : (workshop.version(job.design_version_id) ?? null) }
      : {}),
    ...(hand.includes("threads") ? { threadIds: JSON.parse(job.thread_ids) as (string | null)[] } : {}),
    ...(hand.includes("hoop") ? { hoopId: job.hoop_id } : {}),
    ...(hand.includes("machines")
      ? { machineIds: job.machine_ids === null ? null : (JSON.parse(job.machine_ids) as string[]) }
      : {}),
  };
}

async function piecesFollowing(db: Reader, asked: JobsAsked): Promise<PieceTable[]> {
  const unbegun = () =>
    db.selectFrom("pieces").selectAll("pieces").where("pieces.state", "in", unbegunStates);
  if ("pieceIds" in asked)
    return inPortions(asked.pieceIds, (ids) => unbegun().where("pieces.id", "in", ids).execute());
  if ("productId" in asked) return unbegun().where("product_id", "=", asked.productId).execute();
  if ("hoopId" in asked)
    return unbegun()
      .where((build) =>
        build.exists(
          build
            .selectFrom("jobs")
            .select("jobs.id")
            .whereRef("jobs.piece_id", "=", "pieces.id")
            .where("jobs.hoop_id", "=", asked.hoopId),
        ),
      )
      .execute();
  const products = (await db.selectFrom("products").select(["id", "body"]).execute()).filter((row) =>
    (JSON.parse(row.body) as shapes.ProductBody).placements.some(
      (placement) => placement.designId === asked.designId,
    ),
  );
  const ids = products.map((row) => row.id);
  return unbegun()
    .where((build) =>
      build.or([
        ...(ids.length > 0 ? [build("pieces.product_id", "in", ids)] : []),
        build.exists(
          build
            .selectFrom("order_lines")
            .select("order_lines.id")
            .whereRef("order_lines.id", "=", "pieces.line_id")
            .where("order_lines.design_id", "=", asked.designId),
        ),
        build.exists(
          build
            .selectFrom("jobs")
            .innerJoin("design_versions", "design_versions.id", "jobs.design_version_id")
            .select("jobs.id")
            .whereRef("jobs.piece_id", "=", "pieces.id")
            .where("design_versions.design_id", "=", asked.designId),
        ),
      ]),
    )
    .execute();
}

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
