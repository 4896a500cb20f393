import { handSteps, type HandStep, hoopKindOf, machineStep } from "#core/floor";
import { careAct, doneAct, threadAct, unhoopAct } from "./acts";
import { handWords, type Said, shortName, waitWords } from "./sentences";
import type { Draft, Floor } from "./use-floor";
import type { FloorAnswer } from "./floor-state";

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
    case "start":
      return step.machineId === null
        ? []
        : [
            {
              words: "Start",
              draft: {
                kind: "started",
                ...of,
                machineId: step.machineId,
                needles: run ? [...run.needles] : undefined,
              },
              told: `${name} started on ${floor.names.machine(step.machineId)}`,
            },
          ];
    case "unload":
      return step.machineId === null ? [] : [{ ...doneAct(step.machineId, job), words: "Taken off" }];
    case "finish":
      return [
        { words: "Finished", draft: { kind: "finished", ...of }, told: `${name} finished` },
        ...(hoopKindOf(floor.floor, step.jobId) !== null && !isOut(floor, step.jobId)
          ? [unhoopAct(job, name)]
          : []),
      ];
  }
}

const isOut = ({ floor }: Floor, jobId: string): boolean => floor.runs.get(jobId)?.unhoopedAtMs !== undefined;

export const machineOf = ({ floor }: Floor, jobId: string): string | null =>
  floor.plan.runs.find((one) => one.job === jobId)?.machine ?? null;

/** What is ready to be done: a piece whose time on the machine is over can be taken off. */
export function isReady(step: HandStep, floor: Floor): boolean {
  if (step.do !== "unload" || step.machineId === null) return step.waitsFor === null;
  const at = machineStep(floor.floor, step.machineId, floor.colours);
  return at.do === "sewing" && at.jobId === step.jobId && at.nextStop === null && at.leftS <= 0;
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
  /** What else can be told of it. */
  readonly others: readonly HandAct[];
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
  /** Whether the next thing is begun before its time. */
  readonly begun: "early" | "in time";
}

export function handDay(floor: Floor, { person, away, begun }: HandAsked): HandDay {
  const following = handSteps(floor.floor, person.id, floor.colours);
  const day: HandDay = {
    said: restSaid(floor, following),
    act: null,
    others: [],
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
  const ready = following.find((step) => isReady(step, floor));
  const isFar = ready !== undefined && ready.planned.startMs - floor.floor.nowMs > EARLY_MS;
  const spare = floor.toFinish.find((piece) => !isPlanned(floor, piece.jobId));
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
  const [act, ...others] = stepActs(ready, floor);
  return {
    ...day,
    said,
    step: ready,
    act: act ?? null,
    others,
    jobId: "jobId" in ready ? ready.jobId : null,
    following: following.filter((step) => step !== ready),
  };
}

/** Whose finishing a piece is by the plan. */
export const plannedFinish = ({ floor }: Floor, jobId: string) =>
  floor.plan.tasks.find((task) => task.do === "finish" && task.job === jobId);
const isPlanned = (floor: Floor, jobId: string): boolean => plannedFinish(floor, jobId) !== undefined;

const finishOf = (piece: FloorAnswer["toFinish"][number]): Pick<HandDay, "said" | "act" | "jobId"> => ({
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
