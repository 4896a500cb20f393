import { bits } from "./count";
import { innerJobs, type Line, partOf } from "./line";

/**
 * The fewest threadings over all orders of one machine's jobs, proven: A* (P. E. Hart, N. J. Nilsson, B. Raphael, IEEE
 * Trans. Systems Science and Cybernetics 4 (1968) 100–107) over the set of jobs done and what can still be on the
 * needles. Instead of one state for each choice of what gives way, a state says what choices are still open: groups
 * of colours by their last use, newest first, with how many of this and all older groups can have stayed on (the
 * spare needles of the jobs since). Colours not asked for again are dropped, bounds that bind nothing join groups, so
 * that states meet. To go, at least: every colour asked for that cannot be on.
 */
export interface ExactCount {
  /** No order needs fewer. */
  readonly atLeast: number;
  /** Whether some order needs no more (`order` when it was found here, null when it was known). */
  readonly proven: boolean;
  /** All jobs of the line. */
  readonly order: Int32Array | null;
}

interface State {
  readonly done: number;
  readonly sum: number;
  readonly sets: readonly number[];
  /** For each group: how many of it and of all older ones can be on. */
  readonly most: readonly number[];
  readonly job: number;
  readonly from: State | null;
}

/**
 * With `known` a count some order has, it is only proven or bettered. After `mostStates` states the bound so far is
 * given. Lines of more than 31 jobs (insides of others aside) or 32 colours are not tried.
 */
export function exactCount(line: Line, mostStates: number, known = Infinity): ExactCount {
  const { inner, beside } = innerJobs(line);
  const part = partOf(line, inner);
  const n = part.jobs;
  const needed = part.colours - part.on.reduce((sum, one) => sum + one, 0);
  if (n === 0) return { atLeast: 0, proven: true, order: Int32Array.from(beside.keys()) };
  if (n > 31 || part.colours > 32) return { atLeast: needed, proven: needed >= known, order: null };
  const own = Array.from({ length: n }, (_, j) => {
    let word = 0;
    for (let e = part.first[j]!; e < part.first[j + 1]!; e++) word |= 1 << part.asked[e]!;
    return word;
  });
  const { needles } = part;
  const all = n === 31 ? 0x7fffffff : (1 << n) - 1;
  let start = 0;
  part.on.forEach((threaded, colour) => threaded && (start |= 1 << colour));

  const open: State[][] = [];
  const push = (state: State, least: number): void => void (open[least] ??= []).push(state);
  const toCome = new Map<number, number>();
  const coloursToCome = (done: number): number => {
    let word = toCome.get(done);
    if (word === undefined) {
      word = 0;
      for (let j = 0; j < n; j++) if ((done & (1 << j)) === 0) word |= own[j]!;
      toCome.set(done, word);
    }
    return word;
  };
  const best = new Map<string, number>();
  const first: State = { done: 0, sum: 0, sets: start === 0 ? [] : [start], most: start === 0 ? [] : [needles], job: -1, from: null }; // prettier-ignore
  push(first, needed);
  let states = 0;
  let least = needed;
  for (; least < known && least < open.length; least++) {
    for (let state = open[least]?.pop(); state; state = open[least]?.pop()) {
      const key = keyOf(state);
      if ((best.get(key) ?? Infinity) < state.sum) continue;
      if (state.done === all)
        return { atLeast: least, proven: true, order: withBeside(state, inner, beside) };
      if (states > mostStates) return { atLeast: least, proven: false, order: null };
      for (let j = 0; j < n; j++) {
        if ((state.done & (1 << j)) !== 0) continue;
        const next = after(state, j);
        const nextLeast = Math.max(least, next.sum + toGo(next));
        if (nextLeast >= known) continue;
        const nextKey = keyOf(next);
        const there = best.get(nextKey);
        if (there !== undefined && there <= next.sum) continue;
        best.set(nextKey, next.sum);
        states++;
        push(next, nextLeast);
      }
    }
  }
  return { atLeast: Math.min(least, known), proven: true, order: null };

  function after(state: State, j: number): State {
    const asked = own[j]!;
    const sets = state.sets.slice();
    const most = state.most.slice();
    let sum = state.sum + bits(asked);
    for (let k = 0; k < sets.length; k++) {
      let hits = sets[k]! & asked;
      while (hits !== 0 && k < sets.length) {
        const bit = hits & -hits;
        hits ^= bit;
        sum--;
        sets[k]! ^= bit;
        for (let older = 0; older <= k; older++) {
          if (--most[older]! > 0) continue;
          // Nothing older than this can be on any more, nor what is left of it.
          sets.length = most.length = older;
          break;
        }
      }
    }
    const done = state.done | (1 << j);
    const later = coloursToCome(done);
    return tidy(done, sum, [asked & later, ...sets.map((set) => set & ~asked & later)], [needles, ...most.map((one) => Math.min(one, needles - bits(asked)))], j, state); // prettier-ignore
  }

  function toGo(state: State): number {
    let on = 0;
    for (let k = state.sets.length - 1; k >= 0; k--) on = Math.min(on + bits(state.sets[k]!), state.most[k]!);
    return bits(coloursToCome(state.done)) - on;
  }
}

/** Groups that bind nothing joined with the newer one beside them, groups that cannot be on dropped. */
function tidy(done: number, sum: number, given: number[], most: number[], job: number, from: State): State {
  const sets: number[] = [];
  const caps: number[] = [];
  let held = 0;
  let older = 0;
  // From the oldest: how many there are from here on, and how many can be on by older bounds.
  for (let k = given.length - 1; k >= 0; k--) {
    let cap = most[k]!;
    for (let newer = 0; newer < k; newer++) if (most[newer]! < cap) cap = most[newer]!;
    if (cap <= 0) {
      sets.length = caps.length = held = older = 0;
      continue;
    }
    older |= given[k]!;
    held += bits(given[k]!);
    const binds = cap < held;
    if (older === 0) continue;
    // Without a bound of its own here the group waits to be joined with the next newer one.
    if (!binds && k > 0) continue;
    sets.push(older);
    caps.push(Math.min(cap, held));
    held = Math.min(cap, held);
    older = 0;
  }
  return { done, sum, sets: sets.reverse(), most: caps.reverse(), job, from };
}

const keyOf = ({ done, sets, most }: State): string => `${done} ${sets.join()} ${most.join()}`;

function withBeside(last: State, inner: readonly number[], beside: Int32Array): Int32Array {
  const order: number[] = [];
  for (let state: State | null = last; state && state.job >= 0; state = state.from)
    order.push(inner[state.job]!);
  return insertBeside(order.reverse(), beside);
}

/** The order of inner jobs with each other job right behind the one it is inside of. */
export function insertBeside(order: readonly number[], beside: Int32Array): Int32Array {
  const all: number[] = [];
  for (const job of order) {
    all.push(job);
    beside.forEach((host, other) => host === job && all.push(other));
  }
  return Int32Array.from(all);
}
