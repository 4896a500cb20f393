import { type Chance, seededChance } from "#core/base";
import { type Bench, evaluate } from "./bench";
import { type Candidate, copyCandidate, pullFirst, writeCandidate } from "./candidate";
import { CREDIT, emptyTally, type MoveTally } from "./move-shares";
import { moves } from "./moves";
import { type LineState, polish } from "./one-machine";
import { beginSketch, type Sketch, sketchedCandidate, type Sketching, sketchOn } from "./sketch";

/** What an island carries from round to round; it can be posted to a thread as it is. */
export interface Island {
  readonly current: Candidate;
  readonly best: Candidate;
  readonly currentScore: number;
  readonly bestScore: number;
  /** Where the search of one machine is, on a day that has one. */
  readonly line?: LineState;
  /** The sketch in the making. */
  readonly sketch?: Sketch;
}

export interface SketchPortion extends Omit<Sketching, "seed"> {
  /** Whether it is the sketch's first (of the best so far) and its last (which makes the sketch the current candidate). */
  readonly first: boolean;
  readonly last: boolean;
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
  /** A portion of a sketch instead of evaluations; null for none. */
  readonly sketch: SketchPortion | null;
  /** Whether each machine's order of the best is looked through at the end. */
  readonly polish: boolean;
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

/** One round on one island. */
export function runRound(bench: Bench, task: RoundTask): RoundResult {
  if (bench.line) return bench.line.round(task);
  if (task.sketch) return sketchRound(bench, task, task.sketch);
  const { decoder, around } = bench;
  const chance = seededChance(task.seed);
  const current = copyCandidate(task.state.current);
  const best = copyCandidate(task.state.best);
  let { currentScore, bestScore } = task.state;
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
  if (task.polish && !bench.anyFirst) {
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
    evaluations: task.evaluations + polishing,
    tally,
  };
}

/**
 * A portion of a sketch, decoded as it stands, so that something is there whenever time is up; the last one becomes the
 * current candidate, with hands as patient as suits it best.
 */
function sketchRound(
  bench: Bench,
  { island, round, state, seed }: RoundTask,
  portion: SketchPortion,
): RoundResult {
  const { compiled, decoder, around } = bench;
  const begun = portion.first || !state.sketch ? beginSketch(compiled, state.best) : state.sketch;
  const sketch = sketchOn(compiled, around.alike, begun, { ...portion, seed });
  const candidate = sketchedCandidate(compiled, sketch, state.best);
  if (bench.anyFirst) pullFirst(candidate.order, bench.first);
  let made = candidate;
  let madeScore = Infinity;
  const tried = portion.last ? PATIENCE : PATIENCE_BETWEEN;
  for (const times of tried) {
    const trial = copyCandidate(candidate);
    trial.patience.fill(times * compiled.machines);
    decoder.forget();
    const score = evaluate(bench, trial, Infinity);
    if (score < madeScore) [made, madeScore] = [trial, score];
  }
  const isBest = madeScore < state.bestScore;
  const { best, bestScore } = isBest ? { best: copyCandidate(made), bestScore: madeScore } : state;
  const evaluations = tried.length + Math.ceil(portion.changes / SKETCH_CHANGES_AN_EVALUATION);
  if (!portion.last) return { island, round, state: { ...state, best, bestScore, sketch }, evaluations };
  return { island, round, state: { current: made, currentScore: madeScore, best, bestScore }, evaluations };
}

/** How patient unhooping and finishing may be, in items a machine. */
const PATIENCE: readonly number[] = [1, 2, 3];
const PATIENCE_BETWEEN: readonly number[] = [2];
/** So many changes of a sketch take as long as an evaluation of a large shop. */
const SKETCH_CHANGES_AN_EVALUATION = 200;

/** Each machine's order is looked through for fewer threadings with so many decodings at most. */
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
export function scaleOf(bench: Bench, state: Island, seed: number): { scale: number; evaluations: number } {
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
