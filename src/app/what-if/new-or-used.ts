import type { whatIf } from "#contract";
import {
  evenHours,
  evenPrice,
  failuresBetween,
  machineYear,
  type MachineUseAhead,
  wearLimits,
} from "#core/costing";
import { centsWords } from "./words";

/** A used machine beside a new one: the answer with its range, and what to ask before paying. */

export type Wear = MachineUseAhead["wear"];

const questions: readonly string[] = [
  "How many hours are on its meter, and was the meter ever changed? Photograph it.",
  "Its service record: when, at how many hours, by whom? A record printed by Spoolwright holds all of it.",
  "What was repaired or replaced, at how many hours, and why?",
  "What did it sew, how many hours a day, and since when does it stand?",
  "May you see it sew your own design, with every needle, at the speed you mean to use, for half an hour?",
  "Which hoops, cap drivers, tables and cables come with it, and do your hoops fit?",
  "Does the maker still sell parts, and does a dealer near you service it?",
  "Is it free of debts, and is there a guarantee in writing?",
  "How does it get to you? A multi-needle machine is lifted by two people; local rules on lifting decide.",
];

/** More than any meter shows. */
const MOST_HOURS = 100_000;
/** Without a record: half as many failures, or twice as many. */
const GUESSED = 2;

function limits(wear: Wear, count: number | null): { readonly mild: Wear; readonly hard: Wear } {
  if (count !== null) return wearLimits(wear, count);
  const by = GUESSED ** (1 / wear.shape);
  return {
    mild: { ...wear, scaleHours: wear.scaleHours * by },
    hard: { ...wear, scaleHours: wear.scaleHours / by },
  };
}

export function newOrUsed(asked: whatIf.UsedQuestion, currency: string): whatIf.UsedAnswer {
  const { failures, years, hoursAYear, rate, lostDayCents, used } = asked;
  const wear: Wear = { shape: failures.shape, scaleHours: failures.firstAfterHours };
  const { mild, hard } = limits(wear, failures.count);
  const failureCents = failures.repairCents + failures.daysAway * lostDayCents;
  const fresh = { ...asked.fresh, hours: 0 };
  const range = (of: (use: MachineUseAhead) => number) => {
    const [low, likely, high] = [mild, wear, hard].map((one) =>
      of({ hoursAYear, years, rate, wear: one, failureCents }),
    ) as [number, number, number];
    return { low: Math.min(low, high), likely, high: Math.max(low, high) };
  };
  const hours = range((use) => evenHours(used, fresh, use));
  const price = range((use) => evenPrice(used, fresh, use));
  const span = years * hoursAYear;
  const evenHoursFound = Number.isFinite(hours.likely)
    ? { ...hours, high: Math.min(hours.high, MOST_HOURS) }
    : null;
  return {
    sentence: sentenceOf({ used, price, hours: evenHoursFound, currency }),
    freshAYear: range((use) => machineYear(fresh, use)),
    usedAYear: range((use) => machineYear(used, use)),
    evenHours: evenHoursFound,
    evenPriceCents: price,
    failures: {
      fresh: failuresBetween(wear, 0, span),
      used: failuresBetween(wear, used.hours, used.hours + span),
    },
    doubt:
      failures.count === null
        ? "Nobody has counted failures: the range is half to twice as many as said, a guess."
        : `The range is what ${failures.count} ${failures.count === 1 ? "failure leaves" : "failures leave"} open about how often it fails (90 %).`,
    questions,
  };
}

interface Told {
  readonly used: whatIf.UsedQuestion["used"];
  readonly price: whatIf.UsedAnswer["evenPriceCents"];
  readonly hours: whatIf.UsedAnswer["evenHours"];
  readonly currency: string;
}

function sentenceOf({ used, price, hours, currency }: Told): string {
  if (price.likely <= 0)
    return `With ${round(used.hours)} hours on it the used one does not pay even as a gift: its failures cost more than it saves.`;
  const by = `costs less than about ${centsWords(price.likely, currency)} (${centsWords(price.low, currency)} to ${centsWords(price.high, currency)})`;
  const verdict =
    used.priceCents < price.low
      ? "Used is better"
      : used.priceCents > price.high
        ? "New is better"
        : "It is close";
  if (hours === null || hours.likely === 0) return `${verdict}: the used one pays if it ${by}.`;
  return `${verdict}: used pays if it has fewer than about ${round(hours.likely)} hours (${round(hours.low)}–${round(hours.high)}) at its price, or ${by} at its hours.`;
}

const round = (hours: number): number =>
  hours < 1000 ? Math.round(hours / 10) * 10 : Math.round(hours / 100) * 100;
