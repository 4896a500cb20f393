import type { Plan, Problem } from "#core/planning";
import { localTime } from "#core/shop";
import { jobToFinish } from "./plan-finishing";
import type { FloorState } from "./plan-floor";
import type { MadeProblem } from "./plan-problem";

/**
 * Whether a plan still holds: whether the records, as a problem made now, ask for anything the plan has not seen.
 * Work done the way the plan had it does not upset it; an order more, a machine away, a pin or a hold does.
 */

export interface PlanInForce {
  /** By the studio's clock, as is the plan. */
  readonly problem: Problem;
  readonly floor: FloorState;
  readonly plan: Plan;
  readonly startsAtMs: number;
  readonly first: readonly string[];
  readonly titles: ReadonlyMap<string, string>;
}

/** What upsets a plan, as a clause ("Gannet is down until 11:00"), and how many of its pieces that touches. */
export interface Upset {
  readonly why: string;
  readonly pieces: number;
}

/** Half an hour behind the plan is a breath; more is another day. */
const BREATH_S = 1800;
/** A piece begun or done so much before or after its time shifts what follows. */
const DRIFT_S = 300;

/** What upsets the plan, or null while it holds. `doneJobs` were sewn or left the plan in a good way. */
export function upset(
  held: PlanInForce,
  now: MadeProblem,
  nowMs: number,
  doneJobs: ReadonlySet<string>,
): Upset | null {
  const shiftS = Math.round((now.startsAtMs - held.startsAtMs) / 1000);
  return (
    // What happened to a machine or a person explains the pieces that change with it.
    resources(held, now, shiftS) ??
    work(held, now, shiftS, doneJobs) ??
    elsewhere(held, now) ??
    (JSON.stringify(held.problem.cost) === JSON.stringify(now.problem.cost)
      ? null
      : { why: "the priorities changed", pieces: held.plan.runs.length }) ??
    behind(held, now, Math.round((nowMs - held.startsAtMs) / 1000))
  );
}

/**
 * Whether the floor has drifted from the plan's times: the plan is still right in its order, but what follows would
 * begin sooner or later than it says. Null while it keeps within some minutes.
 */
export function drifted(
  held: PlanInForce,
  now: MadeProblem,
  doneAtMs: ReadonlyMap<string, number>,
): Upset | null {
  const runs = new Map(held.plan.runs.map((run) => [run.job, run]));
  const since = (atMs: number) => (atMs - held.startsAtMs) / 1000;
  const known = new Set(held.floor.running.map((piece) => piece.job));
  const said = (job: string, what: string, byS: number): Upset | null => {
    if (Math.abs(byS) < DRIFT_S) return null;
    const machine = runs.get(job)!.machine;
    const minutes = Math.round(Math.abs(byS) / 60);
    return {
      why: `${titleOf(held, now, job)} was ${what} ${minutes} min ${byS < 0 ? "early" : "late"}`,
      pieces: held.plan.runs.filter((run) => run.machine === machine).length,
    };
  };
  for (const piece of now.floor.running) {
    const run = runs.get(piece.job);
    if (!run || known.has(piece.job) || piece.begunAt === undefined) continue;
    const begunAt = piece.begunAt + since(now.startsAtMs);
    const found = said(piece.job, "begun", begunAt - run.stretches[0]!.start);
    if (found) return found;
  }
  for (const [job, atMs] of doneAtMs) {
    const run = runs.get(job);
    const found = run && said(job, "sewn", since(atMs) - run.stretches.at(-1)!.end);
    if (found) return found;
  }
  return null;
}

const titleOf = (held: PlanInForce, now: MadeProblem, job: string): string =>
  now.context.jobs.find((one) => one.jobId === job)?.title ?? held.titles.get(job) ?? "a piece";

function work(
  held: PlanInForce,
  now: MadeProblem,
  shiftS: number,
  doneJobs: ReadonlySet<string>,
): Upset | null {
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
  const told = (ids: readonly string[], one: string, many: string): Upset => ({
    why: ids.length === 1 ? `a piece ${one}: ${titleOf(held, now, ids[0]!)}` : `${ids.length} pieces ${many}`,
    pieces: ids.length,
  });
  const added = [...present.keys()].filter((id) => !known.has(id));
  if (added.length > 0) return told(added, "came in", "came in");
  const gone = [...known.keys()].filter((id) => !present.has(id) && !doneJobs.has(id));
  if (gone.length > 0) return told(gone, "fell out", "fell out");
  const changed = [...present].filter(([id, key]) => known.get(id) !== key).map(([id]) => id);
  if (changed.length > 0) return told(changed, "changed", "changed");
  const heldChores = new Set(held.problem.chores.map((chore) => chore.id));
  const fresh = now.problem.chores.filter((chore) => !heldChores.has(chore.id));
  const care = new Map(
    now.context.chores.flatMap((one) => (one.ruleId === null ? [] : [[one.choreId, one.title] as const])),
  );
  // Of what the plan sews itself it has the finishing too.
  const finishing = new Set(held.plan.tasks.flatMap((task) => (task.do === "finish" ? task.job! : [])));
  const sewn = fresh.flatMap((chore) => jobToFinish(chore.id) ?? []);
  const unforeseen = sewn.filter((job) => !finishing.has(job));
  if (unforeseen.length > 0) return told(unforeseen, "came to be finished", "came to be finished");
  const batches = fresh.filter((chore) => !care.has(chore.id) && jobToFinish(chore.id) === null).length;
  if (batches > 0) return { why: "sewing work came in", pieces: batches };
  // Care still to come round is laid when the plan is made anew anyway; what is due already is laid at once.
  const due = fresh.find((chore) => care.has(chore.id) && chore.releaseAt === 0);
  if (due) return { why: `care is due: ${care.get(due.id)!}`, pieces: 1 };
  const putOff = now.problem.jobs.filter(
    (job) =>
      job.releaseAt > 60 &&
      held.plan.runs.some((run) => run.job === job.id && run.stretches[0]!.start < job.releaseAt + shiftS),
  );
  if (putOff.length > 0)
    return told(
      putOff.map((job) => job.id),
      "is put off",
      "are put off",
    );
  const began = new Set(now.context.jobs.map((job) => job.jobId));
  const wanted = now.first.filter((id) => began.has(id) && !held.first.includes(id));
  return wanted.length === 0 ? null : told(wanted, "is to come first", "are to come first");
}

/** A piece that sews on another machine than the plan has for it, or on none of the plan's. */
function elsewhere(held: PlanInForce, now: MadeProblem): Upset | null {
  const runs = new Map(held.plan.runs.map((run) => [run.job, run.machine]));
  const piece = now.floor.running.find((one) => runs.has(one.job) && runs.get(one.job) !== one.machine);
  if (!piece) return null;
  return {
    why: `a piece sews elsewhere: ${titleOf(held, now, piece.job)} on ${machineName(now, piece.machine)}`,
    pieces: onMachines(held, [piece.machine, runs.get(piece.job)!]),
  };
}

const machineName = (now: MadeProblem, id: string): string =>
  now.context.machines.find((machine) => machine.id === id)?.name ?? "a machine";
const onMachines = ({ plan }: PlanInForce, ids: readonly string[]): number =>
  plan.runs.filter((run) => ids.includes(run.machine)).length;

function resources(held: PlanInForce, now: MadeProblem, shiftS: number): Upset | null {
  const heldMachines = new Map(held.problem.machines.map((machine) => [machine.id, machine]));
  const all = held.plan.runs.length;
  for (const machine of now.problem.machines) {
    const before = heldMachines.get(machine.id);
    const name = machineName(now, machine.id);
    if (!before) return { why: `${name} came`, pieces: all };
    const pieces = onMachines(held, [machine.id]);
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
    if (fixtures(machine) !== fixtures(before)) return { why: `${name} changed`, pieces };
    if (!sameSpans(before.down, machine.down, shiftS))
      return { why: downWords(name, before.down, machine.down, now, shiftS), pieces };
    if (!threadStates(held, machine.id).has(JSON.stringify(machine.threaded)))
      return { why: `a needle of ${name} holds another thread than the plan has it`, pieces };
  }
  const left = held.problem.machines.filter((one) => !now.problem.machines.some(({ id }) => id === one.id));
  if (left.length > 0)
    return {
      why: "a machine left",
      pieces: onMachines(
        held,
        left.map(({ id }) => id),
      ),
    };
  const heldHands = new Map(held.problem.hands.map((hand) => [hand.id, hand]));
  if (heldHands.size !== now.problem.hands.length) return { why: "who works changed", pieces: all };
  for (const hand of now.problem.hands) {
    const before = heldHands.get(hand.id);
    if (before && sameSpans(before.shifts, hand.shifts, shiftS)) continue;
    const name = now.context.hands.find((one) => one.id === hand.id)?.name;
    const jobs = held.plan.tasks.filter((task) => task.hand === hand.id).map((task) => task.job);
    return {
      why: name ? `the hours of ${name} changed` : "who works when changed",
      pieces: new Set(jobs).size,
    };
  }
  if (!sameSpans(held.problem.open, now.problem.open, shiftS))
    return { why: "the open hours changed", pieces: all };
  const counts = (hoops: Problem["hoops"]) =>
    JSON.stringify([...hoops].sort((a, b) => (a.id < b.id ? -1 : 1)));
  return counts(held.problem.hoops) === counts(now.problem.hoops)
    ? null
    : { why: "the hoops changed", pieces: all };
}

const dayFormat = new Intl.DateTimeFormat("en-GB", {
  timeZone: "UTC",
  weekday: "short",
  day: "numeric",
  month: "short",
});

function downWords(name: string, before: Spans, after: Spans, now: MadeProblem, shiftS: number): string {
  const known = new Set(before.map(([, end]) => Math.round((end - shiftS) / 60)));
  const fresh = after.find(([, end]) => !known.has(Math.round(end / 60)));
  if (!fresh) return `${name} is up again`;
  const clock = (seconds: number): string => {
    const at = localTime(now.context.timeZone, now.startsAtMs + seconds * 1000);
    const today = localTime(now.context.timeZone, now.startsAtMs).date === at.date;
    const words = `${Math.floor(at.minute / 60)}:${String(at.minute % 60).padStart(2, "0")}`;
    return today
      ? words
      : `${words} on ${dayFormat.format(new Date(`${at.date}T00:00:00Z`)).replace(",", "")}`;
  };
  return fresh[0] <= 60
    ? `${name} is down until ${clock(fresh[1])}`
    : `${name} is down from ${clock(fresh[0])} to ${clock(fresh[1])}`;
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

function behind(held: PlanInForce, now: MadeProblem, nowS: number): Upset | null {
  const open = new Set(now.problem.jobs.map((job) => job.id));
  const late = held.plan.runs.filter(
    (run) => open.has(run.job) && run.stretches.at(-1)!.end + BREATH_S < nowS,
  ).length;
  return late === 0
    ? null
    : { why: `${late === 1 ? "one piece" : `${late} pieces`} should have been sewn by now`, pieces: late };
}
