import { type Candidate, copyCandidate } from "./candidate";
import { compile, type Compiled } from "./compile";
import type { Decoder } from "./decoder";
import { createDecoder } from "./decode";
import { shift } from "./moves/move";
import type { OneThing, Plan, Problem } from "./problem";
import { knownCandidates } from "./starts";

/** A plan decoded again from its recipe, to ask what would be if something stood elsewhere. */
export interface Replay {
  readonly compiled: Compiled;
  readonly decoder: Decoder;
  readonly candidate: Candidate;
  /** End of each item in the plan. */
  readonly endOf: Int32Array;
  readonly oneThing: OneThing;
}

/** The plan's figures with a change, against those without. */
export interface Difference {
  readonly cost: number;
  readonly threadings: number;
  readonly midStops: number;
  /** Unweighted lateness of all items together. */
  readonly lateS: number;
  readonly finishS: number;
  /** Items that would find no place. */
  readonly leftOut: number;
}

/** The replay of a plan; null when it cannot be found again exactly (a plan made otherwise than by the search). */
export function replayOf(problem: Problem, plan: Plan, oneThing: OneThing = []): Replay | null {
  const compiled = compile(problem, oneThing);
  const decoder = createDecoder(compiled);
  for (const candidate of knownCandidates(compiled, plan)) {
    const { cost } = decoder.decode(candidate, Infinity);
    if (Math.abs(cost - plan.totals.cost) > 1e-6) continue;
    candidate.left.set(decoder.barred);
    return { compiled, decoder, candidate, endOf: decoder.endOf.slice(), oneThing };
  }
  return null;
}

/** Answers what changing the plan would cost. Every answer is a whole decoding. */
export function differences({ decoder, candidate }: Replay) {
  decoder.forget();
  const base = { ...decoder.decodeAgain(candidate, Infinity) };
  decoder.keep(candidate);
  /** The least costly of some changes. */
  const bestOf = (changes: Iterable<(trial: Candidate) => void>): Difference | null => {
    let best: Difference | null = null;
    for (const change of changes) {
      const trial = copyCandidate(candidate);
      change(trial);
      const { cost, threadings, midStops, lateS, finishAt, leftOut } = decoder.decodeAgain(trial, Infinity);
      const more = leftOut - base.leftOut;
      if (best !== null && (more > best.leftOut || (more === best.leftOut && cost - base.cost >= best.cost)))
        continue;
      best = {
        cost: cost - base.cost,
        threadings: threadings - base.threadings,
        midStops: midStops - base.midStops,
        lateS: lateS - base.lateS,
        finishS: finishAt - base.finishAt,
        leftOut: more,
      };
    }
    return best;
  };
  return { bestOf };
}

/** A job on another machine: at its own place in the order, a little sooner or later, and beside each of the jobs there with the most of its threads. */
export function* onMachine(
  { compiled, candidate }: Pick<Replay, "compiled" | "candidate">,
  job: number,
  m: number,
): Generator<(trial: Candidate) => void> {
  const at = candidate.order.indexOf(job);
  const last = candidate.order.length - 1;
  const own = new Set(compiled.colourOf[job]);
  const shared = (other: number) => compiled.colourOf[other]!.filter((colour) => own.has(colour)).length;
  const friends = [...candidate.order.keys()]
    .filter((place) => {
      const other = candidate.order[place]!;
      return other < compiled.jobs && other !== job && candidate.machine[other] === m;
    })
    .sort((a, b) => shared(candidate.order[b]!) - shared(candidate.order[a]!) || a - b)
    .slice(0, 3)
    .flatMap((place) => [place, place + 1]);
  for (const place of new Set([at, at - 8, at + 8, ...friends])) {
    const to = Math.max(0, Math.min(last, place));
    yield (trial) => {
      trial.machine[job] = m;
      trial.cut[job] = 0;
      trial.left[job] = 0;
      shift(trial.order, at, to > at ? Math.max(at, to - 1) : to);
    };
  }
}

/** A job one run sooner or later on its machine, or before all others there; null where there is no such place. */
export function inOrder(
  { compiled, candidate }: Pick<Replay, "compiled" | "candidate">,
  job: number,
  where: "sooner" | "later" | "first",
): ((trial: Candidate) => void) | null {
  const own = [...candidate.order.keys()].filter((place) => {
    const other = candidate.order[place]!;
    return other < compiled.jobs && candidate.machine[other] === candidate.machine[job];
  });
  const rank = own.findIndex((place) => candidate.order[place] === job);
  const to = where === "first" ? (rank > 0 ? own[0] : undefined) : own[rank + (where === "sooner" ? -1 : 1)];
  if (rank < 0 || to === undefined) return null;
  return (trial) => shift(trial.order, own[rank]!, to);
}
