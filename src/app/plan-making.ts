import {
  carefulTotals,
  checkPlan,
  explainPlan,
  type Plan,
  type ProblemWhileRunning,
  worthOfMove,
} from "#core/planning";
import type { shapes } from "#contract";
import type { Context } from "./context";
import type { HeldPlan, PlanKeeping } from "./plan-keeping";
import { inTwoHoops } from "./plan-placements";
import { askedOf, framedOf, type MadeProblem, seenOf, wishesOf } from "./plan-problem";
import { carefulOf, headlineOf, namesOf } from "./plan-view";
import type { PlanThreads } from "./solving";

/** Making a plan: looking for one as a person asked, or following a change, and keeping what the checker accepts. */

/** The most days a problem is ever extended to when work does not fit. */
const MOST_DAYS = 160;
/** After a change the plan follows at once; so long it then looks for a better one, and keeps it when that gains something. */
const LOOK_ON_SECONDS = 3;
/** Who asks for a new plan expects pieces to move: each weighs this share of what it does when the plan follows a change. */
const MOVED_BY_WISH = 0.25;
/** A later plan must save as much as moving so many pieces is worth, or people are left alone. */
const WORTH_SHOWING = 2;

/** What a planning begins with. */
export interface PlanStart {
  readonly made: MadeProblem;
  readonly held: HeldPlan | null;
  readonly startedAtMs: number;
  readonly seen: number;
  readonly days: number;
  readonly why: string;
  /** Aborting ends it; `keep` then keeps the best so far. */
  readonly stopping: { readonly abort: AbortController; keep: boolean };
}

interface Solved {
  readonly made: MadeProblem;
  readonly asked: ProblemWhileRunning;
  /** With its frames as they are, by the asked problem's clock. */
  readonly plan: Plan;
  readonly days: number;
}

type SolveOne = (made: MadeProblem, asked: ProblemWhileRunning, known: Plan | undefined) => Promise<Plan>;

interface Means extends Pick<Context, "nowMs" | "log"> {
  readonly keeping: PlanKeeping;
  readonly threads: PlanThreads;
  readonly threadsToSearch: number;
  /** The problem of that moment over so many days; null without a studio. */
  problemNow(days: number, held: HeldPlan | null, atMs: number): Promise<MadeProblem | null>;
  /** How far the planning is, as pages see it. */
  run(): shapes.PlanningRun;
  setRun(next: shapes.PlanningRun): void;
}

export interface PlanMaking {
  search(asked: PlanStart, seconds: number, seed: number): Promise<void>;
  follow(asked: PlanStart, held: HeldPlan): Promise<void>;
}

export function planMaking({
  nowMs,
  log,
  keeping,
  threads,
  threadsToSearch,
  problemNow,
  run,
  setRun,
}: Means): PlanMaking {
  /** Solves, and reaches over more days where work does not fit. */
  async function solved(asked: PlanStart, solveOne: SolveOne): Promise<Solved> {
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
    return found;
  }

  /** Keeps a plan that the checker has no fault with. */
  async function keep(
    asked: PlanStart,
    found: Solved,
    explanation: ReturnType<typeof explainPlan>,
    careful: shapes.PlanView["headline"]["careful"],
  ): Promise<string> {
    const { made, plan } = found;
    const { problem, shiftS } = found.asked;
    const faults = checkPlan(problem, plan);
    if (faults.findings.length > 0)
      throw new Error(`The checker found ${faults.findings.length} faults: ${faults.findings[0]!.message}`);
    const seen = seenOf(made, shiftS, plan);
    const twice = inTwoHoops(made, seen);
    if (twice) throw new Error(`The plan has the piece of jobs ${twice.join(" and ")} in two hoops at once.`);
    return keeping.keep({
      made,
      asked: problem,
      shiftS,
      plan,
      days: found.days,
      seen: asked.seen,
      explanation,
      headline: headlineOf(made, seen, careful),
      why: asked.why,
      before: asked.held,
    });
  }

  const told = (found: Solved) =>
    explainPlan(found.asked.problem, found.plan, {
      ...namesOf(found.made),
      depth: "told",
    });
  const explained = (found: Solved) => threads.explain(found.asked.problem, found.plan, namesOf(found.made));
  const doneRun = (plan: Plan, planId: string) => ({
    ...run(),
    state: "done" as const,
    share: 1,
    planId,
    best: bestOf(plan),
    bound: { cost: plan.bounds.cost, threadings: plan.bounds.threadings },
  });

  /** A person's wish: the best plan the time gives. */
  async function search(asked: PlanStart, seconds: number, seed: number): Promise<void> {
    const { startedAtMs, stopping } = asked;
    let portion = seconds;
    const found = await solved(asked, async (made, { problem, first }, known) => {
      const plan = await threads.solve(problem, {
        seconds: portion,
        seed,
        threads: threadsToSearch,
        wishes: {
          ...wishesOf(made, first),
          ...(known && { previous: known, perMovedJob: MOVED_BY_WISH * worthOfMove(problem.cost) }),
        },
        signal: stopping.abort.signal,
        onTrouble: (trouble) => log.warn("The search broke off early", { reason: String(trouble) }),
        onProgress: ({ best, bound: proven }) => {
          // The first plan comes before anything is proven about it.
          const bound = proven.cost > 0 || proven.threadings > 0 ? proven : null;
          if (run().state === "running")
            setRun({ ...run(), best, bound, share: Math.min(1, (nowMs() - startedAtMs) / (seconds * 1000)) });
        },
      });
      // Over more days it begins with what it has found, and needs less time.
      portion = Math.max(0.5, seconds / 4);
      return plan;
    });
    if (stopping.abort.signal.aborted && !stopping.keep) {
      setRun({ ...run(), state: "cancelled", share: 1 });
      return;
    }
    const reasons = stopping.abort.signal.aborted ? null : await explained(found);
    const careful = reasons?.careful ?? carefulTotals(found.asked.problem, namesOf(found.made));
    const planId = await keep(
      asked,
      found,
      reasons?.explanation ?? told(found),
      carefulOf(careful, found.asked.shiftS),
    );
    setRun(doneRun(found.plan, planId));
  }

  /** After a change: an answer at once, then a better one where that is worth looking at, then the reasons. */
  async function follow(asked: PlanStart, held: HeldPlan): Promise<void> {
    const { stopping } = asked;
    const look =
      (seconds: number) =>
      (made: MadeProblem, { problem, first }: ProblemWhileRunning, known?: Plan) =>
        threads.again(problem, {
          seconds,
          seed: 1,
          wishes: { ...wishesOf(made, first), previous: known ?? held.solved },
          signal: stopping.abort.signal,
        });
    let found = await solved(asked, look(0));
    // A later change or a person's wish takes over: what was found is for a floor that is no more.
    if (stopping.abort.signal.aborted && !stopping.keep) {
      setRun({ ...run(), state: "cancelled", share: 1 });
      return;
    }
    // What working it off as it came would give is worked out with the reasons; until then the last is near enough.
    const { careful } = held.stored.headline;
    let planId = await keep(asked, found, told(found), careful);
    setRun({ ...run(), best: bestOf(found.plan), planId });
    const later = stopping.abort.signal.aborted ? null : await look(LOOK_ON_SECONDS)(found.made, found.asked);
    if (later && !stopping.abort.signal.aborted) {
      const worth = worthOfMove(found.asked.problem.cost);
      const priceOf = (plan: Plan) =>
        plan.totals.cost + worth * Number(plan.solver["moved"] ?? 0) + 1e7 * plan.unplanned.length;
      const better: Solved = { ...found, plan: framedOf(found.made, later) };
      if (priceOf(later) + WORTH_SHOWING * worth < priceOf(found.plan)) {
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

  return { search, follow };
}

const bestOf = ({ totals, solver }: Plan): shapes.PlanningRun["best"] => ({
  cost: totals.cost,
  threadings: totals.threadings,
  lateJobs: totals.lateJobs,
  evaluations: solver.evaluations,
});
