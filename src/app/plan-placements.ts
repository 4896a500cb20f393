import type { Plan, Problem } from "#core/planning";
import type { MadeProblem } from "./plan-problem";
import { groupedBy } from "./records";

/**
 * A piece with several placements is one physical thing: it can be in one hoop at a time. The planning problem
 * knows jobs, not pieces, so a plan that has two runs of a piece overlap is sent back with the later run released
 * only when the earlier is finished.
 */

interface Overlap {
  readonly earlier: string;
  readonly later: string;
  /** When the earlier run is finished, seconds of the plan. */
  readonly freeAt: number;
}

/** The span in which a job has its piece: from hooping to the end of finishing. Plans here are by the studio's clock. */
function spansOf(plan: Plan): Map<string, { start: number; end: number }> {
  const spans = new Map<string, { start: number; end: number }>();
  for (const task of plan.tasks) {
    if (task.job === undefined || task.do === "thread") continue;
    const span = spans.get(task.job);
    if (!span) spans.set(task.job, { start: task.start, end: task.end });
    else {
      span.start = Math.min(span.start, task.start);
      span.end = Math.max(span.end, task.end);
    }
  }
  return spans;
}

function overlaps(made: MadeProblem, plan: Plan): Overlap[] {
  const spans = spansOf(plan);
  const found: Overlap[] = [];
  for (const jobs of groupedBy(made.context.jobs, (job) => job.pieceId).values()) {
    if (jobs.length < 2) continue;
    const placed = jobs
      .flatMap(({ jobId }) => (spans.has(jobId) ? [{ jobId, ...spans.get(jobId)! }] : []))
      .sort((a, b) => a.start - b.start);
    for (let index = 1; index < placed.length; index++) {
      const [before, after] = [placed[index - 1]!, placed[index]!];
      if (after.start < before.end)
        found.push({ earlier: before.jobId, later: after.jobId, freeAt: before.end });
    }
  }
  return found;
}

/** The problem with later placements released after earlier ones, or null where no piece is in two hoops at once. */
export function keepPlacementsApart(made: MadeProblem, plan: Plan): MadeProblem | null {
  const found = overlaps(made, plan);
  if (found.length === 0) return null;
  const releases = new Map(found.map(({ later, freeAt }) => [later, freeAt]));
  const jobs = made.problem.jobs.map((job): Problem["jobs"][number] => ({
    ...job,
    releaseAt: Math.max(job.releaseAt, releases.get(job.id) ?? 0),
  }));
  return { ...made, problem: { ...made.problem, jobs } };
}

/** The problem without the later placements that still overlap; they are left out with the reason. */
export function leaveSecondPlacements(made: MadeProblem, plan: Plan): MadeProblem {
  const later = new Set(overlaps(made, plan).map((one) => one.later));
  const left = made.context.jobs.filter((job) => later.has(job.jobId));
  return {
    ...made,
    problem: { ...made.problem, jobs: made.problem.jobs.filter((job) => !later.has(job.id)) },
    context: {
      ...made.context,
      jobs: made.context.jobs.filter((job) => !later.has(job.jobId)),
      leftOut: [
        ...made.context.leftOut,
        ...left.map((job) => ({
          pieceId: job.pieceId,
          pieceCode: job.pieceCode,
          title: job.title,
          product: job.product,
          shipBy: job.shipBy,
          why: `${job.placement} waits until its other placement is sewn`,
          advice: "It comes into the next plan.",
        })),
      ],
    },
  };
}
