import { refusals } from "#core/base";
import { carefulPerson, checkPlan, describePlan, explainJob, type Plan, type Problem } from "#core/planning";
import type { shapes } from "#contract";
import type { PlanTable } from "#store";
import type { Answers, Context } from "./context";
import { type PlanInForce, upset } from "./plan-holds";
import { makeProblem, type MadeProblem, type PlanContext } from "./plan-problem";
import { keepPlacementsApart, leaveSecondPlacements } from "./plan-placements";
import { inPortions } from "./records";
import { solveInWorkers } from "./solving";

/** Asking for a plan, keeping it, showing it, and noticing when it no longer holds. */

export const planRefusals = refusals({
  "no-studio": { status: 409, title: "No studio yet", advice: "Set up the studio first." },
  "no-plan": { status: 404, title: "No such plan", advice: "Make a plan on Today." },
  "planning-runs": { status: 409, title: "A plan is being made", advice: "Wait for it, or stop it." },
  "nothing-to-plan": {
    status: 409,
    title: "Nothing to plan",
    advice: "Bring in orders, or set waiting pieces ready.",
  },
  "no-resources": {
    status: 409,
    title: "Nobody or nothing to plan with",
    advice: "Add a machine with needles, and a person who hoops and embroiders, with hours.",
  },
});

/** What is stored as a plan's `context`. */
interface StoredContext extends PlanContext {
  readonly whys: Readonly<Record<string, string>>;
  readonly first: readonly string[];
  readonly headline: shapes.PlanView["headline"];
}

/** Days a first problem reaches over, and the most it is ever extended to when work does not fit. */
const FIRST_DAYS = 10;
const MOST_DAYS = 160;
/** After a change the plan is remade by itself, briefly; a person's own wish may take longer. */
const AUTO_SECONDS = 3;
const PLANS_KEPT_SHOWN = 50;
/** Times the plan is sent back because it has one piece in two hoops at once, before the second placement waits. */
const PLACEMENT_ROUNDS = 4;

const idle: shapes.PlanningRun = {
  state: "idle",
  startedAtMs: null,
  best: null,
  bound: null,
  share: 0,
  failure: null,
  planId: null,
};

type PlanAnswers = Pick<
  Answers,
  "currentPlan" | "makePlan" | "planningRun" | "stopPlanning" | "listPlans" | "planProblem" | "planDocument"
>;

export interface Planning {
  readonly answers: PlanAnswers;
  /** To be called when lists changed: makes the plan anew when it no longer holds. */
  onChanged(lists: readonly string[]): Promise<void>;
  /** The plan in force as Today shows it. */
  view(): Promise<shapes.PlanView | null>;
  /** Resolves when no solving is going on. */
  settled(): Promise<void>;
  close(): Promise<void>;
}

/** The planning of one program: at most one solving at a time. */
export function createPlanning(context: Context, options: { threads: number }): Planning {
  const { store, nowMs, newId, tell, log } = context;
  let run: shapes.PlanningRun = idle;
  let stop: { readonly abort: AbortController; keep: boolean } | null = null;
  let going: Promise<void> = Promise.resolve();
  let ofItself = false;
  let checked: {
    readonly change: number;
    readonly minute: number;
    readonly planId: string;
    readonly why: string;
  } | null = null;

  const setRun = (next: shapes.PlanningRun) => {
    run = next;
    tell({ topic: "planning", run });
  };

  async function start(seconds: number, seed: number, byItself: boolean): Promise<void> {
    // A person's wish comes before what the program does by itself.
    if (run.state === "running" && ofItself && !byItself) {
      stop?.abort.abort();
      await going;
    }
    if (run.state === "running") throw planRefusals("planning-runs", "A plan is being made already.");
    const startedAtMs = nowMs();
    const seen = await store.lastChange();
    const made = await makeProblem({ store, nowMs: startedAtMs, days: FIRST_DAYS });
    if (!made) throw planRefusals("no-studio", "There is no studio to plan for.");
    if (made.problem.machines.length === 0 || made.problem.hands.length === 0)
      throw planRefusals(
        "no-resources",
        `The plan has ${made.problem.machines.length} machines and ${made.problem.hands.length} hands.`,
      );
    if (made.problem.jobs.length + made.problem.chores.length === 0)
      throw planRefusals(
        "nothing-to-plan",
        `No piece is ready to be sewn; ${made.context.leftOut.length} are left out with reasons.`,
      );
    ofItself = byItself;
    stop = { abort: new AbortController(), keep: false };
    setRun({ ...idle, state: "running", startedAtMs });
    going = solveAndKeep({ made, seconds, seed, startedAtMs, seen, stopping: stop }).catch(
      (reason: unknown) => {
        log.error("The planning failed", { reason: String(reason) });
        setRun({
          ...run,
          state: "failed",
          failure: "The planning broke off. The plan before stays in force.",
        });
      },
    );
  }

  async function solveAndKeep(asked: {
    made: MadeProblem;
    seconds: number;
    seed: number;
    startedAtMs: number;
    seen: number;
    stopping: { abort: AbortController; keep: boolean };
  }): Promise<void> {
    const { seconds, seed, startedAtMs, seen, stopping } = asked;
    const previous = await current();
    let made = asked.made;
    const solve = (problem: Problem, seconds: number, known: Plan | undefined): Promise<Plan> =>
      solveInWorkers(problem, {
        seconds,
        seed,
        threads: options.threads,
        wishes: { first: made.first, ...(known ? { previous: known } : {}) },
        signal: stopping.abort.signal,
        onProgress: ({ best, bound: proven }) => {
          // The first plan comes before anything is proven about it.
          const bound = proven.cost > 0 || proven.threadings > 0 ? proven : null;
          if (run.state === "running")
            setRun({ ...run, best, bound, share: Math.min(1, (nowMs() - startedAtMs) / (seconds * 1000)) });
        },
      });
    let plan = await solve(made.problem, seconds, previous?.plan);
    // Work that did not fit may only want more days; what cannot be done at all stays unplanned with its reason.
    for (
      let days = FIRST_DAYS * 4;
      plan.unplanned.length > 0 && days <= MOST_DAYS && !stopping.abort.signal.aborted;
      days *= 4
    ) {
      const longer = await makeProblem({ store, nowMs: startedAtMs, days });
      if (!longer) break;
      made = longer;
      plan = await solve(made.problem, seconds, plan);
    }
    for (let round = 0; round < PLACEMENT_ROUNDS && !stopping.abort.signal.aborted; round++) {
      const apart = keepPlacementsApart(made, plan);
      if (!apart) break;
      made = apart;
      plan = await solve(made.problem, Math.max(0.5, seconds / 4), plan);
    }
    if (keepPlacementsApart(made, plan)) {
      made = leaveSecondPlacements(made, plan);
      plan = await solve(made.problem, Math.max(0.5, seconds / 4), plan);
    }
    if (stopping.abort.signal.aborted && !stopping.keep) {
      setRun({ ...run, state: "cancelled", share: 1 });
      return;
    }
    const faults = checkPlan(made.problem, plan);
    if (faults.findings.length > 0)
      throw new Error(`The checker found ${faults.findings.length} faults: ${faults.findings[0]!.message}`);
    const planId = await keep(made, plan, seen);
    setRun({
      ...run,
      state: "done",
      share: 1,
      planId,
      best: {
        cost: plan.totals.cost,
        threadings: plan.totals.threadings,
        lateJobs: plan.totals.lateJobs,
        evaluations: plan.solver.evaluations,
      },
      bound: { cost: plan.bounds.cost, threadings: plan.bounds.threadings },
    });
  }

  async function keep(made: MadeProblem, plan: Plan, seen: number): Promise<string> {
    const id = newId("pl");
    const names = namesOf(made.context);
    const stored: StoredContext = {
      ...made.context,
      first: made.first,
      whys: Object.fromEntries(
        plan.runs.map((one) => [one.job, explainJob(made.problem, plan, one.job, { names, depth: "told" })]),
      ),
      headline: headlineOf(made, plan),
    };
    const row: PlanTable = {
      id,
      made_at_ms: nowMs(),
      starts_at_ms: made.startsAtMs,
      current: 1,
      seen_change: seen,
      pieces:
        new Set(made.context.jobs.map((job) => job.pieceId)).size +
        made.context.chores.reduce((sum, chore) => sum + chore.pieceIds.length, 0),
      problem: JSON.stringify(made.problem),
      plan: JSON.stringify(plan),
      context: JSON.stringify(stored),
      totals: JSON.stringify(plan.totals),
      bounds: JSON.stringify(plan.bounds),
    };
    await store.write({ who: "planner", what: "Made a plan" }, async (writing) => {
      await writing.db.updateTable("plans").set({ current: 0 }).where("current", "=", 1).execute();
      await writing.db.insertInto("plans").values(row).execute();
      writing.touch("plan", id);
    });
    return id;
  }

  const current = async (): Promise<(PlanInForce & { row: PlanTable; stored: StoredContext }) | null> => {
    const row = await store.db.selectFrom("plans").selectAll().where("current", "=", 1).executeTakeFirst();
    if (!row) return null;
    const stored = JSON.parse(row.context) as StoredContext;
    return {
      row,
      stored,
      problem: JSON.parse(row.problem) as Problem,
      plan: JSON.parse(row.plan) as Plan,
      startsAtMs: row.starts_at_ms,
      first: stored.first,
    };
  };

  /** The jobs of a plan that are sewn or whose pieces went on as they should. */
  async function doneJobs(stored: StoredContext): Promise<Set<string>> {
    const states = await pieceStates(stored);
    return new Set(
      stored.jobs
        .filter((job) => states.get(job.pieceId)?.sewn.has(job.jobId) === true)
        .map((job) => job.jobId),
    );
  }

  async function pieceStates(stored: StoredContext) {
    const ids = [
      ...new Set([
        ...stored.jobs.map((job) => job.pieceId),
        ...stored.chores.flatMap((chore) => chore.pieceIds),
      ]),
    ];
    const rows = await inPortions(ids, (portion) =>
      store.db
        .selectFrom("pieces")
        .select(["id", "state", "urgency", "pinned_machine_id", "version"])
        .where("id", "in", portion)
        .execute(),
    );
    const jobs = await inPortions(ids, (portion) =>
      store.db
        .selectFrom("jobs")
        .select(["id", "piece_id", "sewn"])
        .where("piece_id", "in", portion)
        .execute(),
    );
    const states = new Map(rows.map((row) => [row.id, { ...row, sewn: new Set<string>() }]));
    for (const job of jobs) if (job.sewn === 1) states.get(job.piece_id)?.sewn.add(job.id);
    return states;
  }

  /** What upsets the plan in force, empty while it holds; found anew only after a change or a minute. */
  async function staleWords(held: NonNullable<Awaited<ReturnType<typeof current>>>): Promise<string> {
    const change = await store.lastChange();
    const minute = Math.floor(nowMs() / 60_000);
    if (checked && checked.change === change && checked.minute === minute && checked.planId === held.row.id)
      return checked.why;
    const days = Math.ceil((held.problem.open.at(-1)?.[1] ?? 0) / 86_400) + 1;
    const made = await makeProblem({ store, nowMs: nowMs(), days: Math.max(FIRST_DAYS, days) });
    const why = made ? (upset(held, made, nowMs(), await doneJobs(held.stored)) ?? "") : "";
    checked = { change, minute, planId: held.row.id, why };
    return why;
  }

  async function view(): Promise<shapes.PlanView | null> {
    const held = await current();
    if (!held) return null;
    const { row, stored, problem, plan } = held;
    const [states, staleWhy] = await Promise.all([pieceStates(stored), staleWords(held)]);
    const named = (list: readonly { id: string; name: string }[], id: string) =>
      list.find((one) => one.id === id)?.name ?? id;
    return {
      planId: row.id,
      madeAtMs: row.made_at_ms,
      startsAtMs: row.starts_at_ms,
      timeZone: stored.timeZone,
      stale: staleWhy !== "",
      staleWhy,
      plan: plan as unknown as shapes.PlanDocument,
      machines: problem.machines.map((machine) => ({
        id: machine.id,
        name: named(stored.machines, machine.id),
        needles: machine.needles,
        threaded: [...machine.threaded],
        fixed: [...machine.fixed],
        down: machine.down.map(([a, b]): [number, number] => [a, b]),
        stitchesPerMinute: machine.stitchesPerMinute,
      })),
      hands: problem.hands.map((hand) => {
        const known = stored.hands.find((one) => one.id === hand.id);
        return {
          id: hand.id,
          name: known?.name ?? hand.id,
          skills: [...(known?.skills ?? [])],
          shifts: hand.shifts.map(([a, b]): [number, number] => [a, b]),
        };
      }),
      open: problem.open.map(([a, b]): [number, number] => [a, b]),
      hoops: stored.hoops.map((hoop) => ({ ...hoop })),
      threads: stored.threads.map((thread) => ({ ...thread })),
      jobs: stored.jobs.map((job) => {
        const piece = states.get(job.pieceId);
        return {
          ...job,
          state: (piece?.sewn.has(job.jobId) && ["ready", "hooped", "sewing"].includes(piece.state)
            ? "done"
            : (piece?.state ?? "cancelled")) as shapes.PlannedJob["state"],
          urgency: (piece?.urgency ?? "normal") as shapes.PlannedJob["urgency"],
          pinnedMachineId: piece?.pinned_machine_id ?? null,
          pieceVersion: piece?.version ?? 0,
          why: stored.whys[job.jobId] ?? "",
        };
      }),
      chores: stored.chores.map((chore) => ({ ...chore })),
      leftOut: stored.leftOut,
      headline: stored.headline,
    };
  }

  /** Needles hold what the plan's threadings put there once the run they were for is sewn: nothing is typed twice. */
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
    const sewn = [...(await doneJobs(held.stored))].filter((id) => !followed.has(id));
    if (sewn.length === 0) return;
    const fresh = new Set(sewn);
    const threadings = held.plan.tasks
      .filter((task) => task.do === "thread" && fresh.has(task.job!))
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
      const value = JSON.stringify({ planId: held.row.id, jobs: [...followed, ...sewn] });
      await writing.db.deleteFrom("settings").where("key", "=", key).execute();
      await writing.db.insertInto("settings").values({ key, value }).execute();
    });
  }

  const planRow = async (id: string): Promise<PlanTable> => {
    const row = await store.db.selectFrom("plans").selectAll().where("id", "=", id).executeTakeFirst();
    if (!row) throw planRefusals("no-plan", `There is no plan ${id}.`);
    return row;
  };

  const answers: PlanAnswers = {
    currentPlan: async () => ({ plan: await view(), run }),
    makePlan: async ({ body }) => {
      await start(body.seconds, body.seed, false);
      return run;
    },
    planningRun: async () => run,
    stopPlanning: async ({ body }) => {
      if (stop && run.state === "running") {
        stop.keep = body.keep;
        stop.abort.abort();
        await going;
      }
      return run;
    },
    listPlans: async () => {
      const rows = await store.db
        .selectFrom("plans")
        .select(["id", "made_at_ms", "starts_at_ms", "pieces", "totals", "bounds"])
        .orderBy("made_at_ms", "desc")
        .limit(PLANS_KEPT_SHOWN)
        .execute();
      return {
        items: rows.map((row) => ({
          planId: row.id,
          madeAtMs: row.made_at_ms,
          startsAtMs: row.starts_at_ms,
          pieces: row.pieces,
          totals: JSON.parse(row.totals) as Plan["totals"],
          bounds: JSON.parse(row.bounds) as Plan["bounds"],
        })),
      };
    },
    planProblem: async ({ params }) => JSON.parse((await planRow(params.id)).problem) as unknown,
    planDocument: async ({ params }) => JSON.parse((await planRow(params.id)).plan) as shapes.PlanDocument,
  };

  return {
    answers,
    view,
    settled: () => going,
    onChanged: async (lists) => {
      if (
        !lists.some((list) =>
          [
            "orders",
            "pieces",
            "designs",
            "studio",
            "people",
            "machines",
            "hoops",
            "threads",
            "products",
          ].includes(list),
        )
      )
        return;
      if (lists.includes("pieces") || lists.includes("orders")) await followNeedles();
      if (run.state === "running") return;
      const held = await current();
      if (!held || (await staleWords(held)) === "") return;
      await start(AUTO_SECONDS, 1, true).catch((reason: unknown) =>
        log.info("No new plan after a change", { reason: String(reason) }),
      );
    },
    close: async () => {
      stop?.abort.abort();
      await going;
    },
  };
}

function namesOf(context: PlanContext): {
  readonly [kind in "jobs" | "machines" | "hoops" | "colours"]: ReadonlyMap<string, string>;
} {
  return {
    jobs: new Map(context.jobs.map((job) => [job.jobId, job.title])),
    machines: new Map(context.machines.map((machine) => [machine.id, machine.name])),
    hoops: new Map(context.hoops.map((hoop) => [hoop.id, hoop.name])),
    colours: new Map(context.threads.map((thread) => [thread.id, `${thread.name} ${thread.code}`])),
  };
}

function headlineOf(made: MadeProblem, plan: Plan): shapes.PlanView["headline"] {
  const said = describePlan(made.problem, plan);
  const titles = new Map([
    ...made.context.jobs.map((job): [string, string] => [job.jobId, job.title]),
    ...made.context.chores.map((chore): [string, string] => [chore.choreId, chore.title]),
  ]);
  const careful = carefulPerson(made.problem).totals;
  return {
    pieces:
      new Set(made.context.jobs.map((job) => job.pieceId)).size +
      made.context.chores.reduce((sum, chore) => sum + chore.pieceIds.length, 0),
    late: said.late.map(({ id, lateS }) => ({ jobId: id, title: titles.get(id) ?? id, minutes: lateS / 60 })),
    tightest:
      said.tightest === null
        ? null
        : {
            jobId: said.tightest.id,
            title: titles.get(said.tightest.id) ?? said.tightest.id,
            spareS: said.tightest.spareS,
          },
    careful: {
      threadings: careful.threadings,
      midStops: careful.midStops,
      lateJobs: careful.lateJobs,
      finishAt: careful.finishAt,
      cost: careful.cost,
    },
  };
}
