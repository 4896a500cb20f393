import type { Plan, Run } from "./problem";

/**
 * How many jobs people see moved between two plans: those that are in both and go to another machine, or must be
 * taken out of their machine's order and put in elsewhere. The rest of an order is its longest common run, a longest
 * increasing subsequence (C. Schensted, Canadian J. Mathematics 13 (1961) 179–191).
 */
export function movedJobs(before: Pick<Plan, "runs">, after: readonly Run[]): number {
  const place = new Map<string, { machine: string; at: number }>();
  inOrder(before.runs).forEach((run, at) => place.set(run.job, { machine: run.machine, at }));
  const tops = new Map<string, number[]>(); // per machine: the least last place of an increasing run of each length
  let both = 0;
  for (const run of inOrder(after)) {
    const known = place.get(run.job);
    if (!known) continue;
    both++;
    if (known.machine !== run.machine) continue;
    const own = tops.get(run.machine) ?? [];
    tops.set(run.machine, own);
    let low = 0;
    while (low < own.length && own[low]! < known.at) low++;
    own[low] = known.at;
  }
  return [...tops.values()].reduce((moved, own) => moved - own.length, both);
}

const inOrder = (runs: readonly Run[]): Run[] =>
  [...runs].sort((a, b) => a.stretches[0]!.start - b.stretches[0]!.start);
