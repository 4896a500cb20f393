import { isLater, type Register, registerKey, registersOf, registersOfMove } from "#core/floor";
import type { FloorRegisterTable, FloorRunTable, Store, Writing } from "#store";
import type { Context } from "../context";
import { jobsOfPieces } from "../piece-records";
import { groupedBy, inPortions } from "../records";
import { followPieces, runFrom } from "./following";
import { standingAfter } from "./lives";
import { eventOf, jobsOfRow, type KeptEvent, moveOf, registerRow, takenBackBy } from "./rows";

/**
 * Works everything that follows from the floor's events out anew and compares it with what is kept: where pieces stand,
 * runs, and what counts by its last word. Events are read a piece at a time, so that years of them need little memory.
 */
export interface Recounted {
  readonly events: number;
  readonly pieces: number;
  readonly runs: number;
  readonly registers: number;
  /** What is kept otherwise than the events have it, the first hundred of it. */
  readonly differences: readonly {
    readonly what: string;
    readonly kept: string;
    readonly recounted: string;
  }[];
  readonly differing: number;
  readonly mended: boolean;
}

const PORTION = 4000;
const PIECES_AT_ONCE = 500;
const TOLD_OF = 100;

type Reader = Store["db"];

interface Found {
  readonly differences: { what: string; kept: string; recounted: string }[];
  differing: number;
  readonly runs: FloorRunTable[];
  readonly goneRuns: string[];
  readonly pieces: string[];
}

/** Compares; with `mend` "yes" sets what differs as the events have it, in one write. */
export async function recountFloor(context: Context, mend: "no" | "yes"): Promise<Recounted> {
  const { store } = context;
  const found: Found = { differences: [], differing: 0, runs: [], goneRuns: [], pieces: [] };
  const counted = await recountPieces(store.db, found);
  const registers = await recountRegisters(store.db, found);
  const isMending = mend === "yes" && found.differing > 0;
  if (isMending)
    await store.write({ who: "recount", what: "Recounted the floor" }, (writing) =>
      put(context, writing, found, registers.all),
    );
  return {
    ...counted,
    registers: registers.standing.size,
    differences: found.differences,
    differing: found.differing,
    mended: isMending,
  };
}

const differ = (found: Found, what: string, kept: string, recounted: string): void => {
  found.differing++;
  if (found.differences.length < TOLD_OF) found.differences.push({ what, kept, recounted });
};

async function recountPieces(db: Reader, found: Found) {
  let [events, pieces, runs] = [0, 0, 0];
  let after = "";
  for (;;) {
    const ids = await db
      .selectFrom("floor_events")
      .select("piece_id")
      .distinct()
      .where("piece_id", ">", after)
      .orderBy("piece_id")
      .limit(PIECES_AT_ONCE)
      .execute();
    const last = ids.at(-1)?.piece_id;
    if (last === undefined || last === null) break;
    const rows = await db
      .selectFrom("floor_events")
      .selectAll()
      .where("piece_id", ">", after)
      .where("piece_id", "<=", last)
      .orderBy("piece_id")
      .orderBy("seq")
      .execute();
    events += rows.length;
    const counts = await comparePieces(
      db,
      groupedBy(rows, (row) => row.piece_id!),
      found,
    );
    pieces += counts.pieces;
    runs += counts.runs;
    after = last;
  }
  const others = await db
    .selectFrom("floor_events")
    .select((build) => build.fn.countAll<number>().as("count"))
    .where("piece_id", "is", null)
    .executeTakeFirstOrThrow();
  return { events: events + Number(others.count), pieces, runs };
}

async function comparePieces(db: Reader, byPiece: ReadonlyMap<string, KeptEvent[]>, found: Found) {
  const ids = [...byPiece.keys()];
  const [pieces, jobs, kept] = await Promise.all([
    inPortions(ids, (portion) =>
      db.selectFrom("pieces").select(["id", "code", "state"]).where("id", "in", portion).execute(),
    ),
    jobsOfPieces(db, ids),
    inPortions(ids, (portion) =>
      db.selectFrom("floor_runs").selectAll().where("piece_id", "in", portion).execute(),
    ),
  ]);
  const jobsBy = groupedBy(jobs, (job) => job.piece_id);
  const keptBy = new Map(kept.map((row) => [row.job_id, row]));
  let runs = 0;
  for (const piece of pieces) {
    const rows = byPiece.get(piece.id)!;
    const own = jobsBy.get(piece.id) ?? [];
    const standing = standingAfter(
      rows,
      own.map((job) => job.id),
    );
    if (standing && standing.state !== piece.state) {
      differ(found, `piece ${piece.code}`, piece.state, standing.state);
      found.pieces.push(piece.id);
    }
    for (const jobId of new Set(rows.flatMap(jobsOfRow))) {
      const { row } = runFrom(jobId, rows);
      const known = keptBy.get(jobId);
      if (row) runs++;
      if (sameRow(known, row)) continue;
      differ(found, `run ${jobId} of ${piece.code}`, known?.run ?? "none", row?.run ?? "none");
      if (row) found.runs.push(row);
      else found.goneRuns.push(jobId);
    }
  }
  return { pieces: pieces.length, runs };
}

function sameRow(a: object | undefined, b: object | null): boolean {
  if (!a || !b) return !a && !b;
  const [left, right] = [a as Record<string, unknown>, b as Record<string, unknown>];
  return Object.keys(right).every((key) => left[key] === right[key]);
}

async function recountRegisters(db: Reader, found: Found) {
  const taken = takenBackBy(
    await db.selectFrom("floor_events").select(["kind", "data"]).where("kind", "=", "taken-back").execute(),
  );
  const standing = new Map<string, Register>();
  const all: Register[] = [];
  let after = 0;
  for (;;) {
    const rows = await db
      .selectFrom("floor_events")
      .selectAll()
      .where("seq", ">", after)
      .where("kind", "<>", "taken-back")
      .orderBy("seq")
      .limit(PORTION)
      .execute();
    for (const row of rows) {
      for (const register of taken.has(row.id) ? [] : setBy(row)) {
        all.push(register);
        const key = registerKey(register);
        if (isLater(register, standing.get(key))) standing.set(key, register);
      }
    }
    if (rows.length < PORTION) break;
    after = rows.at(-1)!.seq;
  }
  await compareRegisters(db, found, standing);
  return { standing, all };
}

function setBy(row: KeptEvent): Register[] {
  const move = moveOf(row);
  if (move) return registersOfMove(move, row.id);
  const event = eventOf(row);
  return event ? registersOf(event) : [];
}

async function compareRegisters(
  db: Reader,
  found: Found,
  standing: ReadonlyMap<string, Register>,
): Promise<void> {
  const kept = new Map(
    (await db.selectFrom("floor_standing").selectAll().execute()).map((row) => [
      registerKey(keyOf(row)),
      row,
    ]),
  );
  for (const [key, register] of standing) {
    const row = kept.get(key);
    const wanted = registerRow(register);
    if (!sameRow(row, wanted)) differ(found, key, row?.value ?? "none", wanted.value);
  }
  for (const [key, row] of kept) if (!standing.has(key)) differ(found, key, row.value, "none");
}

const keyOf = (row: FloorRegisterTable): Pick<Register, "kind" | "subject"> => ({
  kind: row.kind as Register["kind"],
  subject: row.subject,
});

const AT_ONCE = 100;

async function put(
  context: Context,
  writing: Writing,
  found: Found,
  registers: readonly Register[],
): Promise<void> {
  await inPortions([...found.goneRuns, ...found.runs.map((run) => run.job_id)], (ids) =>
    writing.db.deleteFrom("floor_runs").where("job_id", "in", ids).execute(),
  );
  for (let at = 0; at < found.runs.length; at += AT_ONCE)
    await writing.db
      .insertInto("floor_runs")
      .values(found.runs.slice(at, at + AT_ONCE))
      .execute();
  await writing.db.deleteFrom("floor_registers").execute();
  await writing.db.deleteFrom("floor_standing").execute();
  const standing = new Map<string, Register>();
  for (const register of registers) {
    const key = registerKey(register);
    if (isLater(register, standing.get(key))) standing.set(key, register);
  }
  for (const [table, rows] of [
    ["floor_registers", registers.map(registerRow)],
    ["floor_standing", [...standing.values()].map(registerRow)],
  ] as const)
    for (let at = 0; at < rows.length; at += AT_ONCE)
      await writing.db
        .insertInto(table)
        .values(rows.slice(at, at + AT_ONCE))
        .execute();
  for (let at = 0; at < found.pieces.length; at += AT_ONCE)
    await followPieces(writing, found.pieces.slice(at, at + AT_ONCE), context.nowMs());
  writing.touch("floor");
}
