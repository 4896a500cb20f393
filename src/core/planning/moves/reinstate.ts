import { assign, type Move, shift } from "./move";

/** A job that was left out for want of time is tried again, further forward and perhaps on another machine. */
export const reinstate: Move = {
  name: "reinstate",
  share: 6,
  apply(candidate, { compiled }, chance) {
    const { order, left } = candidate;
    let from = -1;
    let seen = 0;
    for (let at = 0; at < order.length; at++) {
      const item = order[at]!;
      if (item < compiled.jobs && left[item] === 1 && chance.below(++seen) === 0) from = at;
    }
    if (from < 0) return false;
    const job = order[from]!;
    left[job] = 0;
    const choices = compiled.choices[job]!;
    assign(candidate, job, choices[chance.below(choices.length)]!);
    shift(order, from, chance.below(from + 1));
    return true;
  },
};
