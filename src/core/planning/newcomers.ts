import { type Bench, evaluate } from "./bench";
import { type Candidate, copyCandidate, pullFirst } from "./candidate";
import { shift } from "./moves/move";
import type { Plan } from "./problem";
import { knownCandidates } from "./starts";

/** A candidate and its score. */
export interface Scored {
  readonly candidate: Candidate;
  readonly score: number;
}

/** Evaluations spent on placing what is new, shared among the newcomers. */
const NEWCOMERS = 360;
const MOST_PLACES = 12;
/** A chore has one machine or none: nothing to choose. */
const A_CHORE: readonly number[] = [-1];

/**
 * A plan people know as the present problem has it, and with what it lacks put where that costs least, unless it lacks
 * more than `most` things.
 */
export function knownStarts(
  bench: Bench,
  previous: Plan,
  most: number,
): { readonly found: readonly Scored[]; readonly evaluations: number } {
  const known = knownCandidates(bench.compiled, previous).map((candidate) => {
    if (bench.anyFirst) pullFirst(candidate.order, bench.first);
    return { candidate, score: evaluate(bench, candidate, Infinity) };
  });
  const best = known.reduce((least, one) => (one.score < least.score ? one : least));
  const fresh = newcomersOf(bench, previous);
  if (fresh.length === 0 || fresh.length > most) return { found: [best], evaluations: known.length };
  const placed = withNewcomers(bench, best, fresh);
  return { found: [best, placed], evaluations: known.length + placed.evaluations };
}

/** The jobs and chores that a known plan does not have, soonest due first: of care, other chores fall due with every plan. */
function newcomersOf({ compiled }: Bench, previous: Plan): number[] {
  const { problem, jobs } = compiled;
  const known = new Set([
    ...previous.runs.map((run) => run.job),
    ...previous.tasks.flatMap((task) => task.chore ?? []),
  ]);
  const idOf = (item: number) => (item < jobs ? problem.jobs[item]! : problem.chores[item - jobs]!).id;
  const fresh = [...compiled.doable].filter((item) => !known.has(idOf(item)));
  return fresh.sort((a, b) => compiled.due[a]! - compiled.due[b]! || a - b);
}

/** The candidate with one newcomer after the other put where it costs least, on any of its machines. */
function withNewcomers(
  bench: Bench,
  start: Scored,
  fresh: readonly number[],
): Scored & { readonly evaluations: number } {
  const { compiled, decoder } = bench;
  const machinesOf = (item: number): readonly number[] =>
    item < compiled.jobs ? [...compiled.choices[item]!] : A_CHORE;
  const choices = fresh.reduce((sum, item) => sum + machinesOf(item).length, 0);
  const places = Math.max(2, Math.min(MOST_PLACES, Math.round(NEWCOMERS / Math.max(1, choices))));
  let { candidate, score } = start;
  let evaluations = 0;
  for (const item of fresh) {
    const from = candidate;
    decoder.forget();
    score = evaluate(bench, from, Infinity);
    decoder.keep(from);
    for (const m of machinesOf(item)) {
      for (let place = 0; place < places; place++) {
        const trial = copyCandidate(from);
        if (item < compiled.jobs) {
          trial.left[item] = 0;
          trial.machine[item] = m;
          trial.cut[item] = 0;
        }
        const last = trial.order.length - 1;
        shift(trial.order, trial.order.indexOf(item), Math.round((place * last) / (places - 1)));
        if (bench.anyFirst) pullFirst(trial.order, bench.first);
        evaluations++;
        const worth = evaluate(bench, trial, score);
        if (worth < score) [candidate, score] = [trial, worth];
      }
    }
  }
  decoder.forget();
  return { candidate, score, evaluations };
}
