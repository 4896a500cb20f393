import type { Finding } from "#core/base";
import type { Interval, Job, Plan, PlanningMachine, PlanTask, PlanTotals, Problem, Run } from "./problem";

/**
 * Judges a plan against its problem, rule by rule as docs/formats/problem.md states them, and works its totals out
 * anew. It is written apart from the search and shares nothing with it but the shapes, so that a slip in one shows in
 * the other. It believes nothing the plan says of itself.
 */
export interface Verdict {
  /** Every rule broken; empty for a sound plan. */
  readonly findings: readonly Finding[];
  readonly totals: PlanTotals;
}

interface Occupied {
  readonly start: number;
  readonly end: number;
  readonly what: string;
}

interface Court {
  readonly problem: Problem;
  readonly plan: Plan;
  readonly jobs: ReadonlyMap<string, Job>;
  readonly machines: ReadonlyMap<string, PlanningMachine>;
  readonly findings: Finding[];
  readonly tasksOfJob: Map<string, PlanTask[]>;
  /** What takes each hand, machine (as a whole) and frame. */
  readonly hands: Map<string, Occupied[]>;
  readonly occupation: Map<string, Occupied[]>;
  readonly frames: Map<string, Occupied[]>;
  /** What happens on each machine, waiting left out. */
  readonly happenings: Map<string, Occupied[]>;
  readonly threadingsOf: Map<string, { run: Run; start: number; end: number; perStretch: PlanTask[][] }[]>;
  threadings: number;
  midStops: number;
}

const SEWN = ["hoop", "load", "unload", "unhoop", "finish"] as const;

export function checkPlan(problem: Problem, plan: Plan): Verdict {
  const court: Court = {
    problem,
    plan,
    jobs: new Map(problem.jobs.map((job) => [job.id, job])),
    machines: new Map(problem.machines.map((machine) => [machine.id, machine])),
    findings: [],
    tasksOfJob: new Map(),
    hands: new Map(),
    occupation: new Map(),
    frames: new Map(),
    happenings: new Map(),
    threadingsOf: new Map(),
    threadings: 0,
    midStops: 0,
  };
  everythingOnce(court);
  tasksInShifts(court);
  const seen = new Set<string>();
  for (const run of plan.runs) {
    if (seen.has(run.job)) fault(court, "job-twice", `Job ${run.job} has two runs.`);
    else judgeRun(court, run);
    seen.add(run.job);
  }
  for (const job of court.tasksOfJob.keys()) {
    if (!seen.has(job)) fault(court, "task-without-run", `Job ${job} has tasks but no run.`);
  }
  choresInTime(court);
  for (const [hand, own] of court.hands) apart(court, own, "hand-overlap", `Hand ${hand}`);
  for (const [machine, own] of court.occupation) apart(court, own, "machine-overlap", `Machine ${machine}`);
  for (const [frame, own] of court.frames) apart(court, own, "frame-overlap", `Frame ${frame}`);
  nothingWhileDown(court);
  needlesHoldColours(court);
  const totals = totalsOf(court);
  statedTruly(court, totals);
  return { findings: court.findings, totals };
}

function fault(court: Court, code: string, message: string): void {
  court.findings.push({ code, level: "stop", message });
}

function push<T>(map: Map<string, T[]>, key: string, value: T): void {
  const own = map.get(key);
  if (own) own.push(value);
  else map.set(key, [value]);
}

const liesIn = (intervals: readonly Interval[], start: number, end: number): boolean =>
  intervals.some(([from, to]) => from <= start && end <= to);

function everythingOnce(court: Court): void {
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

function tasksInShifts(court: Court): void {
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

const nameOf = (task: PlanTask): string => `The ${task.do} of ${task.job ?? task.chore ?? "nothing"}`;

function judgeRun(court: Court, run: Run): void {
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

function judgeThreading(
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

function choresInTime(court: Court): void {
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

/** Things that take time must not share a moment; an instant hurts nobody. */
function apart(court: Court, occupied: readonly Occupied[], code: string, who: string): void {
  const lasting = occupied.filter((one) => one.end > one.start).sort((a, b) => a.start - b.start);
  let before: Occupied | null = null;
  for (const one of lasting) {
    if (before && one.start < before.end)
      fault(
        court,
        code,
        `${who}: ${one.what} (${one.start}–${one.end}) overlaps ${before.what} (${before.start}–${before.end}).`,
      );
    if (!before || one.end > before.end) before = one;
  }
}

function nothingWhileDown(court: Court): void {
  for (const machine of court.problem.machines) {
    for (const [from, to] of machine.down) {
      for (const one of court.happenings.get(machine.id) ?? []) {
        if (one.start < to && from < one.end)
          fault(
            court,
            "while-down",
            `${one.what} (${one.start}–${one.end}) happens while ${machine.id} is down (${from}–${to}).`,
          );
      }
    }
  }
}

function needlesHoldColours(court: Court): void {
  for (const machine of court.problem.machines) {
    const on = [...machine.threaded];
    const runs = [...(court.threadingsOf.get(machine.id) ?? [])].sort(
      (a, b) => a.start - b.start || a.end - b.end,
    );
    for (const { run, perStretch } of runs) {
      const job = court.jobs.get(run.job)!;
      run.stretches.forEach((stretch, index) => {
        for (const task of perStretch[index]!) on[(task.needle ?? 0) - 1] = task.colour ?? null;
        for (let part = stretch.from; part <= Math.min(stretch.to, job.parts.length - 1); part++) {
          const needle = run.needles[part] ?? 0;
          const holds = on[needle - 1] ?? null;
          const colour = job.parts[part]!.colour;
          if (holds !== colour)
            fault(
              court,
              "wrong-colour",
              `Part ${part + 1} of job ${job.id} needs ${colour} on needle ${needle} of ${machine.id}, which holds ${holds ?? "nothing"}.`,
            );
        }
      });
    }
  }
}

function totalsOf(court: Court): PlanTotals {
  const { problem, plan } = court;
  const chores = new Map(problem.chores.map((chore) => [chore.id, chore]));
  let lateJobs = 0;
  let lateS = 0;
  let weightedS = 0;
  let finishAt = 0;
  for (const task of plan.tasks) {
    finishAt = Math.max(finishAt, task.end);
    const item =
      task.do === "finish"
        ? court.jobs.get(task.job ?? "")
        : task.do === "chore"
          ? chores.get(task.chore ?? "")
          : undefined;
    if (!item || item.dueAt === null || task.end <= item.dueAt) continue;
    lateJobs++;
    lateS += task.end - item.dueAt;
    weightedS += item.weight * (task.end - item.dueAt);
  }
  const { perLateMinute, perThreading, perMidStop, perFinishMinute } = problem.cost;
  const { threadings, midStops } = court;
  const cost =
    (perLateMinute * weightedS) / 60 +
    perThreading * threadings +
    perMidStop * midStops +
    (perFinishMinute * finishAt) / 60;
  return { cost, threadings, midStops, lateJobs, lateMinutes: lateS / 60, finishAt };
}

function statedTruly(court: Court, totals: PlanTotals): void {
  for (const key of ["cost", "threadings", "midStops", "lateJobs", "lateMinutes", "finishAt"] as const) {
    const told = court.plan.totals[key];
    if (!(Math.abs(told - totals[key]) <= 0.01 + 1e-6 * Math.abs(totals[key])))
      fault(court, "totals-untrue", `The plan states ${key} as ${told}; it is ${totals[key]}.`);
  }
  for (const key of ["cost", "threadings", "finishAt"] as const) {
    const bound = court.plan.bounds[key];
    if (!(bound <= totals[key] + 0.01))
      fault(
        court,
        "bound-broken",
        `The bound of ${key}, ${bound}, lies above the plan's own ${totals[key]}.`,
      );
  }
}
