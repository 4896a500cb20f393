import type { shapes } from "#contract";
import { invariant, type RefusalDetail } from "#core/base";
import { nextStates, type PieceState, pieceStates } from "#core/shop";
import type { ExpressionBuilder, SelectQueryBuilder } from "kysely";
import type { JobTable, PieceTable, Store, Tables, Writing } from "#store";
import type { Answers, Context } from "./context";
import { FEW_FOUND, isLike, searchPatterns } from "./fold";
import { refuseOrders } from "./order-refusals";
import { type LineFacts, Workshop } from "./piece-jobs";
import {
  factsOfLine,
  isUnbegun,
  jobOf,
  jobsOfPieces,
  openStates,
  pieceRecords,
  recountOrders,
  refreshJobs,
  remakePiece,
} from "./pieces";
import { historyOf, type Move, settleTrail, stateName, tellMoves } from "./piece-trail";
import { groupedBy, inPortions } from "./records";
import { refuseApp } from "./refusals";
import { changedByAnother } from "./studio";

type PieceAnswers = Pick<Answers, "listPieces" | "readPiece" | "changePiece" | "movePieces" | "changeJob">;
type Reader = Store["db"];

const sortable = {
  shipBy: "pieces.ship_by",
  code: "pieces.code",
  state: "pieces.state",
  customer: "orders.customer",
  orderReference: "orders.reference",
  promiseDate: "orders.promise_date",
  personalText: "pieces.personal_text",
  stateChangedAtMs: "pieces.state_changed_at_ms",
} as const;

/** A list's order by a whitelist of fields; a minus turns it round. */
export function sortOf<F extends string>(
  asked: string,
  fields: Readonly<Record<string, F>>,
  otherwise: F,
): { field: F; order: "asc" | "desc" } {
  const down = asked.startsWith("-");
  const name = down ? asked.slice(1) : asked;
  if (asked === "") return { field: otherwise, order: "asc" };
  const field = Object.hasOwn(fields, name) ? fields[name] : undefined;
  if (field === undefined)
    throw refuseApp("sort-unknown", `The list cannot be sorted by “${asked}”.`, [
      { field: "sort", found: asked, expected: Object.keys(fields).join(", ") },
    ]);
  return { field, order: down ? "desc" : "asc" };
}

/**
 * Pieces beside their orders. Of all there ever were, the orders are walked first, along the index of what is sorted
 * by (a cross join says so to SQLite); the few open ones are gone through themselves.
 */
function withOrders(db: Reader, ordersFirst: boolean): SelectQueryBuilder<Tables, "pieces", object> {
  const joined = ordersFirst
    ? db.selectFrom("orders").crossJoin("pieces").whereRef("pieces.order_id", "=", "orders.id")
    : db.selectFrom("pieces").innerJoin("orders", "orders.id", "pieces.order_id");
  return joined as unknown as SelectQueryBuilder<Tables, "pieces", object>;
}

/** States from which all of a piece's runs count as sewn. */
const sewnStates: readonly PieceState[] = ["finishing", "done", "packed", "shipped"];

/** The answers about pieces and their runs: lists, history, moves by hand. */
export function pieceAnswers(context: Context): PieceAnswers {
  const { store, nowMs } = context;

  const pieceRow = async (db: Reader, id: string): Promise<PieceTable> => {
    const row = await db.selectFrom("pieces").selectAll().where("id", "=", id).executeTakeFirst();
    if (!row) throw refuseOrders("piece-unknown", `There is no piece ${id}.`, [{ field: "id", found: id }]);
    return row;
  };
  const recordOf = async (db: Reader, row: PieceTable) => (await pieceRecords(db, [row]))[0]!;

  return {
    async listPieces({ query }) {
      const { field, order } = sortOf(query.sort, sortable, "pieces.ship_by");
      const patterns = searchPatterns(query.q);
      const found = (build: ExpressionBuilder<Tables, "pieces">) =>
        build.and([
          ...(query.state === "open"
            ? [build("pieces.state", "in", openStates)]
            : query.state === "all"
              ? []
              : [build("pieces.state", "=", query.state)]),
          ...patterns.map((pattern) => isLike("pieces.search", pattern)),
        ]);
      const all = store.db.selectFrom("pieces");
      const count = async (rows: typeof all) =>
        Number(
          (await rows.select((build) => build.fn.countAll<number>().as("total")).executeTakeFirstOrThrow())
            .total,
        );
      // Nearly all pieces there ever were are shipped: counted as all but the others, which are few.
      const total =
        query.state === "shipped" && patterns.length === 0
          ? (await count(all)) -
            (await count(
              all.where(
                "state",
                "in",
                pieceStates.filter((state) => state !== "shipped"),
              ),
            ))
          : await count(all.where(found));
      const ofOrder = field.startsWith("orders.");
      const rows = await (ofOrder ? withOrders(store.db, query.state !== "open") : all)
        .where(
          patterns.length > 0 && total <= FEW_FOUND
            ? (build) => build("pieces.id", "in", all.where(found).select("id"))
            : found,
        )
        .selectAll("pieces")
        .orderBy(field as "pieces.ship_by", order)
        .$if(ofOrder, (asked) => asked.orderBy("pieces.order_id", order))
        .orderBy("pieces.id", order)
        .offset(query.offset)
        .limit(query.limit)
        .execute();
      return { items: await pieceRecords(store.db, rows), total };
    },

    async readPiece({ params }, call) {
      const row = await pieceRow(store.db, params.id);
      call.note({ version: row.version });
      return { piece: await recordOf(store.db, row), history: await historyOf(store.db, row) };
    },

    async changePiece({ params, body }, call) {
      const { code } = await pieceRow(store.db, params.id);
      const { result, changeId } = await store.write(
        { who: call.who, what: `Changed piece ${code}` },
        async (writing) => {
          const row = await pieceRow(writing.db, params.id);
          if (call.ifMatch !== row.version)
            throw changedByAnother(call.ifMatch, row.version, await recordOf(writing.db, row));
          if (body.pinnedMachineId !== null && body.pinnedMachineId !== row.pinned_machine_id)
            await checkMachine(writing.db, body.pinnedMachineId, "pinnedMachineId");
          const waiting = await waitingOf(writing.db, row, body.waitingFor);
          const moved = waiting.state !== row.state;
          if (moved) await settleTrail(context, writing.db, call.who, [row]);
          const after = await writing.update("pieces", row.id, {
            urgency: body.urgency,
            held_why: body.urgency === "held" ? body.heldWhy.trim() : "",
            pinned_machine_id: body.pinnedMachineId,
            waiting_for: waiting.waitingFor,
            ...(moved ? { state: waiting.state, state_changed_at_ms: nowMs() } : {}),
          });
          if (moved)
            await tellMoves(context, writing.db, [
              {
                piece: row,
                from: row.state as PieceState,
                to: waiting.state,
                who: call.who,
                why: waiting.waitingFor ? `waits for ${waiting.waitingFor}` : "",
              },
            ]);
          return after;
        },
      );
      call.note({ version: result.version, changeId });
      return recordOf(store.db, result);
    },

    async movePieces({ body }, call) {
      const ids = [...new Set(body.pieceIds)];
      const rows = await inPortions(ids, (portion) =>
        store.db.selectFrom("pieces").select(["code"]).where("id", "in", portion).execute(),
      );
      const told = rows.length === 1 ? `piece ${rows[0]!.code}` : `${rows.length} pieces`;
      const { result, changeId } = await store.write(
        { who: call.who, what: `Moved ${told} to ${stateName(body.state).toLowerCase()}` },
        (writing) => movePieces(context, writing, { ...body, pieceIds: ids, who: call.who }),
      );
      call.note({ changeId });
      return {
        pieces: await pieceRecords(store.db, result.pieces),
        remakes: await pieceRecords(store.db, result.remakes),
      };
    },

    async changeJob({ params, body }, call) {
      const asked = await jobAndPiece(store.db, params.id);
      const { result, changeId } = await store.write(
        { who: call.who, what: `Changed ${asked.job.placement_name} of piece ${asked.piece.code}` },
        async (writing) => {
          const { job, piece } = await jobAndPiece(writing.db, params.id);
          if (call.ifMatch !== job.version) throw changedByAnother(call.ifMatch, job.version, jobOf(job));
          if (!isUnbegun(piece.state))
            throw refuseOrders(
              "job-begun",
              `Piece ${piece.code} stands at ${stateName(piece.state).toLowerCase()}; what is begun is not changed.`,
            );
          await checkJob(writing.db, body);
          await settleTrail(context, writing.db, call.who, [piece]);
          await writing.update("jobs", job.id, {
            design_version_id: body.designVersionId,
            thread_ids: JSON.stringify(body.threadIds),
            hoop_id: body.hoopId,
            machine_ids: body.machineIds === null ? null : JSON.stringify(body.machineIds),
            hoop_s: body.hoopS,
            unhoop_s: body.unhoopS,
            finish_s: body.finishS,
            by_hand: JSON.stringify(await setByHand(writing, piece, job, body)),
          });
          await refreshJobs(context, writing, { pieceIds: [piece.id] }, call.who);
          return (await jobAndPiece(writing.db, job.id)).job;
        },
      );
      call.note({ version: result.version, changeId });
      return jobOf(result);
    },
  };

  async function jobAndPiece(db: Reader, jobId: string): Promise<{ job: JobTable; piece: PieceTable }> {
    const job = await db.selectFrom("jobs").selectAll().where("id", "=", jobId).executeTakeFirst();
    if (!job) throw refuseOrders("job-unknown", `There is no run ${jobId}.`, [{ field: "id", found: jobId }]);
    return { job, piece: await pieceRow(db, job.piece_id) };
  }

  /** Which fields now differ from what follows by itself: those are the person's own from here on. */
  async function setByHand(
    writing: Writing,
    piece: PieceTable,
    job: JobTable,
    body: JobBody,
  ): Promise<string[]> {
    const line = await writing.db
      .selectFrom("order_lines")
      .selectAll()
      .where("id", "=", piece.line_id)
      .executeTakeFirstOrThrow();
    const facts: LineFacts = {
      ...factsOfLine(line),
      productId: piece.product_id,
      personalText: piece.personal_text,
    };
    const workshop = await Workshop.open(context, writing.db);
    await workshop.prepare(writing.db, [facts]);
    await workshop.keep(writing, [facts]);
    const usual = workshop.jobsOf(facts).find((one) => one.placementId === job.placement_id);
    const differs = (a: unknown, b: unknown) => JSON.stringify(a ?? null) !== JSON.stringify(b ?? null);
    const design = differs(body.designVersionId, usual?.designVersionId);
    return [
      ...(design ? ["design"] : []),
      ...(design || differs(body.threadIds, usual?.threadIds) ? ["threads"] : []),
      ...(differs(body.hoopId, usual?.hoopId) ? ["hoop"] : []),
      ...(differs(body.machineIds, usual?.machineIds) ? ["machines"] : []),
      ...(differs([body.hoopS, body.unhoopS, body.finishS], [usual?.hoopS, usual?.unhoopS, usual?.finishS])
        ? ["times"]
        : []),
    ];
  }
}

type JobBody = {
  readonly designVersionId: string | null;
  readonly threadIds: readonly (string | null)[];
  readonly hoopId: string | null;
  readonly machineIds: readonly string[] | null;
  readonly hoopS: number | null;
  readonly unhoopS: number | null;
  readonly finishS: number | null;
};

async function checkJob(db: Reader, body: JobBody): Promise<void> {
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

async function checkMachine(db: Reader, id: string, field: string): Promise<void> {
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

/** The state that follows from what a person says a piece waits for. */
async function waitingOf(
  db: Reader,
  row: PieceTable,
  waitingFor: shapes.PieceRecord["waitingFor"],
): Promise<{ state: PieceState; waitingFor: string | null }> {
  const state = row.state as PieceState;
  if (waitingFor !== null) {
    if (!isUnbegun(state))
      throw refuseOrders(
        "move-not-allowed",
        `Piece ${row.code} stands at ${stateName(state).toLowerCase()}; only a piece not begun can wait for ${waitingFor}.`,
        [{ field: "waitingFor", found: waitingFor }],
      );
    return { state: "waiting", waitingFor };
  }
  if (state !== "waiting") return { state, waitingFor: null };
  await refuseTroubled(db, [row]);
  return { state: "ready", waitingFor: null };
}

/** A piece whose design cannot be made is not ready, whatever a person says. */
async function refuseTroubled(db: Reader, rows: readonly PieceTable[]): Promise<void> {
  const troubled = (
    await jobsOfPieces(
      db,
      rows.map((row) => row.id),
    )
  ).filter((job) => job.trouble !== null);
  if (troubled.length === 0) return;
  const codes = new Map(rows.map((row) => [row.id, row.code]));
  const first = troubled[0]!;
  const more = troubled.length > 1 ? ` (and ${troubled.length - 1} more)` : "";
  throw refuseOrders(
    "move-not-allowed",
    `Piece ${codes.get(first.piece_id)} waits for artwork: ${first.trouble}${more}`,
    troubled.slice(0, 50).map((job) => ({
      field: codes.get(job.piece_id)!,
      found: job.trouble!,
      expected: "a design that can be sewn",
    })),
  );
}

export interface MoveAsked {
  readonly pieceIds: readonly string[];
  readonly state: PieceState;
  readonly why: string;
  readonly remake: boolean;
  readonly personId: string | null;
  readonly machineId: string | null;
  readonly who: string;
}

/** Moves pieces inside a write: all of them, or a refusal that names each that cannot go and why. */
export async function movePieces(
  context: Context,
  writing: Writing,
  asked: MoveAsked,
): Promise<{ pieces: PieceTable[]; remakes: PieceTable[] }> {
  const { state: to, who } = asked;
  const why = asked.why.trim();
  const found = new Map(
    (
      await inPortions(asked.pieceIds, (ids) =>
        writing.db.selectFrom("pieces").selectAll().where("id", "in", ids).execute(),
      )
    ).map((row) => [row.id, row]),
  );
  const missing = asked.pieceIds.filter((id) => !found.has(id));
  if (missing.length > 0)
    throw refuseOrders(
      "piece-unknown",
      `There is no piece ${missing[0]}.`,
      missing.map((id) => ({ field: "pieceIds", found: id })),
    );
  const rows = asked.pieceIds.map((id) => found.get(id)!);
  refuseWrongMoves(rows, to);
  await refuseStrangers(writing.db, asked);
  if (to === "ready")
    await refuseTroubled(
      writing.db,
      rows.filter((row) => row.state === "waiting"),
    );
  await settleTrail(context, writing.db, who, rows);
  const jobs = groupedBy(await jobsOfPieces(writing.db, asked.pieceIds), (job) => job.piece_id);
  const customers = new Map(
    (
      await inPortions([...new Set(rows.map((row) => row.order_id))], (ids) =>
        writing.db.selectFrom("orders").select(["id", "customer"]).where("id", "in", ids).execute(),
      )
    ).map((row) => [row.id, row.customer]),
  );
  // A cancelled piece comes back as far as its artwork lets it.
  const landing = (row: PieceTable): PieceState =>
    to === "ready" && jobs.get(row.id)?.some((job) => job.trouble !== null) ? "waiting" : to;
  const pieces = await land(context, writing, rows, to, landing);
  await markSewn(writing, rows, landing, jobs);
  const remakes: PieceTable[] = [];
  const moves: Move[] = [];
  for (const row of rows) {
    const remake =
      to === "spoiled" && asked.remake
        ? await remakePiece(context, writing, row, customers.get(row.order_id)!)
        : undefined;
    if (remake) remakes.push(remake);
    moves.push({
      piece: row,
      from: row.state as PieceState,
      to: landing(row),
      who,
      why,
      personId: asked.personId,
      machineId: asked.machineId,
      ...(remake ? { remake } : {}),
    });
  }
  await tellMoves(context, writing.db, moves);
  await recountOrders(
    writing,
    rows.map((row) => row.order_id),
  );
  return { pieces, remakes };
}

/** Sets where the pieces land; gives them as they now stand, in the order of the rows. */
async function land(
  context: Context,
  writing: Writing,
  rows: readonly PieceTable[],
  to: PieceState,
  landing: (row: PieceTable) => PieceState,
): Promise<PieceTable[]> {
  const after = new Map<string, PieceTable>();
  for (const [state, group] of groupedBy(rows, landing))
    for (const piece of await writing.updateAll("pieces", idsOf(group), {
      state,
      waiting_for: state === "waiting" && state !== to ? "artwork" : null,
      state_changed_at_ms: context.nowMs(),
    }))
      after.set(piece.id, piece);
  return rows.map((row) => after.get(row.id)!);
}

const idsOf = (rows: readonly { readonly id: string }[]): string[] => rows.map((row) => row.id);

/** Finished pieces have all runs sewn; taken back to the machine, none. */
async function markSewn(
  writing: Writing,
  rows: readonly PieceTable[],
  landing: (row: PieceTable) => PieceState,
  jobs: ReadonlyMap<string, readonly JobTable[]>,
): Promise<void> {
  const changing: Record<0 | 1, string[]> = { 0: [], 1: [] };
  for (const row of rows) {
    const to = landing(row);
    const wanted = sewnStates.includes(to)
      ? 1
      : sewnStates.includes(row.state as PieceState) && ["ready", "hooped", "sewing"].includes(to)
        ? 0
        : null;
    if (wanted === null) continue;
    changing[wanted].push(...idsOf((jobs.get(row.id) ?? []).filter((job) => job.sewn !== wanted)));
  }
  await writing.updateAll("jobs", changing[0], { sewn: 0 });
  await writing.updateAll("jobs", changing[1], { sewn: 1 });
}

function refuseWrongMoves(rows: readonly PieceTable[], to: PieceState): void {
  const wrong = rows.filter((row) => !nextStates(row.state as PieceState).includes(to));
  if (wrong.length === 0) return;
  const first = wrong[0]!;
  const after = nextStates(first.state as PieceState);
  const allowed =
    after.length === 0
      ? "nothing follows that"
      : `from there it can go to ${after.map((one) => stateName(one).toLowerCase()).join(", ")}`;
  const same = first.state === to ? " already" : "";
  const more = wrong.length > 1 ? ` (and ${wrong.length - 1} more of the ${rows.length} pieces)` : "";
  const details: RefusalDetail[] = wrong.slice(0, 50).map((row) => ({
    field: row.code,
    found: stateName(row.state),
    expected: `a state before ${stateName(to).toLowerCase()}`,
  }));
  throw refuseOrders(
    "move-not-allowed",
    `Piece ${first.code} stands${same} at ${stateName(first.state).toLowerCase()}; ${allowed}${more}. No piece was moved.`,
    details,
  );
}

async function refuseStrangers(db: Reader, asked: MoveAsked): Promise<void> {
  for (const [list, id, field] of [
    ["people", asked.personId, "personId"],
    ["machines", asked.machineId, "machineId"],
  ] as const) {
    if (id === null) continue;
    const row = await db
      .selectFrom(list as "people")
      .select("id")
      .where("id", "=", id)
      .executeTakeFirst();
    if (!row)
      throw refuseOrders("line-names-unknown", `There is no such record ${id}.`, [{ field, found: id }]);
  }
  invariant(asked.pieceIds.length > 0, "a move names pieces");
}
