import { compile, type Compiled } from "./compile";
import type { Candidate } from "./candidate";
import type { Decoder } from "./decoder";
import { createDecoder } from "./decode";
import { knownPlaces, tieOfMove } from "./moved";
import { moves, type Surroundings } from "./moves";
import { createLineWork, type LineWork } from "./one-machine";
import type { PlanWishes, Problem } from "./problem";
import { cutTables } from "./tables";

/** What a thread needs to do rounds: the problem made ready, with the shop's wishes. */
export interface Bench {
  readonly compiled: Compiled;
  readonly decoder: Decoder;
  readonly around: Surroundings;
  readonly first: Uint8Array;
  readonly anyFirst: boolean;
  readonly wishes: PlanWishes;
  readonly shares: readonly number[];
  /** The search of one machine that does the rounds instead, on a day that is one of the classical problems. */
  readonly line: LineWork | null;
}

export function createBench(problem: Problem, wishes: PlanWishes = {}): Bench {
  const compiled = compile(problem, wishes.oneThing);
  const decoder = createDecoder(compiled);
  const first = new Uint8Array(compiled.jobs + compiled.chores);
  const begun = new Set(wishes.begun ?? []);
  const pulled = new Set([...begun, ...(wishes.first ?? [])]);
  problem.jobs.forEach((job, j) => {
    if (pulled.has(job.id)) first[j] = begun.has(job.id) ? 2 : 1;
  });
  if (wishes.previous) {
    const known = knownPlaces(compiled, wishes.previous);
    const worth = wishes.perMovedJob ?? tieOfMove(problem.cost);
    decoder.nudge = (candidate) => worth * known.moved(candidate);
  }
  const useful = moves.map((move) => {
    if (move.name === "recut" && !compiled.cuts.some((own) => own.length > 1)) return 0;
    if (move.name === "chore shift" && compiled.chores === 0) return 0;
    if (move.name === "rebalance" && compiled.machines < 2) return 0;
    return move.share;
  });
  const bench: Bench = {
    compiled,
    decoder,
    around: {
      compiled,
      alike: alikeOf(compiled),
      workS: workOf(compiled),
      endOf: new Int32Array(compiled.jobs + compiled.chores),
    },
    first,
    anyFirst: first.some((level) => level > 0),
    wishes,
    shares: useful,
    line:
      first.some((level) => level > 0) || wishes.previous
        ? null
        : createLineWork(compiled, (candidate) => evaluate(bench, candidate, Infinity)),
  };
  return bench;
}

/** Seconds a job keeps each machine busy in its first cut, threadings left aside; job × machine, 0 where it cannot go. */
function workOf(compiled: Compiled): Int32Array {
  const { base, sewS } = cutTables(compiled);
  const work = new Int32Array(compiled.jobs * compiled.machines);
  for (let at = 0; at < work.length; at++) {
    const m = at % compiled.machines;
    if (compiled.cuts[at]!.length > 0)
      work[at] = sewS[base[at]!]! + compiled.loadS[m]! + compiled.unloadS[m]!;
  }
  return work;
}

function alikeOf(compiled: Compiled): Int32Array[] {
  const sets = compiled.colourOf.map((parts) => new Set(parts));
  const able = [...compiled.doable].filter((item) => item < compiled.jobs);
  return sets.map((own, job) => {
    const likeness = new Map<number, number>();
    for (const other of able) {
      if (other === job) continue;
      let shared = 0;
      for (const colour of own) if (sets[other]!.has(colour)) shared++;
      likeness.set(other, shared / (own.size + sets[other]!.size - shared || 1));
    }
    const sorted = [...likeness.keys()].sort((a, b) => likeness.get(b)! - likeness.get(a)! || a - b);
    return Int32Array.from(sorted.slice(0, 16));
  });
}

/** The score of a candidate; what it leaves out is marked on it. */
export function evaluate(bench: Bench, candidate: Candidate, limit: number): number {
  const outcome = bench.decoder.decodeAgain(candidate, limit);
  if (outcome.score < Infinity) candidate.left.set(bench.decoder.barred);
  return outcome.score;
}
