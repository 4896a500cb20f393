import type { Interval, Job, Plan, PlanningMachine, Problem } from "./problem";

/** A piece that is on its machine when a plan is made. */
export interface RunningPiece {
  readonly job: string;
  readonly machine: string;
  /** The frame it is in, "kind/number"; null without one. */
  readonly hoop: string | null;
  /** Parts that are sewn when the stretch that runs now ends (all of them but for a stop still to come). */
  readonly sewnParts: number;
  /** When it ends, in seconds after the plan's start; 0 when it stands and waits. */
  readonly stretchEndsAt: number;
  /** When the present stretch began, in seconds after the plan's start (so at most 0); left out where nobody knows. */
  readonly begunAt?: number;
}

/** A piece in its frame: on its machine or waiting for it. */
export interface FramedPiece {
  readonly job: string;
  /** The frame it is in, "kind/number"; null without one. */
  readonly hoop: string | null;
}

/** A problem in which pieces are already on their machines, and what must be asked of its plan. */
export interface ProblemWhileRunning {
  readonly problem: Problem;
  /** To be wished first: they are on their machines. */
  readonly first: readonly string[];
  /** The derived problem starts so many seconds before the given one. */
  readonly shiftS: number;
}

/**
 * Says in the problem's own words that pieces are on their machines, so that the plan is checked like any other.
 *
 * The clock is put back a little. In that while only stand-ins are there, one for each running piece with just the
 * time to load it: what really happened earlier. At the given start all running pieces sew; each is pinned to its
 * machine, in its frame, hooping done, its present stretch cut to the time it still takes and its later parts after
 * it. Everything else is released at the given start. Wished first, a running piece can only be loaded by a stand-in,
 * hence it goes on; its unloading, unhooping and finishing are planned like others. Where parts are still to come,
 * the present stretch asks for all that is on the needles, so that nothing is threaded before it; it may then end as
 * much too early as changing to all of them once takes. A machine must not have two running pieces, nor be down while
 * its piece is said to sew.
 */
export function problemWhileRunning(problem: Problem, running: readonly RunningPiece[]): ProblemWhileRunning {
  if (running.length === 0) return { problem, first: [], shiftS: 0 };
  const machineOf = new Map(problem.machines.map((machine) => [machine.id, machine]));
  const jobOf = new Map(problem.jobs.map((job) => [job.id, job]));
  const rests = running.map((piece) => restOf(jobOf.get(piece.job)!, piece, machineOf.get(piece.machine)!));
  const on = new Map(rests.map((rest) => [rest.machine.id, rest]));
  const of = new Map(rests.map((rest) => [rest.job.id, rest.job]));
  if (on.size < running.length) throw new RangeError("A machine has one running piece at most.");
  const shiftS = Math.max(1, ...rests.map((rest) => rest.begunS + rest.machine.loadS));
  const later = (intervals: readonly Interval[]): Interval[] =>
    intervals
      .filter(([, end]) => end > 0)
      .map(([from, end]): Interval => [Math.max(0, from) + shiftS, end + shiftS]);
  const released = <T extends { readonly releaseAt: number; readonly dueAt: number | null }>(item: T): T => ({
    ...item,
    releaseAt: Math.max(0, item.releaseAt) + shiftS,
    dueAt: item.dueAt === null ? null : item.dueAt + shiftS,
  });

  const taken = new Set(problem.hands.map((hand) => hand.id));
  const standIns = rests.map(({ machine, begunS }, at) => {
    let id = `before ${at + 1}`;
    while (taken.has(id)) id = `${id}'`;
    return { id, shifts: [[shiftS - begunS - machine.loadS, shiftS - begunS] as Interval] };
  });
  return {
    problem: {
      ...problem,
      hands: [...problem.hands.map((hand) => ({ ...hand, shifts: later(hand.shifts) })), ...standIns],
      open: openFrom(later(problem.open), shiftS, rests),
      machines: problem.machines.map((machine) => {
        const rest = on.get(machine.id);
        const from = rest ? shiftS - rest.begunS - machine.loadS : shiftS;
        const down: Interval[] = from > 0 ? [[0, from], ...later(machine.down)] : later(machine.down);
        return { ...machine, threaded: rest?.threaded ?? machine.threaded, down };
      }),
      jobs: problem.jobs.map((job) => {
        const rest = of.get(job.id);
        return rest ? { ...rest, releaseAt: 0, dueAt: released(job).dueAt } : released(job);
      }),
      chores: problem.chores.map(released),
    },
    first: running.map((piece) => piece.job),
    shiftS,
  };
}

/** What is left of a running piece's run. */
interface Rest {
  readonly machine: PlanningMachine;
  readonly job: Job;
  /** What the needles hold; those that hold nothing of use have a name of their own. */
  readonly threaded: readonly (string | null)[];
  /** So long before the given start its present stretch is said to have begun. */
  readonly begunS: number;
  readonly endsAt: number;
}

function restOf(job: Job, piece: RunningPiece, machine: PlanningMachine): Rest {
  const sewn = Math.min(job.parts.length, Math.max(1, piece.sewnParts));
  const endsAt = Math.max(0, Math.ceil(piece.stretchEndsAt));
  const rest = job.parts.slice(sewn);
  const { colour } = job.parts[sewn - 1]!;
  const sewing = withColour(machine, colour);
  const threaded = rest.length === 0 ? sewing : allNamed(sewing, machine, colour);
  const held =
    rest.length === 0 ? [] : threaded.filter((one, n) => one !== colour && !machine.fixed.includes(n + 1));
  const changesS = held.length * machine.colourChangeS;
  const seconds = Math.max(endsAt, Math.ceil(changesS));
  const stitches = Math.max(0, Math.floor(((seconds - changesS) * machine.stitchesPerMinute) / 60));
  const parts = [{ colour, stitches }, ...held.map((one) => ({ colour: one!, stitches: 0 })), ...rest];
  return {
    machine,
    threaded,
    begunS: seconds - endsAt,
    endsAt,
    job: { ...job, parts, trims: rest.length > 0 ? job.trims : 0, machines: [piece.machine], hoopS: 0 },
  };
}

/** What a machine has on its needles; the colour it sews now is there, whatever was written down. */
function withColour(machine: PlanningMachine, colour: string): (string | null)[] {
  const threaded = [...machine.threaded];
  if (threaded.includes(colour)) return threaded;
  const free = [...threaded.keys()].filter((n) => !machine.fixed.includes(n + 1));
  const needle = free.find((n) => threaded[n] === null) ?? free[0];
  if (needle !== undefined) threaded[needle] = colour;
  return threaded;
}

/** Each free needle with a colour of its own: empty ones and second copies get a name that no design asks for. */
function allNamed(threaded: readonly (string | null)[], machine: PlanningMachine, sewn: string): string[] {
  const isFree = (n: number) => !machine.fixed.includes(n + 1);
  const seen = new Set(threaded.filter((_, n) => !isFree(n)));
  const keeper = seen.has(sewn) ? -1 : threaded.findIndex((colour, n) => colour === sewn && isFree(n));
  if (keeper >= 0) seen.add(sewn);
  return threaded.map((colour, n) => {
    if (n === keeper || (!isFree(n) && colour !== null)) return colour!;
    if (colour !== null && !seen.has(colour)) {
      seen.add(colour);
      return colour;
    }
    return `(${machine.id}, needle ${n + 1})`;
  });
}

/** The open hours from the first present stretch on; a shop that is shut now goes on with what it sews. */
function openFrom(open: readonly Interval[], shiftS: number, rests: readonly Rest[]): Interval[] {
  const from = Math.min(...rests.map((rest) => shiftS - rest.begunS));
  const until = Math.max(from + 1, ...rests.map((rest) => shiftS + rest.endsAt));
  const touching = open.filter(([start]) => start <= until);
  const end = touching.reduce((last, interval) => Math.max(last, interval[1]), until);
  return [[from, end], ...open.filter(([start]) => start > until)];
}

/** The plan with each begun piece in the frame it is in: frames of a kind are equal, so their numbers may change places. */
export function withFramesAsTheyAre(plan: Plan, framed: readonly FramedPiece[]): Plan {
  const renamed = new Map<string, string>();
  for (const piece of framed) {
    const got = plan.runs.find((run) => run.job === piece.job)?.hoop;
    if (!got || piece.hoop === null || kindOf(got) !== kindOf(piece.hoop)) continue;
    const now = renamed.get(got) ?? got;
    if (now === piece.hoop) continue;
    const other = [...renamed].find(([, to]) => to === piece.hoop)?.[0] ?? piece.hoop;
    renamed.set(got, piece.hoop);
    renamed.set(other, now);
  }
  if (renamed.size === 0) return plan;
  return {
    ...plan,
    runs: plan.runs.map((run) => ({
      ...run,
      hoop: run.hoop === null ? null : (renamed.get(run.hoop) ?? run.hoop),
    })),
  };
}

const kindOf = (hoop: string): string => hoop.slice(0, hoop.lastIndexOf("/"));

/**
 * A plan of the derived problem as people see it: by the given problem's clock, without stand-ins, a running piece's
 * run with its own parts and from when it really began (before 0, then).
 */
export function planAsSeen(
  given: Problem,
  running: readonly RunningPiece[],
  shiftS: number,
  plan: Plan,
): Plan {
  if (running.length === 0) return plan;
  const hands = new Set(given.hands.map((hand) => hand.id));
  const pieces = new Map(running.map((piece) => [piece.job, piece]));
  const jobs = new Map(given.jobs.map((job) => [job.id, job]));
  const machines = new Map(given.machines.map((machine) => [machine.id, machine]));
  return {
    ...plan,
    runs: plan.runs.map((run) => {
      const piece = pieces.get(run.job);
      const stretches = run.stretches.map((one) => ({
        ...one,
        start: one.start - shiftS,
        end: one.end - shiftS,
      }));
      if (!piece) return { ...run, stretches };
      const { parts } = jobs.get(run.job)!;
      const sewn = Math.min(parts.length, Math.max(1, piece.sewnParts));
      // The derived run has the last sewn part, then one for each needle held, then what is still to come.
      const held = run.needles.length - 1 - (parts.length - sewn);
      const partOf = (part: number) => (part <= held ? sewn - 1 : sewn + part - held - 1);
      const { threaded } = machines.get(run.machine)!;
      const needles = parts.map((part, index) => {
        if (index >= sewn) return run.needles[held + 1 + index - sewn]!;
        const on = threaded.indexOf(part.colour) + 1;
        return index === sewn - 1 || on === 0 ? run.needles[0]! : on;
      });
      return {
        ...run,
        needles,
        stretches: stretches.map((one, index) => ({
          from: index === 0 ? 0 : partOf(one.from),
          to: partOf(one.to),
          start: index === 0 ? Math.min(one.start, piece.begunAt ?? one.start) : one.start,
          end: one.end,
        })),
      };
    }),
    tasks: plan.tasks.flatMap((task) => {
      const isPast = !hands.has(task.hand) || (task.start < shiftS && task.end <= shiftS);
      const noHooping = task.do === "hoop" && task.job !== undefined && pieces.has(task.job);
      return isPast || noHooping ? [] : [{ ...task, start: task.start - shiftS, end: task.end - shiftS }];
    }),
    totals: { ...plan.totals, finishAt: Math.max(0, plan.totals.finishAt - shiftS) },
    bounds: { ...plan.bounds, finishAt: Math.max(0, plan.bounds.finishAt - shiftS) },
  };
}
