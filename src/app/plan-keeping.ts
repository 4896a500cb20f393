import type { shapes } from "#contract";
import { type Explanation, jobsMoved, type Plan, type PlanBounds, type Problem } from "#core/planning";
import type { PlanTable } from "#store";
import type { Context } from "./context";
import { runOfRow } from "./floor/rows";
import { begunJob, floorMoves, type FloorState } from "./plan-floor";
import { finishChoreId, jobToFinish } from "./plan-finishing";
import type { PlanInForce } from "./plan-holds";
import { type MadeProblem, type PlanContext, seenOf } from "./plan-problem";
import { groupedBy, inPortions } from "./records";

/** Plans as they are kept: the one in force read back as people see it, a new one written, needles that follow it. */

/** What is stored as a plan's `context`. */
export interface StoredContext extends PlanContext {
  readonly whys: Readonly<Record<string, string>>;
  readonly lateWhys?: Readonly<Record<string, string>>;
  readonly first: readonly string[];
  readonly headline: shapes.PlanView["headline"];
  readonly floor?: FloorState;
  /** The problem by the studio's clock, where the one solved was derived from it; and by how much its clock was put back. */
  readonly given?: Problem;
  readonly shiftS?: number;
  readonly days?: number;
  readonly moved?: shapes.PlanView["moved"];
}

export interface HeldPlan extends PlanInForce {
  readonly row: PlanTable;
  readonly stored: StoredContext;
  /** The plan as it was solved, with its recipe. */
  readonly solved: Plan;
  /** The problem it was solved for. */
  readonly asked: Problem;
}

export interface PieceStanding {
  readonly state: string;
  readonly urgency: string;
  readonly pinned_machine_id: string | null;
  readonly version: number;
  readonly sewn: ReadonlySet<string>;
}

/** Plans beyond these stay only as the last of their day. */
const KEPT_WHOLE = 60;
const DAY_MS = 86_400_000;

export interface NewPlan {
  readonly made: MadeProblem;
  readonly asked: Problem;
  readonly shiftS: number;
  readonly plan: Plan;
  readonly days: number;
  /** The last change the problem has seen. */
  readonly seen: number;
  readonly explanation: Explanation;
  readonly headline: shapes.PlanView["headline"];
  /** What made it, in words. */
  readonly why: string;
  /** The plan people knew. */
  readonly before: HeldPlan | null;
}

export type PlanKeeping = ReturnType<typeof planKeeping>;

export function planKeeping({ store, nowMs, newId }: Context) {
  let read: HeldPlan | null = null;

  async function current(): Promise<HeldPlan | null> {
    const row = await store.db.selectFrom("plans").selectAll().where("current", "=", 1).executeTakeFirst();
    if (!row) return null;
    if (read && read.row.id === row.id && read.row.context === row.context && read.row.bounds === row.bounds)
      return read;
    const stored = JSON.parse(row.context) as StoredContext;
    const asked = JSON.parse(row.problem) as Problem;
    const solved = JSON.parse(row.plan) as Plan;
    const problem = stored.given ?? asked;
    const floor = stored.floor ?? { running: [], hooped: [] };
    const shiftS = stored.shiftS ?? 0;
    read = {
      row,
      stored,
      asked,
      solved,
      problem,
      floor,
      plan: seenOf({ problem, floor }, shiftS, solved),
      startsAtMs: row.starts_at_ms + shiftS * 1000,
      first: stored.first,
      titles: new Map(stored.jobs.map((job) => [job.jobId, job.title])),
    };
    return read;
  }

  async function keep({ made, asked, shiftS, plan, before, ...rest }: NewPlan): Promise<string> {
    const id = newId("pl");
    const begun = new Set([...made.floor.running, ...made.floor.hooped].map((piece) => piece.job));
    const stored: StoredContext = {
      ...made.context,
      first: made.first,
      ...explained(rest.explanation, rest.headline),
      floor: made.floor,
      shiftS,
      days: rest.days,
      ...(shiftS > 0 ? { given: made.problem } : {}),
      moved: before
        ? { jobIds: jobsMoved(before.solved, plan.runs).filter((job) => !begun.has(job)), why: rest.why }
        : null,
    };
    const row: PlanTable = {
      id,
      made_at_ms: nowMs(),
      starts_at_ms: made.startsAtMs - shiftS * 1000,
      current: 1,
      seen_change: rest.seen,
      pieces: rest.headline.pieces,
      problem: JSON.stringify(asked),
      plan: JSON.stringify(plan),
      context: JSON.stringify(stored),
      totals: JSON.stringify(plan.totals),
      bounds: JSON.stringify(plan.bounds),
    };
    await store.write({ who: "planner", what: "Made a plan" }, async (writing) => {
      await writing.db.updateTable("plans").set({ current: 0 }).where("current", "=", 1).execute();
      await writing.db.insertInto("plans").values(row).execute();
      await prune(writing.db);
      writing.touch("plan", id);
    });
    return id;
  }

  /** A plan follows every event on the floor: of the older ones each day keeps its last. */
  async function prune(db: typeof store.db): Promise<void> {
    const rows = await db
      .selectFrom("plans")
      .select(["id", "made_at_ms"])
      .where("current", "=", 0)
      .orderBy("made_at_ms", "desc")
      .orderBy("id", "desc")
      .offset(KEPT_WHOLE)
      .limit(1000)
      .execute();
    const days = new Set<number>();
    const gone = rows.filter((row) => {
      const day = Math.floor(row.made_at_ms / DAY_MS);
      if (days.has(day)) return true;
      days.add(day);
      return false;
    });
    if (gone.length > 0)
      await db
        .deleteFrom("plans")
        .where(
          "id",
          "in",
          gone.map((row) => row.id),
        )
        .execute();
  }

  /** Adds to a kept plan what was found out about it since: reasons, and better bounds. */
  async function explain(
    planId: string,
    found: {
      readonly explanation: Explanation;
      readonly bounds: PlanBounds;
      readonly careful: shapes.PlanView["headline"]["careful"];
    },
  ): Promise<void> {
    const row = await planRow(planId);
    if (!row) return;
    const stored = JSON.parse(row.context) as StoredContext;
    const plan = { ...(JSON.parse(row.plan) as Plan), bounds: found.bounds };
    const context = JSON.stringify({
      ...stored,
      ...explained(found.explanation, { ...stored.headline, careful: found.careful }),
    });
    await store.write({ who: "planner", what: "Explained a plan" }, async (writing) => {
      await writing.db
        .updateTable("plans")
        .set({ context, plan: JSON.stringify(plan), bounds: JSON.stringify(plan.bounds) })
        .where("id", "=", planId)
        .execute();
      writing.touch("plan", planId);
    });
  }

  const planRow = (id: string): Promise<PlanTable | undefined> =>
    store.db.selectFrom("plans").selectAll().where("id", "=", id).executeTakeFirst();

  /** How the plan's pieces stand now. */
  async function standings(stored: StoredContext): Promise<Map<string, PieceStanding>> {
    const ids = [
      ...new Set([
        ...stored.jobs.map((job) => job.pieceId),
        ...stored.chores.flatMap((chore) => chore.pieceIds),
      ]),
    ];
    const [rows, jobs] = await Promise.all([
      inPortions(ids, (portion) =>
        store.db
          .selectFrom("pieces")
          .select(["id", "state", "urgency", "pinned_machine_id", "version"])
          .where("id", "in", portion)
          .execute(),
      ),
      inPortions(ids, (portion) =>
        store.db
          .selectFrom("jobs")
          .select(["id", "piece_id"])
          .where("sewn", "=", 1)
          .where("piece_id", "in", portion)
          .execute(),
      ),
    ]);
    const sewn = groupedBy(jobs, (job) => job.piece_id);
    return new Map(
      rows.map((row) => [row.id, { ...row, sewn: new Set((sewn.get(row.id) ?? []).map((job) => job.id)) }]),
    );
  }

  /** The jobs of a plan that are sewn or whose pieces went on as they should. */
  async function doneJobs(stored: StoredContext): Promise<Set<string>> {
    const states = await standings(stored);
    return new Set(
      stored.jobs.filter((job) => states.get(job.pieceId)?.sewn.has(job.jobId)).map((job) => job.jobId),
    );
  }

  /** When jobs of the plan in force came off their machines, as far as the floor tells. */
  async function doneTimes(held: HeldPlan, done: ReadonlySet<string>): Promise<Map<string, number>> {
    const jobs = held.stored.jobs.filter((job) => done.has(job.jobId));
    const { ends } = await floorMoves(
      store.db,
      jobs.map((job) => job.pieceId),
      nowMs(),
    );
    return new Map(
      jobs.flatMap((job) => {
        const atMs = ends.get(job.pieceId);
        return atMs === undefined || atMs < held.row.made_at_ms ? [] : [[job.jobId, atMs]];
      }),
    );
  }

  /**
   * Needles hold what the plan's threadings put there, from when the run they were for is begun, and at its stops once
   * it is sewn: nothing is typed twice. A piece sewn on another machine than planned tells nothing.
   */
  async function followNeedles(): Promise<void> {
    const held = await current();
    if (!held) return;
    const key = "needles-followed";
    const setting = await store.db
      .selectFrom("settings")
      .select("value")
      .where("key", "=", key)
      .executeTakeFirst();
    const before = setting
      ? (JSON.parse(setting.value) as { planId: string; jobs: string[] })
      : { planId: "", jobs: [] };
    const followed = new Set(before.planId === held.row.id ? before.jobs : []);
    const done = await doneJobs(held.stored);
    const fresh = new Map<string, "begun" | "sewn">();
    for (const job of done) if (!followed.has(job)) fresh.set(job, "sewn");
    for (const job of await begunJobs(held)) if (!followed.has(`${job} begun`)) fresh.set(job, "begun");
    if (fresh.size === 0) return;
    // Where a station tells the floor, it tells of the needles too.
    const told = await inPortions([...fresh.keys()], (ids) =>
      store.db.selectFrom("floor_runs").select(["job_id", "run"]).where("job_id", "in", ids).execute(),
    );
    const isTold = new Set(told.filter((row) => !runOfRow(row).estimated).map((row) => row.job_id));
    const loadedAt = new Map(held.plan.runs.map((run) => [run.job, run.stretches[0]!.start]));
    const threadings = held.plan.tasks
      .filter((task) => {
        const how = task.do === "thread" ? fresh.get(task.job!) : undefined;
        if (how === undefined || isTold.has(task.job!)) return false;
        const isFirst = task.start < (loadedAt.get(task.job!) ?? 0);
        return how === "begun" ? isFirst : !(isFirst && followed.has(`${task.job} begun`));
      })
      .sort((a, b) => a.start - b.start);
    await store.write({ who: "plan", what: "Needles hold what the plan put on them" }, async (writing) => {
      for (const machineId of new Set(threadings.map((task) => task.machine!))) {
        const row = await writing.db
          .selectFrom("machines")
          .selectAll()
          .where("id", "=", machineId)
          .executeTakeFirst();
        if (!row) continue;
        const body = JSON.parse(row.body) as shapes.MachineBody;
        const needles = body.needles.map((needle) => ({ ...needle }));
        for (const task of threadings.filter((one) => one.machine === machineId))
          if (needles[task.needle! - 1]) needles[task.needle! - 1]!.threadId = task.colour!;
        await writing.update("machines", machineId, { body: JSON.stringify({ ...body, needles }) });
        writing.touch("machines", machineId);
      }
      const jobs = [...fresh].map(([job, how]) => (how === "begun" ? `${job} begun` : job));
      const value = JSON.stringify({ planId: held.row.id, jobs: [...followed, ...jobs] });
      await writing.db.deleteFrom("settings").where("key", "=", key).execute();
      await writing.db.insertInto("settings").values({ key, value }).execute();
    });
  }

  /** Jobs of the plan that sew now on the machine it has for them. */
  async function begunJobs(held: HeldPlan): Promise<string[]> {
    const ids = [...new Set(held.stored.jobs.map((job) => job.pieceId))];
    const sewing = await inPortions(ids, (portion) =>
      store.db
        .selectFrom("pieces")
        .select("id")
        .where("state", "=", "sewing")
        .where("id", "in", portion)
        .execute(),
    );
    if (sewing.length === 0) return [];
    const pieceIds = sewing.map((piece) => piece.id);
    const [jobs, { starts }] = await Promise.all([
      inPortions(pieceIds, (portion) =>
        store.db.selectFrom("jobs").selectAll().where("piece_id", "in", portion).execute(),
      ),
      floorMoves(store.db, pieceIds, nowMs()),
    ]);
    const machineOf = new Map(held.plan.runs.map((run) => [run.job, run.machine]));
    return [...groupedBy(jobs, (job) => job.piece_id)].flatMap(([pieceId, own]) => {
      const job = begunJob(own, held);
      const planned = job ? machineOf.get(job.id) : undefined;
      const machine = starts.get(pieceId)?.machineId ?? planned;
      return job && planned !== undefined && machine === planned ? [job.id] : [];
    });
  }

  return { current, keep, explain, planRow, standings, doneJobs, doneTimes, followNeedles };
}

const explained = (
  { whys, late }: Explanation,
  headline: shapes.PlanView["headline"],
): Pick<StoredContext, "whys" | "lateWhys" | "headline"> => ({
  whys: Object.fromEntries(whys),
  lateWhys: Object.fromEntries([...late].map(([id, why]) => [jobToFinish(id) ?? id, why])),
  headline: {
    ...headline,
    late: headline.late.map((one) => ({
      ...one,
      why: late.get(one.jobId) ?? late.get(finishChoreId(one.jobId)) ?? one.why,
    })),
  },
});
