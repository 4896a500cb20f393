import type { Plan, Problem } from "#core/planning";
import type { MadeProblem } from "./plan-problem";

/**
 * Whether a plan still holds: whether the records, as a problem made now, ask for anything the plan has not seen.
 * Work done the way the plan had it does not upset it; an order more, a machine away, a pin or a hold does.
 */

export interface PlanInForce {
  readonly problem: Problem;
  readonly plan: Plan;
  readonly startsAtMs: number;
  readonly first: readonly string[];
}

/** Half an hour behind the plan is a breath; more is another day. */
const BREATH_S = 1800;

/** What upsets the plan, in words, or null while it holds. `doneJobs` were sewn or left the plan in a good way. */
export function upset(
  held: PlanInForce,
  now: MadeProblem,
  nowMs: number,
  doneJobs: ReadonlySet<string>,
): string | null {
  const shiftS = Math.round((now.startsAtMs - held.startsAtMs) / 1000);
  return (
    work(held, now, shiftS, doneJobs) ??
    resources(held, now, shiftS) ??
    (JSON.stringify(held.problem.cost) === JSON.stringify(now.problem.cost)
      ? null
      : "the cost weights changed") ??
    behind(held, now, Math.round((nowMs - held.startsAtMs) / 1000))
  );
}

function work(
  held: PlanInForce,
  now: MadeProblem,
  shiftS: number,
  doneJobs: ReadonlySet<string>,
): string | null {
  const keyOf = (job: Problem["jobs"][number], by: number) =>
    JSON.stringify([
      job.parts,
      job.trims,
      job.hoop,
      job.machines,
      job.weight,
      job.unhoopS,
      job.finishS,
      job.dueAt === null ? null : Math.round((job.dueAt + by) / 60),
    ]);
  const known = new Map(held.problem.jobs.map((job) => [job.id, keyOf(job, 0)]));
  const present = new Map(now.problem.jobs.map((job) => [job.id, keyOf(job, shiftS)]));
  const added = [...present.keys()].filter((id) => !known.has(id)).length;
  if (added > 0) return added === 1 ? "a piece came in" : `${added} pieces came in`;
  const gone = [...known.keys()].filter((id) => !present.has(id) && !doneJobs.has(id)).length;
  if (gone > 0) return gone === 1 ? "a piece fell out" : `${gone} pieces fell out`;
  const changed = [...present].filter(([id, key]) => known.get(id) !== key).length;
  if (changed > 0) return changed === 1 ? "a piece changed" : `${changed} pieces changed`;
  const heldChores = new Set(held.problem.chores.map((chore) => chore.id));
  if (now.problem.chores.some((chore) => !heldChores.has(chore.id))) return "sewing work came in";
  const began = new Set(now.context.jobs.map((job) => job.jobId));
  const wanted = now.first.filter(
    (id) => began.has(id) && now.problem.jobs.find((job) => job.id === id)!.weight > 1,
  );
  return wanted.every((id) => held.first.includes(id)) ? null : "a piece is to come first";
}

function resources(held: PlanInForce, now: MadeProblem, shiftS: number): string | null {
  const heldMachines = new Map(held.problem.machines.map((machine) => [machine.id, machine]));
  for (const machine of now.problem.machines) {
    const before = heldMachines.get(machine.id);
    if (!before) return "a machine came";
    const fixtures = (one: typeof machine) =>
      JSON.stringify([
        one.needles,
        one.fixed,
        one.hoops,
        one.stitchesPerMinute,
        one.colourChangeS,
        one.trimS,
        one.threadS,
        one.loadS,
        one.unloadS,
      ]);
    if (fixtures(machine) !== fixtures(before)) return "a machine changed";
    if (!sameSpans(before.down, machine.down, shiftS)) return "a machine's down times changed";
    if (!threadStates(held, machine.id).has(JSON.stringify(machine.threaded)))
      return "a needle holds another thread than the plan has it";
  }
  if (heldMachines.size > now.problem.machines.length) return "a machine left";
  const heldHands = new Map(held.problem.hands.map((hand) => [hand.id, hand]));
  if (heldHands.size !== now.problem.hands.length) return "who works changed";
  for (const hand of now.problem.hands)
    if (!heldHands.has(hand.id) || !sameSpans(heldHands.get(hand.id)!.shifts, hand.shifts, shiftS))
      return "who works when changed";
  if (!sameSpans(held.problem.open, now.problem.open, shiftS)) return "the open hours changed";
  const counts = (hoops: Problem["hoops"]) =>
    JSON.stringify([...hoops].sort((a, b) => (a.id < b.id ? -1 : 1)));
  return counts(held.problem.hoops) === counts(now.problem.hoops) ? null : "the hoops changed";
}

type Spans = readonly (readonly [number, number])[];

/** Whether two sets of spans agree over the time both reach, the later one's start being `shiftS` after the earlier's. */
function sameSpans(before: Spans, after: Spans, shiftS: number): boolean {
  const end = Math.min(before.at(-1)?.[1] ?? Infinity, (after.at(-1)?.[1] ?? Infinity) + shiftS);
  const cut = (spans: Spans, by: number) =>
    spans
      .map(([a, b]): [number, number] => [Math.max(a + by, shiftS), Math.min(b + by, end)])
      .filter(([a, b]) => b - a > 60);
  const [left, right] = [cut(before, 0), cut(after, shiftS)];
  return (
    left.length === right.length &&
    left.every(
      ([a, b], index) => Math.abs(a - right[index]![0]) <= 60 && Math.abs(b - right[index]![1]) <= 60,
    )
  );
}

/** Every state the machine's needles pass through in the plan, the first included. */
function threadStates(held: PlanInForce, machineId: string): Set<string> {
  const needles = [...held.problem.machines.find((machine) => machine.id === machineId)!.threaded];
  const states = new Set([JSON.stringify(needles)]);
  const threadings = held.plan.tasks
    .filter((task) => task.do === "thread" && task.machine === machineId)
    .sort((a, b) => a.start - b.start);
  for (const task of threadings) {
    needles[task.needle! - 1] = task.colour!;
    states.add(JSON.stringify(needles));
  }
  return states;
}

function behind(held: PlanInForce, now: MadeProblem, nowS: number): string | null {
  const open = new Set(now.problem.jobs.map((job) => job.id));
  const late = held.plan.runs.filter(
    (run) => open.has(run.job) && run.stretches.at(-1)!.end + BREATH_S < nowS,
  ).length;
  return late === 0 ? null : `${late === 1 ? "one piece" : `${late} pieces`} should have been sewn by now`;
}
