import { type PieceState, pieceStates } from "#core/shop";
import type { ExpressionBuilder, SelectQueryBuilder } from "kysely";
import type { JobTable, PieceTable, Store, Tables, Writing } from "#store";
import type { Answers, Context } from "./context";
import { FEW_FOUND, isLike, searchPatterns } from "./fold";
import { checkJob, checkMachine, type JobBody } from "./job-changes";
import { refuseOrders } from "./order-refusals";
import { type LineFacts, Workshop } from "./piece-jobs";
import { factsOfLine } from "./piece-making";
import { movePieces, waitingOf } from "./piece-moves";
import { isUnbegun, jobOf, openStates, pieceRecords } from "./piece-records";
import { refreshJobs } from "./piece-refresh";
import { historyOf, settleTrail, stateName, tellMoves } from "./piece-trail";
import { inPortions } from "./records";
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
