import { type Move, someJob } from "./move";

/** A design that must be sewn in several stretches is cut at other places. */
export const recut: Move = {
  name: "recut",
  share: 4,
  apply(candidate, { compiled }, chance) {
    for (let tries = 0; tries < 6; tries++) {
      const at = someJob(candidate.order, compiled.jobs, chance);
      if (at < 0) return false;
      const job = candidate.order[at]!;
      const cuts = compiled.cuts[job * compiled.machines + candidate.machine[job]!]!.length;
      if (cuts < 2) continue;
      candidate.cut[job] = (candidate.cut[job]! + 1 + chance.below(cuts - 1)) % cuts;
      return true;
    }
    return false;
  },
};
