import { assign, type Move } from "./move";

/** A job leaves the machine that ends last. */
export const rebalance: Move = {
  name: "rebalance",
  share: 8,
  apply(candidate, { compiled, endOf }, chance) {
    let last = -1;
    for (const item of candidate.order) {
      if (item < compiled.jobs && (last < 0 || endOf[item]! > endOf[last]!)) last = item;
    }
    if (last < 0) return false;
    const m = candidate.machine[last]!;
    const own = candidate.order.filter((item) => item < compiled.jobs && candidate.machine[item] === m);
    const job = own[chance.below(own.length)]!;
    const choices = compiled.choices[job]!.filter((other) => other !== m);
    if (choices.length === 0) return false;
    assign(candidate, job, choices[chance.below(choices.length)]!);
    return true;
  },
};
