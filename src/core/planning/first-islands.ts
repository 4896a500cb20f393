import { type Bench, evaluate } from "./bench";
import { type Candidate, copyCandidate, pullFirst } from "./candidate";
import { newcomersOf, withNewcomers } from "./newcomers";
import type { Island } from "./round";
import { sketchCandidate } from "./sketch";
import { carefulCandidate, greedyCandidates, knownCandidates } from "./starts";

/** Changes of a sketch, and more of them for each job beyond so many. */
const SKETCH_CHANGES = 40_000;
const SKETCH_CHANGES_A_JOB = 100;
const SKETCH_CHANGES_BEYOND = 120;
/** Below so many jobs the search itself is quick. */
export const SKETCH_JOBS = 50;
/** More new jobs than that are left to the search. */
const MOST_NEWCOMERS = 6;
const NO_LIKENESS: readonly Int32Array[] = [];

/** Islands on the best two of the first candidates in turn, best first, and how many evaluations those took. */
export function firstIslands(bench: Bench, count: number): { islands: Island[]; evaluations: number } {
  const { compiled, decoder } = bench;
  const found: { candidate: Candidate; score: number }[] = [];
  const tried = greedyCandidates(compiled);
  const { previous } = bench.wishes;
  if (previous) tried.push(...knownCandidates(compiled, previous));
  else if (compiled.jobs < SKETCH_JOBS) tried.push(carefulCandidate(decoder));
  for (const candidate of tried) {
    if (bench.anyFirst) pullFirst(candidate.order, bench.first);
    found.push({ candidate, score: evaluate(bench, candidate, Infinity) });
  }
  found.sort((a, b) => a.score - b.score);
  const fresh = previous ? newcomersOf(bench, previous) : [];
  if (0 < fresh.length && fresh.length <= MOST_NEWCOMERS) {
    const { candidate, score, evaluations } = withNewcomers(bench, found[0]!, fresh);
    found.unshift({ candidate, score });
    tried.length += evaluations;
  }
  // Sketches take as long as some hundred evaluations: not for a day that people know already.
  if (!bench.wishes.previous && compiled.jobs >= SKETCH_JOBS) {
    const changes =
      SKETCH_CHANGES + SKETCH_CHANGES_A_JOB * Math.max(0, compiled.jobs - SKETCH_CHANGES_BEYOND);
    // Sketches differ by some per cent with their chance, and placing by colours serves some shops and not others.
    const from = found[0]!.candidate;
    // A large shop has time for one.
    const kinds =
      compiled.jobs > SKETCH_CHANGES_BEYOND ? [bench.around.alike] : [NO_LIKENESS, bench.around.alike];
    for (const [kind, alike] of kinds.entries()) {
      const sketch = sketchCandidate(compiled, alike, from, { changes, seed: 0x5ce7c + kind });
      if (bench.anyFirst) pullFirst(sketch.order, bench.first);
      found.push({ candidate: sketch, score: evaluate(bench, sketch, Infinity) });
      tried.push(sketch);
    }
    found.sort((a, b) => a.score - b.score);
  }
  if (bench.line) {
    const { candidate, evaluations } = bench.line.start();
    found.push({ candidate, score: evaluate(bench, candidate, Infinity) });
    found.sort((a, b) => a.score - b.score);
    tried.length += evaluations;
  }
  const islands = Array.from({ length: count }, (_, i) => {
    const { candidate, score } = found[Math.min(i, found.length - 1) % 2]!;
    return {
      current: copyCandidate(candidate),
      best: copyCandidate(candidate),
      currentScore: score,
      bestScore: score,
    };
  });
  return { islands, evaluations: tried.length };
}
