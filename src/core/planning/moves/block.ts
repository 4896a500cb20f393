import { assign, type Move, placeNear, someJob } from "./move";

/** A few jobs that follow each other on one machine go elsewhere together, at times to another machine. */
export const block: Move = {
  name: "block",
  share: 12,
  apply(candidate, { compiled }, chance) {
    const { order, machine } = candidate;
    const from = someJob(order, compiled.jobs, chance);
    if (from < 0) return false;
    const m = machine[order[from]!]!;
    const most = 2 + chance.below(5);
    const taken: number[] = [];
    const rest: number[] = [];
    for (let at = 0; at < order.length; at++) {
      const item = order[at]!;
      if (at >= from && taken.length < most && item < compiled.jobs && machine[item] === m) taken.push(item);
      else rest.push(item);
    }
    if (rest.length === 0) return false;
    const to = Math.min(rest.length, placeNear(from, order.length, chance));
    if (compiled.machines > 1 && chance.below(3) === 0) {
      const other = chance.below(compiled.machines);
      for (const job of taken) {
        if (compiled.cuts[job * compiled.machines + other]!.length > 0) assign(candidate, job, other);
      }
    }
    if (chance.below(4) === 0) taken.reverse();
    for (let at = 0; at < to; at++) order[at] = rest[at]!;
    for (let at = 0; at < taken.length; at++) order[to + at] = taken[at]!;
    for (let at = to; at < rest.length; at++) order[at + taken.length] = rest[at]!;
    return true;
  },
};
