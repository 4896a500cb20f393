import { type Bench, evaluate } from "./bench";
import { type Candidate, copyCandidate, pullFirst } from "./candidate";
import { knownStarts, type Scored } from "./newcomers";
import type { Island } from "./round";
import { beginSketch, FIRST_SKETCH, sketchedCandidate, sketchOn } from "./sketch";
import { carefulCandidate, greedyCandidates } from "./starts";

/** From so many jobs on a search begins with sketches; below it is quick itself. */
export const SKETCH_JOBS = 50;
/** From so many on sketches are most of the search (`sketch-course.ts`). */
export const LARGE_JOBS = 120;
const SKETCH_CHANGES = 80_000;
const SKETCH_SEED = 0x5ce7c;
/** More new jobs than that in a plan people know are left to the search. */
export const MOST_NEWCOMERS = 6;
const NO_LIKENESS: readonly Int32Array[] = [];

export interface FirstIslands {
  /** On the best two of the first candidates in turn, best first. */
  readonly islands: Island[];
  /** The best of all, a plan people know among them. */
  readonly best: Scored;
  readonly evaluations: number;
}

/**
 * Where a search begins. A plan that people know is the first best, so that nothing worse ever takes its place; the
 * islands themselves begin afresh, for what lies about a known plan is soon looked through.
 */
export function firstIslands(bench: Bench, count: number, seed: number): FirstIslands {
  const { compiled, decoder } = bench;
  const tried = greedyCandidates(compiled);
  const { previous } = bench.wishes;
  let evaluations = 0;
  const scored = (candidate: Candidate): Scored => {
    if (bench.anyFirst) pullFirst(candidate.order, bench.first);
    evaluations++;
    return { candidate, score: evaluate(bench, candidate, Infinity) };
  };
  const known = previous ? knownStarts(bench, previous, MOST_NEWCOMERS) : { found: [], evaluations: 0 };
  if (compiled.jobs < SKETCH_JOBS) tried.push(carefulCandidate(decoder));
  const found = tried.map(scored).sort(byScore);
  if (SKETCH_JOBS <= compiled.jobs && compiled.jobs < LARGE_JOBS) {
    // Sketches differ by some per cent with their chance, and placing by colours serves some shops and not others.
    const { candidate: from } = found[0]!;
    for (const [kind, alike] of [NO_LIKENESS, bench.around.alike].entries()) {
      const heat = {
        ...FIRST_SKETCH,
        changes: SKETCH_CHANGES,
        seed: Math.imul(seed + 1, SKETCH_SEED) + kind,
      };
      const sketch = sketchOn(compiled, alike, beginSketch(compiled, from), heat);
      found.push(scored(sketchedCandidate(compiled, sketch, from)));
    }
    found.sort(byScore);
  }
  if (bench.line) {
    const start = bench.line.start();
    found.push({ candidate: start.candidate, score: evaluate(bench, start.candidate, Infinity) });
    found.sort(byScore);
    evaluations += start.evaluations;
  }
  const best = [...known.found, found[0]!].sort(byScore)[0]!;
  const islands = Array.from({ length: count }, (_, i) => {
    const { candidate, score } = found[Math.min(i, found.length - 1) % 2]!;
    return {
      current: copyCandidate(candidate),
      best: copyCandidate(best.candidate),
      currentScore: score,
      bestScore: best.score,
    };
  });
  return { islands, best, evaluations: evaluations + known.evaluations };
}

const byScore = (a: Scored, b: Scored): number => a.score - b.score;
