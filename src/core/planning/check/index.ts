import type { Finding } from "#core/base";
import type { Plan, PlanTotals, Problem } from "../problem";
import { courtOf, fault } from "./court";
import { apart, needlesHoldColours, nothingWhileDown } from "./machines";
import { judgeRun } from "./run";
import { choresInTime, everythingOnce, tasksInShifts } from "./tasks";
import { statedTruly, totalsOf } from "./totals";

/**
 * Judges a plan against its problem, rule by rule as docs/formats/problem.md states them, and works its totals out
 * anew. It is written apart from the search and shares nothing with it but the shapes, so that a slip in one shows in
 * the other. It believes nothing the plan says of itself.
 */
export interface Verdict {
  /** Every rule broken; empty for a sound plan. */
  readonly findings: readonly Finding[];
  readonly totals: PlanTotals;
}

export function checkPlan(problem: Problem, plan: Plan): Verdict {
  const court = courtOf(problem, plan);
  everythingOnce(court);
  tasksInShifts(court);
  const seen = new Set<string>();
  for (const run of plan.runs) {
    if (seen.has(run.job)) fault(court, "job-twice", `Job ${run.job} has two runs.`);
    else judgeRun(court, run);
    seen.add(run.job);
  }
  for (const job of court.tasksOfJob.keys()) {
    if (!seen.has(job)) fault(court, "task-without-run", `Job ${job} has tasks but no run.`);
  }
  choresInTime(court);
  for (const [hand, own] of court.hands) apart(court, own, "hand-overlap", `Hand ${hand}`);
  for (const [machine, own] of court.occupation) apart(court, own, "machine-overlap", `Machine ${machine}`);
  for (const [frame, own] of court.frames) apart(court, own, "frame-overlap", `Frame ${frame}`);
  nothingWhileDown(court);
  needlesHoldColours(court);
  const totals = totalsOf(court);
  statedTruly(court, totals);
  return { findings: court.findings, totals };
}
