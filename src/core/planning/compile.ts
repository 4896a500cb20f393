import { type Cut, cutsOf } from "./cuts";
import type { Interval, OneThing, Problem, Unplanned } from "./problem";

/** No due time. */
export const NEVER = 0x7fffffff;

/**
 * A problem made ready for the kernels: things are numbered, colours too, and what can never be done is set aside
 * with its reason. Items are the jobs (0…jobs−1) followed by the chores.
 */
export interface Compiled {
  readonly problem: Problem;
  readonly jobs: number;
  readonly chores: number;
  readonly machines: number;
  readonly hands: number;
  readonly colourNames: readonly string[];
  readonly colourOf: readonly Int32Array[];
  readonly release: Int32Array;
  readonly due: Int32Array;
  readonly weight: Float64Array;
  readonly hoopS: Int32Array;
  readonly unhoopS: Int32Array;
  readonly finishS: Int32Array;
  /** Frame kind of a job, −1 for none. */
  readonly hoopKind: Int32Array;
  /** The thing a job has in hand where several jobs share it, −1; and how many such things there are. */
  readonly thingOf: Int32Array;
  readonly things: number;
  readonly choreMachine: Int32Array;
  readonly choreS: Int32Array;
  readonly threadS: Int32Array;
  readonly loadS: Int32Array;
  readonly unloadS: Int32Array;
  /** Free needles (from 0) of each machine, what is on each at the start (colour, −1 empty). */
  readonly freeNeedles: readonly Int32Array[];
  readonly startColour: readonly Int32Array[];
  /** Needle (from 0) of a fixed colour on a machine, −1: heldAt[machine][colour]. */
  readonly heldAt: readonly Int32Array[];
  readonly frames: Int32Array;
  /** cuts[job * machines + machine]; empty where the job cannot go. */
  readonly cuts: readonly (readonly Cut[])[];
  /** The machines a job can go to. */
  readonly choices: readonly Int32Array[];
  readonly shiftStart: readonly Int32Array[];
  readonly shiftEnd: readonly Int32Array[];
  readonly lastShiftEnd: number;
  /** Open and not down, per machine: where a stretch may lie. */
  readonly sewStart: readonly Int32Array[];
  readonly sewEnd: readonly Int32Array[];
  readonly downStart: readonly Int32Array[];
  readonly downEnd: readonly Int32Array[];
  /** A free gap of a hand shorter than this serves no task. */
  readonly shortestTaskS: number;
  /** Items that can be done, jobs then chores. */
  readonly doable: Int32Array;
  readonly impossible: readonly Unplanned[];
}

/** Sorted, empty ones dropped, overlapping and touching ones joined. */
export function joined(intervals: readonly Interval[]): [number, number][] {
  const sorted = intervals.filter(([a, b]) => a < b).map(([a, b]): [number, number] => [a, b]);
  sorted.sort((p, q) => p[0] - q[0] || p[1] - q[1]);
  const result: [number, number][] = [];
  for (const [a, b] of sorted) {
    const last = result.at(-1);
    if (last && a <= last[1]) last[1] = Math.max(last[1], b);
    else result.push([a, b]);
  }
  return result;
}

/** The parts of `whole` outside `holes`; both sorted and apart. */
export function without(whole: readonly Interval[], holes: readonly Interval[]): [number, number][] {
  const result: [number, number][] = [];
  for (const [a, b] of whole) {
    let from = a;
    for (const [c, d] of holes) {
      if (d <= from || c >= b) continue;
      if (c > from) result.push([from, c]);
      from = Math.max(from, d);
    }
    if (from < b || a === b) result.push([from, b]);
  }
  return result;
}

const longest = (intervals: readonly Interval[]): number =>
  intervals.reduce((most, [a, b]) => Math.max(most, b - a), -1);
const startsOf = (intervals: readonly Interval[]) => Int32Array.from(intervals, ([a]) => a);
const endsOf = (intervals: readonly Interval[]) => Int32Array.from(intervals, ([, b]) => b);

/** Numbers things, works out where each job can go and in which cuts, and names what cannot be done and why. */
export function compile(problem: Problem, oneThing: OneThing = []): Compiled {
  const { machines, jobs, chores, hands } = problem;
  const colourNumber = new Map<string, number>();
  const numberOf = (colour: string): number => {
    const known = colourNumber.get(colour);
    if (known !== undefined) return known;
    colourNumber.set(colour, colourNumber.size);
    return colourNumber.size - 1;
  };
  const colourOf = jobs.map((job) => Int32Array.from(job.parts, (part) => numberOf(part.colour)));
  const threaded = machines.map((machine) => machine.threaded.map((c) => (c === null ? -1 : numberOf(c))));
  const kinds = new Map(problem.hoops.map((kind, index) => [kind.id, index]));
  const machineNumber = new Map(machines.map((machine, index) => [machine.id, index]));
  const shifts = hands.map((hand) => tidyApart(hand.shifts));
  const open = tidyApart(problem.open);
  const downs = machines.map((machine) => joined(machine.down));
  const sewable = downs.map((down) => without(open, down));
  const fixed = machines.map((machine) => new Set(machine.fixed));
  const freeNeedles = machines.map((machine, m) =>
    Int32Array.from([...Array(machine.needles).keys()].filter((needle) => !fixed[m]!.has(needle + 1))),
  );
  const colours = colourNumber.size;
  const heldAt = machines.map((machine, m) => {
    const at = new Int32Array(colours).fill(-1);
    for (const needle of [...machine.fixed].sort((a, b) => b - a)) {
      const colour = threaded[m]![needle - 1];
      if (colour !== undefined && colour >= 0) at[colour] = needle - 1;
    }
    return at;
  });

  const longestShift = Math.max(-1, ...shifts.map(longest));
  const machineShift = machines.map((_, m) =>
    Math.max(-1, ...shifts.map((own) => longest(without(own, downs[m]!)))),
  );
  const cuts: Cut[][] = [];
  const impossible: Unplanned[] = [];
  const choices: Int32Array[] = [];
  const extraStops = problem.cost.perMidStop < problem.cost.perThreading ? 1 : 0;
  jobs.forEach((job, j) => {
    const reasons: string[] = [];
    const mine: number[] = [];
    const allowed = job.machines === null ? null : new Set(job.machines);
    machines.forEach((machine, m) => {
      const place = { machine, m, freeNeedles: freeNeedles[m]!.length, longestSewingS: longest(sewable[m]!) };
      const found: Cut[] = [];
      const why = refusalOf();
      if (why === null) mine.push(m);
      else reasons.push(why);
      cuts.push(why === null ? found : []);

      function refusalOf(): string | null {
        if (allowed && !allowed.has(machine.id)) return `${machine.id}: the job is not allowed there`;
        if (job.hoop !== null && !machine.hoops.includes(job.hoop))
          return `${machine.id}: does not take the frame ${job.hoop}`;
        for (const [task, seconds] of [
          ["loading", machine.loadS],
          ["unloading", machine.unloadS],
        ] as const) {
          if (seconds > machineShift[m]!)
            return `${machine.id}: ${task} takes ${seconds} s and no shift has that long while the machine is up`;
        }
        const held = Uint8Array.from(heldAt[m]!, (needle) => (needle >= 0 ? 1 : 0));
        const needed = new Set(colourOf[j]!.filter((colour) => !held[colour]));
        if (needed.size > 0 && place.freeNeedles === 0) {
          const missing = job.parts.find((_, part) => !held[colourOf[j]![part]!])!.colour;
          return `${machine.id}: all its needles are fixed and none holds ${missing}`;
        }
        const question = { job, machine, colourOf: colourOf[j]!, held, freeNeedles: place.freeNeedles };
        const cutsHere = cutsOf({ ...question, longestSewingS: place.longestSewingS, extraStops, most: 12 });
        const stops = cutsHere[0] ? cutsHere[0].to.length - 1 : 0;
        const mustThread = stops > 0 || [...needed].some((colour) => !threaded[m]!.includes(colour));
        if (mustThread && machine.threadS > machineShift[m]!)
          return `${machine.id}: threading takes ${machine.threadS} s and no shift has that long while the machine is up`;
        if (cutsHere.length === 0 || (stops > 0 && place.freeNeedles === 0)) {
          return `${machine.id}: a part of it sews longer than any open interval there (${place.longestSewingS} s)`;
        }
        found.push(...cutsHere);
        return null;
      }
    });
    choices.push(Int32Array.from(mine));
    const why = jobReason(problem, j, longestShift, reasons, mine.length);
    if (why !== null) impossible.push({ job: job.id, why });
  });

  const undoable = new Set(impossible.map((entry) => entry.job));
  const doable: number[] = [];
  jobs.forEach((job, j) => {
    if (!undoable.has(job.id)) doable.push(j);
  });
  chores.forEach((chore, index) => {
    const m = chore.machine === null ? -1 : machineNumber.get(chore.machine)!;
    const room = m < 0 ? longestShift : machineShift[m]!;
    if (chore.seconds > room) {
      const where = m < 0 ? "" : ` while ${chore.machine} is up`;
      impossible.push({
        chore: chore.id,
        why: `it takes ${chore.seconds} s and the longest shift${where} has ${Math.max(0, room)} s`,
      });
    } else doable.push(jobs.length + index);
  });

  const lengths = [
    ...jobs.flatMap((job) => [job.hoopS, job.unhoopS, job.finishS]),
    ...machines.flatMap((machine) => [machine.threadS, machine.loadS, machine.unloadS]),
    ...chores.map((chore) => chore.seconds),
  ].filter((seconds) => seconds > 0);
  return {
    problem,
    jobs: jobs.length,
    chores: chores.length,
    machines: machines.length,
    hands: hands.length,
    colourNames: [...colourNumber.keys()],
    colourOf,
    release: Int32Array.from([...jobs, ...chores], (item) => item.releaseAt),
    due: Int32Array.from([...jobs, ...chores], (item) => item.dueAt ?? NEVER),
    weight: Float64Array.from([...jobs, ...chores], (item) => item.weight),
    hoopS: Int32Array.from(jobs, (job) => job.hoopS),
    unhoopS: Int32Array.from(jobs, (job) => job.unhoopS),
    finishS: Int32Array.from(jobs, (job) => job.finishS),
    hoopKind: Int32Array.from(jobs, (job) => (job.hoop === null ? -1 : (kinds.get(job.hoop) ?? -1))),
    thingOf: thingsOf(problem, oneThing),
    things: oneThing.length,
    choreMachine: Int32Array.from(chores, (c) => (c.machine === null ? -1 : machineNumber.get(c.machine)!)),
    choreS: Int32Array.from(chores, (chore) => chore.seconds),
    threadS: Int32Array.from(machines, (machine) => machine.threadS),
    loadS: Int32Array.from(machines, (machine) => machine.loadS),
    unloadS: Int32Array.from(machines, (machine) => machine.unloadS),
    freeNeedles,
    startColour: freeNeedles.map((free, m) => Int32Array.from(free, (needle) => threaded[m]![needle] ?? -1)),
    heldAt,
    frames: Int32Array.from(problem.hoops, (kind) => kind.count),
    cuts,
    choices,
    shiftStart: shifts.map(startsOf),
    shiftEnd: shifts.map(endsOf),
    lastShiftEnd: Math.max(0, ...shifts.flatMap((own) => own.map(([, end]) => end))),
    sewStart: sewable.map(startsOf),
    sewEnd: sewable.map(endsOf),
    downStart: downs.map(startsOf),
    downEnd: downs.map(endsOf),
    shortestTaskS: lengths.reduce((least, seconds) => Math.min(least, seconds), NEVER),
    doable: Int32Array.from(doable),
    impossible,
  };
}

function thingsOf({ jobs }: Problem, oneThing: OneThing): Int32Array {
  const things = new Map(oneThing.flatMap((own, thing) => own.map((id): [string, number] => [id, thing])));
  return Int32Array.from(jobs, (job) => things.get(job.id) ?? -1);
}

/** Where given intervals overlap, the later one is shortened: what is left never allows more than was given. */
function tidyApart(intervals: readonly Interval[]): [number, number][] {
  const sorted = intervals.filter(([a, b]) => a <= b).map(([a, b]): [number, number] => [a, b]);
  sorted.sort((p, q) => p[0] - q[0] || q[1] - p[1]);
  const result: [number, number][] = [];
  for (const [a, b] of sorted) {
    const from = Math.max(a, result.at(-1)?.[1] ?? a);
    if (from < b || a === b) result.push([Math.min(from, b), b]);
  }
  return result;
}

function jobReason(
  problem: Problem,
  j: number,
  longestShift: number,
  reasons: readonly string[],
  choices: number,
): string | null {
  const job = problem.jobs[j]!;
  const kind = problem.hoops.find((entry) => entry.id === job.hoop);
  if (job.hoop !== null && (!kind || kind.count === 0)) return `the shop has no frame ${job.hoop}`;
  for (const [task, seconds] of [
    ["hooping", job.hoopS],
    ["unhooping", job.unhoopS],
    ["finishing", job.finishS],
  ] as const) {
    if (seconds > longestShift)
      return `${task} takes ${seconds} s and the longest shift has ${Math.max(0, longestShift)} s`;
  }
  if (choices > 0) return null;
  if (problem.machines.length === 0) return "there is no machine";
  return `no machine can sew it: ${reasons.join("; ")}`;
}
