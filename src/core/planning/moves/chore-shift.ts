import { type Move, placeNear, shift } from "./move";

/** A chore goes elsewhere in the order. */
export const choreShift: Move = {
  name: "chore shift",
  share: 6,
  apply(candidate, { compiled }, chance) {
    const { order } = candidate;
    if (compiled.chores === 0 || order.length < 2) return false;
    const chore = compiled.jobs + chance.below(compiled.chores);
    const from = order.indexOf(chore);
    if (from < 0) return false;
    const to = placeNear(from, order.length, chance);
    if (to === from) return false;
    shift(order, from, to);
    return true;
  },
};
