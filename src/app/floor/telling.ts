import type { FloorEventBody } from "#contract";
import type { FloorEvent } from "#core/floor";
import type { PlanInForceNow } from "../plans";
import { appendFloorEvents, type Writing } from "#store";
import type { Answers, Context } from "../context";
import { remakePiece } from "../piece-making";
import { movePieces } from "../piece-moves";
import { jobsOfPieces } from "../piece-records";
import { settleTrail } from "../piece-trail";
import { bearsFacts, factsOf } from "./facts";
import { followPieces, followRun, leaveRegisters, setRegisters, stateOf } from "./following";
import { plannedHand } from "./planned-hands";
import { besideOf, eventOf, eventOfBody, eventRow, type KeptEvent } from "./rows";

/** Events told from stations: each kept once, and what follows from it in the same transaction. */

type Outcome = { readonly id: string; readonly outcome: "kept" | "known" | "refused"; readonly why: string };

/** An event may be told so far ahead of this computer's clock; a tablet's clock is corrected before, so more is an error. */
const MOST_AHEAD_MS = 10 * 60_000;

interface Telling {
  readonly context: Context;
  readonly writing: Writing;
  readonly who: string;
  readonly plan: PlanInForceNow | null;
}

export function tellingAnswers(
  context: Context,
  planInForce: () => Promise<PlanInForceNow | null>,
): Pick<Answers, "tellFloor"> {
  return {
    tellFloor: async ({ body }, call) => {
      const plan = await planInForce();
      const kinds = [...new Set(body.events.map((event) => event.kind))].join(", ");
      const { result } = await context.store.write(
        { who: call.who, what: `Told from the floor: ${kinds}` },
        async (writing) => {
          const outcomes: Outcome[] = [];
          for (const event of body.events)
            outcomes.push(await tell({ context, writing, who: call.who, plan }, event));
          return outcomes;
        },
      );
      return { outcomes: result };
    },
  };
}

async function tell(telling: Telling, body: FloorEventBody): Promise<Outcome> {
  const { context, writing } = telling;
  const event = eventOfBody(body);
  const known = await writing.db
    .selectFrom("floor_events")
    .select("id")
    .where("id", "=", event.id)
    .executeTakeFirst();
  if (known) return { id: event.id, outcome: "known", why: "" };
  const trouble =
    event.atMs > context.nowMs() + MOST_AHEAD_MS
      ? "its time lies ahead of the shop's computer: set the tablet's clock"
      : await strangerIn(writing, event);
  if (trouble !== null) return { id: event.id, outcome: "refused", why: trouble };
  const why = event.kind === "taken-back" ? await takeBack(telling, event) : await keep(telling, event);
  return why === null
    ? { id: event.id, outcome: "kept", why: "" }
    : { id: event.id, outcome: "refused", why };
}

/** What an event names that is not there, in words; null where all is. */
async function strangerIn({ db }: Writing, event: FloorEvent): Promise<string | null> {
  const named = event as { pieceId?: string; jobId?: string | null; machineId?: string | null };
  const isThere = async (table: "pieces" | "jobs" | "machines" | "people" | "threads", id: string) =>
    (await db
      .selectFrom(table as "people")
      .select("id")
      .where("id", "=", id)
      .executeTakeFirst()) !== undefined;
  if (named.pieceId !== undefined && !(await isThere("pieces", named.pieceId)))
    return `there is no piece ${named.pieceId}`;
  if (named.jobId) {
    const job = await db
      .selectFrom("jobs")
      .select("piece_id")
      .where("id", "=", named.jobId)
      .executeTakeFirst();
    if (job?.piece_id !== named.pieceId) return `run ${named.jobId} is not one of the piece's`;
  }
  if (named.machineId && !(await isThere("machines", named.machineId)))
    return `there is no machine ${named.machineId}`;
  if (event.kind === "batch-done")
    for (const id of event.pieceIds) if (!(await isThere("pieces", id))) return `there is no piece ${id}`;
  if (
    (event.kind === "person-away" || event.kind === "person-back") &&
    !(await isThere("people", event.awayId))
  )
    return `there is no person ${event.awayId}`;
  if (
    (event.kind === "thread-out" || event.kind === "thread-in") &&
    !(await isThere("threads", event.threadId))
  )
    return `there is no thread ${event.threadId}`;
  return null;
}

/** Keeps an event and what follows from it. A batch is kept once as told and once for each of its pieces. */
async function keep(telling: Telling, event: FloorEvent): Promise<null> {
  const { writing } = telling;
  writing.touch("floor");
  if (event.kind === "batch-done") {
    await append(telling, { ...event, pieceIds: [] }, {});
    for (const [at, pieceId] of event.pieceIds.entries())
      await keepOfPiece(telling, { ...event, id: `${event.id}.${at + 1}`, pieceIds: [pieceId] }, pieceId);
    return null;
  }
  const { pieceId } = event as { pieceId?: string };
  if (pieceId === undefined) {
    await append(telling, event, {});
    await setRegisters(writing, event);
    return null;
  }
  await keepOfPiece(telling, event, pieceId);
  return null;
}

async function keepOfPiece(telling: Telling, told: FloorEvent, pieceId: string): Promise<void> {
  const { context, writing, who, plan } = telling;
  const piece = await writing.db
    .selectFrom("pieces")
    .selectAll()
    .where("id", "=", pieceId)
    .executeTakeFirstOrThrow();
  await settleTrail(context, writing.db, who, [piece]);
  const jobs = await jobsOfPieces(writing.db, [pieceId]);
  const from = { state: stateOf(piece), sewn: jobs.filter((job) => job.sewn === 1).map((job) => job.id) };
  let event = told;
  if (bearsFacts(event)) {
    const { jobId } = event;
    const machineId = event.kind === "finished" ? null : event.machineId;
    const facts = await factsOf(
      writing.db,
      jobs.find((job) => job.id === jobId)!,
      machineId,
      { plan, needles: event.kind === "started" ? event.needles : undefined },
    );
    if (facts && machineId !== null) event = { ...event, facts };
  }
  let remakeId: string | null = null;
  if (event.kind === "spoiled" && event.remake && piece.state !== "spoiled") {
    const order = await writing.db
      .selectFrom("orders")
      .select("customer")
      .where("id", "=", piece.order_id)
      .executeTakeFirstOrThrow();
    remakeId = (await remakePiece(context, writing, piece, order.customer)).id;
  }
  await append(telling, event, { from, ...(remakeId === null ? {} : { remakeId }) }, { piece_id: pieceId });
  await setRegisters(writing, event);
  await followPieces(writing, [pieceId], event.atMs);
  if ("jobId" in event && event.jobId !== null) await followRun(writing, event.jobId);
}

async function append(
  { context, writing, who, plan }: Telling,
  event: FloorEvent,
  beside: Parameters<typeof eventRow>[1]["beside"],
  of?: Partial<Pick<KeptEvent, "piece_id" | "job_id" | "machine_id">>,
): Promise<void> {
  const hand = plannedHand(event, plan);
  await appendFloorEvents(writing.db, [
    eventRow(event, {
      recordedAtMs: context.nowMs(),
      who,
      beside: hand === null ? beside : { ...beside, hand },
      of: { piece_id: null, job_id: null, machine_id: null, ...of },
    }),
  ]);
}

/** Takes an event back; what followed from it follows no more. Gives why it cannot be, or null. */
async function takeBack(
  telling: Telling,
  event: FloorEvent & { kind: "taken-back" },
): Promise<string | null> {
  const { writing } = telling;
  const targets = await writing.db
    .selectFrom("floor_events")
    .selectAll()
    .where((build) => build.or([build("id", "=", event.eventId), build("id", "like", `${event.eventId}.%`)]))
    .execute();
  const own = targets.filter(
    (row) => row.id === event.eventId || /^\.\d+$/.test(row.id.slice(event.eventId.length)),
  );
  if (own.length === 0) return `there is no event ${event.eventId}`;
  if (own.some((row) => eventOf(row) === null || row.kind === "taken-back"))
    return "only what was told from the floor can be taken back here";
  writing.touch("floor");
  for (const [at, row] of own.entries()) {
    const id = at === 0 ? event.id : `${event.id}.${at}`;
    await append(telling, { ...event, id, eventId: row.id }, {}, row);
    await leaveRegisters(writing, row.id);
    if (row.piece_id !== null) await followPieces(writing, [row.piece_id], event.atMs);
    if (row.job_id !== null) await followRun(writing, row.job_id);
    const { remakeId } = besideOf(row);
    if (remakeId !== undefined) await dropRemake(telling, remakeId);
  }
  return null;
}

/** The piece made in a spoiled one's place is not needed, unless somebody has begun it. */
async function dropRemake({ context, writing, who }: Telling, remakeId: string): Promise<void> {
  const remake = await writing.db
    .selectFrom("pieces")
    .selectAll()
    .where("id", "=", remakeId)
    .executeTakeFirst();
  if (!remake || (remake.state !== "ready" && remake.state !== "waiting")) return;
  await settleTrail(context, writing.db, who, [remake]);
  await movePieces(context, writing, {
    pieceIds: [remakeId],
    state: "cancelled",
    why: "the piece it stood in for is not spoiled",
    remake: false,
    personId: null,
    machineId: null,
    who,
  });
}
