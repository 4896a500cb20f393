import { refusals } from "#core/base";
import {
  carefulTotals,
  checkPlan,
  explainPlan,
  type Plan,
  type ProblemWhileRunning,
  worthOfMove,
} from "#core/planning";
import type { shapes } from "#contract";
import type { PlannedUse, WithMachinesAway } from "./care";
import type { Answers, Context } from "./context";
import { drifted, type Upset, upset } from "./plan-holds";
import { type HeldPlan, planKeeping } from "./plan-keeping";
import { floorMarks } from "./plan-marks";
import { keepPlacementsApart, leaveSecondPlacements } from "./plan-placements";
import { askedOf, begunOf, framedOf, type MadeProblem, makeProblem, seenOf } from "./plan-problem";
import { machinesAway } from "./plan-absence";
import { carefulOf, headlineOf, namesOf, plannedUseOf, viewOf } from "./plan-view";
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

/** Days a first problem reaches over, and the most it is ever extended to when work does not fit. */
const FIRST_DAYS = 10;
const MOST_DAYS = 160;
/** After a change the plan follows at once; so long it then looks for a better one, and keeps it when that gains something. */
const LOOK_ON_SECONDS = 3;
const PLANS_KEPT_SHOWN = 50;
/** Times the plan is sent back because it has one piece in two hoops at once, before the second placement waits. */
const PLACEMENT_ROUNDS = 4;
/** A later plan must save as much as moving so many pieces is worth, or people are left alone. */
const WORTH_SHOWING = 2;

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

interface Solved {
  readonly made: MadeProblem;
  readonly asked: ProblemWhileRunning;
  /** With its frames as they are, by the asked problem's clock. */
  readonly plan: Plan;
  readonly days: number;
}

type SolveOne = (made: MadeProblem, asked: ProblemWhileRunning, known: Plan | undefined) => Promise<Plan>;

/** The planning of one program: at most one solving at a time. */
export function createPlanning(context: Context, options: { threads: number }): Planning {
  const { store, nowMs, tell, log } = context;
  const keeping = planKeeping(context);
  const threads = new PlanThreads();
  let run: shapes.PlanningRun = idle;
  let stop: { readonly abort: AbortController; keep: boolean } | null = null;
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

  interface Start {
    readonly made: MadeProblem;
    readonly held: HeldPlan | null;
    readonly startedAtMs: number;
    readonly seen: number;
    readonly days: number;
    readonly why: string;
    readonly stopping: { readonly abort: AbortController; keep: boolean };
  }

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
    const stopping = { abort: new AbortController(), keep: false };
    stop = stopping;
    const told = how.byItself ? { byItself: true, why: how.why, touches: how.pieces } : {};
    setRun({ ...idle, ...told, state: "running", startedAtMs });
    const why = how.byItself ? how.why : ((held && (await upsets(held)))?.why ?? "");
    const asked: Start = { made, held, startedAtMs, seen, days, why, stopping };
    going = (
      how.byItself && held
        ? follow(asked, held)
        : search(asked, how.byItself ? 3 : how.seconds, how.byItself ? 1 : how.seed)
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

  /** Solves, sends back what has one piece in two hoops, and reaches over more days where work does not fit. */
  async function solved(asked: Start, solveOne: SolveOne): Promise<Solved> {
    const { startedAtMs, held, stopping } = asked;
    let { made, days } = asked;
    const attempt = async (known: Plan | undefined): Promise<Solved> => {
      const while_ = askedOf(made);
      return { made, asked: while_, days, plan: framedOf(made, await solveOne(made, while_, known)) };
    };
    let found = await attempt(held?.solved);
    // Work that did not fit may only want more days; what cannot be done at all stays unplanned with its reason.
    while (found.plan.unplanned.length > 0 && days < MOST_DAYS && !stopping.abort.signal.aborted) {
      days = Math.min(MOST_DAYS, days * 4);
      const longer = await problemNow(days, held, startedAtMs);
      if (!longer) break;
      made = longer;
      found = await attempt(found.plan);
    }
    const seen = () => seenOf(made, found.asked.shiftS, found.plan);
    for (let round = 0; round < PLACEMENT_ROUNDS && !stopping.abort.signal.aborted; round++) {
      const apart = keepPlacementsApart(made, seen());
      if (!apart) break;
      made = apart;
      found = await attempt(found.plan);
    }
    if (keepPlacementsApart(made, seen())) {
      made = leaveSecondPlacements(made, seen());
      found = await attempt(found.plan);
    }
    return found;
  }

  /** Keeps a plan that the checker has no fault with. */
  async function keep(
    asked: Start,
    found: Solved,
    explanation: ReturnType<typeof explainPlan>,
    careful: shapes.PlanView["headline"]["careful"],
  ): Promise<string> {
    const { made, plan } = found;
    const { problem, shiftS } = found.asked;
    const faults = checkPlan(problem, plan);
    if (faults.findings.length > 0)
      throw new Error(`The checker found ${faults.findings.length} faults: ${faults.findings[0]!.message}`);
    return keeping.keep({
      made,
      asked: problem,
      shiftS,
      plan,
      days: found.days,
      seen: asked.seen,
      explanation,
      headline: headlineOf(made, seenOf(made, shiftS, plan), careful),
      why: asked.why,
      before: asked.held,
    });
  }

  const told = (found: Solved) =>
    explainPlan(found.asked.problem, found.plan, {
      ...namesOf(found.made.context, found.made.floor),
      depth: "told",
    });
  const explained = (found: Solved) =>
    threads.explain(found.asked.problem, found.plan, namesOf(found.made.context, found.made.floor));
  const doneRun = (plan: Plan, planId: string) => ({
    ...run,
    state: "done" as const,
    share: 1,
    planId,
    best: bestOf(plan),
    bound: { cost: plan.bounds.cost, threadings: plan.bounds.threadings },
  });

  /** A person's wish: the best plan the time gives. */
  async function search(asked: Start, seconds: number, seed: number): Promise<void> {
    const { startedAtMs, stopping } = asked;
    let portion = seconds;
    const found = await solved(asked, async (made, { problem, first }, known) => {
      const plan = await threads.solve(problem, {
        seconds: portion,
        seed,
        threads: options.threads,
        wishes: { first: made.first, begun: begunOf(made, first), ...(known ? { previous: known } : {}) },
        signal: stopping.abort.signal,
        onTrouble: (trouble) => log.warn("The search broke off early", { reason: String(trouble) }),
        onProgress: ({ best, bound: proven }) => {
          // The first plan comes before anything is proven about it.
          const bound = proven.cost > 0 || proven.threadings > 0 ? proven : null;
          if (isRunning())
            setRun({ ...run, best, bound, share: Math.min(1, (nowMs() - startedAtMs) / (seconds * 1000)) });
        },
      });
      // A second look mends the first and needs less time.
      portion = Math.max(0.5, seconds / 4);
      return plan;
    });
    if (stopping.abort.signal.aborted && !stopping.keep) {
      setRun({ ...run, state: "cancelled", share: 1 });
      return;
    }
    const reasons = stopping.abort.signal.aborted ? null : await explained(found);
    const { running } = namesOf(found.made.context, found.made.floor);
    const careful = reasons?.careful ?? carefulTotals(found.asked.problem, running);
    const planId = await keep(
      asked,
      found,
      reasons?.explanation ?? told(found),
      carefulOf(careful, found.asked.shiftS),
    );
    setRun(doneRun(found.plan, planId));
  }

  /** After a change: an answer at once, then a better one where that is worth looking at, then the reasons. */
  async function follow(asked: Start, held: HeldPlan): Promise<void> {
    const { stopping } = asked;
    const look =
      (seconds: number) =>
      (made: MadeProblem, { problem, first }: ProblemWhileRunning, known?: Plan) =>
        threads.again(problem, {
          seconds,
          seed: 1,
          wishes: { first: made.first, begun: begunOf(made, first), previous: known ?? held.solved },
          signal: stopping.abort.signal,
        });
    let found = await solved(asked, look(0));
    // A later change or a person's wish takes over: what was found is for a floor that is no more.
    if (stopping.abort.signal.aborted && !stopping.keep) {
      setRun({ ...run, state: "cancelled", share: 1 });
      return;
    }
    // What working it off as it came would give is worked out with the reasons; until then the last is near enough.
    const { careful } = held.stored.headline;
    let planId = await keep(asked, found, told(found), careful);
    setRun({ ...run, best: bestOf(found.plan), planId });
    const later = stopping.abort.signal.aborted ? null : await look(LOOK_ON_SECONDS)(found.made, found.asked);
    if (later && !stopping.abort.signal.aborted) {
      const worth = worthOfMove(found.asked.problem.cost);
      const priceOf = (plan: Plan) =>
        plan.totals.cost + worth * Number(plan.solver["moved"] ?? 0) + 1e7 * plan.unplanned.length;
      const better: Solved = { ...found, plan: framedOf(found.made, later) };
      const isApart =
        keepPlacementsApart(found.made, seenOf(found.made, found.asked.shiftS, better.plan)) === null;
      if (isApart && priceOf(later) + WORTH_SHOWING * worth < priceOf(found.plan)) {
        found = better;
        planId = await keep(asked, found, told(found), careful);
      }
    }
    if (!stopping.abort.signal.aborted) {
      const reasons = await explained(found);
      if (reasons)
        await keeping.explain(planId, {
          ...reasons,
          careful: carefulOf(reasons.careful, found.asked.shiftS),
        });
    }
    setRun(doneRun(found.plan, planId));
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

const bestOf = ({ totals, solver }: Plan): shapes.PlanningRun["best"] => ({
  cost: totals.cost,
  threadings: totals.threadings,
  lateJobs: totals.lateJobs,
  evaluations: solver.evaluations,
});
