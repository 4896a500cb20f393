import { boundsOf } from "./bounds";
import { buildPlan } from "./build";
import { type Candidate, copyCandidate, pullFirst } from "./candidate";
import { inOrder, onMachine } from "./elsewhere";
import { knownStarts } from "./newcomers";
import { type KnownPlaces, knownPlaces, movedJobs, worthOfMove } from "./moved";
import { shift } from "./moves/move";
import type { Plan, PlanBounds, PlanWishes, Problem } from "./problem";
import { type Bench, createBench, evaluate } from "./bench";
import { type Island, runRound } from "./round";
import { recipeOf } from "./starts";

/**
 * Planning a day in hand anew after something happened on the floor. It starts from the plan people know, puts what
 * is new where it costs least, and goes downhill only: a change stays when it saves more than the pieces it moves are
 * worth (`worthOfMove`). At the end what moved needlessly goes back (`settled`). This gives in some hundred evaluations
 * what annealing needs thousands for, with a fifth of the pieces moved.
 */
export interface Replanning {
  readonly bench: Bench;
  readonly evaluations: () => number;
  /** The best's score: cost, moves and what is left out; for comparing one step's best with another's. */
  readonly score: () => number;
  /** So many evaluations more. */
  step(evaluations: number): void;
  /** The best so far, needless moves undone; `solver.moved` counts the rest. Nothing is proven where bounds are left out. */
  plan(note: { readonly seconds: number; readonly seed: number }, bounds?: "thorough" | "quick"): Plan;
}

export interface ReplanOptions {
  readonly seed?: number;
  /** How long it looks; 600 for an answer at once. */
  readonly evaluations?: number;
  readonly bounds?: "thorough" | "quick";
  readonly elapsedS?: () => number;
}

export type ReplanWishes = PlanWishes & { readonly previous: Plan };

/** A plan for the problem that moves as few jobs of `wishes.previous` as its cost allows. */
export function replan(problem: Problem, wishes: ReplanWishes, options: ReplanOptions = {}): Plan {
  const { seed = 1, evaluations = 600, bounds } = options;
  const going = createReplanning(problem, wishes, seed);
  going.step(evaluations);
  return going.plan({ seconds: options.elapsedS?.() ?? 0, seed }, bounds);
}

export function createReplanning(problem: Problem, wishes: ReplanWishes, seed: number): Replanning {
  const bench = createBench(problem, { perMovedJob: worthOfMove(problem.cost), ...wishes });
  const { compiled } = bench;
  const known = knownStarts(bench, wishes.previous, Infinity);
  const begun = known.found.at(-1)!;
  let state: Island = {
    current: begun.candidate,
    best: begun.candidate,
    currentScore: begun.score,
    bestScore: begun.score,
  };
  let { evaluations } = known;
  let round = 0;
  return {
    bench,
    evaluations: () => evaluations,
    score: () => state.bestScore,
    step(more) {
      if (compiled.doable.length < 2) return;
      const task = {
        island: 0,
        round,
        state,
        evaluations: more,
        seed: (Math.imul(seed + 1, 0x9e3779b1) ^ Math.imul(++round, 0x85ebca6b)) >>> 0,
        hot: 0,
        cold: 0,
        sketch: null,
        polish: false,
        shares: bench.shares,
      };
      state = runRound(bench, task).state;
      evaluations += more;
    },
    plan({ seconds, seed }, bounds) {
      const { candidate, score, tried } = settled(bench, state.best, wishes.previous);
      evaluations += tried;
      if (score < state.bestScore)
        state = { current: candidate, best: candidate, currentScore: score, bestScore: score };
      const built = buildPlan(bench.decoder, state.best);
      bench.decoder.forget();
      const left = new Set<number>();
      compiled.doable.forEach((item) => bench.decoder.endOf[item]! < 0 && left.add(item));
      return {
        format: "spoolwright/plan@1",
        ...built,
        bounds: bounds ? boundsOf(compiled, left, bounds) : nothingProven,
        solver: {
          seconds,
          seed,
          evaluations,
          recipe: recipeOf(compiled, state.best),
          moved: movedJobs(wishes.previous, built.runs),
        },
      };
    },
  };
}

const nothingProven: PlanBounds = { cost: 0, threadings: 0, finishAt: 0 };

/** Passes over the moved jobs; a day settles in two or three. */
const MOST_PASSES = 6;
/** Pairs of moved jobs put back together, at most so many a pass. */
const MOST_PAIRS = 150;

/**
 * The candidate without its needless moves: each job that stands elsewhere than in the plan people know is put back to
 * its old machine beside its old neighbours, alone and in pairs, and stays there where that costs no more than the
 * move was worth (`worthOfMove`, which the bench's score counts). Repeated until nothing goes back.
 */
export function settled(
  bench: Bench,
  found: Candidate,
  previous: Plan,
): { candidate: Candidate; score: number; tried: number } {
  const { compiled, decoder } = bench;
  const known = knownPlaces(compiled, previous);
  let current = copyCandidate(found);
  let score = decode(bench, current);
  let tried = 1;
  const tryTo = (change: (trial: Candidate) => void): boolean => {
    const trial = copyCandidate(current);
    change(trial);
    if (bench.anyFirst) pullFirst(trial.order, bench.first);
    tried++;
    const worth = evaluate(bench, trial, score);
    if (worth >= score - 1e-9) return false;
    current = trial;
    score = worth;
    decoder.keep(current);
    return true;
  };
  for (let pass = 0; pass < MOST_PASSES; pass++) {
    let changed = false;
    let still: number[] = [];
    for (const job of movedOf(known, current)) {
      const back =
        tryTo((trial) => putBack(trial, job, known, "after")) ||
        tryTo((trial) => putBack(trial, job, known, "before"));
      if (back) changed = true;
      else still.push(job);
    }
    still = still.slice(0, Math.floor(Math.sqrt(2 * MOST_PAIRS)));
    for (let a = 0; a < still.length; a++) {
      for (let b = a + 1; b < still.length; b++) {
        // Only jobs that stand in one another's way gain by going back together.
        const [one, other] = [still[a]!, still[b]!];
        if (current.machine[one] !== known.machine[other] && current.machine[other] !== known.machine[one])
          continue;
        const both = tryTo((trial) => {
          putBack(trial, one, known, "after");
          putBack(trial, other, known, "after");
        });
        changed ||= both;
      }
    }
    if (!changed) break;
  }
  decoder.forget();
  return { candidate: current, score, tried };
}

/** Decodings the polish may take, by the number of items: some tenth of a second. */
const mostPolish = (items: number): number => Math.min(3000, Math.round(150_000 / Math.max(1, items)));

/**
 * The candidate with every job tried once more on each of its machines beside what is alike there, and one place sooner
 * or later, as long as that gains: what annealing leaves undone for want of time.
 */
export function polished(bench: Bench, found: Candidate): Candidate {
  const { compiled, decoder } = bench;
  let current = copyCandidate(found);
  let score = decode(bench, current);
  let tried = 0;
  const most = mostPolish(compiled.doable.length);
  for (let gained = true; gained && tried < most;) {
    gained = false;
    for (const job of current.order.slice()) {
      if (job >= compiled.jobs) continue;
      const replay = { compiled, decoder, candidate: current, endOf: decoder.endOf };
      const changes = [...compiled.choices[job]!].flatMap((m) => [...onMachine(replay, job, m)]);
      for (const where of ["sooner", "later"] as const) {
        const change = inOrder(replay, job, where);
        if (change) changes.push(change);
      }
      for (const change of changes) {
        if (tried++ >= most) break;
        const trial = copyCandidate(current);
        change(trial);
        if (bench.anyFirst) pullFirst(trial.order, bench.first);
        const worth = evaluate(bench, trial, score);
        if (worth >= score - 1e-9) continue;
        [current, score, gained] = [trial, worth, true];
        decoder.keep(current);
        break;
      }
    }
  }
  decoder.forget();
  return current;
}

function decode(bench: Bench, candidate: Candidate): number {
  bench.decoder.forget();
  const score = evaluate(bench, candidate, Infinity);
  bench.decoder.keep(candidate);
  return score;
}

/** Jobs on another machine than before, then those out of their machine's old order. */
function movedOf(known: KnownPlaces, candidate: Candidate): number[] {
  const away: number[] = [];
  const standing: number[] = [];
  for (const item of candidate.order) {
    if (item >= known.machine.length || known.machine[item]! < 0) continue;
    (known.machine[item] === candidate.machine[item] ? standing : away).push(item);
  }
  const misplaced = standing.filter((job, at) => {
    const own = standing.filter((other) => candidate.machine[other] === candidate.machine[job]);
    const here = own.indexOf(job);
    const before = own[here - 1];
    const after = own[here + 1];
    return (
      at >= 0 &&
      ((before !== undefined && known.place[before]! > known.place[job]!) ||
        (after !== undefined && known.place[after]! < known.place[job]!))
    );
  });
  return [...away, ...misplaced];
}

/** Puts a job on its old machine, right after the nearest job that stood before it there, or right before the next. */
function putBack(trial: Candidate, job: number, known: KnownPlaces, where: "after" | "before"): void {
  const m = known.machine[job]!;
  const { order } = trial;
  if (trial.machine[job] !== m) {
    trial.machine[job] = m;
    trial.cut[job] = 0;
  }
  const from = order.indexOf(job);
  let beside = -1;
  let nearest = where === "after" ? -1 : Infinity;
  for (let at = 0; at < order.length; at++) {
    const other = order[at]!;
    if (other === job || other >= known.place.length || known.place[other]! < 0) continue;
    if (known.machine[other] !== m || trial.machine[other] !== m) continue;
    const place = known.place[other]!;
    const isNearer =
      where === "after"
        ? place < known.place[job]! && place > nearest
        : place > known.place[job]! && place < nearest;
    if (!isNearer) continue;
    nearest = place;
    beside = at;
  }
  let to = beside < 0 ? (where === "after" ? 0 : order.length - 1) : where === "after" ? beside + 1 : beside;
  if (from < to) to--;
  shift(order, from, Math.max(0, Math.min(order.length - 1, to)));
}
