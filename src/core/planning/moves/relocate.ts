import { assign, type Move, placeNear, shift, someJob } from "./move";

/** A job goes elsewhere in the order, at times to another machine. */
export const relocate: Move = {
  name: "relocate",
  share: 24,
  apply(candidate, { compiled }, chance) {
    const { order } = candidate;
    const from = someJob(order, compiled.jobs, chance);
    if (from < 0 || order.length < 2) return false;
    const job = order[from]!;
    const to = placeNear(from, order.length, chance);
    const choices = compiled.choices[job]!;
    const elsewhere = choices.length > 1 && chance.below(3) === 0;
    if (to === from && !elsewhere) return false;
    if (elsewhere) assign(candidate, job, choices[chance.below(choices.length)]!);
    shift(order, from, to);
    return true;
  },
};
