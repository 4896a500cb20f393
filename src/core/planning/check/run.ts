import type { Job, PlanningMachine, PlanTask, Run } from "../problem";
import { type Court, fault, liesIn, nameOf, push } from "./court";
import { judgeThreading } from "./threading";

const SEWN = ["hoop", "load", "unload", "unhoop", "finish"] as const;

/** One run: its tasks, their lengths and order, its stretches, threadings and frame. */
export function judgeRun(court: Court, run: Run): void {
  const job = court.jobs.get(run.job);
  const machine = court.machines.get(run.machine);
  if (!job) return;
  const own = court.tasksOfJob.get(run.job) ?? [];
  if (!machine)
    return fault(
      court,
      "machine-unknown",
      `Job ${job.id} runs on ${run.machine}, which is not of the problem.`,
    );
  if (job.machines !== null && !job.machines.includes(machine.id))
    fault(court, "machine-not-allowed", `Job ${job.id} may not go to ${machine.id}.`);
  const single = new Map<string, PlanTask>();
  for (const kind of SEWN) {
    const found = own.filter((task) => task.do === kind);
    if (found.length !== 1)
      return fault(court, "task-count", `Job ${job.id} has ${found.length} '${kind}' tasks, not one.`);
    single.set(kind, found[0]!);
  }
  const [hoop, load, unload, unhoop, finish] = SEWN.map((kind) => single.get(kind)!) as [
    PlanTask,
    PlanTask,
    PlanTask,
    PlanTask,
    PlanTask,
  ];
  for (const [task, seconds] of [
    [hoop, job.hoopS],
    [load, machine.loadS],
    [unload, machine.unloadS],
    [unhoop, job.unhoopS],
    [finish, job.finishS],
  ] as const) {
    if (task.end - task.start !== seconds)
      fault(court, "task-length", `${nameOf(task)} lasts ${task.end - task.start} s, not ${seconds} s.`);
  }
  if (hoop.start < job.releaseAt)
    fault(
      court,
      "before-release",
      `Job ${job.id} is hooped at ${hoop.start}, before its release at ${job.releaseAt}.`,
    );
  const lastSewn = judgeStretches(court, run, job, machine, load.end);
  const inOrder = [
    hoop.end <= load.start,
    lastSewn <= unload.start,
    unload.end <= unhoop.start,
    unhoop.end <= finish.start,
  ];
  if (inOrder.includes(false))
    fault(court, "out-of-order", `The tasks of job ${job.id} do not follow each other as a run's must.`);
  judgeThreading(court, run, machine, own, load, unload);
  judgeFrame(court, run, job, machine, hoop.start, unhoop.end);
  for (const task of [load, unload])
    push(court.happenings, machine.id, { start: task.start, end: task.end, what: nameOf(task) });
}

/** The end of the last stretch. */
function judgeStretches(
  court: Court,
  run: Run,
  job: Job,
  machine: PlanningMachine,
  loadedAt: number,
): number {
  let part = 0;
  let clock = loadedAt;
  run.stretches.forEach((stretch, index) => {
    const what = `Stretch ${index + 1} of job ${job.id}`;
    if (stretch.from !== part || stretch.to < stretch.from || stretch.to >= job.parts.length)
      fault(
        court,
        "parts-order",
        `${what} sews the parts ${stretch.from}–${stretch.to}; part ${part} is next.`,
      );
    const seconds = sewingSeconds(job, machine, stretch.from, stretch.to, index === run.stretches.length - 1);
    if (stretch.end - stretch.start !== seconds)
      fault(court, "stretch-length", `${what} lasts ${stretch.end - stretch.start} s, not ${seconds} s.`);
    if (stretch.start < clock)
      fault(court, "stretch-early", `${what} starts at ${stretch.start}, before ${clock}.`);
    if (!liesIn(court.problem.open, stretch.start, stretch.end))
      fault(court, "outside-open", `${what} (${stretch.start}–${stretch.end}) lies outside the open hours.`);
    push(court.happenings, machine.id, { start: stretch.start, end: stretch.end, what });
    part = stretch.to + 1;
    clock = stretch.end;
  });
  if (part !== job.parts.length)
    fault(court, "parts-missing", `Job ${job.id}: ${part} of ${job.parts.length} parts are sewn.`);
  if (run.needles.length !== job.parts.length)
    fault(
      court,
      "needles-count",
      `Job ${job.id} names ${run.needles.length} needles for ${job.parts.length} parts.`,
    );
  return clock;
}

/** 60·Σ stitches / speed + changes of colour + trims, rounded up; all trims count in the last stretch. */
function sewingSeconds(job: Job, machine: PlanningMachine, from: number, to: number, last: boolean): number {
  const sewn = job.parts.slice(from, to + 1);
  const stitches = sewn.reduce((sum, part) => sum + part.stitches, 0);
  const changes = sewn.filter((part, index) => index > 0 && part.colour !== sewn[index - 1]!.colour).length;
  const trimming = last ? machine.trimS * job.trims : 0;
  return Math.ceil(
    (60 * stitches) / machine.stitchesPerMinute + machine.colourChangeS * changes + trimming - 1e-9,
  );
}

function judgeFrame(
  court: Court,
  run: Run,
  job: Job,
  machine: PlanningMachine,
  from: number,
  to: number,
): void {
  if (job.hoop === null) {
    if (run.hoop !== null)
      fault(court, "frame-needless", `Job ${job.id} takes the frame ${run.hoop} but needs none.`);
    return;
  }
  const slash = run.hoop === null ? -1 : run.hoop.lastIndexOf("/");
  const kind = run.hoop?.slice(0, Math.max(0, slash));
  const number = Number(run.hoop?.slice(slash + 1));
  const count = court.problem.hoops.find((entry) => entry.id === job.hoop)?.count ?? 0;
  if (kind !== job.hoop || !Number.isInteger(number) || number < 1 || number > count)
    fault(
      court,
      "frame-wrong",
      `Job ${job.id} is in frame ${run.hoop}; it needs one of ${count} ${job.hoop}.`,
    );
  if (!machine.hoops.includes(job.hoop))
    fault(court, "frame-does-not-fit", `${machine.id} does not take the frame ${job.hoop}.`);
  push(court.frames, run.hoop ?? "", { start: from, end: to, what: `job ${job.id}` });
}
