import type { Chance } from "#core/base";
import type { Job, Plan, Problem } from "./problem";
import type { problemWhileRunning } from "./running";
import { type RunningPiece, withFramesAsTheyAre } from "./running";

/** A floor on which a plan is carried out and things happen, for the planner's tests and benches. */
export interface Floor {
  /** What is left to plan. */
  readonly problem: Problem;
  readonly running: RunningPiece[];
}

/** What the floor knows at a time of a plan that is carried out as it stands, and what is left to plan then. */
export function standingAt(problem: Problem, plan: Plan, nowS: number): Floor {
  const ended = (id: string, what: string) =>
    plan.tasks.some((task) => task.job === id && task.do === what && task.end <= nowS);
  const begun = (id: string, what: string) =>
    plan.tasks.some((task) => task.job === id && task.do === what && task.start < nowS);
  const running: RunningPiece[] = [];
  for (const run of plan.runs) {
    if (!begun(run.job, "load") || ended(run.job, "unload")) continue;
    const stretch = run.stretches.filter((one) => one.start <= nowS).at(-1) ?? run.stretches[0]!;
    running.push({
      job: run.job,
      machine: run.machine,
      hoop: run.hoop,
      sewnParts: stretch.to + 1,
      stretchEndsAt: Math.max(0, stretch.end - nowS),
    });
  }
  const back = (intervals: readonly (readonly [number, number])[]) =>
    intervals.map(([from, to]) => [Math.max(0, from - nowS), to - nowS] as const).filter(([, to]) => to > 0);
  const machines = problem.machines.map((own) => {
    const threaded = [...own.threaded];
    for (const task of plan.tasks)
      if (task.do === "thread" && task.machine === own.id && task.end <= nowS)
        threaded[task.needle! - 1] = task.colour!;
    return { ...own, threaded, down: back(own.down) };
  });
  const later = <T extends { releaseAt: number; dueAt: number | null }>(one: T): T => ({
    ...one,
    releaseAt: Math.max(0, one.releaseAt - nowS),
    dueAt: one.dueAt === null ? null : one.dueAt - nowS,
  });
  return {
    running,
    problem: {
      ...problem,
      machines,
      hands: problem.hands.map((hand) => ({ ...hand, shifts: back(hand.shifts) })),
      open: back(problem.open),
      jobs: problem.jobs.filter((one) => !ended(one.id, "unload")).map(later),
      chores: problem.chores
        .filter((one) => !plan.tasks.some((task) => task.chore === one.id && task.start < nowS))
        .map(later),
    },
  };
}

/** What can happen on a floor. */
export const happenings = [
  "nothing",
  "rush order",
  "machine down for an hour",
  "person gone",
  "piece spoiled",
  "pieces late",
  "piece early",
] as const;
export type Happening = (typeof happenings)[number];

/** The floor after it has happened; the floor as it was where it cannot happen. */
export function after(what: Happening, floor: Floor, chance: Chance, newJob: () => Job): Floor {
  const { problem } = floor;
  const running = [...floor.running];
  if (what === "rush order") return { running, problem: { ...problem, jobs: [...problem.jobs, newJob()] } };
  if (what === "machine down for an hour") {
    const idle = problem.machines.filter((own) => !running.some((piece) => piece.machine === own.id));
    if (idle.length === 0) return floor;
    const stopped = idle[chance.below(idle.length)]!.id;
    const machines = problem.machines.map((own) =>
      own.id === stopped ? { ...own, down: [[0, 3600] as const, ...own.down] } : own,
    );
    return { running, problem: { ...problem, machines } };
  }
  if (what === "person gone") {
    const gone = problem.hands[chance.below(problem.hands.length)]!.id;
    const hands = problem.hands.map((hand) =>
      hand.id === gone
        ? {
            ...hand,
            shifts: hand.shifts
              .map(([from, to]) => [Math.max(2400, from), to] as const)
              .filter(([a, b]) => a < b),
          }
        : hand,
    );
    return { running, problem: { ...problem, hands } };
  }
  if (what === "piece spoiled") {
    // It is sewn from the beginning, in a frame of its own choosing.
    const piece = running.pop();
    if (!piece) return floor;
    const jobs = problem.jobs.map((one) => (one.id === piece.job ? { ...one, id: `${one.id} again` } : one));
    return { running, problem: { ...problem, jobs } };
  }
  if (what === "pieces late" || what === "piece early") {
    const slower = what === "pieces late" ? 1.3 : 0.6;
    return {
      problem,
      running: running.map((piece) => ({
        ...piece,
        stretchEndsAt: Math.round(piece.stretchEndsAt * slower),
      })),
    };
  }
  return floor;
}

/** The new plan and problem by the floor's clock again, without what was before the derived problem's start. */
export function onFloor(
  floor: Floor,
  begun: ReturnType<typeof problemWhileRunning>,
  plan: Plan,
): { problem: Problem; plan: Plan } {
  const cut = -begun.shiftS;
  const runs = new Map(
    floor.running.map((piece) => [piece.job, begun.problem.jobs.find((one) => one.id === piece.job)!]),
  );
  return {
    plan: {
      ...plan,
      runs: withFramesAsTheyAre(plan, floor.running).runs.map((run) => ({
        ...run,
        stretches: run.stretches.map((one) => ({ ...one, start: one.start + cut, end: one.end + cut })),
      })),
      tasks: plan.tasks.map((task) => ({ ...task, start: task.start + cut, end: task.end + cut })),
    },
    problem: {
      ...floor.problem,
      jobs: floor.problem.jobs.map((one) =>
        runs.has(one.id) ? { ...one, parts: runs.get(one.id)!.parts, trims: runs.get(one.id)!.trims } : one,
      ),
    },
  };
}
