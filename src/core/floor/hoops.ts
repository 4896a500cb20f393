import type { FloorNow } from "./steps";
import type { Run } from "./runs";

/**
 * Which hoops are taken. A piece takes its hoop from when it is hooped until it is told unhooped or finished. Where more
 * are told to be in hoops of a kind than there are, those sewn longest ago are evidently out of theirs.
 */
export type FreeHoop =
  | { readonly free: true }
  /** None is free; who is in them, those that are sewn first: out of its hoop the first of them makes one free. */
  | { readonly free: false; readonly heldBy: readonly string[] };

type Asked = Pick<FloorNow, "plan" | "runs" | "hoops" | "unfinished">;

const kindIn = (hoop: string): string => {
  const cut = hoop.lastIndexOf("/");
  return cut < 0 ? hoop : hoop.slice(0, cut);
};

/** The kind of hoop a job takes; null for none. */
export function hoopKindOf(floor: Asked, jobId: string): string | null {
  const planned = floor.plan.runs.find((run) => run.job === jobId);
  if (planned) return planned.hoop === null ? null : kindIn(planned.hoop);
  const known = floor.unfinished.get(jobId);
  if (known) return known.hoopId;
  const run = floor.runs.get(jobId);
  return run?.facts?.hoopId ?? (run?.hoop ? kindIn(run.hoop) : null);
}

const inIt: ReadonlySet<Run["stage"]> = new Set(["hooped", "loaded", "sewing", "stopped"]);

const isSewnInHoop = (run: Run): boolean => run.stage === "sewn" && run.unhoopedAtMs === undefined;

/** Whether a hoop is free for the job now. A kind nobody has counted is taken for free, so that nothing is held up. */
export function freeHoop(floor: Asked, jobId: string): FreeHoop {
  const kind = hoopKindOf(floor, jobId);
  const count = kind === null ? undefined : floor.hoops.get(kind);
  if (kind === null || count === undefined) return { free: true };
  const planned = new Set(floor.plan.runs.map((run) => run.job));
  const own = [...floor.runs.values()].filter(
    (run) =>
      run.jobId !== jobId &&
      (planned.has(run.jobId) || floor.unfinished.has(run.jobId)) &&
      hoopKindOf(floor, run.jobId) === kind,
  );
  const fast = own.filter((run) => inIt.has(run.stage));
  const sewn = own
    .filter(isSewnInHoop)
    .sort((a, b) => (b.endedAtMs ?? 0) - (a.endedAtMs ?? 0) || (a.jobId < b.jobId ? -1 : 1))
    .slice(0, Math.max(0, count - fast.length));
  if (fast.length + sewn.length < count) return { free: true };
  return { free: false, heldBy: [...sewn.reverse(), ...fast].map((run) => run.jobId) };
}
