import { type Chance, seededChance } from "#core/base";
import { type Candidate, newCandidate } from "./candidate";
import { type Compiled, NEVER } from "./compile";
import { cutTables } from "./tables";
import { emptyThreadCount, threadCounter } from "./threads-before";

/**
 * A sketch of the day: machines by themselves, hands and frames left aside, so that a change touches one or two
 * machines and is judged in microseconds. Simulated annealing over each machine's order with needles chosen with full
 * look-ahead (S. Kirkpatrick, C. D. Gelatt, M. P. Vecchi, Science 220 (1983) 671–680). What it finds is one start of
 * the real search; nothing in it is taken for true.
 */
export function sketchCandidate(
  compiled: Compiled,
  alike: readonly Int32Array[],
  from: Candidate,
  {
    changes,
    seed = 0x5ce7c,
    heat = 1,
  }: { readonly changes: number; readonly seed?: number; readonly heat?: number },
): Candidate {
  const { jobs, machines } = compiled;
  const { cost } = compiled.problem;
  const tables = cutTables(compiled);
  const countOn = threadCounter(compiled);
  const plan = emptyThreadCount(compiled);
  const orders = Array.from({ length: machines }, () => [] as number[]);
  const machineOf = Int32Array.from(from.machine);
  for (const item of from.order)
    if (item < jobs && from.left[item] === 0) orders[machineOf[item]!]!.push(item);
  const movable = orders.flat();
  const chores = [...compiled.doable].filter((item) => item >= jobs);
  const startOf = new Float64Array(jobs);
  const ends = new Float64Array(machines);
  const worth = new Float64Array(machines);

  /** The end of a machine's day and what its threadings, stops and lateness cost; starts are written down. */
  function judge(m: number): { end: number; cost: number } {
    const own = orders[m]!;
    plan.length = own.length;
    for (let at = 0; at < own.length; at++) plan.key[at] = own[at]! << 4;
    countOn(m, plan);
    let clock = 0;
    let lateS = 0;
    let stretch = 0;
    for (const job of own) {
      const cut = tables.base[job * machines + m]!;
      const sewn = tables.first[cut]!;
      const stretches = tables.first[cut + 1]! - sewn;
      clock += plan.before[stretch]! * compiled.threadS[m]!;
      clock = Math.max(clock, compiled.release[job]! + compiled.hoopS[job]!);
      startOf[job] = clock;
      clock += compiled.loadS[m]!;
      for (let s = 0; s < stretches; s++, stretch++) {
        if (s > 0) clock += plan.before[stretch]! * compiled.threadS[m]!;
        clock = sewnAt(m, clock, tables.stretchS[sewn + s]!);
      }
      clock += compiled.unloadS[m]!;
      const late =
        clock * PACE + compiled.unhoopS[job]! + compiled.finishS[job]! + SLACK_S - compiled.due[job]!;
      if (late > 0) lateS += compiled.weight[job]! * late;
    }
    return {
      end: clock,
      cost:
        cost.perThreading * plan.threadings +
        cost.perMidStop * plan.midStops +
        (cost.perLateMinute * lateS) / 60,
    };
  }

  function sewnAt(m: number, at: number, seconds: number): number {
    const starts = compiled.sewStart[m]!;
    const stops = compiled.sewEnd[m]!;
    for (let i = 0; i < starts.length; i++) {
      const start = Math.max(at, starts[i]!);
      if (start + seconds <= stops[i]!) return start + seconds;
    }
    return at + seconds + 1e6; // no day left for it
  }

  const total = (): number => {
    let sum = 0;
    let last = 0;
    let all = 0;
    for (let m = 0; m < machines; m++) {
      sum += worth[m]!;
      all += ends[m]!;
      if (ends[m]! > last) last = ends[m]!;
    }
    return sum + (cost.perFinishMinute * (last + (0.02 * all) / machines)) / 60;
  };
  const refresh = (m: number): void => {
    const judged = judge(m);
    ends[m] = judged.end;
    worth[m] = judged.cost;
  };

  for (let m = 0; m < machines; m++) refresh(m);
  const chance = seededChance(seed);
  let current = total();
  let best = current;
  let bestOrders = orders.map((own) => [...own]);
  const hot = heat * (cost.perThreading + cost.perFinishMinute + 0.1 * cost.perLateMinute) + 1e-6;
  for (let n = 0; movable.length > 1 && n < changes; n++) {
    const temperature = hot * Math.pow(0.01, n / changes);
    const job = movable[chance.below(movable.length)]!;
    const a = machineOf[job]!;
    const before = orders[a]!;
    const at = before.indexOf(job);
    const choices = compiled.choices[job]!;
    const near = alike[job] ?? NOBODY;
    let friend = -1;
    let b = a;
    if (near.length > 0 && chance.below(2) === 0) {
      const share = chance.next();
      friend = near[Math.floor(share * share * near.length)]!;
      b = machineOf[friend]!;
      if (b < 0 || from.left[friend] === 1 || !choices.includes(b)) {
        friend = -1;
        b = a;
      }
    } else if (chance.below(2) !== 0) b = choices[chance.below(choices.length)]!;
    const other = orders[b]!;
    const [keptA, keptB] = [before.slice(), other.slice()];
    const [endA, endB, worthA, worthB] = [ends[a]!, ends[b]!, worth[a]!, worth[b]!];
    const swapped = change(chance, job, at, a, b, friend);
    refresh(a);
    if (b !== a) refresh(b);
    const next = total();
    if (next <= current - temperature * Math.log(1 - chance.next())) {
      current = next;
      if (next < best - 1e-9) {
        best = next;
        bestOrders = orders.map((own) => [...own]);
      }
      continue;
    }
    orders[a] = keptA;
    orders[b] = keptB;
    machineOf[job] = a;
    if (swapped >= 0) machineOf[swapped] = b;
    ends[a] = endA;
    worth[a] = worthA;
    ends[b] = endB;
    worth[b] = worthB;
  }

  /** A job, at times a few that follow it, goes elsewhere; or it changes places with another. The job swapped, −1 for none. */
  function change(chance: Chance, job: number, at: number, a: number, b: number, friend: number): number {
    const own = orders[a]!;
    const other = orders[b]!;
    if (a === b) {
      const length = 1 + (chance.below(3) === 0 ? chance.below(Math.min(6, own.length - at)) : 0);
      const taken = own.splice(at, length);
      if (chance.below(3) === 0) taken.reverse();
      const beside = friend < 0 ? -1 : own.indexOf(friend);
      const to = beside < 0 ? chance.below(own.length + 1) : beside + chance.below(2);
      own.splice(to, 0, ...taken);
      return -1;
    }
    const beside = friend < 0 ? -1 : other.indexOf(friend);
    const place = beside < 0 ? chance.below(other.length + 1) : beside + chance.below(2);
    const partner = place < other.length && chance.below(2) === 0 ? other[place]! : -1;
    machineOf[job] = b;
    if (partner >= 0 && compiled.choices[partner]!.includes(a)) {
      own[at] = partner;
      other[place] = job;
      machineOf[partner] = a;
      return partner;
    }
    own.splice(at, 1);
    other.splice(place, 0, job);
    return -1;
  }

  orders.splice(0, machines, ...bestOrders);
  for (let m = 0; m < machines; m++) {
    refresh(m);
    for (const job of orders[m]!) machineOf[job] = m;
  }
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
  const leftOut = [...from.order].filter((item) => item < jobs && from.left[item] === 1);
  const items = [...movable, ...leftOut, ...chores].sort((p, q) => when(p) - when(q) || p - q);
  const candidate = newCandidate(compiled, items);
  candidate.machine.set(machineOf);
  candidate.left.set(from.left);
  return candidate;
}

/** Hands are not always at once where they are wanted: the day goes slower, and a piece is wanted before it is due. */
const PACE = 1.08;
const SLACK_S = 600;
const NOBODY = new Int32Array(0);
