import type { shapes } from "#contract";
import { type Register, registerKey, type RegisterValues, type Run } from "#core/floor";

/**
 * Pieces that were said to be hooped or sewing on their own pages and not at a station stand there all the same: their
 * runs and machines as the plan has them, until a station tells more. What is known from stations is left as it is.
 */
export function withPages(
  view: shapes.PlanView,
  runs: Map<string, Run>,
  registers: Map<string, Register>,
  nowMs: number,
): void {
  const begun = view.jobs.filter((job) => job.state === "hooped" || job.state === "sewing");
  for (const pieceId of new Set(begun.map((job) => job.pieceId))) {
    const own = view.jobs.filter((job) => job.pieceId === pieceId);
    if (own.some((job) => runs.has(job.jobId))) continue;
    // Of several runs of a piece the one planned first is meant, as the plan takes it.
    const [planned] = view.plan.runs
      .filter((run) => own.some((job) => job.jobId === run.job))
      .sort((a, b) => a.stretches[0]!.start - b.stretches[0]!.start);
    if (!planned) continue;
    const sinceMs = Math.min(nowMs, view.startsAtMs + planned.stretches[0]!.start * 1000);
    const sews = own[0]!.state === "sewing" ? { machineId: planned.machine, sinceMs } : null;
    runs.set(planned.job, runOfPage(pieceId, planned, sinceMs, sews));
    if (sews) stand(registers, pieceId, planned.job, sews);
  }
}

interface Sews {
  readonly machineId: string;
  readonly sinceMs: number;
}

const runOfPage = (
  pieceId: string,
  planned: { readonly job: string; readonly hoop: string | null },
  sinceMs: number,
  sews: Sews | null,
): Run => ({
  jobId: planned.job,
  pieceId,
  stage: sews ? "sewing" : "hooped",
  machineId: sews?.machineId ?? null,
  hoop: planned.hoop,
  hoopedAtMs: sinceMs,
  loadedAtMs: sews?.sinceMs ?? null,
  startedAtMs: sews?.sinceMs ?? null,
  endedAtMs: null,
  finishedAtMs: null,
  sewedMs: 0,
  sewingSinceMs: sews?.sinceMs ?? null,
  stops: [],
  facts: null,
});

/** On the machine, unless its station told that something else is on it. */
function stand(registers: Map<string, Register>, pieceId: string, jobId: string, sews: Sews): void {
  const at = { kind: "machine", subject: sews.machineId } as const;
  const known = registers.get(registerKey(at))?.value as RegisterValues["machine"] | undefined;
  if (known && known.doing !== "empty") return;
  registers.set(registerKey(at), {
    ...at,
    atMs: sews.sinceMs,
    eventId: "",
    value: { doing: "sewing", jobId, pieceId, why: null, needle: null },
  });
}
