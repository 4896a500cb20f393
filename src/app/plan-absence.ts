import type { Plan } from "#core/planning";
import type { OrderEnd, WithMachinesAway } from "./care";
import { underJobs, withFinishing } from "./plan-finishing";
import type { HeldPlan } from "./plan-keeping";
import { mergedSpans } from "./plan-marks";
import { askedOf, type MadeProblem, wishesOf } from "./plan-problem";
import type { PlanThreads } from "./solving";

/** What it would do to the open work if machines were away: for the choice of a day to take them to their service. */
interface AbsenceAsked {
  readonly current: () => Promise<HeldPlan | null>;
  readonly problemOf: (held: HeldPlan) => Promise<MadeProblem | null>;
  readonly threads: PlanThreads;
}

type Away = Parameters<WithMachinesAway>[0][number];

/** Each answered at once, downhill from the plan in force: what differs is what the absence does, not the search. */
export function machinesAway({ current, problemOf, threads }: AbsenceAsked): WithMachinesAway {
  return async (aways) => {
    const held = await current();
    const made = held && (await problemOf(held));
    if (!held || !made || made.problem.jobs.length === 0) return null;
    const totals = async (away: readonly Away[]) => {
      const { problem, first, shiftS } = askedOf({ ...made, problem: withAway(made, away) });
      const plan = await threads.again(problem, {
        seconds: 0,
        seed: 1,
        wishes: { ...wishesOf(made, first), previous: held.solved },
      });
      return { ...plan.totals, orders: ordersOf(made, withFinishing(plan), shiftS) };
    };
    const here = await totals([]);
    const lastMs = made.startsAtMs + here.finishAt * 1000;
    const away = [];
    // What lies behind all of the work does nothing to it.
    for (const one of aways) away.push(one.fromMs >= lastMs ? here : await totals([one]));
    return { here, away };
  };
}

/** When each order is ready by a plan, and of each of its pieces. */
function ordersOf(made: MadeProblem, plan: Plan, shiftS: number): Map<string, OrderEnd> {
  const due = new Map(
    [...underJobs(made.problem).jobs, ...underJobs(made.problem).chores].map((one) => [one.id, one.dueAt]),
  );
  const jobs = new Map(made.context.jobs.map((job) => [job.jobId, job]));
  const ends = new Map<string, OrderEnd & { readonly pieces: Map<string, number> }>();
  for (const task of plan.tasks) {
    const job = task.job === undefined ? undefined : jobs.get(task.job);
    if (!job || task.do !== "finish") continue;
    const endS = task.end - shiftS;
    const dueS = due.get(job.jobId) ?? null;
    const known = ends.get(job.orderId);
    const pieces = known?.pieces ?? new Map<string, number>();
    const endMs = made.startsAtMs + endS * 1000;
    pieces.set(job.pieceId, Math.max(pieces.get(job.pieceId) ?? 0, endMs));
    ends.set(job.orderId, {
      reference: job.orderReference,
      customer: job.customer,
      shipBy: job.shipBy,
      readyAtMs: Math.max(known?.readyAtMs ?? 0, endMs),
      lateMinutes: Math.max(known?.lateMinutes ?? 0, dueS === null ? 0 : Math.max(0, endS - dueS) / 60),
      pieces,
    });
  }
  return ends;
}

/** The problem with machines away besides. */
function withAway({ problem, startsAtMs }: MadeProblem, aways: readonly Away[]): MadeProblem["problem"] {
  const second = (atMs: number) => Math.max(0, Math.round((atMs - startsAtMs) / 1000));
  return {
    ...problem,
    machines: problem.machines.map((machine) => {
      const own = aways
        .filter((away) => away.machineIds.includes(machine.id))
        .map((away): [number, number] => [second(away.fromMs), second(away.toMs)])
        .filter(([from, to]) => from < to);
      return own.length === 0 ? machine : { ...machine, down: mergedSpans([...machine.down, ...own]) };
    }),
  };
}
