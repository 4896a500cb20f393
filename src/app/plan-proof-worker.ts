import { parentPort, workerData } from "node:worker_threads";
import loadHighs from "highs";
import { type PlanBounds, type Problem, proofModel } from "#core/planning";

/**
 * A thread that proves, beside a search, what no plan can beat: the thorough bounds, then, where there is time, threads
 * against hours as a mixed-integer model, solved by HiGHS. It tells of every better proof, and ends.
 */
export interface ProofOrders {
  readonly problem: Problem;
  /** How long the solver may take; 0 for the thorough bounds alone. */
  readonly seconds: number;
}

/** What no plan can beat that leaves out only what cannot be done. */
export type Proof = PlanBounds;

const { problem, seconds } = workerData as ProofOrders;
const { text, bounds, proven } = proofModel(problem);
const tell = (cost: number): void =>
  parentPort!.postMessage({ ...bounds, cost: Math.max(cost, bounds.cost) } satisfies Proof);
tell(bounds.cost);
if (seconds > 0) await solve();

async function solve(): Promise<void> {
  const highs = await loadHighs();
  const { mipLogging, mipInterrupt } = highs.constants.callbackType;
  let told = -Infinity;
  const hear = (bound: number | undefined): undefined => {
    if (bound === undefined || !Number.isFinite(bound) || bound <= told) return;
    told = bound;
    if (proven(bound) > bounds.cost) tell(proven(bound));
  };
  const model = highs.createModel({ format: "lp", data: text });
  try {
    model.options.set("mip_rel_gap", 0);
    model.options.set("time_limit", seconds);
    model.options.set("log_to_console", false);
    model.run({
      [mipLogging]: ({ data }) => hear(data.mip_dual_bound),
      [mipInterrupt]: ({ data }) => hear(data.mip_dual_bound),
    });
    hear(Number(model.info.get("mip_dual_bound")));
  } finally {
    model.dispose();
  }
}
