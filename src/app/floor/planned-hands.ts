import type { FloorEvent } from "#core/floor";
import type { PlanTask } from "#core/planning";
import type { PlanInForceNow } from "../plans";
import type { PlannedHand } from "./rows";

/** Whose task an event tells of by the plan in force, and when it was planned; null where the plan has no such task. */
export function plannedHand(event: FloorEvent, plan: PlanInForceNow | null): PlannedHand | null {
  if (!plan) return null;
  const tasks = plan.tasks.filter((task) => isOf(task, event));
  const [first] = [...tasks].sort((a, b) => a.start - b.start);
  if (!first) return null;
  const own = tasks.filter((task) => task.hand === first.hand);
  const endS = Math.max(...own.map((task) => task.end));
  return {
    personId: first.hand,
    startMs: plan.startsAtMs + first.start * 1000,
    endMs: plan.startsAtMs + endS * 1000,
  };
}

function isOf(task: PlanTask, event: FloorEvent): boolean {
  switch (event.kind) {
    case "hooped":
      return task.do === "hoop" && task.job === event.jobId;
    case "threaded":
      return (
        task.do === "thread" &&
        task.machine === event.machineId &&
        event.needles.some((one) => one.needle === task.needle && one.threadId === task.colour)
      );
    case "loaded":
      return task.do === "load" && task.job === event.jobId;
    case "sewn":
      return task.do === "unload" && task.job === event.jobId;
    case "finished":
      return (task.do === "unhoop" || task.do === "finish") && task.job === event.jobId;
    case "batch-done":
      return task.do === "chore" && task.chore === event.choreId;
    default:
      return false;
  }
}
