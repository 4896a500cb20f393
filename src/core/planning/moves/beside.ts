import { assign, type Move, shift, someJob } from "./move";

/** A job goes beside one with like colours, on its machine. */
export const beside: Move = {
  name: "beside",
  share: 20,
  apply(candidate, { compiled, alike }, chance) {
    const { order } = candidate;
    const from = someJob(order, compiled.jobs, chance);
    if (from < 0) return false;
    const job = order[from]!;
    const near = alike[job]!;
    if (near.length === 0) return false;
    // The first in the list are the most alike: a square law draws them oftener.
    const share = chance.next();
    const friend = near[Math.floor(share * share * near.length)]!;
    const m = candidate.machine[friend]!;
    if (compiled.cuts[job * compiled.machines + m]!.length === 0) return false;
    const at = order.indexOf(friend);
    if (at < 0) return false;
    assign(candidate, job, m);
    let to = at + chance.below(2);
    if (from < to) to--;
    shift(order, from, to);
    return true;
  },
};
