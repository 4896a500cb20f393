import type { shapes } from "#contract";
import { type BoardTask, joinLikeTasks, type TaskGroup } from "#drawing";
import { type Day, pieceWords, timeWords } from "./day";

export interface Step {
  readonly handName: string;
  readonly group: TaskGroup;
  readonly begun: boolean;
  /** "thread needle 4 on Heron: off teal T14, on rust R03", as one says it to a person. */
  readonly telling: string;
}

export interface NextThing {
  readonly step: Step;
  readonly then: string | null;
  /** What the others do meanwhile, a sentence each. */
  readonly meanwhile: readonly string[];
  readonly caution: string | null;
}

/** How far a piece's state says that its tasks are over: tasks of a lower rank need not be told again. */
const rankOfTask: Record<BoardTask["do"], number> = {
  hoop: 0,
  thread: 1,
  load: 1,
  unload: 2,
  unhoop: 3,
  finish: 3,
  chore: 9,
};
const doneBelow: Partial<Record<shapes.PlannedJob["state"], number>> = {
  hooped: 1,
  sewing: 2,
  finishing: 3,
  done: 4,
  packed: 4,
  shipped: 4,
  spoiled: 4,
  cancelled: 4,
};

function isOver(day: Day, task: BoardTask): boolean {
  const job = task.job === undefined ? undefined : day.jobs.get(task.job);
  if (!job) return false;
  const block = day.blocks.get(job.jobId);
  // A threading at a mid-stop is still to come while the piece sews.
  const midStop = task.do === "thread" && block !== undefined && task.start >= block.sewStart;
  return (midStop ? 2 : rankOfTask[task.do]) < (doneBelow[job.state] ?? 0);
}

const list = (words: readonly string[]) =>
  words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;

function threadWords(day: Day, id: string | null | undefined): string {
  const thread = id === null || id === undefined ? undefined : day.threads.get(id);
  return thread ? `${thread.name} ${thread.code}` : (id ?? "");
}

function threading(day: Day, group: TaskGroup): string {
  const first = group.tasks[0]!;
  const lane = day.lanes.get(first.machine ?? "");
  const puts = (lane?.ticks ?? []).filter((tick) => tick.jobId === first.job).flatMap((tick) => tick.puts);
  const each = group.tasks.map((task) => {
    const put = puts.find((one) => one.needle === task.needle && one.on === task.colour);
    const off = put?.off ? `off ${threadWords(day, put.off)}, ` : "";
    return { needle: String(task.needle), words: `${off}on ${threadWords(day, task.colour)}` };
  });
  const machine = day.machines.get(first.machine ?? "")?.name ?? first.machine;
  if (each.length === 1) return `thread needle ${each[0]!.needle} on ${machine}: ${each[0]!.words}`;
  return `thread needles ${list(each.map((one) => one.needle))} on ${machine}: ${each.map((one) => `${one.needle} ${one.words}`).join("; ")}`;
}

/** What a task asks of a person, after the person's name. */
export function telling(day: Day, group: TaskGroup): string {
  const task = group.tasks[0]!;
  if (task.do === "chore") {
    const chore = day.chores.get(task.chore ?? "");
    const machine = chore?.machineId ? day.machines.get(chore.machineId)?.name : undefined;
    return `${chore?.title ?? task.chore}${machine ? ` on ${machine}` : ""}`;
  }
  const job = day.jobs.get(task.job ?? "");
  const piece = job ? pieceWords(job) : (task.job ?? "");
  const machine =
    day.machines.get(task.machine ?? day.blocks.get(task.job ?? "")?.machineId ?? "")?.name ?? "";
  const number = day.blocks
    .get(task.job ?? "")
    ?.run.hoop?.split("/")
    .at(-1);
  switch (task.do) {
    case "hoop":
      return job?.hoopName
        ? `hoop ${piece} in ${job.hoopName}${number ? `, number ${number}` : ""}`
        : `make ${piece} ready`;
    case "thread":
      return threading(day, group);
    case "load":
      return `load ${piece} on ${machine}`;
    case "unload":
      return `take ${piece} off ${machine}`;
    case "unhoop":
      return `unhoop ${piece}`;
    case "finish":
      return `press, check and pack ${piece}`;
  }
}

/** "load x" as said of somebody: "loads x". */
function said(words: string): string {
  return words
    .replace(/^(thread|hoop|load|take|unhoop|make)\b/, "$1s")
    .replace(/^press, check and pack/, "presses, checks and packs");
}

const needleCaution = "Stop the machine and keep hands clear before you reach for a needle.";
const magnetCaution =
  "Magnetic hoops pinch, and can disturb implanted medical devices: keep them away from anyone who has one.";

/** The very next thing for a person to do; null when nothing of the plan is left. */
export function nextThing(day: Day, nowS: number): NextThing | null {
  const queues = day.board.hands
    .map((lane) => ({
      name: day.hands.get(lane.handId)?.name ?? lane.handId,
      groups: joinLikeTasks(lane.tasks.filter((task) => nowS < task.end && !isOver(day, task))),
    }))
    .filter(({ groups }) => groups.length > 0);
  const begins = ({ groups }: (typeof queues)[number]) => Math.max(nowS, groups[0]!.start);
  const lead = queues.reduce<(typeof queues)[number] | null>(
    (best, one) => (best === null || begins(one) < begins(best) ? one : best),
    null,
  );
  if (lead === null) return null;
  const group = lead.groups[0]!;
  const following = lead.groups[1];
  const soon = following !== undefined && following.start - group.end < 1800;
  const job = day.jobs.get(group.tasks[0]!.job ?? "");
  return {
    step: { handName: lead.name, group, begun: group.start <= nowS, telling: telling(day, group) },
    then: soon ? telling(day, following) : null,
    meanwhile: queues
      .filter((one) => one !== lead && one.groups[0]!.start <= Math.max(nowS, group.end))
      .map((one) =>
        one.groups[0]!.tasks[0]!.do === "chore"
          ? `${one.name} has ${telling(day, one.groups[0]!)}`
          : `${one.name} ${said(telling(day, one.groups[0]!)).replace(/:.*$/, "")}`,
      ),
    caution:
      group.tasks[0]!.do === "thread"
        ? needleCaution
        : group.tasks[0]!.do === "hoop" && /magnet/i.test(job?.hoopName ?? "")
          ? magnetCaution
          : null,
  };
}

/** Pieces whose time on the machine is over and that nobody has marked. */
export function unmarkedJobs(day: Day, nowS: number): shapes.PlannedJob[] {
  return day.view.jobs.filter((job) => {
    const block = day.blocks.get(job.jobId);
    return (
      block !== undefined &&
      block.end <= nowS &&
      (job.state === "ready" || job.state === "hooped" || job.state === "sewing")
    );
  });
}

export const whenWords = (day: Day, step: Step, nowS: number): string =>
  step.begun ? "" : `At ${timeWords(day.view, step.group.start, nowS)}, `;
