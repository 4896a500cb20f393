import type { Island, RoundResult, RoundTask } from "./round";

/** What a course says of a task; number, seed and shares of moves are the search's. */
export type Step = Pick<RoundTask, "island" | "state" | "evaluations" | "hot" | "cold" | "sketch" | "polish">;

/** The best of all islands so far. */
export type Best = Pick<Island, "best" | "bestScore">;

/** How a search goes on from round to round: how hot each island is, and what islands take from one another. */
export interface Course {
  /** The next round's steps, one an island, as many as are affordable with so many evaluations. */
  next(best: Best, affordable: number): readonly Step[];
  /** Takes the results in the islands' order; the first few islands' alone when time is up. */
  absorb(results: readonly RoundResult[], best: Best): void;
}
