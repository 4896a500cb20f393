import type { Candidate } from "./candidate";
import type { Compiled } from "./compile";
import type { NeedlePlan, NeedleRoom, NeedleRule } from "./needles";

/** What a decoded day comes to. */
export interface Outcome {
  /** What the search minimises: cost, plus a great deal for everything left out, plus a whisper to break ties. */
  score: number;
  cost: number;
  threadings: number;
  midStops: number;
  lateItems: number;
  lateS: number;
  weightedLateS: number;
  finishAt: number;
  leftOut: number;
}

/** What is done by hand; a task is written down by its place in this list. */
export const taskKinds = ["hoop", "thread", "load", "unload", "unhoop", "finish", "chore"] as const;

/** Five numbers a task: kind, item, hand, start, threading number on its machine (or −1). */
export const TASK_WIDTH = 5;

/** Makes days from candidates; its arrays hold the last one. */
export interface Decoder {
  readonly compiled: Compiled;
  readonly needleRoom: NeedleRoom;
  readonly outcome: Outcome;
  /** The tasks of the last decoding. */
  readonly tasks: Int32Array;
  tasksCount: number;
  /** Start of each stretch, per machine, in the order of its needle plan. */
  readonly stretchStart: Int32Array[];
  /** The needle plan used for each machine in the last decoding. */
  readonly needlePlan: NeedlePlan[];
  /** Frame number (from 0) of each job, −1. */
  readonly frameOf: Int32Array;
  /** End of each item; −1 where it found no place. */
  readonly endOf: Int32Array;
  /** 1 for a job left out in the last decoding. */
  readonly barred: Uint8Array;
  /** Decodes; stops early once the score must exceed `limit` (then the score is Infinity). */
  decode(candidate: Candidate, limit: number): Outcome;
  /**
   * As `decode`, but goes on from where the candidate parts from the one kept. The outcome, `endOf` and `barred` are
   * the same; `tasks`, `stretchStart` and `frameOf` hold only what was done anew.
   */
  decodeAgain(candidate: Candidate, limit: number): Outcome;
  /** Keeps the candidate of the last `decodeAgain`, which must have come to its end, for later ones to go on from. */
  keep(candidate: Candidate): void;
  /** Forgets what is kept. */
  forget(): void;
  /** The needle rule of further decodings. */
  rule: NeedleRule;
  /** Added to the score: how far a candidate is from what people know. */
  nudge: ((candidate: Candidate) => number) | null;
}

/** What the score of a thing left out is. */
export const LEFT_OUT_PENALTY = 1e7;
