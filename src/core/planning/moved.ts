import type { Compiled } from "./compile";
import type { Candidate } from "./candidate";
import type { CostWeights, Plan, Run } from "./problem";

/**
 * The jobs people see moved between two plans: those that are in both and go to another machine, or must be taken out
 * of their machine's order and put in elsewhere. What stays is the longest common run of each machine's two orders, a
 * longest increasing subsequence (C. Schensted, Canadian J. Mathematics 13 (1961) 179–191).
 */
export function jobsMoved(before: Pick<Plan, "runs">, after: readonly Run[]): string[] {
  const place = new Map<string, { machine: string; at: number }>();
  inOrder(before.runs).forEach((run, at) => place.set(run.job, { machine: run.machine, at }));
  const moved: string[] = [];
  const stayed = new Map<string, { job: string; at: number }[]>();
  for (const run of inOrder(after)) {
    const known = place.get(run.job);
    if (!known) continue;
    if (known.machine !== run.machine) moved.push(run.job);
    else stayed.set(run.machine, [...(stayed.get(run.machine) ?? []), { job: run.job, at: known.at }]);
  }
  for (const own of stayed.values()) {
    const keep = longestRun(own.map((one) => one.at));
    own.forEach((one, index) => keep.has(index) || moved.push(one.job));
  }
  return moved;
}

/** How many jobs people see moved between two plans. */
export const movedJobs = (before: Pick<Plan, "runs">, after: readonly Run[]): number =>
  jobsMoved(before, after).length;

/** Places of a longest increasing subsequence; the values differ. */
function longestRun(values: readonly number[]): Set<number> {
  const tops: number[] = []; // place of the least last value of an increasing run of each length
  const before = new Int32Array(values.length).fill(-1);
  values.forEach((value, index) => {
    let low = 0;
    while (low < tops.length && values[tops[low]!]! < value) low++;
    before[index] = low > 0 ? tops[low - 1]! : -1;
    tops[low] = index;
  });
  const kept = new Set<number>();
  for (let at = tops.at(-1) ?? -1; at >= 0; at = before[at]!) kept.add(at);
  return kept;
}

const inOrder = (runs: readonly Run[]): Run[] =>
  [...runs].sort((a, b) => (a.stretches[0]?.start ?? 0) - (b.stretches[0]?.start ?? 0));

/** Where the jobs of a known plan stand, and how many of them a candidate moves. */
export interface KnownPlaces {
  /** Machine of each job in the known plan; −1 for one it does not have. */
  readonly machine: Int32Array;
  /** Place of each job among all runs of the known plan by their start. */
  readonly place: Int32Array;
  /** As `movedJobs` for the plan the candidate decodes to, whatever it leaves out. */
  moved(candidate: Candidate): number;
}

export function knownPlaces(compiled: Compiled, known: Pick<Plan, "runs">): KnownPlaces {
  const { problem, jobs, machines } = compiled;
  const number = new Map(problem.jobs.map((job, index) => [job.id, index]));
  const machineNumber = new Map(problem.machines.map((machine, index) => [machine.id, index]));
  const machine = new Int32Array(jobs).fill(-1);
  const place = new Int32Array(jobs).fill(-1);
  inOrder(known.runs).forEach((run, at) => {
    const job = number.get(run.job);
    if (job === undefined) return;
    // A machine that is gone or must not sew the job any more: it moves, whatever is planned.
    machine[job] = machineNumber.get(run.machine) ?? machines;
    place[job] = at;
  });
  const tops = Array.from({ length: machines }, () => new Int32Array(jobs));
  const length = new Int32Array(machines);
  return {
    machine,
    place,
    moved({ order, machine: on }) {
      length.fill(0);
      let moved = 0;
      for (let at = 0; at < order.length; at++) {
        const job = order[at]!;
        if (job >= jobs || machine[job]! < 0) continue;
        moved++;
        const m = on[job]!;
        if (machine[job] !== m) continue;
        const own = tops[m]!;
        let low = 0;
        let high = length[m]!;
        while (low < high) {
          const middle = (low + high) >> 1;
          if (own[middle]! < place[job]!) low = middle + 1;
          else high = middle;
        }
        own[low] = place[job]!;
        if (low === length[m]) length[m] = low + 1;
      }
      for (let m = 0; m < machines; m++) moved -= length[m]!;
      return moved;
    },
  };
}

/**
 * What moving one piece must save to be worth it when a day in hand is planned anew, in cost: a quarter of a threading
 * and of a minute of the day's end. People have laid out the next pieces already; less than that is not worth their
 * looking again. On seeded days it brings the pieces moved after an event from 45 of 60 to under 10 at the same cost.
 */
export const worthOfMove = (cost: CostWeights): number => 25 * tieOfMove(cost);

/** So little that it only decides among plans that cost the same but for seconds. */
export const tieOfMove = (cost: CostWeights): number =>
  0.01 * (cost.perThreading + cost.perFinishMinute + 0.1 * cost.perLateMinute);
