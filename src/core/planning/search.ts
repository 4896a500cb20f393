import { type Chance, seededChance } from "#core/base";
import { type Bench, createBench, evaluate } from "./bench";
import { type Candidate, copyCandidate, pullFirst, writeCandidate } from "./candidate";
import { moves } from "./moves";
import { newcomersOf, withNewcomers } from "./newcomers";
import { type LineState, polish } from "./one-machine";
import { adapted, CREDIT, emptyTally, type MoveTally } from "./move-shares";
import type { PlanWishes, Problem } from "./problem";
import { carefulCandidate, greedyCandidates, knownCandidates } from "./starts";
import { sketchCandidate } from "./sketch";

/**
 * The search: simulated annealing on a few islands that meet after every round. A round is a fixed number of
 * evaluations on one island and depends on nothing but what it is given, so any thread may do it; rounds are counted
 * in a fixed order. Hence the same problem, seed and number of evaluations give the same plan on any number of
 * threads. Cooling runs in cycles, each twice as long as the one before and started from the best, so that the
 * search does well whenever it is stopped.
 */
export const ISLANDS = 2;

/** What an island carries from round to round; it can be posted to a thread as it is. */
export interface Island {
  readonly current: Candidate;
  readonly best: Candidate;
  readonly currentScore: number;
  readonly bestScore: number;
  /** Where the search of one machine is, on a day that has one. */
  readonly line?: LineState;
}

export interface RoundTask {
  readonly island: number;
  readonly round: number;
  readonly state: Island;
  readonly evaluations: number;
  readonly seed: number;
  /** The temperature at the round's start and end, in units of cost. */
  readonly hot: number;
  readonly cold: number;
  /** Changes of a sketch to begin with; 0 for none. */
  readonly sketch: number;
  /** How often each move is drawn, against the others. */
  readonly shares: readonly number[];
}

export interface RoundResult {
  readonly island: number;
  readonly round: number;
  readonly state: Island;
  readonly evaluations: number;
  /** What each move brought; none from the search of one machine. */
  readonly tally?: MoveTally;
}

/** Changes of a sketch, and more of them for each job beyond so many. */
const SKETCH_CHANGES = 40_000;
const SKETCH_CHANGES_A_JOB = 100;
const SKETCH_CHANGES_BEYOND = 120;
/** Below so many jobs the search itself is quick. */
const SKETCH_JOBS = 50;
/** More new jobs than that are left to the search. */
const MOST_NEWCOMERS = 6;
const NO_LIKENESS: readonly Int32Array[] = [];

/** The first candidates, best first, and how many evaluations they took. */
export function starts(bench: Bench): { islands: Island[]; evaluations: number } {
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
  const islands = Array.from({ length: ISLANDS }, (_, i) => {
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

/** One round on one island. */
export function runRound(bench: Bench, task: RoundTask): RoundResult {
  if (bench.line) return bench.line.round(task);
  const { decoder, around } = bench;
  const chance = seededChance(task.seed);
  const current = copyCandidate(task.state.current);
  const best = copyCandidate(task.state.best);
  let { currentScore, bestScore } = task.state;
  let sketching = 0;
  if (task.sketch > 0) {
    const again = sketchCandidate(bench.compiled, around.alike, best, {
      changes: task.sketch,
      seed: task.seed,
      heat: SKETCH_AGAIN_HEAT,
    });
    decoder.forget();
    const score = evaluate(bench, again, Infinity);
    sketching = Math.round(task.sketch / SKETCH_CHANGES_AN_EVALUATION);
    if (score < bestScore) {
      writeCandidate(current, again);
      writeCandidate(best, again);
      currentScore = bestScore = score;
    }
  }
  decoder.rule = "look-ahead";
  decoder.forget();
  evaluate(bench, current, Infinity);
  decoder.keep(current);
  around.endOf.set(decoder.endOf);
  const trial = copyCandidate(current);
  const total = task.shares.reduce((sum, share) => sum + share, 0);
  const tally = emptyTally(moves.length);
  const cooling = task.hot > 0 ? task.cold / task.hot : 1;
  let temperature = task.hot;
  for (let n = 0; n < task.evaluations; n++) {
    if ((n & 15) === 0) temperature = task.hot * Math.pow(cooling, n / task.evaluations);
    writeCandidate(trial, current);
    const move = drawMove(task.shares, total, chance);
    let changed = moves[move]!.apply(trial, around, chance);
    if (chance.below(8) === 0)
      changed = moves[drawMove(task.shares, total, chance)]!.apply(trial, around, chance) || changed;
    tally.tried[move]!++;
    if (!changed) continue;
    if (bench.anyFirst) pullFirst(trial.order, bench.first);
    const limit = currentScore - temperature * Math.log(1 - chance.next());
    const score = evaluate(bench, trial, limit);
    if (score > limit) continue;
    if (score !== currentScore)
      tally.credit[move]! +=
        score < bestScore ? CREDIT.best : score < currentScore ? CREDIT.better : CREDIT.taken;
    writeCandidate(current, trial);
    decoder.keep(current);
    currentScore = score;
    around.endOf.set(decoder.endOf);
    if (score < bestScore) {
      bestScore = score;
      writeCandidate(best, trial);
    }
  }
  let polishing = 0;
  if (task.round % POLISH_EVERY === POLISH_EVERY - 1 && !bench.anyFirst && !bench.wishes.previous) {
    const judge = (candidate: Candidate, most: number) => evaluate(bench, candidate, most);
    const found = polish(bench.compiled, { candidate: best, score: bestScore }, POLISH_MOST, judge);
    if (found.score < bestScore) {
      if (currentScore === bestScore) {
        writeCandidate(current, found.candidate);
        currentScore = found.score;
      }
      writeCandidate(best, found.candidate);
      bestScore = found.score;
    }
    polishing = found.evaluations;
  }
  const state = { current, best, currentScore, bestScore };
  return {
    island: task.island,
    round: task.round,
    state,
    evaluations: task.evaluations + polishing + sketching,
    tally,
  };
}

/** In a large shop one island begins each new cycle with another sketch of the best, less hot, twice as long each time. */
const SKETCH_AGAIN_JOBS = 120;
const SKETCH_AGAIN = 100_000;
const SKETCH_AGAIN_HEAT = 0.4;
/** So many changes of a sketch take as long as an evaluation of a large shop. */
const SKETCH_CHANGES_AN_EVALUATION = 200;

/** Every so many rounds each machine's order is looked through for fewer threadings, with so many decodings at most. */
const POLISH_EVERY = 4;
const POLISH_MOST = 40;

/** A move's place in `moves`. */
function drawMove(shares: readonly number[], total: number, chance: Chance): number {
  let draw = chance.next() * total;
  for (let i = 0; i < moves.length; i++) {
    draw -= shares[i]!;
    if (draw < 0) return i;
  }
  return 0;
}

/** The middle of the changes in score that single moves make: the search's scale of temperature. */
function scaleOf(bench: Bench, state: Island, seed: number): { scale: number; evaluations: number } {
  const chance = seededChance(seed);
  const total = bench.shares.reduce((sum, share) => sum + share, 0);
  const trial = copyCandidate(state.current);
  bench.decoder.forget();
  evaluate(bench, trial, Infinity);
  bench.decoder.keep(trial);
  bench.around.endOf.set(bench.decoder.endOf);
  const steps: number[] = [];
  const tries = 150;
  for (let n = 0; n < tries; n++) {
    writeCandidate(trial, state.current);
    if (!moves[drawMove(bench.shares, total, chance)]!.apply(trial, bench.around, chance)) continue;
    if (bench.anyFirst) pullFirst(trial.order, bench.first);
    const step = Math.abs(evaluate(bench, trial, Infinity) - state.currentScore);
    if (step > 1e-6 && step < 1e6) steps.push(step);
  }
  steps.sort((a, b) => a - b);
  return { scale: steps.length > 0 ? steps[steps.length >> 1]! : 1, evaluations: tries };
}

/**
 * What is weighed on a day in the end: two threadings, half a stop, two minutes of its end. Where due times are tight,
 * most moves from a first plan cost far more than that in lateness, and their middle is no measure of heat.
 */
function tradeOf({ compiled }: Bench): number {
  const { perThreading, perMidStop, perFinishMinute } = compiled.problem.cost;
  return 2 * perThreading + perMidStop / 2 + 2 * perFinishMinute || Infinity;
}

export interface Search {
  readonly bench: Bench;
  /** The tasks of the next round, one an island; any order, any thread. Fewer when `most` evaluations come first. */
  nextRound(most?: number): RoundTask[];
  /** Takes the results of a round: all, or the first few islands' when time is up. */
  absorb(results: readonly RoundResult[]): void;
  readonly best: () => Candidate;
  readonly bestScore: () => number;
  readonly evaluations: () => number;
}

export function createSearch(problem: Problem, seed: number, wishes: PlanWishes = {}): Search {
  const bench = createBench(problem, wishes);
  const begun = starts(bench);
  let islands = begun.islands;
  let best = islands[0]!.best;
  let bestScore = islands[0]!.bestScore;
  let evaluations = begun.evaluations;
  const items = bench.compiled.doable.length;
  const perRound = Math.max(60, Math.min(1000, Math.round(16_000 / Math.max(1, items))));
  let shares: readonly number[] = bench.shares;
  let scale = -1;
  let round = 0;
  let cycle = 0;
  let step = 0;
  const sketches = bench.compiled.jobs >= SKETCH_AGAIN_JOBS && !wishes.previous && !bench.anyFirst;
  const cycleRounds = () => 10 * 2 ** Math.min(cycle, 12);

  return {
    bench,
    best: () => best,
    bestScore: () => bestScore,
    evaluations: () => evaluations,
    nextRound(most = Infinity) {
      if (scale < 0) {
        const measured = scaleOf(bench, islands[0]!, seed ^ 0x5eed);
        scale = measured.scale;
        evaluations += measured.evaluations;
      }
      const rounds = cycleRounds();
      // A large shop has no time to cool from far: it begins from its sketch and stays near.
      // So does a day that people know: the cooler, the fewer pieces move.
      const calm = wishes.previous ? KNOWN_CALM : Math.min(1, (60 / Math.max(1, items)) ** 2);
      const unit = calm === 1 ? Math.min(scale, tradeOf(bench)) : scale;
      const hottest = unit * calm * (cycle === 0 ? HOT_FIRST : HOT_AGAIN);
      const coldest = Math.min(unit * COLD, hottest / 8);
      const at = (share: number) => hottest * Math.pow(coldest / hottest, share);
      const affordable = Math.max(1, Math.ceil((most - evaluations) / perRound));
      return islands.slice(0, affordable).map((state, island) => ({
        island,
        round,
        state,
        evaluations: perRound,
        seed: (Math.imul(seed + 1, 0x9e3779b1) ^ Math.imul(round * ISLANDS + island + 1, 0x85ebca6b)) >>> 0,
        hot: at(step / rounds),
        cold: at((step + 1) / rounds),
        sketch:
          sketches && island === 1 && step === 0 && cycle > 0
            ? SKETCH_AGAIN * 2 ** Math.min(cycle - 1, 4)
            : 0,
        shares,
      }));
    },
    absorb(results) {
      const next = [...islands];
      const inOrder = [...results].sort((a, b) => a.island - b.island);
      shares = adapted(
        bench.shares,
        shares,
        inOrder.flatMap(({ tally }) => (tally ? [tally] : [])),
      );
      for (const result of inOrder) {
        next[result.island] = result.state;
        evaluations += result.evaluations;
        if (result.state.bestScore < bestScore) {
          bestScore = result.state.bestScore;
          best = result.state.best;
        }
      }
      islands = next;
      round++;
      step++;
      if (step >= cycleRounds()) {
        step = 0;
        cycle++;
        islands = islands.map(({ line }) => ({
          current: best,
          best,
          currentScore: bestScore,
          bestScore,
          ...(line && { line }),
        }));
      } else if (step % 3 === 0) islands = meet(islands, best, bestScore);
    },
  };
}

const HOT_FIRST = 0.5;
const KNOWN_CALM = 0.02;
const HOT_AGAIN = 0.4;
const COLD = 0.004;

/** The island that stands worst goes on from where the one that stands best is. */
function meet(islands: readonly Island[], best: Candidate, bestScore: number): Island[] {
  let top = 0;
  let last = 0;
  islands.forEach((island, i) => {
    if (island.currentScore < islands[top]!.currentScore) top = i;
    if (island.currentScore >= islands[last]!.currentScore) last = i;
  });
  return islands.map((island, i) => {
    const from = i === last ? islands[top]! : island;
    return { ...from, best, bestScore, ...(island.line && { line: island.line }) };
  });
}
