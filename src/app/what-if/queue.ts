import { sql } from "kysely";
import type { Store, WhatIfCandidateTable, WhatIfRunTable } from "#store";
import { type Candidate, nextCandidates, type Played } from "./candidates";
import type { KeptQuestion } from "./kept";
import { resultOf } from "./results";
import type { Basis, Outcome } from "./season";

/**
 * The seasons to be played, as rows of the database: whoever plays takes some, for as long as a lease lasts, and gives
 * back what came out. A player that is killed loses nothing but its last season: when its lease has ended another
 * takes it. What is done is never done again. With PostgreSQL players on several hosts take from one list.
 */

export interface Play {
  readonly runId: string;
  readonly candidate: number;
  readonly season: number;
}

export interface ClaimAsked {
  readonly worker: string;
  /** So many at most. */
  readonly count: number;
  /** How many of its threads take by themselves: then no more than leaves as much for those of others. */
  readonly threads?: number;
  readonly nowMs: number;
  readonly leaseMs: number;
}

/** Rows of one statement: SQLite takes 32,766 values at most. */
const ROWS = 500;

/**
 * Takes seasons to play: open ones, and those whose player went silent. On PostgreSQL rows another is just taking are
 * passed over (`for update skip locked`), so that nobody waits for anybody; this needs no turn among the writes.
 */
export async function claimPlays(
  store: Store,
  { worker, count, threads, nowMs, leaseMs }: ClaimAsked,
): Promise<Play[]> {
  return store.db.transaction().execute(async (trx) => {
    // What is taken and lost with the server is open again: nobody need wait until the disk has it.
    if (store.kind === "postgres") await sql`set local synchronous_commit = off`.execute(trx);
    let free = trx
      .selectFrom("what_if_plays")
      .select(["run_id", "candidate", "season"])
      .where(isFreeAt(nowMs))
      .orderBy("run_id")
      // Today's shop and the changed one first: of them a first answer is made.
      .orderBy(sql`case when candidate > 1 then 1 else 0 end`)
      .orderBy("season")
      .orderBy("candidate")
      .limit(threads === undefined ? count : await evenShare(trx, { worker, count, threads, nowMs }));
    if (store.kind === "postgres") free = free.forUpdate().skipLocked();
    const plays = (await free.execute()).map(({ run_id, candidate, season }): Play => ({
      runId: run_id,
      candidate,
      season,
    }));
    if (plays.length > 0)
      await trx
        .updateTable("what_if_plays")
        .set({ state: "taken", worker, lease_until_ms: nowMs + leaseMs })
        .where((where) => where.or(plays.map((play) => where.and(keyOf(play)))))
        .execute();
    return plays;
  });
}

const isFreeAt = (nowMs: number) =>
  sql<boolean>`(state = 'open' or (state = 'taken' and lease_until_ms < ${nowMs}))`;

/**
 * Half of what each thread of all players would get of what is left, at most: large portions first and small ones at
 * the end, so that all end together (guided self-scheduling, Polychronopoulos and Kuck 1987; from memory).
 */
async function evenShare(
  db: Pick<Reader, "selectFrom">,
  { worker, count, threads, nowMs }: Omit<Required<ClaimAsked>, "leaseMs">,
): Promise<number> {
  if (count === 1) return 1;
  const { others } = await db
    .selectFrom("what_if_plays")
    .select(sql<number>`count(distinct worker)`.as("others"))
    .where("state", "=", "taken")
    .where("lease_until_ms", ">=", nowMs)
    .where("worker", "!=", worker)
    .executeTakeFirstOrThrow();
  const shares = 2 * threads * (1 + Number(others));
  const free = db
    .selectFrom("what_if_plays")
    .select("run_id")
    .where(isFreeAt(nowMs))
    .limit(count * shares)
    .as("free");
  const { left } = await db
    .selectFrom(free)
    .select(sql<number>`count(*)`.as("left"))
    .executeTakeFirstOrThrow();
  return Math.max(1, Math.min(count, Math.ceil(Number(left) / shares)));
}

const keyOf = ({ runId, candidate, season }: Play) => ({ run_id: runId, candidate, season });

/** Says that a player is still at it. */
export async function renewLeases(
  store: Store,
  { worker, nowMs, leaseMs }: Pick<ClaimAsked, "worker" | "nowMs" | "leaseMs">,
): Promise<void> {
  await store.write({ who: worker, what: "Plays on" }, async ({ db }) => {
    await db
      .updateTable("what_if_plays")
      .set({ lease_until_ms: nowMs + leaseMs })
      .where("worker", "=", worker)
      .where("state", "=", "taken")
      .execute();
  });
}

/** Gives back what a player took and has not begun, when it ends. */
export async function giveBack(store: Store, worker: string): Promise<void> {
  await store.write({ who: worker, what: "Stops playing" }, async ({ db }) => {
    await db
      .updateTable("what_if_plays")
      .set({ state: "open", worker: null, lease_until_ms: null })
      .where("worker", "=", worker)
      .where("state", "=", "taken")
      .execute();
  });
}

interface Given {
  readonly worker: string;
  readonly played: readonly { readonly play: Play; readonly outcome: Outcome }[];
  readonly nowMs: number;
}

/**
 * Keeps what seasons came to; whoever gives the last one of a question looks whether there is more to play, or ends it,
 * in the same transaction. Gives how many were new: where another was faster, what it brought stands.
 */
export async function keepOutcomes(store: Store, { worker, played, nowMs }: Given): Promise<number> {
  const { result } = await store.write({ who: worker, what: "Played seasons" }, async ({ db, touch }) => {
    const kept = await keepRows(db, worker, played);
    const runs = new Set(kept.map(({ run_id }) => run_id));
    for (const runId of runs) {
      touch("what-if", runId);
      if (!(await isLeft(db, runId))) await goOn(db, runId, nowMs);
    }
    return kept.length;
  });
  return result;
}

/** One statement for all; what is done already is left as it is. */
async function keepRows(
  db: Reader,
  worker: string,
  played: Given["played"],
): Promise<readonly { readonly run_id: string }[]> {
  if (played.length === 0) return [];
  const given = played.map(
    ({ play: { runId, candidate, season }, outcome }) =>
      sql`(${runId}, cast(${candidate} as bigint), cast(${season} as bigint), ${JSON.stringify(outcome)})`,
  );
  const { rows } = await sql<{ run_id: string }>`
    with given (run_id, candidate, season, outcome) as (values ${sql.join(given)})
    update what_if_plays set state = 'done', worker = ${worker}, lease_until_ms = null, outcome = given.outcome
    from given
    where what_if_plays.run_id = given.run_id and what_if_plays.candidate = given.candidate
      and what_if_plays.season = given.season and what_if_plays.state != 'done'
    returning what_if_plays.run_id as run_id`.execute(db);
  return rows;
}

async function isLeft(db: Reader, runId: string): Promise<boolean> {
  const left = await db
    .selectFrom("what_if_plays")
    .select(sql<number>`1`.as("one"))
    .where("run_id", "=", runId)
    .where("state", "!=", "done")
    .limit(1)
    .executeTakeFirst();
  return left !== undefined;
}

type Reader = Pick<Store["db"], "selectFrom" | "insertInto" | "updateTable" | "getExecutor">;

/** All that is played so far is done: a ladder's next rung, or the end. */
async function goOn(db: Reader, runId: string, nowMs: number): Promise<void> {
  const run = await db
    .selectFrom("what_if_runs")
    .selectAll()
    .where("id", "=", runId)
    .executeTakeFirstOrThrow();
  const asked = await askedOf(db, run);
  const more = nextCandidates(asked);
  if (more.length > 0)
    return addCandidates(db, runId, more, {
      seasons: asked.seasons,
      state: run.state === "running" ? "open" : "stopped",
    });
  await db
    .updateTable("what_if_runs")
    .set({ state: "done", finished_at_ms: nowMs, sentence: resultOf(asked).sentence })
    .where("id", "=", runId)
    .execute();
}

/** Everything a result is worked out from. */
export async function askedOf(db: Pick<Reader, "selectFrom">, run: WhatIfRunTable) {
  const kept = JSON.parse(run.question) as KeptQuestion;
  const [candidates, plays] = await Promise.all([
    db.selectFrom("what_if_candidates").selectAll().where("run_id", "=", run.id).orderBy("number").execute(),
    db
      .selectFrom("what_if_plays")
      .select(["candidate", "season", "outcome"])
      .where("run_id", "=", run.id)
      .where("state", "=", "done")
      .orderBy("candidate")
      .orderBy("season")
      .execute(),
  ]);
  const seasonsOf = new Map<number, Map<number, Outcome>>();
  for (const { candidate, season, outcome } of plays) {
    const known = seasonsOf.get(candidate) ?? new Map<number, Outcome>();
    known.set(season, JSON.parse(outcome!) as Outcome);
    seasonsOf.set(candidate, known);
  }
  return {
    question: kept.meant,
    worth: kept.worth,
    currency: kept.currency,
    names: { hoops: new Map(kept.names.hoops), machines: new Map(kept.names.machines) },
    seasons: kept.asked.seasons,
    basis: JSON.parse(run.basis) as Basis,
    candidates: candidates.map(candidateOf),
    seasonsOf: seasonsOf as ReadonlyMap<number, ReadonlyMap<number, Outcome>>,
    played: new Map([...seasonsOf].map(([number, seasons]) => [number, [...seasons.values()]])) as Played,
  };
}

export const candidateOf = (row: WhatIfCandidateTable): Candidate => ({
  number: row.number,
  role: JSON.parse(row.role) as Candidate["role"],
  changes: JSON.parse(row.changes) as Candidate["changes"],
});

/** Adds shops with all their seasons to play. */
export async function addCandidates(
  db: Reader,
  runId: string,
  candidates: readonly Candidate[],
  { seasons, state }: { readonly seasons: number; readonly state: "open" | "stopped" },
): Promise<void> {
  for (let at = 0; at < candidates.length; at += ROWS)
    await db
      .insertInto("what_if_candidates")
      .values(
        candidates.slice(at, at + ROWS).map(({ number, role, changes }) => ({
          run_id: runId,
          number,
          role: JSON.stringify(role),
          changes: JSON.stringify(changes),
        })),
      )
      .execute();
  const plays = candidates.flatMap(({ number }) =>
    Array.from({ length: seasons }, (_, season) => ({
      run_id: runId,
      candidate: number,
      season,
      state,
      worker: null,
      lease_until_ms: null,
      outcome: null,
    })),
  );
  for (let at = 0; at < plays.length; at += ROWS)
    await db
      .insertInto("what_if_plays")
      .values(plays.slice(at, at + ROWS))
      .execute();
}

/** Moves what is not done of a question between open and stopped. */
export async function setRun(
  store: Store,
  who: string,
  runId: string,
  to: "running" | "stopped",
): Promise<void> {
  await store.write(
    { who, what: to === "stopped" ? "Stopped a question" : "Went on with a question" },
    async ({ db, touch }) => {
      const changed = await db
        .updateTable("what_if_runs")
        .set({ state: to, failure: null })
        .where("id", "=", runId)
        .where("state", "in", to === "stopped" ? ["running"] : ["stopped", "failed"])
        .executeTakeFirst();
      if (Number(changed.numUpdatedRows) === 0) return;
      await db
        .updateTable("what_if_plays")
        .set({ state: to === "stopped" ? "stopped" : "open", worker: null, lease_until_ms: null })
        .where("run_id", "=", runId)
        .where("state", "!=", "done")
        .execute();
      touch("what-if", runId);
    },
  );
}

/** A question that cannot be played ends with the reason; what was played is kept. */
export async function failRun(store: Store, runId: string, reason: string): Promise<void> {
  await store.write({ who: "The program", what: "A question failed" }, async ({ db, touch }) => {
    await db
      .updateTable("what_if_runs")
      .set({ state: "failed", failure: reason.slice(0, 2000) })
      .where("id", "=", runId)
      .where("state", "=", "running")
      .execute();
    await db
      .updateTable("what_if_plays")
      .set({ state: "stopped", worker: null, lease_until_ms: null })
      .where("run_id", "=", runId)
      .where("state", "!=", "done")
      .execute();
    touch("what-if", runId);
  });
}
