import { boundsApart } from "./bounds";
import { compile } from "./compile";
import { coverModel } from "./cover-model";
import type { PlanBounds, Problem } from "./problem";

/** A model for a general solver, and what its bound proves. */
export interface ProofModel {
  /** In the CPLEX LP format; its objective is minimised. */
  readonly text: string;
  /** The thorough bounds, which it is made from. */
  readonly bounds: PlanBounds;
  /** What every plan costs that leaves out only what cannot be done at all, by a bound the solver has proven. */
  proven(bound: number): number;
}

/** A solver's rows hold to a millionth only, and a row is in seconds: so much of a threading is taken off. */
const SLACK = 1e-4;

/**
 * Threads against hours as a mixed-integer model (`cover-model.ts`) for a solver that is given some seconds. Lateness is
 * not in the model, so what it costs at least is added.
 */
export function proofModel(problem: Problem): ProofModel {
  const compiled = compile(problem);
  const nothing = new Set<number>();
  const { cost, threadings, finishAt, lateness } = boundsApart(compiled, nothing, "thorough");
  const { text, constant } = coverModel(compiled, nothing, finishAt);
  return {
    text,
    bounds: { cost, threadings, finishAt },
    proven: (bound) => {
      const sum = lateness + constant + bound;
      return sum - SLACK * (1 + Math.abs(sum) / 1000);
    },
  };
}
