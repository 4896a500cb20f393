import { refusals } from "#core/base";
import type { Plan } from "#core/planning";
import type { shapes } from "#contract";
import type { PlannedUse, WithMachinesAway } from "./care";
import type { Answers, Context } from "./context";
import { drifted, type Upset, upset } from "./plan-holds";
import { type HeldPlan, planKeeping } from "./plan-keeping";
import { planMaking, type PlanStart } from "./plan-making";
import { floorMarks } from "./plan-marks";
import { type MadeProblem, makeProblem } from "./plan-problem";
import { machinesAway } from "./plan-absence";
import { plannedUseOf, viewOf } from "./plan-view";
import { PlanThreads } from "./solving";

/** Asking for a plan, keeping it, showing it, and noticing when it no longer holds. */

export const planRefusals = refusals({
  "no-studio": { status: 409, title: "No studio yet", advice: "Set up the studio first." },
  "plan-unknown": {
    status: 404,
    title: "No such plan",
    advice: "Look at /api/plans; of older days only the last plan is kept.",
  },
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

/** Days a first problem reaches over. */
const FIRST_DAYS = 10;
const PLANS_KEPT_SHOWN = 50;

const idle: shapes.PlanningRun = {
  state: "idle",
  byItself: false,
  why: "",
  touches: 0,
  startedAtMs: null,
  best: null,
  bound: null,
  share: 0,
  failure: null,
  planId: null,
};

/** Lists whose changes may upset a plan. */
const restsOn = [
  "orders",
  "pieces",
  "designs",
  "studio",
  "people",
  "machines",
  "hoops",
  "threads",
  "products",
  "floor",
];

type PlanAnswers = Pick<
  Answers,
  "currentPlan" | "makePlan" | "planningRun" | "stopPlanning" | "listPlans" | "planProblem" | "planDocument"
>;

/** What the floor needs of the plan in force: its runs and tasks, by the studio's clock. */
export interface PlanInForceNow extends Pick<Plan, "runs" | "tasks"> {
  readonly startsAtMs: number;
}

export interface Planning {
  readonly answers: PlanAnswers;
  /** To be called when lists changed: makes the plan anew when it no longer holds or the floor has drifted from it. */
  onChanged(lists: readonly string[]): Promise<void>;
  /** The plan in force by the studio's clock, null before the first. */
  inForce(): Promise<PlanInForceNow | null>;
  /** Seconds each machine sews by the plan in force, by day. */
  plannedUse: PlannedUse;
  /** What it would do to the open work if machines were away. */
  withMachinesAway: WithMachinesAway;
  /** The plan in force as Today shows it. */
  view(): Promise<shapes.PlanView | null>;
  /** Resolves when no solving is going on. */
  settled(): Promise<void>;
  close(): Promise<void>;
}

/** The planning of one program: at most one solving at a time. */
export function createPlanning(context: Context, options: { threads: number }): Planning {
  const { store, nowMs, tell, log } = context;
  const keeping = planKeeping(context);
  const threads = new PlanThreads();
  let run: shapes.PlanningRun = idle;
  let stop: PlanStart["stopping"] | null = null;
  let going: Promise<void> = Promise.resolve();
  let waiting: string[] = [];
  /** The newest that the planning in hand knows of. */
  let seenRunning = "";
  let checked: {
    readonly change: string;
    readonly minute: number;
    readonly planId: string;
    readonly found: Upset | null;
  } | null = null;

  const setRun = (next: shapes.PlanningRun) => {
    run = next;
    tell({ topic: "planning", run });
  };
  const isRunning = (): boolean => run.state === "running";
  const making = planMaking({
    nowMs,
    log,
    keeping,
    threads,
    threadsToSearch: options.threads,
    problemNow,
    run: () => run,
    setRun,
  });

  /** The newest of what the plan rests on: records' changes, and what was told from the floor. */
  async function newest(): Promise<string> {
    const [change, told] = await Promise.all([
      store.lastChange(),
      store.db.selectFrom("floor_events").select("seq").orderBy("seq", "desc").limit(1).executeTakeFirst(),
    ]);
    return `${change} ${told?.seq ?? 0}`;
  }

  /** The problem of now; made once for a change and a minute, however often it is asked for. */
  let lately: { readonly key: string; readonly made: Promise<MadeProblem | null> } | null = null;
  async function problemNow(
    days: number,
    held: HeldPlan | null,
    atMs = nowMs(),
  ): Promise<MadeProblem | null> {
    const key = `${await newest()} ${Math.ceil(atMs / 60_000)} ${days} ${held?.row.id}`;
    if (lately?.key !== key) lately = { key, made: makeProblem({ store, nowMs: atMs, days, seen: held }) };
    return lately.made.catch((reason: unknown) => {
      lately = null;
      throw reason;
    });
  }
  const daysOf = (held: HeldPlan | null): number =>
    held?.stored.days ?? Math.max(FIRST_DAYS, Math.ceil((held?.problem.open.at(-1)?.[1] ?? 0) / 86_400) + 1);

  async function start(
    how: { readonly byItself: false; seconds: number; seed: number } | ({ readonly byItself: true } & Upset),
  ): Promise<void> {
    // A person's wish comes before what the program does by itself, and a later change before an earlier one.
    if (isRunning() && run.byItself) {
      stop?.abort.abort();
      await going;
    }
    if (isRunning()) throw planRefusals("planning-runs", "A plan is being made already.");
    const startedAtMs = nowMs();
    const seen = await store.lastChange();
    seenRunning = await newest();
    const held = await keeping.current();
    const days = how.byItself ? daysOf(held) : FIRST_DAYS;
    const made = await problemNow(days, held, startedAtMs);
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
    const stopping: PlanStart["stopping"] = { abort: new AbortController(), keep: false };
    stop = stopping;
    const told = how.byItself ? { byItself: true, why: how.why, touches: how.pieces } : {};
    setRun({ ...idle, ...told, state: "running", startedAtMs });
    const why = how.byItself ? how.why : ((held && (await upsets(held)))?.why ?? "");
    const asked: PlanStart = { made, held, startedAtMs, seen, days, why, stopping };
    going = (
      how.byItself && held
        ? making.follow(asked, held)
        : making.search(asked, how.byItself ? 3 : how.seconds, how.byItself ? 1 : how.seed)
    )
      .catch((reason: unknown) => {
        log.error("The planning failed", { reason: String(reason) });
        setRun({
          ...run,
          state: "failed",
          failure: "The planning broke off. The plan before stays in force.",
        });
      })
      .then(lookAgain);
  }

  /** What upsets the plan in force, null while it holds; found anew only after a change or a minute. */
  async function upsets(held: HeldPlan): Promise<Upset | null> {
    const change = await newest();
    const minute = Math.floor(nowMs() / 60_000);
    if (checked && checked.change === change && checked.minute === minute && checked.planId === held.row.id)
      return checked.found;
    const made = await problemNow(daysOf(held), held);
    const found = made ? upset(held, made, nowMs(), await keeping.doneJobs(held.stored)) : null;
    checked = { change, minute, planId: held.row.id, found };
    return found;
  }

  async function view(): Promise<shapes.PlanView | null> {
    const held = await keeping.current();
    if (!held) return null;
    const [states, stale] = await Promise.all([keeping.standings(held.stored), upsets(held)]);
    return viewOf(held, states, stale);
  }

  async function onChanged(lists: readonly string[]): Promise<void> {
    if (!lists.some((list) => restsOn.includes(list))) return;
    if (lists.includes("pieces") || lists.includes("orders")) await keeping.followNeedles();
    if (isRunning() && !run.byItself) {
      waiting = [...new Set([...waiting, ...lists])];
      return;
    }
    // The one that runs has seen all there is.
    if (isRunning() && (await newest()) === seenRunning) return;
    const held = await keeping.current();
    if (!held || (await isLeftAlone(held))) return;
    threads.warm();
    const found = (await upsets(held)) ?? (await driftOf(held));
    if (!found) return;
    await start({ byItself: true, ...found }).catch((reason: unknown) =>
      log.info("No new plan after a change", { reason: String(reason) }),
    );
  }

  let lookingLater: NodeJS.Timeout | undefined;
  /** Whether people asked to have the board left alone; when that is over the plan is looked at again. */
  async function isLeftAlone(held: HeldPlan): Promise<boolean> {
    const { boardUntilMs } = await floorMarks(store.db, nowMs(), held);
    clearTimeout(lookingLater);
    if (boardUntilMs === 0) return false;
    lookingLater = setTimeout(
      () =>
        void onChanged(["floor"]).catch((reason: unknown) =>
          log.error("The plan could not follow", { reason: String(reason) }),
        ),
      Math.min(boardUntilMs - nowMs(), 86_400_000) + 1000,
    );
    lookingLater.unref();
    return true;
  }

  async function driftOf(held: HeldPlan): Promise<Upset | null> {
    const [made, done] = await Promise.all([problemNow(daysOf(held), held), keeping.doneJobs(held.stored)]);
    return made ? drifted(held, made, await keeping.doneTimes(held, done)) : null;
  }

  /** Changes that came while a person's plan was being made. */
  async function lookAgain(): Promise<void> {
    const lists = waiting;
    waiting = [];
    // Not awaited: it waits for this solving to be over.
    if (lists.length > 0)
      setImmediate(() => {
        onChanged(lists).catch((reason: unknown) =>
          log.error("The plan could not follow a change", { reason: String(reason) }),
        );
      });
  }

  const withMachinesAway = machinesAway({
    current: () => keeping.current(),
    problemOf: (held) => problemNow(daysOf(held), held),
    threads,
  });

  const planRow = async (id: string) => {
    const row = await keeping.planRow(id);
    if (!row) throw planRefusals("plan-unknown", `There is no plan ${id}.`);
    return row;
  };

  const answers: PlanAnswers = {
    currentPlan: async () => ({ plan: await view(), run }),
    makePlan: async ({ body }) => {
      await start({ byItself: false, ...body });
      return run;
    },
    planningRun: async () => run,
    stopPlanning: async ({ body }) => {
      if (stop && isRunning()) {
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
    inForce: async () => {
      const held = await keeping.current();
      return held ? { runs: held.plan.runs, tasks: held.plan.tasks, startsAtMs: held.startsAtMs } : null;
    },
    withMachinesAway,
    plannedUse: async () => {
      const held = await keeping.current();
      return held ? plannedUseOf(held, nowMs()) : new Map();
    },
    view,
    settled: () => going,
    onChanged,
    close: async () => {
      clearTimeout(lookingLater);
      stop?.abort.abort();
      await going;
      await threads.close();
    },
  };
}
