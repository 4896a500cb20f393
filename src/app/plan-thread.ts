import type { Worker, WorkerOptions } from "node:worker_threads";
import { startThread } from "./threads";

/** Starts one thread of the planner. */
export const startPlanThread = (workerData: unknown, options: WorkerOptions = {}): Worker =>
  startThread("plan-worker", workerData, options);
