import type { Best, Course } from "./course";
import type { Island } from "./round";

/**
 * Simulated annealing on islands that meet after every third round (S. Kirkpatrick, C. D. Gelatt, M. P. Vecchi, Science
 * 220 (1983) 671–680). Cooling runs in cycles, each twice as long as the one before and started from the best, so that
 * the search does well whenever it is stopped.
 */
export interface Cooling {
  /** The islands to begin with. */
  readonly islands: readonly Island[];
  /** Evaluations of one island's round. */
  readonly perRound: number;
  /** What moves change, in units of cost: the measure of heat. */
  readonly unit: number;
  /** The first and later cycles' heat against the usual, to 1. */
  readonly calm: number;
}

const HOT_FIRST = 0.5;
const HOT_AGAIN = 0.4;
const COLD = 0.004;
/** Every so many rounds each machine's order is looked through. */
const POLISH_EVERY = 4;

export function coolingCourse({ islands: begun, perRound, unit, calm }: Cooling): Course {
  let islands = begun;
  let round = 0;
  let cycle = 0;
  let step = 0;
  const cycleRounds = () => 10 * 2 ** Math.min(cycle, 12);
  return {
    next(_best, affordable) {
      const hottest = unit * calm * (cycle === 0 ? HOT_FIRST : HOT_AGAIN);
      const coldest = Math.min(unit * COLD, hottest / 8);
      const at = (share: number) => hottest * Math.pow(coldest / hottest, share);
      const rounds = cycleRounds();
      return islands.slice(0, Math.max(1, Math.ceil(affordable / perRound))).map((state, island) => ({
        island,
        state,
        evaluations: perRound,
        hot: at(step / rounds),
        cold: at((step + 1) / rounds),
        sketch: null,
        polish: round % POLISH_EVERY === POLISH_EVERY - 1,
      }));
    },
    absorb(results, best) {
      const next = [...islands];
      for (const result of results) next[result.island] = result.state;
      islands = next;
      round++;
      step++;
      if (step >= cycleRounds()) {
        step = 0;
        cycle++;
        islands = islands.map(({ line }) => ({
          current: best.best,
          currentScore: best.bestScore,
          ...best,
          ...(line && { line }),
        }));
      } else if (step % 3 === 0) islands = meet(islands, best);
    },
  };
}

/** The island that stands worst goes on from where the one that stands best is. */
function meet(islands: readonly Island[], best: Best): Island[] {
  let top = 0;
  let last = 0;
  islands.forEach((island, i) => {
    if (island.currentScore < islands[top]!.currentScore) top = i;
    if (island.currentScore >= islands[last]!.currentScore) last = i;
  });
  return islands.map((island, i) => {
    const from = i === last ? islands[top]! : island;
    return { ...from, ...best, ...(island.line && { line: island.line }) };
  });
}
