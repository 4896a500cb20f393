import { handSteps, type HandStep, machineStep, onMachine } from "#core/floor";
import { careAct, doneAct, threadAct } from "./acts";
import { cautions, handWords, type Said, shortName, waitWords } from "./sentences";
import type { Draft, Floor } from "./use-floor";
import type { ToFinish } from "./use-finishing";

export interface HandAct {
  readonly words: string;
  readonly draft: Draft;
  readonly told: string;
}

const upper = (words: string): string => words.charAt(0).toLocaleUpperCase() + words.slice(1);

/** What can be told of a step; the first is the large button. */
export function stepActs(step: HandStep, floor: Floor): HandAct[] {
  if (step.do === "chore") {
    const chore = floor.names.chore(step.choreId);
    const act = chore && careAct(chore, step.machineId);
    return act ? [act] : [];
  }
  if (step.do === "thread")
    return [threadAct(step.needles, step.machineId, (id) => floor.threads.get(id)?.code ?? id)];
  const job = floor.jobs.get(step.jobId);
  if (!job) return [];
  const of = { pieceId: job.pieceId, jobId: job.jobId };
  const name = upper(shortName(job));
  const run = floor.floor.plan.runs.find((one) => one.job === job.jobId);
  switch (step.do) {
    case "hoop":
      return [
        {
          words: "Hooped",
          draft: { kind: "hooped", ...of, hoop: run?.hoop ?? null },
          told: `${name} hooped`,
        },
      ];
    case "load":
      return step.machineId === null
        ? []
        : [{ words: "Loaded", draft: { kind: "loaded", ...of, machineId: step.machineId }, told: `${name} loaded` }]; // prettier-ignore
    case "unload":
      return step.machineId === null ? [] : [{ ...doneAct(step.machineId, job), words: "Taken off" }];
    case "finish":
      return [{ words: "Finished", draft: { kind: "finished", ...of }, told: `${name} finished` }];
  }
}

export const machineOf = ({ floor }: Floor, jobId: string): string | null =>
  floor.plan.runs.find((one) => one.job === jobId)?.machine ?? null;

const isHooped = (floor: Floor, jobId: string): boolean =>
  floor.floor.plan.runs.find((one) => one.job === jobId)?.hoop === null ||
  Boolean(floor.floor.runs.get(jobId)?.hoopedAtMs);

/** What is ready to be done: a piece whose time on the machine is over can be taken off. */
export function isReady(step: HandStep, floor: Floor): boolean {
  if (step.do === "load" && !isHooped(floor, step.jobId)) return false;
  if (step.do !== "unload" || step.machineId === null) return step.waitsFor === null;
  const at = machineStep(floor.floor, step.machineId, floor.colours);
  return at.do === "sewing" && at.jobId === step.jobId && at.nextStop === null && at.leftS <= 0;
}

/** A piece that lies on a machine and is not started yet: whoever loaded it starts it. */
function loadedStart(floor: Floor): (HandAct & { jobId: string }) | null {
  for (const machine of floor.answer.machines) {
    const on = onMachine(floor.floor, machine.id);
    const job = on?.doing === "loaded" && on.jobId !== null ? floor.jobs.get(on.jobId) : undefined;
    const run = floor.floor.plan.runs.find((one) => one.job === job?.jobId);
    const loader = floor.floor.plan.tasks.find((task) => task.do === "load" && task.job === job?.jobId);
    // A plan made since has no loading of it: then whoever stands there starts it.
    if (!job || !run || (loader && loader.hand !== floor.personId)) continue;
    if (machineStep(floor.floor, machine.id, floor.colours).do !== "start") continue;
    return {
      jobId: job.jobId,
      words: "Start",
      draft: {
        kind: "started",
        pieceId: job.pieceId,
        jobId: job.jobId,
        machineId: machine.id,
        needles: [...run.needles],
      },
      told: `${upper(shortName(job))} started on ${machine.name}`,
    };
  }
  return null;
}

/** Work planned further off than this is offered, not asked for. */
const EARLY_MS = 30 * 60_000;
/** What may be told ahead of its turn lies within an hour. */
export const SOON_MS = 60 * 60_000;

const awaySaid = (floor: Floor, name: string, away: { readonly untilMs: number }): Said => ({
  sentence: `${name} is away until ${floor.names.clock(away.untilMs)}`,
  more: "The plan goes on with the other hands.",
  cautions: [],
});

function startSaid(floor: Floor, start: { readonly jobId: string }): Said {
  const job = floor.jobs.get(start.jobId);
  const machineId = machineOf(floor, start.jobId);
  return {
    sentence: `Start ${shortName(job)}${machineId ? ` on ${floor.names.machine(machineId)}` : ""}`,
    more: "It is loaded.",
    cautions: [cautions.start],
  };
}

/** With nothing that can be done: what is waited for. */
function restSaid(floor: Floor, steps: readonly HandStep[]): Said {
  const waits = steps[0] && waitWords(steps[0], floor.names);
  return {
    sentence: steps.length === 0 ? "Nothing is planned for you" : "Nothing to do just now",
    more: waits ? `The next thing comes ${waits}.` : "",
    cautions: [],
  };
}

/** A pair of hands in its day: what to do now, what can be told of it, and what follows. */
export interface HandDay {
  readonly said: Said;
  /** The large button; null where there is nothing to tell. */
  readonly act: HandAct | null;
  /** The step it is about, and its piece. */
  readonly step: HandStep | null;
  readonly jobId: string | null;
  /** Planned so much later that it can only be begun early. */
  readonly isFar: boolean;
  readonly following: readonly HandStep[];
}

interface HandAsked {
  readonly person: { readonly id: string; readonly name: string };
  readonly away: { readonly untilMs: number } | null;
  /** Sewn pieces that are nobody's by the plan. */
  readonly finishing: readonly ToFinish[];
  /** Whether the next thing is begun before its time. */
  readonly begun: "early" | "in time";
}

export function handDay(floor: Floor, { person, away, finishing, begun }: HandAsked): HandDay {
  const following = handSteps(floor.floor, person.id);
  const day: HandDay = {
    said: restSaid(floor, following),
    act: null,
    step: null,
    jobId: null,
    isFar: false,
    following,
  };
  if (away)
    return {
      ...day,
      said: awaySaid(floor, person.name, away),
      act: {
        words: "I’m back",
        draft: { kind: "person-back", awayId: person.id },
        told: `${person.name} is back`,
      },
    };
  const start = loadedStart(floor);
  if (start) return { ...day, said: startSaid(floor, start), act: start, jobId: start.jobId };
  const ready = following.find((step) => isReady(step, floor));
  const isFar = ready !== undefined && ready.planned.startMs - floor.floor.nowMs > EARLY_MS;
  const [spare] = finishing;
  if (spare && (!ready || (isFar && begun === "in time"))) return { ...day, ...finishOf(spare) };
  if (!ready) return day;
  const said = handWords(ready, floor.names);
  if (isFar && begun === "in time")
    return {
      ...day,
      isFar,
      said: {
        sentence: `Nothing to do until ${floor.names.clock(ready.planned.startMs)}`,
        more: `Then: ${said.sentence.charAt(0).toLocaleLowerCase()}${said.sentence.slice(1)}`,
        cautions: [],
      },
    };
  return {
    ...day,
    said,
    step: ready,
    act: stepActs(ready, floor)[0] ?? null,
    jobId: "jobId" in ready ? ready.jobId : null,
    following: following.filter((step) => step !== ready),
  };
}

const finishOf = (piece: ToFinish): Pick<HandDay, "said" | "act" | "jobId"> => ({
  said: {
    sentence: `Finish ${piece.title}`,
    more: "Unhoop, trim, take the backing off, press and check",
    cautions: [],
  },
  act: {
    words: "Finished",
    draft: { kind: "finished", pieceId: piece.pieceId, jobId: piece.jobId },
    told: `${piece.title} finished`,
  },
  jobId: piece.jobId,
});
