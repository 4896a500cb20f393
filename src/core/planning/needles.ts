import type { Compiled } from "./compile";

/**
 * Which thread goes on which needle, for one machine whose runs stand in a given order.
 *
 * Each stretch of sewing asks that its colours sit on needles all at once; between stretches any number of needles
 * may be re-threaded. Looking ahead over the whole order, a needle that must give way is the one whose colour is
 * asked for again furthest in the future: empty needles first, then second copies, then colours never needed again.
 * That is optimal in the number of threadings for the given stretches (C. S. Tang, E. V. Denardo, Operations
 * Research 36 (1988) 767–777, section 2; for single requests L. A. Belady, IBM Systems Journal 5 (1966) 78–101). A
 * fixed needle's colour is always there and asks for nothing. A stop inside a design must thread something, or it
 * would be no stop: where the look-ahead asks for nothing there, the stretch's first colour is threaded anew.
 *
 * Invariant: after stretch t is served every colour of it has `where` ≥ 0, and `where[c]` names a needle holding c.
 * Work: requirements × needles, no memory is taken after the first call.
 */
export interface NeedlePlan {
  /** The order it was made for: job × 16 + cut, per run. */
  readonly key: Int32Array;
  length: number;
  /** Stretches in order: how many threadings come before each. */
  readonly before: Int32Array;
  stretches: number;
  /** Threadings in order: place among the machine's free needles, and colour. */
  readonly place: Int32Array;
  readonly colour: Int32Array;
  threadings: number;
  midStops: number;
}

export type NeedleRule = "look-ahead" | "least-recently-used";

/** Room for the kernel's work on one problem; one for each search. */
export interface NeedleRoom {
  readonly compiled: Compiled;
  readonly seen: Int32Array;
  readonly where: Int32Array;
  readonly next: Int32Array;
  readonly held: Int32Array;
  readonly nextOf: Int32Array;
  readonly stamp: Int32Array;
}

const AGAIN_NEVER = 0x3fffff00;

export function needleRoom(compiled: Compiled): NeedleRoom {
  const widest = Math.max(1, ...compiled.freeNeedles.map((free) => free.length));
  return {
    compiled,
    seen: new Int32Array(compiled.colourNames.length),
    where: new Int32Array(compiled.colourNames.length),
    next: new Int32Array(mostRequirements(compiled) + 1),
    held: new Int32Array(widest),
    nextOf: new Int32Array(widest),
    stamp: new Int32Array(widest),
  };
}

export function emptyNeedlePlan(compiled: Compiled): NeedlePlan {
  const requirements = mostRequirements(compiled);
  return {
    key: new Int32Array(compiled.jobs + 1).fill(-1),
    length: -1,
    before: new Int32Array(requirements + compiled.jobs + 1),
    stretches: 0,
    place: new Int32Array(requirements + 1),
    colour: new Int32Array(requirements + 1),
    threadings: 0,
    midStops: 0,
  };
}

/** Requirements of all jobs, at most: a part asks for one colour in one stretch. */
const mostRequirements = (compiled: Compiled): number =>
  compiled.colourOf.reduce((sum, parts) => sum + parts.length, 0);

/** Fills `plan` for machine `m` and the order in plan.key[0…length−1]. */
export function chooseNeedles(
  room: NeedleRoom,
  m: number,
  plan: NeedlePlan,
  rule: NeedleRule = "look-ahead",
): void {
  const { compiled, seen, where, next, held, nextOf, stamp } = room;
  const { cuts, machines } = compiled;
  const free = compiled.startColour[m]!;
  const needles = free.length;
  seen.fill(AGAIN_NEVER);
  where.fill(-1);

  let time = 0;
  let entries = 0;
  for (let at = 0; at < plan.length; at++) {
    const key = plan.key[at]!;
    const cut = cuts[(key >> 4) * machines + m]![key & 15]!;
    time += cut.to.length;
    entries += cut.colours.length;
  }
  plan.stretches = time;
  for (let at = plan.length - 1; at >= 0; at--) {
    const key = plan.key[at]!;
    const cut = cuts[(key >> 4) * machines + m]![key & 15]!;
    for (let s = cut.to.length - 1; s >= 0; s--) {
      time--;
      for (let e = cut.first[s + 1]! - 1; e >= cut.first[s]!; e--) {
        const colour = cut.colours[e]!;
        next[--entries] = seen[colour]!;
        seen[colour] = time;
      }
    }
  }
  for (let n = 0; n < needles; n++) {
    const colour = free[n]!;
    held[n] = colour;
    stamp[n] = -1;
    if (colour < 0) nextOf[n] = AGAIN_NEVER + 2;
    else if (where[colour]! >= 0) nextOf[n] = AGAIN_NEVER + 1;
    else {
      where[colour] = n;
      nextOf[n] = seen[colour]!;
    }
  }

  const recent = rule === "least-recently-used";
  let threadings = 0;
  let midStops = 0;
  for (let at = 0; at < plan.length; at++) {
    const key = plan.key[at]!;
    const cut = cuts[(key >> 4) * machines + m]![key & 15]!;
    const count = cut.to.length;
    midStops += count - 1;
    for (let s = 0; s < count; s++, time++) {
      const already = threadings;
      const from = cut.first[s]!;
      const to = cut.first[s + 1]!;
      for (let e = from; e < to; e++) {
        const n = where[cut.colours[e]!]!;
        if (n < 0) continue;
        stamp[n] = time;
        nextOf[n] = next[entries + e - from]!;
      }
      for (let e = from; e < to; e++) {
        const colour = cut.colours[e]!;
        if (where[colour]! >= 0) continue;
        let victim = -1;
        let most = -1;
        for (let n = 0; n < needles; n++) {
          if (stamp[n] === time) continue;
          const worth = recent ? (held[n]! < 0 ? AGAIN_NEVER : AGAIN_NEVER - 1 - stamp[n]!) : nextOf[n]!;
          if (worth > most) {
            most = worth;
            victim = n;
          }
        }
        const old = held[victim]!;
        if (old >= 0 && where[old] === victim)
          where[old] = recent ? anotherHolder(held, needles, old, victim) : -1;
        held[victim] = colour;
        where[colour] = victim;
        stamp[victim] = time;
        nextOf[victim] = next[entries + e - from]!;
        plan.place[threadings] = victim;
        plan.colour[threadings++] = colour;
      }
      entries += to - from;
      if (s > 0 && threadings === already) {
        const colour = to > from ? cut.colours[from]! : Math.max(0, held[0]!);
        if (where[colour]! < 0) {
          held[0] = colour; // only an empty first needle comes here: the stretch asks for fixed needles alone
          where[colour] = 0;
          nextOf[0] = AGAIN_NEVER;
        }
        plan.place[threadings] = where[colour]!;
        plan.colour[threadings++] = colour;
      }
      plan.before[time] = threadings - already;
    }
  }
  plan.threadings = threadings;
  plan.midStops = midStops;
}

function anotherHolder(held: Int32Array, needles: number, colour: number, but: number): number {
  for (let n = 0; n < needles; n++) if (n !== but && held[n] === colour) return n;
  return -1;
}
