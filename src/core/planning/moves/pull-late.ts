import { type Move, shift } from "./move";

/** An item that ends after its due time goes forward in the order. */
export const pullLate: Move = {
  name: "pull late",
  share: 6,
  apply(candidate, { compiled, endOf }, chance) {
    const { order } = candidate;
    let late = -1;
    let seen = 0;
    for (let at = 0; at < order.length; at++) {
      const item = order[at]!;
      if (endOf[item]! > compiled.due[item]! && chance.below(++seen) === 0) late = at;
    }
    if (late < 1) return false;
    shift(
      order,
      late,
      Math.max(0, late - 1 - chance.below(Math.max(1, Math.min(late, 2 + (order.length >> 2))))),
    );
    return true;
  },
};
