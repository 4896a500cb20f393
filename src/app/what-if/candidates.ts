import type { Change, Measures } from "#core/floor";
import { estimateOf, plainOnes } from "#core/floor";
import type { MeantCard } from "./changes";
import { earnedBeforeOverhead, newMachineId } from "./prices";
import type { Basis, Outcome } from "./season";

/** Which shops a question compares. All but a ladder's are known from the start; a ladder's follow from what came out. */

export type Role =
  | { readonly as: "today" }
  | { readonly as: "changed" }
  /** One thing more on top of the changes. */
  | { readonly as: "more"; readonly what: string }
  /** A point of a curve. */
  | { readonly as: "count"; readonly at: number; readonly isToday: boolean }
  | { readonly as: "rung"; readonly rung: number; readonly card: number };

export interface Candidate {
  readonly number: number;
  readonly role: Role;
  readonly changes: readonly Change[];
}

/** A question as it is kept: what its cards mean is settled when it is asked. */
export type MeantQuestion =
  | { readonly kind: "changes"; readonly cards: readonly MeantCard[] }
  | { readonly kind: "how-many-hoops"; readonly hoopId: string; readonly most: number }
  | { readonly kind: "how-many-machines"; readonly likeId: string; readonly most: number }
  | { readonly kind: "what-next"; readonly cards: readonly MeantCard[]; readonly budgetCents: number | null };

/** What people say things are worth. */
export interface Worth {
  readonly handHourCents: number | null;
  readonly latePieceCents: number | null;
  readonly pieceCents: number | null;
}

export interface Names {
  readonly machines: ReadonlyMap<string, string>;
  readonly hoops: ReadonlyMap<string, string>;
}

type New = Omit<Candidate, "number">;
const today: New = { role: { as: "today" }, changes: [] };

export function firstCandidates(question: MeantQuestion, basis: Basis, names: Names): readonly Candidate[] {
  return numbered(0, [today, ...others(question, basis, names)]);
}

function others(question: MeantQuestion, basis: Basis, names: Names): readonly New[] {
  switch (question.kind) {
    case "changes": {
      const changes = question.cards.flatMap((card) => card.changes);
      return [{ role: { as: "changed" }, changes }, ...oneMore(changes, basis, names)];
    }
    case "how-many-hoops": {
      const count = basis.problem.hoops.find(({ id }) => id === question.hoopId)!.count;
      return Array.from({ length: question.most }, (_, at): New => ({
        role: { as: "count", at: at + 1, isToday: at + 1 === count },
        changes: [{ change: "hoops", hoop: question.hoopId, more: at + 1 - count }],
      }));
    }
    case "how-many-machines":
      return machineCounts(question, basis);
    case "what-next":
      return rung(question.cards, 0, [], []);
  }
}

/** Of the commonest kinds of hoop only: each is a shop to be played. */
const MOST_HOOPS = 6;

/** A hand, a hoop of each kind that is used, a machine like each. */
function oneMore(
  changes: readonly Change[],
  { problem, kinds, habits }: Basis,
  names: Names,
): readonly New[] {
  const used = new Map<string, number>();
  for (const order of habits.orders)
    for (const kind of order.pieces)
      for (const { hoop } of kinds[kind]!.runs) if (hoop !== null) used.set(hoop, (used.get(hoop) ?? 0) + 1);
  const hoops = [...used].sort((a, b) => b[1] - a[1]).slice(0, MOST_HOOPS);
  const more = (what: string, change: Change): New => ({
    role: { as: "more", what },
    changes: [...changes, change],
  });
  return [
    ...problem.hands
      .slice(0, 1)
      .map(({ shifts }) =>
        more("a person more", { change: "hand-added", hand: { id: "one person more", shifts } }),
      ),
    ...hoops.map(([hoop]) =>
      more(`one more of hoop ${names.hoops.get(hoop) ?? hoop}`, { change: "hoops", hoop, more: 1 }),
    ),
    ...problem.machines.map((machine) =>
      more(`a machine more like ${names.machines.get(machine.id) ?? machine.id}`, {
        change: "machine-added",
        machine: { ...machine, id: newMachineId(machine.id, "more"), down: [] },
        like: machine.id,
      }),
    ),
  ];
}

/** Fewer than today: the others leave one by one, the one asked about last. More: ones like it come. */
function machineCounts(
  { likeId, most }: { readonly likeId: string; readonly most: number },
  { problem }: Basis,
): readonly New[] {
  const like = problem.machines.find(({ id }) => id === likeId)!;
  const leaving = problem.machines.filter(({ id }) => id !== likeId).reverse();
  const now = problem.machines.length;
  return Array.from({ length: Math.max(most, now) }, (_, index): New => {
    const at = index + 1;
    const changes =
      at < now
        ? leaving.slice(0, now - at).map(({ id }): Change => ({ change: "machine-removed", machine: id }))
        : Array.from({ length: at - now }, (_unused, nth): Change => ({
            change: "machine-added",
            machine: { ...like, id: newMachineId(likeId, nth + 1), down: [] },
            like: likeId,
          }));
    return { role: { as: "count", at, isToday: at === now }, changes };
  });
}

/** Rungs after which a ladder ends in any case. */
export const MOST_RUNGS = 6;

/** What can be had more than once; magnetic hoops in the place of screw hoops cannot. */
const again: ReadonlySet<Change["change"]> = new Set(["hoops", "machine-added", "hand-added"]);

function rung(
  cards: readonly MeantCard[],
  number: number,
  before: readonly Change[],
  taken: readonly MeantCard[],
): readonly New[] {
  return cards.flatMap((one, card): New[] => {
    const isUsedUp = taken.includes(one) && !one.changes.every(({ change }) => again.has(change));
    return isUsedUp
      ? []
      : [
          {
            role: { as: "rung", rung: number, card },
            changes: [...before, ...one.changes.map((change) => apart(change, number))],
          },
        ];
  });
}

/** The same card taken again is another machine, another person. */
function apart(change: Change, rungNumber: number): Change {
  if (change.change === "machine-added")
    return { ...change, machine: { ...change.machine, id: `${change.machine.id} rung ${rungNumber + 1}` } };
  if (change.change === "hand-added")
    return { ...change, hand: { ...change.hand, id: `${change.hand.id} rung ${rungNumber + 1}` } };
  return change;
}

/** What a candidate's seasons came to, by season. */
export type Played = ReadonlyMap<number, readonly Outcome[]>;

export interface ClimbAsked {
  readonly question: MeantQuestion;
  readonly worth: Worth;
  readonly basis: Basis;
  readonly candidates: readonly Candidate[];
  readonly played: Played;
}

export interface Rung {
  readonly card: MeantCard;
  readonly candidate: Candidate;
  /** Months' gain in cents where people said what things are worth; else hours a piece is done sooner. */
  readonly gain: ReturnType<typeof estimateOf>;
}

/** The rungs climbed so far, by gain for each unit of money, and why it ended or null where the next must be played. */
export function climbed({ question, worth, basis, candidates, played }: ClimbAsked): {
  readonly rungs: readonly Rung[];
  readonly stopped: "nothing-pays" | "budget" | "enough" | null;
} {
  if (question.kind !== "what-next") return { rungs: [], stopped: "enough" };
  const rungs: Rung[] = [];
  let left = question.budgetCents ?? Infinity;
  let below = played.get(0)!;
  for (let number = 0; number < MOST_RUNGS; number++) {
    const tried = candidates.filter(({ role }) => role.as === "rung" && role.rung === number);
    if (tried.length === 0)
      return { rungs, stopped: number > 0 && nothingLeft(question, rungs) ? "nothing-pays" : null };
    const all = tried.map((candidate): Rung => {
      const card = question.cards[(candidate.role as { card: number }).card]!;
      const gain = estimateOf(gains(below, played.get(candidate.number)!, { worth, basis, card }));
      return { card, candidate, gain };
    });
    // Several are looked at together: the best of many that do nothing looks like something by chance.
    const isPlain = plainOnes(all.map(({ gain }) => gain));
    const found = all
      .filter(({ gain, card }, at) => isPlain[at] && pays(gain.mean, card, isInMoney(worth, basis)))
      .sort((a, b) => perMoney(b) - perMoney(a));
    const next = found.find(({ card }) => card.priceCents <= left);
    if (!next) return { rungs, stopped: found.length > 0 ? "budget" : "nothing-pays" };
    rungs.push(next);
    left -= next.card.priceCents;
    below = played.get(next.candidate.number)!;
  }
  return { rungs, stopped: "enough" };
}

/** All cards are taken that cannot be had again. */
const nothingLeft = ({ cards }: Extract<MeantQuestion, { kind: "what-next" }>, rungs: readonly Rung[]): boolean =>
  rung(cards, rungs.length, [], rungs.map(({ card }) => card)).length === 0; // prettier-ignore

/** A purchase that is not back by then is not told of as one that pays; common sense, no source. */
export const PAYS_BACK_MONTHS = 60;

const pays = (gain: number, { priceCents }: MeantCard, inMoney: boolean): boolean =>
  inMoney ? gain > 0 && gain * PAYS_BACK_MONTHS >= priceCents : gain >= LEAST_HOURS;

/** Where nothing is worth money: a piece done less than so many hours sooner is nothing to pay for. */
const LEAST_HOURS = 0.1;

/** For each unit of what it costs in its first year; what costs nothing comes first. Gains in money are after monthly costs. */
const perMoney = ({ gain, card }: Rung): number =>
  gain.mean / Math.max(1, card.priceCents + 12 * card.monthlyCents);

/** The shops a ladder's next rung tries; empty where it has ended, and for other questions. */
export function nextCandidates(asked: ClimbAsked): readonly Candidate[] {
  const { question, candidates } = asked;
  if (question.kind !== "what-next") return [];
  const { rungs, stopped } = climbed(asked);
  if (stopped !== null) return [];
  const taken = rungs.map(({ card }) => card);
  return numbered(
    candidates.length,
    rung(question.cards, rungs.length, rungs.at(-1)!.candidate.changes, taken),
  );
}

const numbered = (from: number, found: readonly New[]): readonly Candidate[] =>
  found.map((candidate, at) => ({ ...candidate, number: from + at }));

/** Days of a month, the year's mean. */
export const MONTH_DAYS = 365.25 / 12;

interface GainAsked {
  readonly worth: Worth;
  readonly basis: Pick<Basis, "days" | "workingDays" | "prices">;
  readonly card: Pick<MeantCard, "monthlyCents">;
}

/**
 * Pair by pair: cents a month, or where nothing is said to be worth anything hours a piece is done sooner. Where Costs
 * are whole it is the difference of profit; overhead stays what it is and falls out.
 */
export function gains(before: readonly Outcome[], after: readonly Outcome[], asked: GainAsked): number[] {
  const { worth, basis, card } = asked;
  if (!isInMoney(worth, basis))
    return before.map(({ measures }, at) => measures.throughHours - after[at]!.measures.throughHours);
  const months = basis.days / MONTH_DAYS;
  const lateCents = ({ measures, done }: Outcome) => lateOf(measures, done) * (worth.latePieceCents ?? 0);
  const cost = (outcome: Outcome) =>
    lateCents(outcome) +
    (basis.prices
      ? -earnedBeforeOverhead(outcome.money!)
      : outcome.measures.handHoursADay * basis.workingDays * (worth.handHourCents ?? 0) -
        outcome.done * (worth.pieceCents ?? 0));
  return before.map((one, at) => (cost(one) - cost(after[at]!)) / months - card.monthlyCents);
}

export const isInMoney = (
  { handHourCents, latePieceCents, pieceCents }: Worth,
  { prices }: Pick<Basis, "prices">,
): boolean => prices !== null || handHourCents !== null || latePieceCents !== null || pieceCents !== null;

export const lateOf = ({ onTimeShare }: Measures, done: number): number => (1 - onTimeShare) * done;
