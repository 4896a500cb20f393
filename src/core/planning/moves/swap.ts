import { assign, type Move, placeNear, someJob } from "./move";

/** Two jobs take each other's place and machine. */
export const swap: Move = {
  name: "swap",
  share: 18,
  apply(candidate, { compiled }, chance) {
    const { order, machine } = candidate;
    const a = someJob(order, compiled.jobs, chance);
    if (a < 0) return false;
    const b = placeNear(a, order.length, chance);
    const [first, second] = [order[a]!, order[b]!];
    if (a === b || second >= compiled.jobs) return false;
    const [m, k] = [machine[first]!, machine[second]!];
    if (m !== k) {
      if (compiled.cuts[first * compiled.machines + k]!.length === 0) return false;
      if (compiled.cuts[second * compiled.machines + m]!.length === 0) return false;
      assign(candidate, first, k);
      assign(candidate, second, m);
    }
    order[a] = second;
    order[b] = first;
    return true;
  },
};
