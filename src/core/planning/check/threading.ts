import type { PlanningMachine, PlanTask, Run } from "../problem";
import { type Court, fault, push } from "./court";

/** A run's threadings: each on a free needle, before loading or at a stop, one after the other. */
export function judgeThreading(
  court: Court,
  run: Run,
  machine: PlanningMachine,
  own: readonly PlanTask[],
  load: PlanTask,
  unload: PlanTask,
): void {
  const threads = own
    .filter((task) => task.do === "thread")
    .sort((a, b) => a.start - b.start || a.end - b.end);
  const start = threads.reduce((least, task) => Math.min(least, task.start), load.start);
  const perStretch: PlanTask[][] = run.stretches.map(() => []);
  let clock = -1;
  for (const task of threads) {
    const what = `Threading ${task.colour} for job ${run.job}`;
    if (task.end - task.start !== machine.threadS)
      fault(court, "task-length", `${what} lasts ${task.end - task.start} s, not ${machine.threadS} s.`);
    if (task.machine !== machine.id)
      fault(court, "thread-machine", `${what} is on ${task.machine}, not ${machine.id}.`);
    if (task.colour === undefined)
      fault(court, "thread-colour", `A threading of job ${run.job} names no colour.`);
    const needle = task.needle ?? 0;
    if (needle < 1 || needle > machine.needles)
      fault(court, "needle-unknown", `${what} is on needle ${task.needle} of ${machine.needles}.`);
    if (machine.fixed.includes(needle))
      fault(court, "needle-fixed", `${what} is on needle ${needle}, which keeps its thread.`);
    if (task.start < clock)
      fault(court, "thread-overlap", `${what} overlaps another threading on ${machine.id}.`);
    clock = Math.max(clock, task.end);
    const stop = run.stretches.findIndex((stretch, index) => {
      const opens = index === 0 ? start : run.stretches[index - 1]!.end;
      const closes = index === 0 ? load.start : stretch.start;
      return opens <= task.start && task.end <= closes;
    });
    if (stop < 0) fault(court, "thread-while-sewing", `${what} lies neither before loading nor at a stop.`);
    else perStretch[stop]!.push(task);
    push(court.happenings, machine.id, { start: task.start, end: task.end, what });
  }
  perStretch.forEach((tasks, index) => {
    if (index > 0 && tasks.length === 0)
      fault(
        court,
        "stop-without-threading",
        `Stretch ${index + 1} of job ${run.job} follows a stop at which nothing is threaded.`,
      );
  });
  court.threadings += threads.length;
  court.midStops += Math.max(0, run.stretches.length - 1);
  push(court.occupation, machine.id, { start, end: unload.end, what: `the run of ${run.job}` });
  push(court.threadingsOf, machine.id, { run, start, end: unload.end, perStretch });
}
