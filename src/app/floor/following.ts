import type { shapes } from "#contract";
import { isLater, type Register, registersOf, type Run, runOf, type FloorEvent } from "#core/floor";
import type { PieceState } from "#core/shop";
import type { JobTable, PieceTable, Store, Writing } from "#store";
import { recountOrders } from "../piece-making";
import { jobsOfPieces } from "../piece-records";
import { rowsOfPieces, standingAfter } from "./lives";
import { type KeptEvent, lifeOf, registerOf, registerRow, runOfRow, runRow } from "./rows";

/**
 * What follows from the floor's events in the records: where pieces stand, what is on needles, stitches on needles,
 * metres of thread. Each is worked out anew from the events of the piece, run or register in question, so that late,
 * repeated and taken-back events end in the same.
 */

/** Sets the pieces' states and which of their runs are sewn by their record. Gives those whose state changed. */
export async function followPieces(
  writing: Writing,
  pieceIds: readonly string[],
  atMs: number,
): Promise<string[]> {
  if (pieceIds.length === 0) return [];
  const rows = await rowsOfPieces(writing.db, pieceIds);
  const pieces = await writing.db.selectFrom("pieces").selectAll().where("id", "in", pieceIds).execute();
  const jobs = await jobsOfPieces(writing.db, pieceIds);
  const changed: PieceTable[] = [];
  for (const piece of pieces) {
    const own = jobs.filter((job) => job.piece_id === piece.id);
    const standing = standingAfter(
      rows.get(piece.id) ?? [],
      own.map((job) => job.id),
    );
    if (!standing) continue;
    await followJobs(writing, own, standing.sewn);
    if (standing.state === piece.state) continue;
    await writing.update("pieces", piece.id, { state: standing.state, state_changed_at_ms: atMs });
    changed.push(piece);
  }
  await recountOrders(
    writing,
    changed.map((piece) => piece.order_id),
  );
  return changed.map((piece) => piece.id);
}

async function followJobs(
  writing: Writing,
  jobs: readonly JobTable[],
  sewn: ReadonlySet<string>,
): Promise<void> {
  for (const [wanted, ids] of [
    [1, jobs.filter((job) => job.sewn === 0 && sewn.has(job.id))],
    [0, jobs.filter((job) => job.sewn === 1 && !sewn.has(job.id))],
  ] as const)
    await writing.updateAll(
      "jobs",
      ids.map((job) => job.id),
      { sewn: wanted },
    );
}

/** Works a run out anew from its events, keeps it, and moves needles' stitches and thread by the difference. */
export async function followRun(writing: Writing, jobId: string): Promise<void> {
  const known = await writing.db
    .selectFrom("floor_runs")
    .selectAll()
    .where("job_id", "=", jobId)
    .executeTakeFirst();
  const job = await writing.db
    .selectFrom("jobs")
    .select("piece_id")
    .where("id", "=", jobId)
    .executeTakeFirst();
  const pieceId = job?.piece_id ?? known?.piece_id;
  if (pieceId === undefined) return;
  const rows = (await rowsOfPieces(writing.db, [pieceId])).get(pieceId) ?? [];
  const { run, row } = runFrom(jobId, rows);
  const before = known ? runOfRow(known) : null;
  await writing.db.deleteFrom("floor_runs").where("job_id", "=", jobId).execute();
  if (row) await writing.db.insertInto("floor_runs").values(row).execute();
  const [was, is] = [usedBy(before), usedBy(run)];
  await moveNeedles(writing, was.needles, is.needles);
  await moveThread(writing, was.metres, is.metres);
}

/** A job's run and its row by the rows of its piece's record. */
export function runFrom(jobId: string, rows: readonly KeptEvent[]) {
  const ofJob = (row: KeptEvent) => row.job_id === jobId || row.job_id === null || row.kind === "taken-back";
  const lives = rows.filter(ofJob).map(lifeOf);
  const run = runOf(jobId, lives);
  const taken = new Set(lives.flatMap((event) => (event.kind === "taken-back" ? [event.eventId] : [])));
  const isOf = (event: (typeof lives)[number]) =>
    event.kind === "moved"
      ? event.runs?.[jobId] !== undefined
      : event.kind !== "taken-back" && "jobId" in event && event.jobId === jobId && !taken.has(event.id);
  const lastAtMs = lives.filter(isOf).reduce((last, event) => Math.max(last, event.atMs), 0);
  return { run, row: run ? runRow(run, lastAtMs) : null };
}

interface Used {
  /** Stitches by `machine/needle`. */
  readonly needles: ReadonlyMap<string, number>;
  /** Metres by thread. */
  readonly metres: ReadonlyMap<string, number>;
}

/** What a run that came off its machine has used; one under way counts when it comes off. */
export function usedBy(run: Run | null): Used {
  const needles = new Map<string, number>();
  const metres = new Map<string, number>();
  // What is estimated counts for the machine's hours alone: nobody knows which needles and how much thread.
  if (run?.facts && run.endedAtMs !== null && !run.estimated) {
    const whole = run.facts.stitches;
    const sewnS = run.sewedMs / 1000;
    const share = run.stage === "spoiled" ? Math.min(1, sewnS / Math.max(1, run.facts.expectedS)) : 1;
    if (whole > 0)
      for (const part of run.facts.parts) {
        if (part.needle !== null && run.machineId !== null)
          add(needles, `${run.machineId}/${part.needle}`, Math.round(share * part.stitches));
        if (part.threadId) add(metres, part.threadId, (share * part.threadMm) / 1000);
      }
  }
  return { needles, metres };
}

const add = (map: Map<string, number>, key: string, amount: number): void =>
  void map.set(key, (map.get(key) ?? 0) + amount);

const differences = (was: ReadonlyMap<string, number>, is: ReadonlyMap<string, number>) =>
  [...new Set([...was.keys(), ...is.keys()])]
    .map((key) => [key, (is.get(key) ?? 0) - (was.get(key) ?? 0)] as const)
    .filter(([, by]) => by !== 0);

async function moveNeedles(
  writing: Writing,
  was: ReadonlyMap<string, number>,
  is: ReadonlyMap<string, number>,
): Promise<void> {
  const byMachine = new Map<string, Map<number, number>>();
  for (const [key, by] of differences(was, is)) {
    const cut = key.lastIndexOf("/");
    const machine = key.slice(0, cut);
    const own = byMachine.get(machine) ?? new Map<number, number>();
    own.set(Number(key.slice(cut + 1)), by);
    byMachine.set(machine, own);
  }
  for (const [machineId, needles] of byMachine) {
    const since = new Map<number, number | null>();
    for (const number of needles.keys())
      since.set(number, await sewnSinceChange(writing.db, machineId, number));
    await changeNeedles(writing, machineId, (needle) => ({
      ...needle,
      stitchesSinceChange:
        since.get(needle.number) ??
        Math.max(0, needle.stitchesSinceChange + (needles.get(needle.number) ?? 0)),
    }));
  }
}

/** Stitches a needle has sewn since its last change that the floor was told of; null before the first of these. */
async function sewnSinceChange(db: Store["db"], machineId: string, number: number): Promise<number | null> {
  const change = await standing(db, { kind: "needle-changed", subject: `${machineId}/${number}` });
  return change === null ? null : sewnSince(db, machineId, number, change.atMs);
}

async function sewnSince(db: Store["db"], machineId: string, number: number, atMs: number): Promise<number> {
  const runs = await db
    .selectFrom("floor_runs")
    .select("run")
    .where("machine_id", "=", machineId)
    .where("ended_at_ms", ">", atMs)
    .execute();
  return runs.reduce(
    (sum, row) => sum + (usedBy(runOfRow(row)).needles.get(`${machineId}/${number}`) ?? 0),
    0,
  );
}

type Needle = shapes.MachineBody["needles"][number];

async function changeNeedles(
  writing: Writing,
  machineId: string,
  change: (needle: Needle) => Needle,
): Promise<void> {
  const row = await writing.db
    .selectFrom("machines")
    .select("body")
    .where("id", "=", machineId)
    .executeTakeFirst();
  if (!row) return;
  const body = JSON.parse(row.body) as shapes.MachineBody;
  const next = JSON.stringify({ ...body, needles: body.needles.map(change) });
  if (next !== row.body) await writing.update("machines", machineId, { body: next });
}

async function moveThread(
  writing: Writing,
  was: ReadonlyMap<string, number>,
  is: ReadonlyMap<string, number>,
): Promise<void> {
  for (const [threadId, by] of differences(was, is)) {
    const row = await writing.db
      .selectFrom("threads")
      .select("body")
      .where("id", "=", threadId)
      .executeTakeFirst();
    if (!row) continue;
    const body = JSON.parse(row.body) as shapes.ThreadBody;
    const metresLeft = Math.max(0, Math.round((body.metresLeft - by) * 100) / 100);
    await writing.update("threads", threadId, { body: JSON.stringify({ ...body, metresLeft }) });
  }
}

/** Keeps the registers an event sets; where one is the latest, what it says stands, on machines' needles too. */
export const setRegisters = (writing: Writing, event: FloorEvent): Promise<void> =>
  setAll(writing, registersOf(event));

async function setAll(writing: Writing, registers: readonly Register[]): Promise<void> {
  for (const register of registers) {
    await writing.db.insertInto("floor_registers").values(registerRow(register)).execute();
    const known = await standing(writing.db, register);
    if (isLater(register, known ?? undefined)) await stand(writing, register, register);
  }
}

/** Leaves out the registers of an event that was taken back: what was set before it stands again. */
export async function leaveRegisters(writing: Writing, eventId: string): Promise<void> {
  const rows = await writing.db
    .selectFrom("floor_registers")
    .selectAll()
    .where("event_id", "=", eventId)
    .execute();
  await writing.db.deleteFrom("floor_registers").where("event_id", "=", eventId).execute();
  for (const row of rows) {
    const last = await writing.db
      .selectFrom("floor_registers")
      .selectAll()
      .where("kind", "=", row.kind)
      .where("subject", "=", row.subject)
      .orderBy("at_ms", "desc")
      .orderBy("event_id", "desc")
      .limit(1)
      .executeTakeFirst();
    await stand(writing, registerOf(row), last ? registerOf(last) : null);
  }
}

async function standing(
  db: Store["db"],
  { kind, subject }: Pick<Register, "kind" | "subject">,
): Promise<Register | null> {
  const row = await db
    .selectFrom("floor_standing")
    .selectAll()
    .where("kind", "=", kind)
    .where("subject", "=", subject)
    .executeTakeFirst();
  return row ? registerOf(row) : null;
}

async function stand(
  writing: Writing,
  at: Pick<Register, "kind" | "subject">,
  register: Register | null,
): Promise<void> {
  await writing.db
    .deleteFrom("floor_standing")
    .where("kind", "=", at.kind)
    .where("subject", "=", at.subject)
    .execute();
  if (register) await writing.db.insertInto("floor_standing").values(registerRow(register)).execute();
  const cut = at.subject.lastIndexOf("/");
  const [machineId, number] = [at.subject.slice(0, cut), Number(at.subject.slice(cut + 1))];
  if (at.kind === "needle-thread" && register) {
    const { threadId } = register.value as { threadId: string | null };
    await changeNeedles(writing, machineId, (needle) =>
      needle.number === number ? { ...needle, threadId } : needle,
    );
  }
  if (at.kind === "needle-changed" && register) {
    const { sizeNm, point } = register.value as { sizeNm: number | null; point: "sharp" | "ball" | null };
    const stitchesSinceChange = await sewnSince(writing.db, machineId, number, register.atMs);
    await changeNeedles(writing, machineId, (needle) =>
      needle.number === number
        ? {
            ...needle,
            stitchesSinceChange,
            sizeNm: sizeNm ?? needle.sizeNm,
            point: point ?? needle.point,
          }
        : needle,
    );
  }
}

export const stateOf = (piece: Pick<PieceTable, "state">): PieceState => piece.state as PieceState;
