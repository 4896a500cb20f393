import { seededChance } from "#core/base";
import type { Best, Course, Step } from "./course";
import type { Island } from "./round";

/**
 * Replica exchange: islands that each keep one temperature, neighbours on the ladder of temperatures changing places by
 * Metropolis' rule after every round (R. H. Swendsen, J.-S. Wang, Physical Review Letters 57 (1986) 2607–2609; C. J.
 * Geyer 1991; for scheduling and the like D. J. Earl, M. W. Deem, Physical Chemistry Chemical Physics 7 (2005)
 * 3910–3916). What stands well wanders to where it is cold, what is stuck to where it is warm, so a search does not end
 * in the one basin it cooled into. None is cold enough to settle: now and then the best is cooled by itself.
 */
export interface Replicas {
  /** One island a temperature, warmest first. */
  readonly islands: readonly Island[];
  /** Evaluations of one island's round. */
  readonly perRound: number;
  /** What moves change, in units of cost: the measure of heat. */
  readonly unit: number;
  readonly seed: number;
}

const WARMEST = 0.15;
const COOLEST = 0.05;
/** The best is cooled by itself after so many evaluations, when there is a new one, with so many. */
const QUENCH_EVERY = 10_000;
const QUENCH = 3000;
const QUENCH_HOT = 0.05;
const QUENCH_COLD = 0.0025;

/** The temperatures, warmest first, each the same share of the one before. */
const temperatures = (count: number, unit: number): readonly number[] =>
  Array.from(
    { length: count },
    (_, at) => unit * WARMEST * Math.pow(COOLEST / WARMEST, count > 1 ? at / (count - 1) : 0),
  );

export function replicaCourse({ islands: begun, perRound, unit, seed }: Replicas): Course {
  const heat = temperatures(begun.length, unit);
  let islands = [...begun];
  let round = 0;
  let sinceQuench = 0;
  let quenched = Infinity;
  return {
    next(best, affordable) {
      const steps: Step[] = [];
      // The longest first, so that threads end together.
      if (sinceQuench >= QUENCH_EVERY && best.bestScore < quenched) steps.push(quench(best));
      islands.forEach((island, at) =>
        steps.push({
          island: at,
          state: { ...island, ...best },
          evaluations: perRound,
          hot: heat[at]!,
          cold: heat[at]!,
          sketch: null,
          polish: false,
        }),
      );
      let room = affordable;
      return steps.filter((step, at) => {
        const fits = at === 0 || room > 0;
        room -= step.evaluations;
        return fits;
      });
    },
    absorb(results) {
      for (const { island, state, evaluations } of results) {
        sinceQuench += evaluations;
        if (island < islands.length) islands[island] = state;
        else {
          sinceQuench = 0;
          // What cooling by itself has found is not cooled again.
          quenched = state.bestScore;
        }
      }
      islands = exchanged(islands, heat, round, seed);
      round++;
    },
  };

  function quench({ best, bestScore }: Best): Step {
    return {
      island: begun.length,
      state: { current: best, best, currentScore: bestScore, bestScore },
      evaluations: QUENCH,
      hot: unit * QUENCH_HOT,
      cold: unit * QUENCH_COLD,
      sketch: null,
      polish: true,
    };
  }
}

/** Neighbours change places, even and odd pairs in turn, with probability min(1, exp((1/T₁ − 1/T₂)(E₁ − E₂))). */
function exchanged(
  islands: readonly Island[],
  heat: readonly number[],
  round: number,
  seed: number,
): Island[] {
  const chance = seededChance((Math.imul(seed + 1, 0x9e3779b1) ^ Math.imul(round + 1, 0xc2b2ae35)) >>> 0);
  const next = [...islands];
  for (let at = round % 2; at + 1 < next.length; at += 2) {
    const [warm, cool] = [next[at]!, next[at + 1]!];
    const gain = (1 / heat[at]! - 1 / heat[at + 1]!) * (warm.currentScore - cool.currentScore);
    if (Math.log(1 - chance.next()) < gain) [next[at], next[at + 1]] = [cool, warm];
  }
  return next;
}
