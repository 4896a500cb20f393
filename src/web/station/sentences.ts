import type { shapes } from "#contract";
import type { HandStep, HoopWait, MachineStep, NeedleChange } from "#core/floor";
import { lengthWords, pieceWords } from "../today/day";

/** What to do now, in the trade's words: one sentence to be read from two metres, and what belongs to it. */
export interface Said {
  readonly sentence: string;
  readonly more: string;
  /** What can hurt at this step. */
  readonly cautions: readonly string[];
}

export interface Names {
  readonly nowMs: number;
  readonly job: (jobId: string) => shapes.PlannedJob | undefined;
  readonly chore: (choreId: string) => shapes.PlannedChore | undefined;
  readonly machine: (machineId: string) => string;
  readonly linesUpBy: (machineId: string) => "laser" | "camera" | "eye";
  /** The planned hoop of a job, such as `…/2`. */
  readonly hoop: (jobId: string) => string | null;
  /** Clock of an instant, with the day where it is not today. */
  readonly clock: (atMs: number) => string;
}

/** Common practice, no source; implants: national advice on strong magnets and the hoop's own papers decide. */
export const cautions = {
  needle: "Power off and hands clear before you touch a needle or thread one.",
  start: "Hands clear of the needles before you start.",
  magnetic:
    "Magnetic hoop: it pinches. Keep it away from anyone with a pacemaker or another implant, and from cards and phones.",
  oil: "Power off and hands clear before you touch the hook or an oil point.",
  down: "Leave repairs inside the machine or its wiring to trained people.",
} as const;

export const list = (words: readonly (string | number)[]): string =>
  words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;

const upper = (words: string): string => words.charAt(0).toLocaleUpperCase() + words.slice(1);

/** A piece in a word or two: its personal text, else its design. */
export const shortName = (job: shapes.PlannedJob | undefined): string =>
  job === undefined ? "the piece" : job.personalText || `the ${job.title.toLocaleLowerCase()}`;

const longName = (job: shapes.PlannedJob | undefined): string => (job ? pieceWords(job) : "the piece");

const threading = (needles: readonly NeedleChange[]): string =>
  needles.length === 1
    ? `Thread needle ${needles[0]!.needle}`
    : needles.length <= 5
      ? `Thread needles ${list(needles.map((one) => one.needle))}`
      : `Thread ${needles.length} needles`;

/** "side magnetic, number 2"; empty where the piece takes no hoop. */
export function hoopWords(job: shapes.PlannedJob | undefined, hoop: string | null): string {
  if (!job?.hoopName) return "";
  const number = hoop?.split("/").at(1);
  return `${job.hoopName.toLocaleLowerCase()}${number ? `, number ${number}` : ""}`;
}

const lineUp = {
  laser: "line up on the laser cross",
  camera: "line up with the camera",
  eye: "line up by eye",
};

const isMagnetic = (job: shapes.PlannedJob | undefined): boolean => /magnet/i.test(job?.hoopName ?? "");

const own = (job: shapes.PlannedJob | undefined): string[] => (job?.caution ? [job.caution] : []);

/** What lies under and over the cloth. */
const layers = (job: shapes.PlannedJob | undefined): string[] => [
  ...(job?.backing ? [`${job.backing} under it`] : []),
  ...(job?.topping ? [`${job.topping} on top`] : []),
];

const dotted = (words: readonly string[]): string => upper(words.filter((one) => one !== "").join(" · "));

export function machineWords(step: MachineStep, machineId: string, names: Names): Said {
  const machine = names.machine(machineId);
  const job = "jobId" in step && step.jobId !== null ? names.job(step.jobId) : undefined;
  const hoop = job ? hoopWords(job, names.hoop(job.jobId)) : "";
  switch (step.do) {
    case "thread":
      return {
        sentence: threading(step.needles),
        more: step.inside
          ? `Inside ${longName(job)} · then start it again`
          : `For ${longName(job)} · then ${hoop ? "hoop and load it" : "load it"}`,
        cautions: [cautions.needle],
      };
    case "hoop":
      if (step.waits) return hoopWaiting(step.waits, job, names);
      return {
        sentence: `Hoop ${longName(job)}`,
        more: dotted([hoop, ...layers(job)]),
        cautions: [...(isMagnetic(job) ? [cautions.magnetic] : []), ...own(job)],
      };
    case "load":
      return {
        sentence: `Load ${shortName(job)}`,
        more: dotted([lineUp[names.linesUpBy(machineId)], job ? placement(job) : ""]),
        cautions: [cautions.start, ...(isMagnetic(job) ? [cautions.magnetic] : []), ...own(job)],
      };
    case "start":
      return {
        sentence: `Start ${shortName(job)}`,
        more: job ? dotted([partWords(job), placement(job)]) : "",
        cautions: [cautions.start, ...own(job)],
      };
    case "sewing":
      return sewing(step, job);
    case "mend":
      return mending(step, machine, job);
    case "care": {
      const chore = names.chore(step.choreId);
      const batch = chore !== undefined && chore.pieceIds.length > 0;
      return {
        sentence: chore?.title ?? "See to the machine",
        more: batch
          ? `For order ${chore.orderReference ?? ""}`
          : chore && chore.instructions.length > 0
            ? ""
            : `On ${machine}, before the next piece`,
        cautions: [chore?.caution || (batch ? "" : cautions.oil)].filter(Boolean),
      };
    }
    case "down":
      return {
        sentence: isOpenEnded(step.untilMs, names.nowMs)
          ? `${machine} is down`
          : `${machine} is down until ${names.clock(step.untilMs)}`,
        more: step.why || "The plan goes on with the other machines.",
        cautions: [cautions.down],
      };
    case "idle":
      return { sentence: "Nothing to do", more: `No piece is planned on ${machine}`, cautions: [] };
  }
}

/** No hoop is free for a piece: what it waits for, and what to do meanwhile. */
export function hoopWaiting(
  { heldBy, sewnJobId, meanwhileJobId }: HoopWait,
  job: shapes.PlannedJob | undefined,
  names: Names,
): Said {
  const kind = job?.hoopName ?? "hoop";
  const meanwhile = meanwhileJobId === null ? "" : `meanwhile hoop ${longName(names.job(meanwhileJobId))}`;
  if (sewnJobId !== null)
    return {
      sentence: `Take ${longName(names.job(sewnJobId))} out of its hoop`,
      more: dotted([
        `${upper(shortName(job))} waits for it: no ${kind.toLocaleLowerCase()} is free`,
        meanwhile,
      ]),
      cautions: isMagnetic(job) ? [cautions.magnetic] : [],
    };
  const held = list(heldBy.map((one) => shortName(names.job(one))));
  return {
    sentence: `${upper(shortName(job))} waits for a hoop`,
    more: dotted([`${held} ${heldBy.length === 1 ? "is" : "are"} in ${kind.toLocaleLowerCase()}`, meanwhile]),
    cautions: [],
  };
}

/** "Until somebody says so" is told as an end a year off: nobody plans beyond it. */
export const OPEN_END_MS = 365 * 86_400_000;
export const isOpenEnded = (untilMs: number, nowMs: number): boolean => untilMs - nowMs > OPEN_END_MS / 2;

/** Colours and stitches of a piece. */
export function partWords(job: shapes.PlannedJob): string {
  const colours = new Set(job.parts.map((part) => part.threadId)).size;
  const stitches = job.parts.reduce((sum, part) => sum + part.stitches, 0);
  return `${colours} ${colours === 1 ? "colour" : "colours"}, ${stitches.toLocaleString("en-GB")} stitches`;
}

export const placement = (job: shapes.PlannedJob): string =>
  job.where && job.where !== job.placement ? `${job.placement}: ${job.where}` : job.placement;

function sewing(step: MachineStep & { do: "sewing" }, job: shapes.PlannedJob | undefined): Said {
  const name = shortName(job);
  const over = step.leftS <= 0;
  const stops = step.nextStop !== null;
  const then = stops && step.nextStop.length > 0 ? `${threading(step.nextStop).toLocaleLowerCase()}` : "";
  return {
    sentence: over
      ? stops
        ? `${upper(name)} should stand still now`
        : `${upper(name)} should be sewn now`
      : `Sewing ${name} — ${lengthWords(step.leftS)} ${stops ? "to its stop" : "left"}`,
    more: dotted([
      over && step.leftS < -60 ? `${lengthWords(-step.leftS)} over its time` : "",
      stops ? (then ? `at the stop, ${then}` : "it stops once more") : "then take it off",
    ]),
    cautions: [],
  };
}

function mending(
  step: MachineStep & { do: "mend" },
  machine: string,
  job: shapes.PlannedJob | undefined,
): Said {
  const at = step.needle === null ? "" : ` on needle ${step.needle}`;
  const sentences = {
    "thread-broke": `Thread broke${at}: mend it`,
    bobbin: "Change the bobbin",
    needle: step.needle === null ? "Change the needle" : `Change needle ${step.needle}`,
    threading: "Thread it",
    other: `${machine} stopped: see to it`,
  };
  return {
    sentence: sentences[step.why],
    more: `Then let ${longName(job)} sew on`,
    cautions: [cautions.needle],
  };
}

/** What a pair of hands is to do, named with its machine. */
export function handWords(step: HandStep, names: Names): Said {
  const machine = step.machineId === null ? "" : names.machine(step.machineId);
  const on = machine && ` on ${machine}`;
  const job = "jobId" in step ? names.job(step.jobId) : undefined;
  const hoop = job ? hoopWords(job, names.hoop(job.jobId)) : "";
  switch (step.do) {
    case "hoop":
      return {
        sentence: hoop ? `Hoop ${longName(job)}` : `Make ${longName(job)} ready`,
        more: dotted([hoop, ...layers(job), job ? placement(job) : ""]),
        cautions: [...(isMagnetic(job) ? [cautions.magnetic] : []), ...own(job)],
      };
    case "thread":
      return {
        sentence: `${threading(step.needles)}${on}`,
        more: `For ${longName(job)}`,
        cautions: [cautions.needle],
      };
    case "load":
      return {
        sentence: `Load ${longName(job)}${on}`,
        more: dotted([
          step.machineId === null ? "" : lineUp[names.linesUpBy(step.machineId)],
          job ? placement(job) : "",
        ]),
        cautions: [cautions.start, ...(isMagnetic(job) ? [cautions.magnetic] : [])],
      };
    case "start":
      return {
        sentence: `Start ${longName(job)}${on}`,
        more: "It is loaded.",
        cautions: [cautions.start, ...own(job)],
      };
    case "unload":
      return {
        sentence: `Take ${longName(job)} off${machine && ` ${machine}`}`,
        more: "",
        cautions: [cautions.start],
      };
    case "finish":
      return {
        sentence: `Finish ${longName(job)}`,
        more: "Unhoop, trim, take the backing off, press and check",
        cautions: own(job),
      };
    case "chore": {
      const chore = names.chore(step.choreId);
      const at = step.machineId ?? chore?.machineId ?? null;
      const cares = at !== null;
      return {
        sentence: `${chore?.title ?? "Work besides"}${cares ? ` on ${names.machine(at)}` : ""}`,
        more: chore?.instructions[0] ?? (chore?.orderReference ? `For order ${chore.orderReference}` : ""),
        cautions: [chore?.caution || (cares ? cautions.oil : "")].filter(Boolean),
      };
    }
  }
}

/** What a step waits for: "when Gannet is done". */
export function waitWords(step: HandStep, names: Names): string {
  if (step.waitsFor === "machine" && step.machineId !== null)
    return `when ${names.machine(step.machineId)} is done`;
  if (step.waitsFor === "hooping") return "when it is hooped";
  if (step.waitsFor !== "hoop") return "";
  const [first] = "heldBy" in step ? (step.heldBy ?? []) : [];
  return first === undefined
    ? "when a hoop is free"
    : `when ${shortName(names.job(first))} is out of its hoop`;
}
