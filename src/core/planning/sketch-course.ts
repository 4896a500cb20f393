import type { Best, Course, Step } from "./course";
import type { Island } from "./round";
import { FIRST_SKETCH } from "./sketch";

/**
 * Sketch and mend: in a large shop a decoding takes as long as a hundred changes of a sketch, and once what hands upset
 * in a sketch is mended, which takes some hundred decodings, few more help. So each island sketches its day in portions,
 * mends it, and begins anew from the best of all, with half as many changes more each time.
 */
export interface SketchAndMend {
  /** The islands to begin with. */
  readonly islands: readonly Island[];
  /** Evaluations of one island's round while it mends. */
  readonly perRound: number;
  /** What is traded in the end, in units of cost: the measure of heat. */
  readonly trade: number;
  readonly jobs: number;
  readonly machines: number;
}

/** Changes of the first sketches, so that something stands soon: so many, and for each job beyond so many. */
const FIRST_CHANGES = 40_000;
const FIRST_CHANGES_A_JOB = 1400;
const FIRST_CHANGES_BEYOND = 120;
/** A change takes as long as its machines have jobs: the first sketches take no longer than so many changes times jobs of a machine. */
const FIRST_WORK = 6e6;
/** Changes of the later ones, for each job, and how many times as many from one to the next. */
const AGAIN_CHANGES_A_JOB = 800;
const LONGER = 1.5;
const MOST_CHANGES_A_JOB = 10_000;
/** Changes times jobs of a machine in one portion: about a tenth of a second. */
const PORTION_WORK = 800_000;
/** Heat of later sketches against the first, by island. */
const HEAT_AGAIN: readonly number[] = [0.4, 0.8];
const MEND_EVALUATIONS = 1000;
const MEND_HOT = 0.03;
const MEND_COLD = 0.003;

export function sketchCourse({ islands: begun, perRound, trade, jobs, machines }: SketchAndMend): Course {
  const jobsEach = Math.max(1, jobs / Math.max(1, machines));
  const perPortion = Math.max(2000, Math.round(PORTION_WORK / jobsEach));
  const mendRounds = Math.ceil(MEND_EVALUATIONS / perRound);
  let islands = begun;
  let cycle = 0;
  let step = 0;

  function portions(): number {
    const first = Math.min(
      FIRST_CHANGES + FIRST_CHANGES_A_JOB * Math.max(0, jobs - FIRST_CHANGES_BEYOND),
      FIRST_WORK / jobsEach,
    );
    const again = jobs * Math.min(MOST_CHANGES_A_JOB, AGAIN_CHANGES_A_JOB * LONGER ** (cycle - 1));
    return Math.max(1, Math.round((cycle === 0 ? first : again) / perPortion));
  }

  return {
    next(_best, affordable) {
      const parts = portions();
      const many = Math.max(1, Math.ceil(affordable / perRound));
      return islands.slice(0, many).map((state, island): Step => {
        if (step >= parts) {
          const at = (share: number) => trade * MEND_HOT * Math.pow(MEND_COLD / MEND_HOT, share);
          const done = step - parts;
          return {
            island,
            state,
            evaluations: perRound,
            hot: at(done / mendRounds),
            cold: at((done + 1) / mendRounds),
            sketch: null,
            polish: done === mendRounds - 1,
          };
        }
        const heat = cycle === 0 ? 1 : HEAT_AGAIN[island % HEAT_AGAIN.length]!;
        const hot = FIRST_SKETCH.hot * heat;
        const at = (share: number) => hot * Math.pow(FIRST_SKETCH.cold / hot, share);
        return {
          island,
          state,
          evaluations: 0,
          hot: 0,
          cold: 0,
          polish: false,
          sketch: {
            changes: perPortion,
            hot: at(step / parts),
            cold: at((step + 1) / parts),
            first: step === 0,
            last: step === parts - 1,
          },
        };
      });
    },
    absorb(results, { best, bestScore }: Best) {
      const next = [...islands];
      for (const result of results) next[result.island] = result.state;
      islands = next;
      step++;
      if (step < portions() + mendRounds) return;
      step = 0;
      cycle++;
      islands = islands.map(() => ({ current: best, currentScore: bestScore, best, bestScore }));
    },
  };
}
