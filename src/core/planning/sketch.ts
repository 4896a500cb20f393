import { type Chance, seededChance } from "#core/base";
import { type Candidate, newCandidate } from "./candidate";
import { type Compiled, NEVER } from "./compile";
import { type SketchedMachine, type SketchJudge, sketchJudge } from "./sketch-machine";

/**
 * A sketch of the day: machines by themselves, hands and frames left aside, so that a change touches one or two
 * machines and is judged in some microseconds. What comes of it is a start of the real search; nothing in it is taken
 * for true. In the making or made, it can be posted to a thread as it is.
 */
export interface Sketch {
  /** Each machine's jobs in their order, as annealing has them and at their best. */
  readonly current: readonly Int32Array[];
  readonly best: readonly Int32Array[];
}

export interface Sketching {
  readonly changes: number;
  readonly seed: number;
  /** Heat at the start and the end, in threadings or so. */
  readonly hot: number;
  readonly cold: number;
}

/** Heat of a sketch from nothing. */
export const FIRST_SKETCH = { hot: 0.5, cold: 0.01 };

/** The machines' orders of a candidate; what it leaves out stays out. */
export function beginSketch({ jobs, machines }: Compiled, { order, machine, left }: Candidate): Sketch {
  const own = Array.from({ length: machines }, (): number[] => []);
  for (const item of order) if (item < jobs && left[item] === 0) own[machine[item]!]!.push(item);
  const best = own.map((on) => Int32Array.from(on));
  return { current: best, best };
}

/**
 * Simulated annealing over the machines' orders, with needles chosen with full look-ahead (S. Kirkpatrick, C. D. Gelatt,
 * M. P. Vecchi, Science 220 (1983) 671–680): a job goes to another place, often beside one of like colours, at times with a few that
 * follow it, or changes places with another. `alike` lists for each job those of like colours, likest first.
 */
export function sketchOn(
  compiled: Compiled,
  alike: readonly Int32Array[],
  sketch: Sketch,
  { changes, seed, hot, cold }: Sketching,
): Sketch {
  const { jobs, machines } = compiled;
  const { cost } = compiled.problem;
  const perFinishS = cost.perFinishMinute / 60;
  const judge = judgeOf(compiled);
  const emptyOrder = (): SketchedMachine => ({ order: new Int32Array(jobs), length: 0 });
  const own = Array.from({ length: machines }, emptyOrder);
  const [trialA, trialB] = [emptyOrder(), emptyOrder()];
  const machineOf = new Int32Array(jobs).fill(-1);
  const movable = sketch.current.flatMap((order) => [...order]);
  const worths = new Float64Array(machines);
  const ends = new Float64Array(machines);
  const placeOf = new Int32Array(jobs);
  const may = new Uint8Array(jobs * machines);
  compiled.choices.forEach((choices, job) => choices.forEach((m) => (may[job * machines + m] = 1)));

  /** Keeps a machine's order, alike with the one before it up to place `from`. */
  function take(m: number, { order, length }: SketchedMachine, from: number): void {
    const on = own[m]!;
    for (let at = from; at < length; at++) {
      const job = order[at]!;
      on.order[at] = job;
      machineOf[job] = m;
      placeOf[job] = at;
    }
    on.length = length;
    judge.keep(m, on, from);
    worths[m] = judge.said.worth;
    ends[m] = judge.said.end;
  }
  const takeAll = (orders: readonly Int32Array[]): void =>
    orders.forEach((order, m) => take(m, { order, length: order.length }, 0));

  /** What all machines cost together. */
  function total(): number {
    let sum = 0;
    let last = 0;
    let all = 0;
    for (let m = 0; m < machines; m++) {
      sum += worths[m]!;
      all += ends[m]!;
      if (ends[m]! > last) last = ends[m]!;
    }
    return sum + perFinishS * (last + (EVEN * all) / machines);
  }

  const orders = (): Int32Array[] => own.map(({ order, length }) => order.slice(0, length));
  const chance = seededChance(seed);
  takeAll(sketch.best);
  let best = total();
  let bestOrders = sketch.best;
  takeAll(sketch.current);
  let current = total();
  const unit = cost.perThreading + cost.perFinishMinute + 0.1 * cost.perLateMinute + 1e-6;
  const cooling = Math.log(cold / hot) / changes;
  for (let n = 0; movable.length > 1 && n < changes; n++) {
    const job = movable[chance.below(movable.length)]!;
    const a = machineOf[job]!;
    const at = placeOf[job]!;
    const choices = compiled.choices[job]!;
    const near = alike[job] ?? NOBODY;
    let friend = -1;
    let b = a;
    if (near.length > 0 && chance.below(2) === 0) {
      const share = chance.next();
      friend = near[Math.floor(share * share * near.length)]!;
      b = machineOf[friend]!;
      if (b < 0 || may[job * machines + b] === 0) {
        friend = -1;
        b = a;
      }
    } else if (chance.below(2) !== 0) b = choices[chance.below(choices.length)]!;
    let fromA: number;
    let fromB = 0;
    let swapped = -1;
    if (a === b) fromA = within(own[a]!, at, friend, chance);
    else {
      const other = own[b]!;
      const beside = friend < 0 ? -1 : placeOf[friend]!;
      const place = beside < 0 ? chance.below(other.length + 1) : beside + chance.below(2);
      const partner = place < other.length && chance.below(2) === 0 ? other.order[place]! : -1;
      if (partner >= 0 && may[partner * machines + a] === 1) swapped = partner;
      fromA = at;
      fromB = place;
      across(own[a]!, at, other, place, swapped);
    }
    const limit = current - unit * hot * Math.exp(cooling * n) * Math.log(1 - chance.next());
    // What the other machines cost in any case.
    let rest = 0;
    let last = 0;
    let all = 0;
    for (let m = 0; m < machines; m++) {
      if (m === a || m === b) continue;
      rest += worths[m]!;
      all += ends[m]!;
      if (ends[m]! > last) last = ends[m]!;
    }
    let left = limit - rest - perFinishS * last + 1e-9;
    if (a !== b) {
      if (!judge.judge(b, trialB, fromB, left)) continue;
      const { worth, end } = judge.said;
      left -= worth;
      rest += worth;
      all += end;
      if (end > last) last = end;
    }
    if (!judge.judge(a, trialA, fromA, left)) continue;
    const { worth, end } = judge.said;
    if (end > last) last = end;
    const next = rest + worth + perFinishS * (last + (EVEN * (all + end)) / machines);
    if (next > limit) continue;
    take(a, trialA, fromA);
    if (a !== b) take(b, trialB, fromB);
    current = next;
    if (next < best - 1e-9) {
      best = next;
      bestOrders = orders();
    }
  }

  /** A job, at times a few that follow it, goes elsewhere on its machine, into `trialA`; the first place that changes. */
  function within({ order, length }: SketchedMachine, at: number, friend: number, chance: Chance): number {
    const taken = 1 + (chance.below(3) === 0 ? chance.below(Math.min(6, length - at)) : 0);
    const turned = chance.below(3) === 0;
    const rest = length - taken;
    const to = trialA.order;
    for (let i = 0; i < at; i++) to[i] = order[i]!;
    for (let i = at; i < rest; i++) to[i] = order[i + taken]!;
    let beside = -1;
    if (friend >= 0) for (let i = 0; i < rest && beside < 0; i++) if (to[i] === friend) beside = i;
    const place = beside < 0 ? chance.below(rest + 1) : beside + chance.below(2);
    for (let i = rest - 1; i >= place; i--) to[i + taken] = to[i]!;
    for (let i = 0; i < taken; i++) to[place + i] = order[turned ? at + taken - 1 - i : at + i]!;
    trialA.length = length;
    return Math.min(at, place);
  }

  /** A job goes to a place on another machine, or changes places with the one there, into `trialA` and `trialB`. */
  function across(
    onA: SketchedMachine,
    at: number,
    onB: SketchedMachine,
    place: number,
    swapped: number,
  ): void {
    const job = onA.order[at]!;
    const [toA, toB] = [trialA.order, trialB.order];
    for (let i = 0; i < at; i++) toA[i] = onA.order[i]!;
    for (let i = 0; i < place; i++) toB[i] = onB.order[i]!;
    const gone = swapped < 0 ? 1 : 0;
    if (swapped >= 0) toA[at] = swapped;
    toB[place] = job;
    for (let i = at + 1; i < onA.length; i++) toA[i - gone] = onA.order[i]!;
    for (let i = place + 1 - gone; i < onB.length; i++) toB[i + gone] = onB.order[i]!;
    trialA.length = onA.length - gone;
    trialB.length = onB.length + gone;
  }

  return { current: orders(), best: bestOrders };
}

/** The sketch at its best as a candidate: jobs by their start, chores before they are due. `from`: what it was begun with. */
export function sketchedCandidate(compiled: Compiled, { best }: Sketch, from: Candidate): Candidate {
  const { jobs } = compiled;
  const judge = judgeOf(compiled);
  const startOf = new Float64Array(jobs);
  best.forEach((order, m) => {
    judge.keep(m, { order, length: order.length }, 0);
    judge.startsOf(m, startOf);
  });
  const when = (item: number): number => {
    if (item >= jobs) {
      const due = compiled.due[item]!;
      return Math.max(
        compiled.release[item]!,
        due === NEVER ? 0 : due - 3600 - compiled.choreS[item - jobs]!,
      );
    }
    return from.left[item] === 1 ? NEVER : startOf[item]!;
  };
  const items = [...from.order].sort((p, q) => when(p) - when(q) || p - q);
  const candidate = newCandidate(compiled, items);
  candidate.machine.set(from.machine);
  best.forEach((order, m) => order.forEach((job) => (candidate.machine[job] = m)));
  candidate.left.set(from.left);
  return candidate;
}

const judges = new WeakMap<Compiled, SketchJudge>();

function judgeOf(compiled: Compiled): SketchJudge {
  const judge = judges.get(compiled) ?? sketchJudge(compiled);
  judges.set(compiled, judge);
  return judge;
}

/** What all machines' ends together weigh beside the last. */
const EVEN = 0.02;
const NOBODY = new Int32Array(0);
