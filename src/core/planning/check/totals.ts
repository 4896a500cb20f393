import type { PlanTotals } from "../problem";
import { type Court, fault } from "./court";

/** The totals as the tasks have them. */
export function totalsOf(court: Court): PlanTotals {
  const { problem, plan } = court;
  const chores = new Map(problem.chores.map((chore) => [chore.id, chore]));
  let lateJobs = 0;
  let lateS = 0;
  let weightedS = 0;
  let finishAt = 0;
  for (const task of plan.tasks) {
    finishAt = Math.max(finishAt, task.end);
    const item =
      task.do === "finish"
        ? court.jobs.get(task.job ?? "")
        : task.do === "chore"
          ? chores.get(task.chore ?? "")
          : undefined;
    if (!item || item.dueAt === null || task.end <= item.dueAt) continue;
    lateJobs++;
    lateS += task.end - item.dueAt;
    weightedS += item.weight * (task.end - item.dueAt);
  }
  const { perLateMinute, perThreading, perMidStop, perFinishMinute } = problem.cost;
  const { threadings, midStops } = court;
  const cost =
    (perLateMinute * weightedS) / 60 +
    perThreading * threadings +
    perMidStop * midStops +
    (perFinishMinute * finishAt) / 60;
  return { cost, threadings, midStops, lateJobs, lateMinutes: lateS / 60, finishAt };
}

/** What the plan says of itself is so, and no bound lies above it. */
export function statedTruly(court: Court, totals: PlanTotals): void {
  for (const key of ["cost", "threadings", "midStops", "lateJobs", "lateMinutes", "finishAt"] as const) {
    const told = court.plan.totals[key];
    if (!(Math.abs(told - totals[key]) <= 0.01 + 1e-6 * Math.abs(totals[key])))
      fault(court, "totals-untrue", `The plan states ${key} as ${told}; it is ${totals[key]}.`);
  }
  for (const key of ["cost", "threadings", "finishAt"] as const) {
    const bound = court.plan.bounds[key];
    if (!(bound <= totals[key] + 0.01))
      fault(
        court,
        "bound-broken",
        `The bound of ${key}, ${bound}, lies above the plan's own ${totals[key]}.`,
      );
  }
}
