import type { shapes } from "#contract";
import { describePlan, type ExplainOptions, type Plan } from "#core/planning";
import { localTime } from "#core/shop";
import type { HeldPlan, PieceStanding } from "./plan-keeping";
import type { Upset } from "./plan-holds";
import { finishChoreId, underJobs } from "./plan-finishing";
import { type MadeProblem, placementsOf } from "./plan-problem";

/** Plans made before care stood in them lack these. */
const notOfCare = { ruleId: null, needle: null, instructions: [], caution: "" };

/** A plan as Today shows it. */
export function viewOf(
  { row, stored, problem, plan, startsAtMs }: HeldPlan,
  states: ReadonlyMap<string, PieceStanding>,
  stale: Upset | null,
): shapes.PlanView {
  const named = (list: readonly { id: string; name: string }[], id: string) =>
    list.find((one) => one.id === id)?.name ?? id;
  return {
    planId: row.id,
    madeAtMs: row.made_at_ms,
    startsAtMs,
    timeZone: stored.timeZone,
    stale: stale !== null,
    staleWhy: stale ? capital(stale.why) : "",
    stalePieces: stale?.pieces ?? 0,
    moved: stored.moved ? { jobIds: [...stored.moved.jobIds], why: stored.moved.why } : null,
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
        whyLate: stored.lateWhys?.[job.jobId] ?? "",
      };
    }),
    chores: stored.chores.map((chore) => ({ ...notOfCare, ...chore })),
    leftOut: stored.leftOut,
    headline: {
      ...stored.headline,
      late: stored.headline.late.map((one) => ({ ...one, why: one.why ?? "" })),
    },
  };
}

export const capital = (words: string): string => words.charAt(0).toLocaleUpperCase() + words.slice(1);

/** What ids are called in a plan's explanations, which pieces are begun, and which jobs are of one piece. */
export function namesOf(made: MadeProblem): ExplainOptions {
  const { context, floor } = made;
  return {
    oneThing: placementsOf(made),
    names: {
      jobs: new Map(
        context.jobs.flatMap((job) => [
          [job.jobId, job.title],
          [finishChoreId(job.jobId), `${job.title} (finishing)`],
        ]),
      ),
      machines: new Map(context.machines.map((machine) => [machine.id, machine.name])),
      hoops: new Map(context.hoops.map((hoop) => [hoop.id, hoop.name])),
      colours: new Map(context.threads.map((thread) => [thread.id, `${thread.name} ${thread.code}`])),
    },
    running: floor.running.map((piece) => piece.job),
    hooped: floor.hooped.map((piece) => piece.job),
  };
}

type Headline = shapes.PlanView["headline"];

/** What working the day off as it came would give, by the studio's clock. */
export const carefulOf = (totals: Plan["totals"], shiftS: number): Headline["careful"] => ({
  threadings: totals.threadings,
  midStops: totals.midStops,
  lateJobs: totals.lateJobs,
  finishAt: Math.max(0, totals.finishAt - shiftS),
  cost: totals.cost,
});

/** The headline of a plan by the studio's clock: how many are in it, what is late, what is tightest. */
export function headlineOf(made: MadeProblem, plan: Plan, careful: Headline["careful"]): Headline {
  const said = describePlan(underJobs(made.problem), plan);
  const titles = new Map([
    ...made.context.jobs.map((job): [string, string] => [job.jobId, job.title]),
    ...made.context.chores.map((chore): [string, string] => [chore.choreId, chore.title]),
  ]);
  return {
    pieces:
      new Set(made.context.jobs.map((job) => job.pieceId)).size +
      made.context.chores.reduce((sum, chore) => sum + chore.pieceIds.length, 0),
    late: said.late.map(({ id, lateS }) => ({
      jobId: id,
      title: titles.get(id) ?? id,
      minutes: lateS / 60,
      why: "",
    })),
    tightest:
      said.tightest === null
        ? null
        : {
            jobId: said.tightest.id,
            title: titles.get(said.tightest.id) ?? said.tightest.id,
            spareS: said.tightest.spareS,
          },
    careful,
  };
}

/** Seconds each machine is to sew from now on by the plan, by the studio's days. */
export function plannedUseOf(held: HeldPlan, nowMs: number): Map<string, { day: string; runS: number }[]> {
  const byMachine = new Map<string, Map<string, number>>();
  for (const run of held.plan.runs)
    for (const stretch of run.stretches) {
      const startMs = held.startsAtMs + stretch.start * 1000;
      if (startMs < nowMs) continue;
      const { date } = localTime(held.stored.timeZone, startMs);
      const days = byMachine.get(run.machine) ?? new Map<string, number>();
      days.set(date, (days.get(date) ?? 0) + stretch.end - stretch.start);
      byMachine.set(run.machine, days);
    }
  return new Map(
    [...byMachine].map(([machine, days]) => [machine, [...days].map(([day, runS]) => ({ day, runS }))]),
  );
}
