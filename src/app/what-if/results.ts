import type { whatIf } from "#contract";
import { type Estimate, estimateOf, kneeOf, plainOnes } from "#core/floor";
import {
  type Candidate,
  climbed,
  gains,
  isInMoney,
  lateOf,
  MONTH_DAYS,
  type MeantQuestion,
  type Played,
  type Worth,
} from "./candidates";
import { costOfPiece, earnedBeforeOverhead } from "./prices";
import type { Basis, Outcome } from "./season";
import {
  amountRange,
  centsWords,
  isTelling,
  SHORT_HOURS,
  type MeasureKind,
  measureKinds,
  moneyKinds,
  moneyWords,
  paybackWords,
  plainSentence,
} from "./words";

/** From what the seasons came to, to an answer: differences with limits, what binds, a sentence one can act on. */

export interface ResultAsked {
  readonly question: MeantQuestion;
  readonly worth: Worth;
  readonly basis: Basis;
  readonly candidates: readonly Candidate[];
  /** All seasons of all candidates. */
  readonly played: Played;
  readonly currency: string;
  readonly names: {
    readonly hoops: ReadonlyMap<string, string>;
    readonly machines: ReadonlyMap<string, string>;
  };
}

export function resultOf(asked: ResultAsked): whatIf.WhatIfResult {
  const { question } = asked;
  if (question.kind === "changes") return changesResult(asked, question);
  if (question.kind === "what-next") return ladderResult(asked);
  return curveResult(asked, question);
}

export interface Difference {
  readonly kind: Omit<MeasureKind, "of">;
  readonly today: Estimate;
  readonly changed: Estimate;
  /** Changed less today, pair by pair. */
  readonly difference: Estimate;
  readonly isPlain: boolean;
}

/** Student's limits of the difference, pair by pair (NIST/SEMATECH e-Handbook 7.2.2.1). */
export function differenceOf(
  kind: MeasureKind,
  before: readonly Outcome[],
  after: readonly Outcome[],
): Difference {
  const of = (outcomes: readonly Outcome[]) => outcomes.map(({ measures }) => kind.of(measures));
  return differenceFrom(kind, of(before), of(after));
}

function differenceFrom(
  kind: Difference["kind"],
  one: readonly number[],
  two: readonly number[],
): Difference {
  const difference = estimateOf(two.map((value, at) => value - one[at]!));
  return {
    kind,
    today: estimateOf(one),
    changed: estimateOf(two),
    difference,
    isPlain: difference.low > 0 || difference.high < 0,
  };
}

/** Waiting machines are no lead: a machine that has no hoop to sew in has no work, and so does not wait. */
const leading = { threading: "threadings", through: "through", hands: "hands" } as const;
const kindOf = (measure: string): MeasureKind => measureKinds.find((kind) => kind.measure === measure)!;

type Cards = Extract<MeantQuestion, { kind: "changes" }>;

function changesResult(asked: ResultAsked, { cards }: Cards): whatIf.WhatIfResult {
  const { candidates, played } = asked;
  const today = played.get(0)!;
  const changed = played.get(1)!;
  const all = plainTogether([
    ...moneyDifferences(asked, cards, today, changed),
    ...measureKinds.map((kind) => differenceOf(kind, today, changed)),
  ]);
  const lead = leading[cards[0]!.about];
  const order = [
    ...new Set<string>([lead, "through", "on-time", "profit-a-year", "hands", "threadings", "overtime"]),
  ];
  const best = order.flatMap((measure) => all.find(({ kind }) => kind.measure === measure) ?? []);
  const told = best.find(isTelling) ?? best[0]!;
  const also = best
    .filter(
      (one) => ["on-time", "profit-a-year"].includes(one.kind.measure) && one !== told && isTelling(one),
    )
    .map((one) => `; ${plainSentence(one, asked.currency)}`)
    .join("");
  const title = capital(cards.map(({ words }) => words).join(", "));
  const { money, moneySentence } = moneyOf(asked, cards, today, changed);
  return {
    kind: "changes",
    sentence: `${title}: ${plainSentence(told, asked.currency)}${also}${paybackWords(money, asked.basis)}.`,
    measures: all.map(shown),
    busySentence: busySentence(all),
    money,
    moneySentence,
    ...bindingOf(changed, candidates, played),
    impossible: meanOf(changed.map((outcome) => outcome.impossible)),
  };
}

/** Whether a difference is plain is judged of all of them together. */
function plainTogether(all: readonly Difference[]): Difference[] {
  const plain = plainOnes(all.map(({ difference }) => difference));
  return all.map((one, at) => ({ ...one, isPlain: plain[at]! }));
}

const YEAR_DAYS = 365.25;

/** Cost of a piece and profit a year, where Costs are whole; what the cards cost each month is in both. */
function moneyDifferences(
  { basis, worth }: ResultAsked,
  cards: Cards["cards"],
  today: readonly Outcome[],
  changed: readonly Outcome[],
): Difference[] {
  if (!basis.prices) return [];
  const monthlyCents = cards.reduce((sum, card) => sum + card.monthlyCents, 0);
  const fixed = (monthlyCents * basis.days) / MONTH_DAYS;
  const cost = (outcomes: readonly Outcome[], fixedCents: number) =>
    outcomes.map(({ money }, at) => costOfPiece(money!, today[at]!.money!, fixedCents));
  const profit = (outcomes: readonly Outcome[], fixedCents: number) =>
    outcomes.map(
      ({ money, measures, done }, at) =>
        (YEAR_DAYS / basis.days) *
        (earnedBeforeOverhead(money!) -
          today[at]!.money!.overheadCents -
          lateOf(measures, done) * (worth.latePieceCents ?? 0) -
          fixedCents),
    );
  return [
    differenceFrom(moneyKinds.costPerPiece, cost(today, 0), cost(changed, fixed)),
    differenceFrom(moneyKinds.profitAYear, profit(today, 0), profit(changed, fixed)),
  ];
}

/** How busy hands and machines are: what binds is what is busiest. */
function busySentence(all: readonly Difference[]): string {
  const of = (measure: string) => all.find(({ kind }) => kind.measure === measure)!;
  const percent = ({ mean }: Estimate) => `${Math.round(100 * mean)} %`;
  const [hands, machines] = [of("hand-use"), of("machine-use")];
  return `Hands are busy ${percent(hands.today)} of their hours today and ${percent(hands.changed)} then; machines sew ${percent(machines.today)} of theirs, then ${percent(machines.changed)}.`;
}

const shown = ({ kind, today, changed, difference, isPlain }: Difference) => ({
  measure: kind.measure,
  words: kind.words,
  unit: kind.unit,
  better: kind.better,
  ...{ today, changed, difference, isPlain },
});

/** What would help most on top: by hours a piece is done sooner, and only where it stands out of chance. */
function bindingOf(changed: readonly Outcome[], candidates: readonly Candidate[], played: Played) {
  const through = kindOf("through");
  const more = candidates.flatMap(({ role, number }) =>
    // A first answer has not played them all yet.
    role.as === "more" && played.get(number)?.length === changed.length
      ? [{ what: role.what, difference: differenceOf(through, changed, played.get(number)!) }]
      : [],
  );
  const together = plainTogether(more.map(({ difference }) => difference));
  const found = more
    .map(({ what }, at) => ({ what, difference: together[at]! }))
    .sort((a, b) => a.difference.difference.mean - b.difference.difference.mean);
  const helps = found.filter(({ difference }) => isTelling(difference) && difference.difference.mean < 0);
  return {
    binding: found.map(({ what, difference }) => ({
      what,
      sentence: `${plainSentence(difference)}.`,
      isPlain: isTelling(difference),
    })),
    bindingSentence:
      found.length === 0
        ? "What would help most after that is still being played."
        : helps.length === 0
          ? "After that no single thing more makes pieces plainly sooner: nothing here is short."
          : `After that ${helps[0]!.what} would help most: ${plainSentence(helps[0]!.difference)}.`,
  };
}

const WEEKS_A_MONTH = 365.25 / 12 / 7;

function moneyOf(
  asked: ResultAsked,
  cards: Cards["cards"],
  today: readonly Outcome[],
  changed: readonly Outcome[],
) {
  const { worth, basis, currency } = asked;
  if (!isInMoney(worth, basis))
    return {
      money: null,
      moneySentence: "Say what an hour of work and a late piece are worth, and the gain is told in money.",
    };
  const monthlyCents = cards.reduce((sum, card) => sum + card.monthlyCents, 0);
  const priceCents = cards.reduce((sum, card) => sum + card.priceCents, 0);
  const gainCents = estimateOf(gains(today, changed, { worth, basis, card: { monthlyCents } }));
  const backInWeeks = backIn(gainCents, priceCents);
  return {
    money: { gainCents, priceCents, backInWeeks },
    moneySentence: `${moneyWords({ gainCents, priceCents, backInWeeks, currency })}${uncounted(cards, worth, basis)}${eachDay(asked, cards, gainCents)}`,
  };
}

/** From a gain a month; null where there is no price, or it never comes back. */
function backIn(gainCents: Estimate, priceCents: number) {
  if (priceCents === 0 || gainCents.mean <= 0) return null;
  const weeks = (cents: number) => (priceCents / cents) * WEEKS_A_MONTH;
  return {
    early: weeks(gainCents.high),
    likely: weeks(gainCents.mean),
    late: gainCents.low > 0 ? weeks(gainCents.low) : null,
  };
}

/** What a day without a machine costs: the absence is once a season. */
function eachDay({ basis, currency }: ResultAsked, cards: Cards["cards"], gain: Estimate): string {
  const days = cards.reduce((sum, { daysAway = 0 }) => sum + daysAway, 0);
  if (days === 0 || gain.high >= 0) return "";
  const share = basis.days / MONTH_DAYS / days;
  return ` That is about ${centsWords(-gain.mean * share, currency)} for each day it is away (${centsWords(-gain.high * share, currency)} to ${centsWords(-gain.low * share, currency)}).`;
}

/** More orders are more work; what they bring must be said too. */
const uncounted = (cards: Cards["cards"], { pieceCents }: Worth, { prices }: Basis): string =>
  prices === null &&
  pieceCents === null &&
  cards.some(({ changes }) => changes.some(({ change }) => change === "orders" || change === "product-added"))
    ? " What other orders bring is not in it: say what a piece leaves, and it is."
    : "";

type Curve = Extract<MeantQuestion, { kind: "how-many-hoops" | "how-many-machines" }>;

/** Each number against the largest one tried, pair by pair: what the seasons meet alike falls out. */
function curveResult(
  { candidates, played, names, basis }: ResultAsked,
  question: Curve,
): whatIf.WhatIfResult {
  const through = kindOf("through");
  const counted = candidates.flatMap(({ role, number }) => {
    const outcomes = played.get(number)!;
    // With pieces left out the others look faster than they are.
    const isWhole = outcomes.every(({ impossible }) => impossible <= impossibleToday(played));
    return role.as === "count" && isWhole ? [{ ...role, outcomes }] : [];
  });
  const most = counted.at(-1)!;
  const found = counted.map(({ at, isToday, outcomes }) => ({
    at,
    isToday,
    found: differenceOf(through, most.outcomes, outcomes),
  }));
  const inHours = found.some(({ found: { difference } }) => Math.abs(difference.mean) >= SHORT_HOURS);
  const points = found.map(({ at, isToday, found: { difference } }) => ({
    at,
    isToday,
    value: inHours ? difference : inMinutes(difference),
  }));
  const matters = found.some((one) => isTelling(one.found));
  const knee = matters ? kneeOf(points.map(({ value }) => value.mean)) : -1;
  const name =
    question.kind === "how-many-hoops"
      ? `of hoop ${names.hoops.get(question.hoopId) ?? ""}`
      : `machines for ${basis.problem.hands.length === 1 ? "one person" : `${basis.problem.hands.length} people`}`;
  return {
    kind: "curve",
    words: `How much longer a piece takes than with ${most.at}`,
    unit: inHours ? "hours" : "minutes",
    points,
    kneeAt: knee < 0 ? null : points[knee]!.at,
    sentence: curveSentence({ points, knee, name, matters, unit: inHours ? "hours" : "minutes" }),
  };
}

const inMinutes = (value: Estimate): Estimate => ({
  ...value,
  mean: 60 * value.mean,
  low: 60 * value.low,
  high: 60 * value.high,
});

const impossibleToday = (played: Played): number => Math.max(...played.get(0)!.map((one) => one.impossible));

interface CurveTold {
  readonly points: readonly { readonly at: number; readonly value: Estimate; readonly isToday: boolean }[];
  readonly knee: number;
  readonly name: string;
  readonly matters: boolean;
  readonly unit: "hours" | "minutes";
}

function curveSentence({ points, knee, name, matters, unit }: CurveTold): string {
  const now = points.find(({ isToday }) => isToday);
  const today = now ? ` Today there are ${now.at}.` : "";
  const [first, most] = [points[0]!, points.at(-1)!];
  if (!matters)
    return `From ${first.at} to ${most.at} ${name} it makes no difference that matters: ${first.at} would do at such orders.${today}`;
  if (knee < 0)
    return `There is no knee from ${first.at} to ${most.at} ${name}: each helps about as much as the one before.${today}`;
  const at = points[knee]!;
  return `${at.at} ${name} are about enough: with them a piece takes ${amountRange(at.value, unit)} longer than with ${most.at}, with ${first.at} ${amountRange(first.value, unit)}.${today}`;
}

function ladderResult(asked: ResultAsked): whatIf.WhatIfResult {
  const { rungs, stopped } = climbed(asked);
  const inMoney = isInMoney(asked.worth, asked.basis);
  const told = rungs.map(({ card, gain }) => ({
    what: card.words,
    priceCents: card.priceCents,
    sentence: inMoney
      ? moneyWords({
          gainCents: gain,
          priceCents: card.priceCents,
          backInWeeks: backIn(gain, card.priceCents),
          currency: asked.currency,
        })
      : `A piece is done about ${amountRange(gain, "hours")} sooner.`,
    gainCents: inMoney ? gain : null,
    backInWeeks: backIn(gain, card.priceCents),
  }));
  const ends = {
    "nothing-pays":
      "Nothing else on the cards pays for itself within five years after that, as far as these seasons can tell from chance.",
    budget: "The next that would pay costs more than is left.",
    enough: "Further rungs were not tried.",
  };
  return {
    kind: "ladder",
    rungs: told.map(({ what, priceCents, sentence, gainCents }) => ({
      what,
      priceCents,
      sentence,
      gainCents,
    })),
    stopped: ends[stopped ?? "enough"],
    sentence:
      rungs.length === 0
        ? "None of these pays plainly at such orders: keep the money."
        : `First ${inTurn(told.map(({ what }) => what)).join(", then ")}${paybackWords(
            {
              gainCents: rungs[0]!.gain,
              priceCents: inMoney ? rungs[0]!.card.priceCents : 0,
              backInWeeks: told[0]!.backInWeeks,
            },
            asked.basis,
          ).replace("; it pays", rungs.length > 1 ? "; the first pays" : "; it pays")}.`,
  };
}

/** The same thing several times in a row is said once. */
function inTurn(things: readonly string[]): string[] {
  const turns: { what: string; times: number }[] = [];
  for (const what of things) {
    const last = turns.at(-1);
    if (last?.what === what) last.times++;
    else turns.push({ what, times: 1 });
  }
  return turns.map(({ what, times }) => (times === 1 ? what : `${what} (${times} times)`));
}

const meanOf = (values: readonly number[]): number =>
  values.reduce((sum, one) => sum + one, 0) / Math.max(1, values.length);
const capital = (text: string): string => text.slice(0, 1).toUpperCase() + text.slice(1);
