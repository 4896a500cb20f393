import { localTime, instantOf } from "#core/shop";
import type { Answers, Context } from "../context";
import { stateName } from "../piece-trail";
import { unfinishedOf } from "../plan-finishing";
import { jobsOfPieces, pieceRecords } from "../piece-records";
import type { shapes } from "#contract";
import type { FloorRunTable, JobTable, PieceTable, Store } from "#store";
import { allOf, inPortions, studioOf } from "../records";
import { eventWords } from "./words";
import { registerOf, runOfRow, takenBackBy } from "./rows";

/** What stands on the floor, in one answer for all stations. */

const LATELY = 40;
const MOST_TO_PACK = 500;
const open = ["ready", "hooped", "sewing", "finishing"];

type Reader = Store["db"];

/** Runs told of since midnight, and those of pieces still on their way. */
async function runsNow(db: Reader, midnightMs: number): Promise<Pick<FloorRunTable, "run">[]> {
  const today = await db
    .selectFrom("floor_runs")
    .select(["job_id", "run"])
    .where("last_at_ms", ">=", midnightMs)
    .execute();
  const pieces = await db.selectFrom("pieces").select("id").where("state", "in", open).execute();
  const before = await inPortions(
    pieces.map((piece) => piece.id),
    (ids) => db.selectFrom("floor_runs").select(["job_id", "run"]).where("piece_id", "in", ids).execute(),
  );
  return [...new Map([...today, ...before].map((row) => [row.job_id, row])).values()];
}

/** Finished pieces, and those packed since midnight. */
async function packingNow(db: Reader, midnightMs: number): Promise<PieceTable[]> {
  const [done, packed] = await Promise.all([
    db
      .selectFrom("pieces")
      .selectAll()
      .where("state", "=", "done")
      .orderBy("ship_by")
      .orderBy("code")
      .limit(MOST_TO_PACK)
      .execute(),
    db
      .selectFrom("pieces")
      .selectAll()
      .where("state", "=", "packed")
      .where("state_changed_at_ms", ">=", midnightMs)
      .limit(MOST_TO_PACK)
      .execute(),
  ]);
  return [...done, ...packed];
}

/** Sewn pieces, by their ship-by dates, and of each the run whose finishing is to be told. */
async function finishingNow(db: Reader): Promise<{ piece: PieceTable; job: JobTable }[]> {
  const pieces = await db
    .selectFrom("pieces")
    .selectAll()
    .where((build) =>
      build.or([
        build("state", "=", "finishing"),
        build.and([
          build("state", "=", "ready"),
          build.exists(
            build
              .selectFrom("jobs")
              .select("jobs.id")
              .whereRef("jobs.piece_id", "=", "pieces.id")
              .where("jobs.sewn", "=", 1),
          ),
        ]),
      ]),
    )
    .where("urgency", "<>", "held")
    .orderBy("ship_by")
    .orderBy("code")
    .execute();
  const jobs = await jobsOfPieces(
    db,
    pieces.map((piece) => piece.id),
  );
  const unfinished = await unfinishedOf(db, pieces, jobs);
  return pieces
    .flatMap((piece) => {
      const found = unfinished.get(piece.id);
      return found ? [{ piece, job: found.job }] : [];
    })
    .slice(0, MOST_TO_PACK);
}

const heldOf = (piece: shapes.PieceRecord, product: string) => ({
  pieceId: piece.id,
  code: piece.code,
  title: piece.personalText || product || piece.code,
  product,
  customer: piece.customer,
  shipBy: piece.shipBy,
  state: piece.state,
});

export function floorNowAnswers({ store, nowMs }: Context): Pick<Answers, "floorNow"> {
  const { db } = store;
  return {
    floorNow: async () => {
      const atMs = nowMs();
      const studio = await studioOf(db);
      const zone = studio?.body.timeZone ?? "UTC";
      const midnightMs = instantOf(zone, localTime(zone, atMs).date, 0);
      const [
        machines,
        people,
        threads,
        products,
        hoops,
        registers,
        runs,
        lately,
        packing,
        finishing,
        batches,
      ] = await Promise.all([
        allOf(db, "machines"),
        allOf(db, "people"),
        allOf(db, "threads"),
        allOf(db, "products"),
        allOf(db, "hoops"),
        db.selectFrom("floor_standing").selectAll().execute(),
        runsNow(db, midnightMs),
        db.selectFrom("floor_events").selectAll().orderBy("seq", "desc").limit(LATELY).execute(),
        packingNow(db, midnightMs),
        finishingNow(db),
        db
          .selectFrom("floor_events")
          .select(["id", "data", "at_ms"])
          .where("kind", "=", "batch-done")
          .where("at_ms", ">=", midnightMs)
          .where("piece_id", "is", null)
          .execute(),
      ]);
      const takenBack = takenBackBy(
        await db
          .selectFrom("floor_events")
          .select(["kind", "data"])
          .where("kind", "=", "taken-back")
          .where("at_ms", ">=", midnightMs)
          .execute(),
      );
      const pieces = await pieceRecords(db, packing);
      const sewn = await pieceRecords(
        db,
        finishing.map((one) => one.piece),
      );
      const productOf = (piece: shapes.PieceRecord) => products.get(piece.productId)?.name ?? "";
      const pieceNames = new Map(
        (lately.length === 0
          ? []
          : await db
              .selectFrom("pieces")
              .select(["id", "code", "personal_text"])
              .where("id", "in", [...new Set(lately.flatMap((row) => row.piece_id ?? []))])
              .execute()
        ).map((row) => [row.id, row.personal_text || row.code]),
      );
      const names = {
        machine: (id: string) => machines.get(id)?.name ?? "a machine",
        person: (id: string) => people.get(id)?.name ?? "a person",
        thread: (id: string) => threads.get(id)?.code ?? "a thread",
        piece: (id: string) => pieceNames.get(id) ?? "a piece",
        state: stateName,
      };
      return {
        nowMs: atMs,
        registers: registers.map(registerOf),
        runs: runs.map((row) => ({ ...runOfRow(row) })),
        doneChores: batches
          .filter((row) => !takenBack.has(row.id))
          .map((row) => ({
            choreId: (JSON.parse(row.data) as { choreId: string }).choreId,
            atMs: row.at_ms,
          })),
        toPack: pieces
          .filter((piece) => piece.state === "done")
          .map((piece) => heldOf(piece, productOf(piece))),
        toFinish: sewn.map((piece, at) => ({
          ...heldOf(piece, productOf(piece)),
          jobId: finishing[at]!.job.id,
          hoopId: finishing[at]!.job.hoop_id,
        })),
        hoops: [...hoops.values()]
          .filter((hoop) => !hoop.archived)
          .map(({ id, name, count }) => ({ id, name, count })),
        packed: pieces.filter((piece) => piece.state === "packed").length,
        machines: [...machines.values()]
          .filter((machine) => !machine.archived)
          .map(({ id, name, kind, linesUpBy, needles }) => ({
            id,
            name,
            kind,
            linesUpBy,
            needles: needles.map(({ number, threadId, sizeNm, point, fixed }) => ({
              number,
              threadId,
              sizeNm,
              point,
              fixed,
            })),
          })),
        people: [...people.values()]
          .filter((person) => !person.archived)
          .map(({ id, name, skills }) => ({ id, name, skills })),
        threads: [...threads.values()].map(({ id, code, name, rgb }) => ({ id, code, name, rgb })),
        lately: lately
          .filter((row) => row.kind !== "taken-back" && !/\.\d+$/.test(row.id))
          .map((row) => ({
            id: row.id,
            atMs: row.at_ms,
            who: row.who,
            kind: row.kind,
            machineId: row.machine_id,
            personId: row.person_id,
            pieceId: row.piece_id,
            words: eventWords(row, names),
            takenBack: takenBack.has(row.id),
          })),
      };
    },
  };
}
