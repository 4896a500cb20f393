import { type Move, someJob } from "./move";

/** A job's unhooping and finishing get more or less attention. */
export const patience: Move = {
  name: "patience",
  share: 6,
  apply(candidate, { compiled }, chance) {
    const at = someJob(candidate.order, compiled.jobs, chance);
    if (at < 0) return false;
    const job = candidate.order[at]!;
    const most = 2 * compiled.machines + 2;
    const now = candidate.patience[job]!;
    const next = chance.below(4) === 0 ? 0 : chance.below(most + 1);
    if (next === now) return false;
    candidate.patience[job] = next;
    return true;
  },
};
