import { assign, type Move, placeNear, someJob } from "./move";

/**
 * A few jobs that follow each other on one machine change places with a few of another machine that take about as long:
 * what the exchange of chains is to vehicle routes (É. Taillard, P. Badeau, M. Gendreau, F. Guertin, J.-Y. Potvin,
 * Transportation Science 31 (1997) 170–186). The machines' loads stay nearly as they are, so colours can change
 * machine without the day's end paying for it on the way.
 */
export const exchange: Move = {
  name: "exchange",
  share: 12,
  apply(candidate, { compiled, workS }, chance) {
    const { jobs, machines } = compiled;
    if (machines < 2) return false;
    const { order, machine } = candidate;
    const at = someJob(order, jobs, chance);
    if (at < 0) return false;
    const a = machine[order[at]!]!;
    const near = placeNear(at, order.length, chance);
    let b = -1;
    let start = near;
    for (; start < order.length; start++) {
      const item = order[start]!;
      if (item < jobs && machine[item] !== a) {
        b = machine[item]!;
        break;
      }
    }
    if (b < 0) return false;
    const most = 1 + chance.below(4);
    const first: number[] = [];
    let firstS = 0;
    for (let p = at; p < order.length && first.length < most; p++) {
      const item = order[p]!;
      if (item >= jobs || machine[item] !== a) continue;
      if (compiled.cuts[item * machines + b]!.length === 0) break;
      first.push(p);
      firstS += workS[item * machines + b]!;
    }
    const second: number[] = [];
    let secondS = 0;
    for (let p = start; p < order.length && second.length < MOST; p++) {
      const item = order[p]!;
      if (item >= jobs || machine[item] !== b) continue;
      if (compiled.cuts[item * machines + a]!.length === 0) break;
      const own = workS[item * machines + b]!;
      // One more only while that comes nearer to what the other chain takes.
      if (second.length > 0 && secondS + own / 2 > firstS) break;
      second.push(p);
      secondS += own;
    }
    if (first.length === 0 || second.length === 0) return false;
    const gone = new Set([...first, ...second]);
    const there = [first.map((p) => order[p]!), second.map((p) => order[p]!)] as const;
    for (const job of there[0]) assign(candidate, job, b);
    for (const job of there[1]) assign(candidate, job, a);
    if (chance.below(4) === 0) there[chance.below(2)]!.reverse();
    const made: number[] = [];
    for (let p = 0; p < order.length; p++) {
      if (p === first[0]) made.push(...there[1]);
      if (p === second[0]) made.push(...there[0]);
      if (!gone.has(p)) made.push(order[p]!);
    }
    order.set(made);
    return true;
  },
};

/** Jobs of a chain at most. */
const MOST = 6;
