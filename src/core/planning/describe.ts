import { boundsOf } from "./bounds";
import { buildPlan } from "./build";
import { compile } from "./compile";
import { createDecoder } from "./decode";
import type { OneThing, Plan, PlanTotals, Problem } from "./problem";
import { carefulCandidate } from "./starts";

/**
 * What a careful person would plan: earliest due first, each job on the machine that finishes it first, the least
 * recently used needle re-threaded. The measure a plan is shown against.
 */
export function carefulPerson(problem: Problem): Plan {
  const { compiled, decoder, built } = careful(problem);
  const left = new Set<number>();
  compiled.doable.forEach((item) => decoder.endOf[item]! < 0 && left.add(item));
  return {
    format: "spoolwright/plan@1",
    ...built,
    bounds: boundsOf(compiled, left),
    solver: { seconds: 0, seed: 0, evaluations: compiled.jobs },
  };
}

/** The totals of that plan alone, for nothing need be proven about it; jobs that run go on before all else. */
export const carefulTotals = (problem: Problem, bonds: CarefulBonds = {}): PlanTotals =>
  careful(problem, bonds).built.totals;

interface CarefulBonds {
  readonly running?: readonly string[];
  readonly oneThing?: OneThing;
}

function careful(problem: Problem, { running, oneThing }: CarefulBonds = {}) {
  const compiled = compile(problem, oneThing);
  const decoder = createDecoder(compiled);
  decoder.rule = "least-recently-used";
  return { compiled, decoder, built: buildPlan(decoder, carefulCandidate(decoder, running)) };
}

export interface PlanDescription {
  readonly jobs: number;
  /** Jobs and chores that end after they are due, the latest first. */
  readonly late: readonly { readonly id: string; readonly lateS: number }[];
  /** What ends nearest before its due time; null when nothing has one or all that have are late. */
  readonly tightest: { readonly id: string; readonly spareS: number } | null;
  readonly threadings: number;
  readonly threadingsBound: number;
  readonly midStops: number;
  readonly finishAt: number;
  readonly finishBound: number;
  readonly unplanned: number;
}

/** The figures of a plan's headline. */
export function describePlan(problem: Problem, plan: Plan): PlanDescription {
  const due = new Map([...problem.jobs, ...problem.chores].map((item) => [item.id, item.dueAt]));
  const late: { id: string; lateS: number }[] = [];
  let tightest: { id: string; spareS: number } | null = null;
  for (const task of plan.tasks) {
    const id = task.do === "finish" ? task.job! : task.do === "chore" ? task.chore! : null;
    const dueAt = id === null ? null : (due.get(id) ?? null);
    if (id === null || dueAt === null) continue;
    const spareS = dueAt - task.end;
    if (spareS < 0) late.push({ id, lateS: -spareS });
    else if (tightest === null || spareS < tightest.spareS) tightest = { id, spareS };
  }
  late.sort((a, b) => b.lateS - a.lateS);
  return {
    jobs: plan.runs.length,
    late,
    tightest,
    threadings: plan.totals.threadings,
    threadingsBound: plan.bounds.threadings,
    midStops: plan.totals.midStops,
    finishAt: plan.totals.finishAt,
    finishBound: plan.bounds.finishAt,
    unplanned: plan.unplanned.length,
  };
}
