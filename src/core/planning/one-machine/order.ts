import { seededChance } from "#core/base";
import { type Counter, TOO_MANY } from "./count";

/**
 * The order of one machine's jobs with the fewest threadings: simulated annealing (S. Kirkpatrick, C. D. Gelatt, M.
 * P. Vecchi, Science 220 (1983) 671–680) over relocate, block, swap and reverse, on counts that go on from the order
 * in hand and stop as soon as the step must be refused. Orders of equal count are walked freely, which is what gets
 * it across plateaus. It cools in cycles, each twice as long as the one before: the first ones give something at once,
 * the last one takes half of all the time there was. The state can be posted; a round depends on nothing else.
 */
export interface OrderState {
  readonly order: Int32Array;
  readonly best: Int32Array;
  readonly bestCount: number;
  readonly cycle: number;
  /** Steps of this cycle that are done. */
  readonly step: number;
}

/** Steps of the first cycle for each job. */
const FIRST_CYCLE = 500;
const HOT = 0.5;
const COLD = 0.15;

export function startOrder(counter: Counter, order: Int32Array): OrderState {
  return { order, best: order, bestCount: counter.count(order), cycle: 0, step: 0 };
}

/** So many steps on; the same state, steps and seed give the same state. */
export function searchOrder(counter: Counter, state: OrderState, steps: number, seed: number): OrderState {
  const { jobs } = counter.line;
  if (jobs < 2) return state;
  const chance = seededChance(seed);
  let order = state.order.slice();
  let trial = order.slice();
  const best = state.best.slice();
  let { bestCount, cycle, step } = state;
  let count = counter.keep(order, 0);
  let length = cycleSteps(jobs, cycle);
  let heat = HOT;
  for (let n = 0; n < steps; n++, step++) {
    if (step >= length) {
      cycle++;
      step = 0;
      length = cycleSteps(jobs, cycle);
      order.set(best);
      count = counter.keep(order, 0);
    }
    if ((n & 31) === 0) heat = HOT * Math.pow(COLD / HOT, step / length);
    const draw = chance.next();
    const limit = count + Math.floor(-heat * Math.log(1 - draw));
    const a = chance.below(jobs);
    let b = chance.below(jobs - 1);
    if (b >= a) b++;
    const from = a < b ? a : b;
    const to = a < b ? b : a;
    trial.set(order);
    change(trial, order, a, b, chance.below(64));
    const found = counter.test(trial, from, to, limit);
    if (found === TOO_MANY) continue;
    const old = order;
    order = trial;
    trial = old;
    count = counter.keep(order, from);
    if (count >= bestCount) continue;
    bestCount = count;
    best.set(order);
  }
  return { order, best, bestCount, cycle, step };
}

const cycleSteps = (jobs: number, cycle: number): number => FIRST_CYCLE * jobs * 2 ** Math.min(cycle, 20);

/** Writes into `trial` the order with what is between places a and b moved about; nothing outside changes. */
function change(trial: Int32Array, order: Int32Array, a: number, b: number, draw: number): void {
  if (draw < 32) {
    // Some jobs from a on (or up to a) go to b.
    const most = a < b ? b - a : a - b;
    const length = draw < 22 ? 1 : Math.min(most, draw - 20);
    if (a < b) {
      for (let at = a; at <= b - length; at++) trial[at] = order[at + length]!;
      for (let at = 0; at < length; at++) trial[b - length + 1 + at] = order[a + at]!;
    } else {
      for (let at = a; at >= b + length; at--) trial[at] = order[at - length]!;
      for (let at = 0; at < length; at++) trial[b + at] = order[a - length + 1 + at]!;
    }
  } else if (draw < 48) {
    trial[a] = order[b]!;
    trial[b] = order[a]!;
  } else {
    const [from, to] = a < b ? [a, b] : [b, a];
    for (let at = from; at <= to; at++) trial[at] = order[from + to - at]!;
  }
}
