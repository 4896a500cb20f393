import type { Plan } from "#core/planning";
import { type MadeProblem, placementsOf } from "./plan-problem";

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

/**
 * A piece with several placements is one physical thing: it can be in one hoop at a time. The planner is asked so
 * (`wishesOf`); the problem's own words, and so its checker, know jobs and not pieces. Hence this look at a finished
 * plan: two jobs that have their piece in hand at once, or null.
 */
export function inTwoHoops(made: MadeProblem, plan: Plan): readonly [string, string] | null {
  const spans = spansOf(plan);
  for (const jobs of placementsOf(made)) {
    const placed = jobs
      .flatMap((id) => (spans.has(id) ? [{ id, ...spans.get(id)! }] : []))
      .sort((a, b) => a.start - b.start);
    for (let at = 1; at < placed.length; at++)
      if (placed[at]!.start < placed[at - 1]!.end) return [placed[at - 1]!.id, placed[at]!.id];
  }
  return null;
}
