import type { shapes } from "#contract";
import { localTime } from "#core/shop";
import { type Block, type Board, layBoard, type MachineLane } from "#drawing";
import type { ThreadFace } from "../parts/thread-chip";

/** A plan as the page works with it: the board and everything on it by its id. */
export interface Day {
  readonly view: shapes.PlanView;
  readonly board: Board;
  readonly jobs: ReadonlyMap<string, shapes.PlannedJob>;
  readonly chores: ReadonlyMap<string, shapes.PlannedChore>;
  readonly threads: ReadonlyMap<string, ThreadFace>;
  readonly machines: ReadonlyMap<string, shapes.PlanView["machines"][number]>;
  readonly hands: ReadonlyMap<string, shapes.PlanView["hands"][number]>;
  readonly blocks: ReadonlyMap<string, Block>;
  readonly lanes: ReadonlyMap<string, MachineLane>;
  /** Minutes late by job; on time where absent. */
  readonly late: ReadonlyMap<string, number>;
  /** Jobs that stand elsewhere than in the plan before. */
  readonly moved: ReadonlySet<string>;
}

const by = <T>(values: readonly T[], idOf: (value: T) => string) =>
  new Map(values.map((value) => [idOf(value), value]));

export function readDay(view: shapes.PlanView): Day {
  const board = layBoard({
    plan: view.plan,
    machines: view.machines,
    hands: view.hands,
    open: view.open,
    jobs: view.jobs,
  });
  return {
    view,
    board,
    jobs: by(view.jobs, (job) => job.jobId),
    chores: by(view.chores, (chore) => chore.choreId),
    threads: by(view.threads, (thread) => thread.id),
    machines: by(view.machines, (machine) => machine.id),
    hands: by(view.hands, (hand) => hand.id),
    blocks: by(
      board.machines.flatMap((lane) => lane.blocks),
      (block) => block.jobId,
    ),
    lanes: by(board.machines, (lane) => lane.machineId),
    late: new Map(view.headline.late.map((one) => [one.jobId, one.minutes])),
    moved: new Set(view.moved?.why ? view.moved.jobIds : []),
  };
}

export const clockOfMinute = (minute: number): string =>
  `${Math.floor(minute / 60)}:${String(minute % 60).padStart(2, "0")}`;

/** The studio's clock at an instant: "8:05". */
export const clockOf = (timeZone: string, atMs: number): string =>
  clockOfMinute(localTime(timeZone, atMs).minute);

const dayFormats = new Map<string, Intl.DateTimeFormat>();

function dayFormat(long: boolean): Intl.DateTimeFormat {
  const key = String(long);
  const known = dayFormats.get(key);
  if (known) return known;
  const made = new Intl.DateTimeFormat("en-GB", {
    timeZone: "UTC",
    weekday: long ? "long" : "short",
    day: "numeric",
    month: long ? "long" : "short",
  });
  dayFormats.set(key, made);
  return made;
}

/** A calendar date in words: "Wed 25 Nov", long "Wednesday 25 November". */
export const dateWords = (date: string, long = false): string =>
  dayFormat(long)
    .format(new Date(`${date}T00:00:00Z`))
    .replace(",", "");

/** A time of the plan: its clock, with the day where that is not the day of `nowS`. */
export function timeWords(view: shapes.PlanView, seconds: number, nowS?: number): string {
  const at = localTime(view.timeZone, view.startsAtMs + seconds * 1000);
  const here = nowS === undefined ? at : localTime(view.timeZone, view.startsAtMs + nowS * 1000);
  return at.date === here.date
    ? clockOfMinute(at.minute)
    : `${dateWords(at.date)} ${clockOfMinute(at.minute)}`;
}

/** A length of time as people say it: "18 min", "2 h 5 min", "1 day 17 h", "5 days". */
export function lengthWords(seconds: number): string {
  if (seconds < 60) return seconds < 1 ? "nothing" : "under a minute";
  const minutes = Math.round(seconds / 60);
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 24) return minutes % 60 === 0 ? `${hours} h` : `${hours} h ${minutes % 60} min`;
  // From a day on minutes say nothing, from three days on hours do not either.
  const whole = Math.round(minutes / 60);
  if (72 <= whole) return `${Math.round(whole / 24)} days`;
  const days = Math.floor(whole / 24);
  return `${days} ${days === 1 ? "day" : "days"}${whole % 24 === 0 ? "" : ` ${whole % 24} h`}`;
}

/** A product's name inside a sentence: "Hand towel" is a hand towel, "A4 pouch" stays. */
const inSentence = (name: string): string =>
  /^\p{Lu}\p{Ll}/u.test(name) ? name[0]!.toLocaleLowerCase() + name.slice(1) : name;

/** The piece in a sentence: "Juno’s towel", or "the towel with Anchor" where it carries no text of its own. */
export const pieceWords = (job: shapes.PlannedJob): string =>
  job.personalText
    ? `${job.personalText}’s ${inSentence(job.product)}`
    : `the ${inSentence(job.product)} with ${job.title}`;

export const isDone = (state: shapes.PlannedJob["state"]): boolean =>
  state === "done" || state === "packed" || state === "shipped";

/** How a piece stands against the clock. */
export type Standing = "done" | "running" | "unmarked" | "ahead";

export function standingOf(job: shapes.PlannedJob, block: Block, nowS: number): Standing {
  if (isDone(job.state) || (job.state === "finishing" && block.end <= nowS)) return "done";
  if (job.state === "sewing") return "running";
  return block.end <= nowS ? "unmarked" : "ahead";
}

/** One line for those who hear the board: "Juno, swim robe, Gannet, 10:52 to 11:20, on time". */
export function blockWords(day: Day, block: Block, stands: Standing, nowS: number): string {
  const job = day.jobs.get(block.jobId);
  const late = day.late.get(block.jobId);
  const standing = {
    done: "sewn",
    running: "sewing now",
    unmarked: "its time is over, not marked as sewn",
    ahead: "",
  }[stands];
  return [
    job?.title ?? block.jobId,
    job?.product,
    day.machines.get(block.machineId)?.name,
    `${timeWords(day.view, block.start, nowS)} to ${timeWords(day.view, block.end, nowS)}`,
    late === undefined ? "on time" : `late by ${lengthWords(late * 60)}`,
    standing,
    job?.urgency === "first" ? "pulled first" : "",
    day.moved.has(block.jobId) ? "moved" : "",
    block.midStops > 0 ? `${block.midStops} ${block.midStops === 1 ? "mid-stop" : "mid-stops"}` : "",
  ]
    .filter((word) => word !== undefined && word !== "")
    .join(", ");
}
