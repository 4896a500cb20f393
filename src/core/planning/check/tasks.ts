import { type Court, fault, liesIn, nameOf, push } from "./court";

/** Each job and chore is done once or left out with a reason. */
export function everythingOnce(court: Court): void {
  const { problem, plan, jobs } = court;
  const planned = new Set(plan.runs.map((run) => run.job));
  const leftJobs = new Set(plan.unplanned.flatMap((entry) => (entry.job === undefined ? [] : [entry.job])));
  const leftChores = new Set(
    plan.unplanned.flatMap((entry) => (entry.chore === undefined ? [] : [entry.chore])),
  );
  const doneChores = new Map<string, number>();
  for (const task of plan.tasks) {
    if (task.do === "chore") doneChores.set(task.chore ?? "", (doneChores.get(task.chore ?? "") ?? 0) + 1);
  }
  for (const id of jobs.keys()) {
    if (planned.has(id) === leftJobs.has(id))
      fault(
        court,
        "job-not-once",
        `Job ${id} is ${planned.has(id) ? "both planned and left out" : "neither planned nor left out"}.`,
      );
  }
  for (const chore of problem.chores) {
    const times = (doneChores.get(chore.id) ?? 0) + (leftChores.has(chore.id) ? 1 : 0);
    if (times !== 1) fault(court, "chore-not-once", `Chore ${chore.id} is done or left out ${times} times.`);
    doneChores.delete(chore.id);
  }
  for (const id of doneChores.keys()) fault(court, "chore-unknown", `Chore ${id} is not of the problem.`);
  for (const id of planned)
    if (!jobs.has(id)) fault(court, "job-unknown", `Job ${id} is not of the problem.`);
  for (const entry of plan.unplanned) {
    if (entry.why.trim() === "")
      fault(court, "no-reason", `${entry.job ?? entry.chore} is left out without a reason.`);
  }
}

/** Tasks are whole, by hands of the problem, inside their shifts; sorts them by hand and job. */
export function tasksInShifts(court: Court): void {
  const shifts = new Map(court.problem.hands.map((hand) => [hand.id, hand.shifts]));
  for (const task of court.plan.tasks) {
    const what = nameOf(task);
    if (
      !Number.isInteger(task.start) ||
      !Number.isInteger(task.end) ||
      task.start < 0 ||
      task.end < task.start
    )
      fault(court, "task-times", `${what} has the times ${task.start}–${task.end}.`);
    const own = shifts.get(task.hand);
    if (!own) fault(court, "hand-unknown", `${what} is given to ${task.hand}, who is not of the problem.`);
    else if (!liesIn(own, task.start, task.end))
      fault(
        court,
        "outside-shift",
        `${what} (${task.start}–${task.end}) lies outside the shifts of ${task.hand}.`,
      );
    push(court.hands, task.hand, { start: task.start, end: task.end, what });
    if (task.do !== "chore") push(court.tasksOfJob, task.job ?? "", task);
  }
}

/** Chores take their time and wait for their release. */
export function choresInTime(court: Court): void {
  for (const task of court.plan.tasks) {
    if (task.do !== "chore") continue;
    const chore = court.problem.chores.find((entry) => entry.id === task.chore);
    if (!chore) continue;
    if (task.end - task.start !== chore.seconds)
      fault(
        court,
        "task-length",
        `Chore ${chore.id} lasts ${task.end - task.start} s, not ${chore.seconds} s.`,
      );
    if (task.start < chore.releaseAt)
      fault(court, "before-release", `Chore ${chore.id} starts before its release at ${chore.releaseAt}.`);
    if (chore.machine === null) continue;
    const span = { start: task.start, end: task.end, what: `chore ${chore.id}` };
    push(court.occupation, chore.machine, span);
    push(court.happenings, chore.machine, span);
  }
}
