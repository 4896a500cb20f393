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
 * The clock is put back by one loading. In that while only stand-ins are there, one for each running piece with
 * just the time to load it: what really happened earlier. At the given start all running pieces are loaded and
 * sewing; each is pinned to its machine, in its frame, hooping done, with its present stretch cut to the time it still takes
 * and its later parts after it. Everything else is released at the given start. Wished first, a running piece can
 * only be loaded by a stand-in, hence it goes on; its unloading, unhooping and finishing are planned like others.
 * A machine must not have two running pieces, nor be down while its piece is said to sew.
 */
export function problemWhileRunning(problem: Problem, running: readonly RunningPiece[]): ProblemWhileRunning {
  if (running.length === 0) return { problem, first: [], shiftS: 0 };
  const on = new Map(running.map((piece) => [piece.machine, piece]));
  const of = new Map(running.map((piece) => [piece.job, piece]));
  const machineOf = new Map(problem.machines.map((machine) => [machine.id, machine]));
  if (on.size < running.length) throw new RangeError("A machine has one running piece at most.");
  const shiftS = Math.max(1, ...running.map((piece) => machineOf.get(piece.machine)!.loadS));
  const later = (intervals: readonly Interval[]): Interval[] =>
    intervals
      .filter(([, end]) => end > 0)
      .map(([from, end]): Interval => [Math.max(0, from) + shiftS, end + shiftS]);

  const machines = problem.machines.map((machine): PlanningMachine => {
    const piece = on.get(machine.id);
    const down = later(machine.down);
    if (!piece) return { ...machine, down: [[0, shiftS], ...down] };
    const colour = sewnColour(problem, piece);
    const spare = shiftS - machine.loadS;
    return {
      ...machine,
      threaded: withColour(machine, colour),
      down: spare > 0 ? [[0, spare], ...down] : down,
    };
  });
  const hands = problem.hands.map((hand) => ({ ...hand, shifts: later(hand.shifts) }));
  const taken = new Set(hands.map((hand) => hand.id));
  const standIns = running.map((piece, at) => {
    let id = `before ${at + 1}`;
    while (taken.has(id)) id = `${id}'`;
    return { id, shifts: [[shiftS - machineOf.get(piece.machine)!.loadS, shiftS] as Interval] };
  });
  const jobs = problem.jobs.map((job): Job => {
    const dueAt = job.dueAt === null ? null : job.dueAt + shiftS;
    const piece = of.get(job.id);
    if (!piece) return { ...job, releaseAt: Math.max(0, job.releaseAt) + shiftS, dueAt };
    return { ...restOf(job, piece, machineOf.get(piece.machine)!), dueAt };
  });
  return {
    problem: {
      ...problem,
      machines,
      hands: [...hands, ...standIns],
      // A shop that is shut now still sews what it sews.
      open: openNow(later(problem.open), shiftS, Math.max(...running.map((piece) => piece.stretchEndsAt))),
      jobs,
      chores: problem.chores.map((chore) => ({
        ...chore,
        releaseAt: Math.max(0, chore.releaseAt) + shiftS,
        dueAt: chore.dueAt === null ? null : chore.dueAt + shiftS,
      })),
    },
    first: running.map((piece) => piece.job),
    shiftS,
  };
}

const sewnColour = (problem: Problem, piece: RunningPiece): string => {
  const { parts } = problem.jobs.find((job) => job.id === piece.job)!;
  return parts[Math.min(parts.length, Math.max(1, piece.sewnParts)) - 1]!.colour;
};

/** What a machine has on its needles; the colour it sews now is there, whatever was written down. */
function withColour(machine: PlanningMachine, colour: string): (string | null)[] {
  const threaded = [...machine.threaded];
  if (threaded.includes(colour)) return threaded;
  const free = threaded.map((_, n) => n).filter((n) => !machine.fixed.includes(n + 1));
  const needle = free.find((n) => threaded[n] === null) ?? free[0];
  if (needle !== undefined) threaded[needle] = colour;
  return threaded;
}

function restOf(job: Job, piece: RunningPiece, machine: PlanningMachine): Job {
  const sewn = Math.min(job.parts.length, Math.max(1, piece.sewnParts));
  const seconds = Math.max(0, Math.ceil(piece.stretchEndsAt));
  const now = {
    colour: job.parts[sewn - 1]!.colour,
    stitches: Math.floor((seconds * machine.stitchesPerMinute) / 60),
  };
  const rest = job.parts.slice(sewn);
  return {
    ...job,
    parts: [now, ...rest],
    trims: rest.length > 0 ? job.trims : 0,
    machines: [piece.machine],
    releaseAt: 0,
    hoopS: 0,
  };
}

function openNow(open: readonly Interval[], from: number, seconds: number): Interval[] {
  const first = open[0];
  if (first && first[0] <= from && first[1] >= from + seconds) return [...open];
  const until = from + Math.max(1, seconds);
  return [
    [from, Math.max(until, first && first[0] <= until ? first[1] : until)],
    ...open.filter(([start]) => start > until),
  ];
}

/** The plan with each running piece in the frame it is in: frames of a kind are equal, so their numbers may change places. */
export function withFramesAsTheyAre(plan: Plan, running: readonly RunningPiece[]): Plan {
  const renamed = new Map<string, string>();
  for (const piece of running) {
    const got = plan.runs.find((run) => run.job === piece.job)?.hoop;
    if (!got || piece.hoop === null) continue;
    const now = renamed.get(got) ?? got;
    if (now === piece.hoop) continue;
    const other = [...renamed].find(([, to]) => to === piece.hoop)?.[0] ?? piece.hoop;
    renamed.set(got, piece.hoop);
    renamed.set(other, now);
  }
  return {
    ...plan,
    runs: plan.runs.map((run) => ({
      ...run,
      hoop: run.hoop === null ? null : (renamed.get(run.hoop) ?? run.hoop),
    })),
  };
}
