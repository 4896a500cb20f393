import type { FloorEventBody } from "#contract";
import type { Register, Run } from "#core/floor";

/**
 * What this tablet told, in the order it was told: waiting until the program answers, then kept or refused. Pure
 * functions; where the list lies and who sends it is told elsewhere. Times in ms by the tablet's own clock.
 */
export interface Told {
  readonly event: FloorEventBody;
  /** What was done, as it is read back: "Juno hooped". */
  readonly words: string;
  readonly state: "waiting" | "kept" | "refused";
  /** Why it was refused. */
  readonly why: string;
  readonly answeredAtMs: number | null;
  /** What stood before it, so that it can be taken back without asking. */
  readonly before: Before;
}

export interface Before {
  readonly run: Run | null;
  readonly registers: readonly Register[];
}

export interface Outcome {
  readonly id: string;
  readonly outcome: "kept" | "known" | "refused";
  readonly why: string;
}

/** Events sent at once; the program takes up to 200. */
const TOGETHER = 50;
/** So long what was kept stays at hand, to be taken back even without the network. */
const AT_HAND_MS = 3 * 60_000;

export const waitingOf = (list: readonly Told[]): readonly Told[] =>
  list.filter((one) => one.state === "waiting");

export const refusedOf = (list: readonly Told[]): readonly Told[] =>
  list.filter((one) => one.state === "refused");

/** What to send next, oldest first. */
export const nextToSend = (list: readonly Told[]): readonly FloorEventBody[] =>
  waitingOf(list)
    .slice(0, TOGETHER)
    .map((one) => one.event);

/** The list with one more event; told again under its id it changes nothing. */
export const withTold = (list: readonly Told[], told: Told): readonly Told[] =>
  list.some((one) => one.event.id === told.event.id) ? list : [...list, told];

/** The list after the program's answer. What it knew already it has kept, by whichever sending. */
export function withOutcomes(
  list: readonly Told[],
  outcomes: readonly Outcome[],
  answeredAtMs: number,
): readonly Told[] {
  const byId = new Map(outcomes.map((one) => [one.id, one]));
  return list.map((one) => {
    const answer = byId.get(one.event.id);
    if (!answer || one.state !== "waiting") return one;
    return answer.outcome === "refused"
      ? { ...one, state: "refused", why: answer.why, answeredAtMs }
      : { ...one, state: "kept", answeredAtMs };
  });
}

/** The list without what was kept some minutes ago; what waits or was refused stays until it is answered or put away. */
export const withoutOld = (list: readonly Told[], nowMs: number): readonly Told[] => {
  const rest = list.filter((one) => one.state !== "kept" || nowMs - (one.answeredAtMs ?? 0) < AT_HAND_MS);
  return rest.length === list.length ? list : rest;
};

/** What was read back from this tablet's store, before what was told since: none twice. */
export const joined = (stored: readonly Told[], list: readonly Told[]): readonly Told[] => {
  const here = new Set(list.map((one) => one.event.id));
  return [...stored.filter((one) => !here.has(one.event.id)), ...list];
};

/** Seconds until the next try after so many that failed. */
export const waitS = (failures: number): number => Math.min(30, 2 ** Math.max(0, failures - 1));
