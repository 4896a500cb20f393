import { parentPort, workerData } from "node:worker_threads";
import loadHighs from "highs";
import { type Problem, proofModel } from "#core/planning";

/**
 * A thread that proves, beside a longer search, what no plan can beat: threads against hours as a mixed-integer model,
 * solved by HiGHS for the seconds given. It tells of every better proof, and ends.
 */
export interface ProofOrders {
  readonly problem: Problem;
  readonly seconds: number;
}

/** What every plan costs that leaves out only what cannot be done. */
export interface Proof {
  readonly cost: number;
}

const { problem, seconds } = workerData as ProofOrders;
const port = parentPort!;
const startedMs = performance.now();
const { text, proven } = proofModel(problem);
const highs = await loadHighs();
const { mipLogging, mipInterrupt } = highs.constants.callbackType;

let told = -Infinity;
function tell(bound: number | undefined): undefined {
  if (bound === undefined || !Number.isFinite(bound) || bound <= told) return;
  told = bound;
  port.postMessage({ cost: proven(bound) } satisfies Proof);
}

const model = highs.createModel({ format: "lp", data: text });
try {
  const left = seconds - (performance.now() - startedMs) / 1000;
  model.options.set("mip_rel_gap", 0);
  model.options.set("time_limit", Math.max(0.1, left));
  model.options.set("log_to_console", false);
  model.run({
    [mipLogging]: ({ data }) => tell(data.mip_dual_bound),
    [mipInterrupt]: ({ data }) => tell(data.mip_dual_bound),
  });
  tell(Number(model.info.get("mip_dual_bound")));
} finally {
  model.dispose();
}
