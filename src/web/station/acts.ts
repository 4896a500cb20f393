import type { shapes } from "#contract";
import type { MachineStep } from "#core/floor";
import { list, shortName } from "./sentences";
import type { Draft } from "./use-floor";

/** What the large buttons of a station do: pure, from the step to the events it tells. */
export interface Act {
  readonly words: string;
  /** What is told, and how it reads afterwards. */
  readonly draft: Draft;
  readonly told: string;
}

interface Around {
  readonly machineId: string;
  readonly machine: string;
  readonly job: shapes.PlannedJob | null;
  /** The planned run of the job. */
  readonly run: { readonly hoop: string | null; readonly needles: readonly number[] } | null;
  readonly chore: shapes.PlannedChore | null;
  readonly threadCode: (threadId: string) => string;
}

const upper = (words: string): string => words.charAt(0).toLocaleUpperCase() + words.slice(1);

const of = (job: shapes.PlannedJob) => ({ pieceId: job.pieceId, jobId: job.jobId });

/** The one act of a step: the green button. Null where there is none. */
export function mainAct(step: MachineStep, around: Around): Act | null {
  const { machineId, machine, job, run, chore, threadCode } = around;
  const name = upper(shortName(job ?? undefined));
  if (step.do === "down")
    return {
      words: "It runs again",
      draft: { kind: "machine-up", machineId },
      told: `${machine} runs again`,
    };
  if (step.do === "care") return chore && careAct(chore, machineId);
  if (!job) return null;
  switch (step.do) {
    case "thread":
      return threadAct(step.needles, machineId, threadCode);
    case "hoop":
      // No hoop is free: the act is the one that frees it, told of the piece that is in it.
      if (step.waits) return null;
      return {
        words: "Hooped",
        draft: { kind: "hooped", ...of(job), hoop: run?.hoop ?? null },
        told: `${name} hooped`,
      };
    case "load":
      return { words: "Loaded", draft: { kind: "loaded", ...of(job), machineId }, told: `${name} loaded` };
    case "start":
      return { words: "Start", draft: startDraft(around, job), told: `${name} started` };
    case "mend":
      return { words: "Sewing again", draft: startDraft(around, job), told: `${name} sews again` };
    case "sewing":
      return step.nextStop === null
        ? doneAct(machineId, job)
        : {
            words: "It stopped for thread",
            draft: { kind: "stopped", ...of(job), machineId, why: "threading", needle: null, note: "" },
            told: `${machine} stopped for thread`,
          };
    default:
      return null;
  }
}

/** A sewn piece comes out of its hoop; the rest of its finishing comes later. */
export const unhoopAct = (job: { readonly pieceId: string; readonly jobId: string }, name: string): Act => ({
  words: "Out of its hoop",
  draft: { kind: "unhooped", pieceId: job.pieceId, jobId: job.jobId },
  told: `${upper(name)} out of its hoop`,
});

export const doneAct = (machineId: string, job: shapes.PlannedJob): Act => ({
  words: "Done",
  draft: { kind: "sewn", ...of(job), machineId },
  told: `${upper(shortName(job))} sewn`,
});

const startDraft = ({ machineId, run }: Around, job: shapes.PlannedJob): Draft => ({
  kind: "started",
  ...of(job),
  machineId,
  needles: run ? [...run.needles] : undefined,
});

/** Needles threaded, all of a step's or one by one. */
export function threadAct(
  needles: readonly { readonly needle: number; readonly to: string }[],
  machineId: string,
  threadCode: (threadId: string) => string,
): Act {
  const told =
    needles.length === 1
      ? `Needle ${needles[0]!.needle} threaded with ${threadCode(needles[0]!.to)}`
      : `Needles ${list(needles.map((one) => one.needle))} threaded`;
  return {
    words: "Threaded",
    draft: {
      kind: "threaded",
      machineId,
      needles: needles.map(({ needle, to }) => ({ needle, threadId: to })),
    },
    told,
  };
}

/** A chore done: care at a machine, a needle changed, or a batch of sewn goods. */
export function careAct(chore: shapes.PlannedChore, machineId: string | null): Act | null {
  const at = machineId ?? chore.machineId;
  if (at !== null && chore.needle !== null)
    return {
      words: "Changed",
      draft: {
        kind: "needle-changed",
        machineId: at,
        needle: chore.needle,
        why: "worn",
        sizeNm: null,
        point: null,
      },
      told: `Needle ${chore.needle} changed`,
    };
  if (at !== null && chore.ruleId !== null)
    return {
      words: "Done",
      draft: { kind: "care-done", machineId: at, ruleId: chore.ruleId, note: "" },
      told: `${chore.title}: done`,
    };
  if (chore.pieceIds.length > 0)
    return {
      words: "Sewn",
      draft: { kind: "batch-done", choreId: chore.choreId, pieceIds: [...chore.pieceIds] },
      told: `${chore.title}: sewn`,
    };
  return null;
}
