import { minorDigits } from "#core/base";
import type { Estimate, Measures } from "#core/floor";
import { addDays } from "#core/shop";
import type { Difference } from "./results";
import type { Basis } from "./season";

/** Figures as people say them, with their doubt. */

export type MeasureUnit = "share" | "pieces" | "hours" | "minutes" | "count" | "money";

export interface MeasureKind {
  readonly measure: string;
  readonly words: string;
  readonly unit: MeasureUnit;
  readonly better: "less" | "more" | "neither";
  readonly of: (measures: Measures) => number;
  /** A difference below this changes nothing for anybody. */
  readonly matters: number;
  /** "machines stand waiting about 25 minutes a day less": what stands round the amount, fewer and more. */
  readonly sentence: (amount: string, isMore: boolean) => string;
}

/** In the order they are shown. Hours of all machines, or of all hands, together. */
export const measureKinds: readonly MeasureKind[] = [
  {
    measure: "on-time",
    words: "Pieces on time",
    unit: "share",
    better: "more",
    of: (one) => one.onTimeShare,
    matters: 0.005,
    sentence: (amount, isMore) => `about ${amount} of 100 pieces ${isMore ? "more" : "fewer"} are on time`,
  },
  {
    measure: "through",
    words: "From order to done",
    unit: "hours",
    better: "less",
    of: (one) => one.throughHours,
    matters: 0.1,
    sentence: (amount, isMore) => `a piece is done about ${amount} ${isMore ? "later" : "sooner"}`,
  },
  {
    measure: "waiting-hands",
    words: "Machines wait for hands, a day",
    unit: "minutes",
    better: "neither",
    of: (one) => 60 * one.waitingHandsHoursADay,
    matters: 2,
    sentence: (amount, isMore) => `machines wait for hands about ${amount} a day ${isMore ? "more" : "less"}`,
  },
  {
    measure: "waiting-hooping",
    words: "Machines wait for a hooped piece, a day",
    unit: "minutes",
    better: "neither",
    of: (one) => 60 * one.waitingHoopingHoursADay,
    matters: 2,
    sentence: (amount, isMore) =>
      `machines wait for a hooped piece about ${amount} a day ${isMore ? "more" : "less"}`,
  },
  {
    measure: "hands",
    words: "Work of hands, a day",
    unit: "hours",
    better: "less",
    of: (one) => one.handHoursADay,
    matters: 0.05,
    sentence: (amount, isMore) => `hands work about ${amount} a day ${isMore ? "more" : "less"}`,
  },
  {
    measure: "overtime",
    words: "Overtime, a day",
    unit: "minutes",
    better: "less",
    of: (one) => 60 * one.overtimeHoursADay,
    matters: 2,
    sentence: (amount, isMore) => `overtime is about ${amount} a day ${isMore ? "more" : "less"}`,
  },
  {
    measure: "threadings",
    words: "Threadings, a day",
    unit: "count",
    better: "less",
    of: (one) => one.threadingsADay,
    matters: 0.2,
    sentence: (amount, isMore) => `about ${amount} threadings a day ${isMore ? "more" : "fewer"}`,
  },
  {
    measure: "mid-stops",
    words: "Stops for threading inside a design, a day",
    unit: "count",
    better: "less",
    of: (one) => one.midStopsADay,
    matters: 0.1,
    sentence: (amount, isMore) => `about ${amount} mid-stops a day ${isMore ? "more" : "fewer"}`,
  },
  {
    measure: "without-work",
    words: "Machines without work, a day",
    unit: "hours",
    better: "neither",
    of: (one) => one.waitingWorkHoursADay,
    matters: 0.1,
    sentence: (amount, isMore) => `machines have no work about ${amount} a day ${isMore ? "more" : "less"}`,
  },
  {
    measure: "pieces",
    words: "Pieces a working day",
    unit: "pieces",
    better: "more",
    of: (one) => one.piecesADay,
    matters: 0.1,
    sentence: (amount, isMore) => `about ${amount} pieces a day ${isMore ? "more" : "fewer"}`,
  },
  {
    measure: "hand-use",
    words: "Hands busy, of their hours",
    unit: "share",
    better: "neither",
    of: (one) => one.handUse,
    matters: 0.01,
    sentence: (amount, isMore) => `hands are busy about ${amount} of 100 hours ${isMore ? "more" : "less"}`,
  },
  {
    measure: "machine-use",
    words: "Machines sewing, of their open hours",
    unit: "share",
    better: "neither",
    of: (one) => one.machineUse,
    matters: 0.01,
    sentence: (amount, isMore) => `machines sew about ${amount} of 100 hours ${isMore ? "more" : "less"}`,
  },
];

/** Counted where the figures of Costs are whole. */
export const moneyKinds = {
  costPerPiece: {
    measure: "cost-per-piece",
    words: "Cost of a piece",
    unit: "money",
    better: "less",
    matters: 1,
    sentence: (amount, isMore) => `a piece costs about ${amount} ${isMore ? "more" : "less"}`,
  },
  profitAYear: {
    measure: "profit-a-year",
    words: "Profit a year, at such orders",
    unit: "money",
    better: "more",
    matters: 1000,
    sentence: (amount, isMore) => `profit is about ${amount} a year ${isMore ? "more" : "less"}`,
  },
} as const satisfies Record<string, Omit<MeasureKind, "of">>;

/** Hours below this are told as minutes. */
export const SHORT_HOURS = 2;

/** A figure without its unit: shares in hundredths; no more digits than it has meaning. */
export function figure(value: number, unit: MeasureUnit): string {
  const scaled = unit === "share" ? 100 * value : value;
  const digits = Math.abs(scaled) >= 10 || unit === "minutes" ? 0 : 1;
  const text = scaled.toFixed(digits);
  // A minus before nothing says nothing.
  return (Number(text) === 0 ? text.replace("-", "") : text).replace("-", "−");
}

const unitWords: Readonly<Record<MeasureUnit, string>> = {
  share: "",
  pieces: "",
  count: "",
  hours: " hours",
  minutes: " minutes",
  money: "",
};

interface Range {
  readonly mean: number;
  readonly low: number;
  readonly high: number;
}

/** A few hours as minutes, all three of them. */
const told = (range: Range, unit: MeasureUnit): readonly [Range, MeasureUnit] =>
  unit === "hours" && Math.max(Math.abs(range.low), Math.abs(range.high)) < SHORT_HOURS
    ? [{ mean: 60 * range.mean, low: 60 * range.low, high: 60 * range.high }, "minutes"]
    : [range, unit];

/** "EUR 0.42" below a hundred, "EUR 1250" above: cents where they say something. */
function moneyFigure(cents: number, currency: string): string {
  const amount = cents / 10 ** minorDigits(currency);
  const text = Math.abs(amount) < 100 ? amount.toFixed(minorDigits(currency)) : amount.toFixed(0);
  return (Number(text) === 0 ? text.replace("-", "") : text).replace("-", "−");
}

/** "25 minutes (18–33)". */
export function amountRange(value: Range, unit: MeasureUnit): string {
  const [range, by] = told(value, unit);
  return `${figure(range.mean, by)}${unitWords[by]} (${limits(range, by)})`;
}

/** Signs where it may be either more or less. */
function limits({ low, high }: Range, unit: MeasureUnit): string {
  const [from, to] = [figure(low, unit), figure(high, unit)];
  return low < 0 ? `${from} to ${high > 0 && Number(to) !== 0 ? "+" : ""}${to}` : `${from}–${to}`;
}

/** Whether a difference both stands out of chance and is large enough for anybody to feel it. */
export const isTelling = ({ kind, difference, isPlain }: Difference): boolean =>
  isPlain && Math.abs(difference.mean) >= kind.matters;

/** A difference in a sentence without its end; where there is none to tell, that, and what it may be. */
export function plainSentence(found: Difference, currency = ""): string {
  const { kind, difference, isPlain } = found;
  if (kind.unit === "money") return moneySentence(found, currency);
  const [range, by] = told(difference, kind.unit);
  const between = `${kind.words.toLowerCase()}: ${limits(range, by)}${unitWords[by]}`;
  if (!isPlain) return `no difference that stands out of chance (${between})`;
  if (!isTelling(found)) return `a difference too small to matter (${between})`;
  const isMore = range.mean > 0;
  const [low, high] = isMore ? [range.low, range.high] : [-range.high, -range.low];
  const amount = `${figure(Math.abs(range.mean), by)}${unitWords[by]}`;
  return `${kind.sentence(amount, isMore)} (${limits({ mean: 0, low, high }, by)})`;
}

function moneySentence({ kind, difference }: Difference, currency: string): string {
  const { mean, low, high } = difference;
  const [from, to] = mean > 0 ? [low, high] : [-high, -low];
  return `${kind.sentence(`${currency} ${moneyFigure(Math.abs(mean), currency)}`, mean > 0)} (${moneyFigure(from, currency)} to ${moneyFigure(to, currency)})`;
}

/** "EUR 120": whole units of the currency. */
export const centsWords = (cents: number, currency: string): string =>
  `${currency} ${Math.round(cents / 10 ** minorDigits(currency))}`;

interface MoneyTold {
  readonly gainCents: Estimate;
  readonly priceCents: number;
  readonly backInWeeks: {
    readonly early: number;
    readonly likely: number;
    readonly late: number | null;
  } | null;
  readonly currency: string;
}

export function moneyWords({ gainCents, priceCents, backInWeeks, currency }: MoneyTold): string {
  const amount = (cents: number) => {
    const rounded = Math.round(cents / 10 ** minorDigits(currency));
    return rounded < 0 ? `−${-rounded}` : String(rounded);
  };
  const { mean, low, high } = gainCents;
  const range = `${amount(low)} to ${amount(high)}`;
  if (low <= 0 && high >= 0)
    return `In money no gain that stands out of chance: ${currency} ${range} a month.`;
  if (mean < 0) return `It costs about ${currency} ${amount(-mean)} a month more than it brings (${amount(-high)} to ${amount(-low)}).`; // prettier-ignore
  const worth = `It is worth about ${currency} ${amount(mean)} a month (${range})`;
  if (backInWeeks === null)
    return priceCents > 0 ? `${worth}, for ${currency} ${amount(priceCents)}.` : `${worth}.`;
  const { early, late } = backInWeeks;
  return `${worth}; its price of ${currency} ${amount(priceCents)} is back in ${timeRange(early, late ?? early)} at such orders.`;
}

/** "5–9 weeks", "2–4 years": weeks up to two years, one number where both are the same. */
function timeRange(fromWeeks: number, toWeeks: number): string {
  const inYears = fromWeeks > 104;
  const text = (weeks: number) => {
    const count = inYears ? weeks / (365.25 / 7) : weeks;
    return count < 3 ? count.toFixed(1) : String(Math.round(count));
  };
  const [from, to] = [text(fromWeeks), text(toWeeks)];
  return `${from === to ? from : `${from}–${to}`} ${inYears ? "years" : "weeks"}`;
}

/** The end of a sentence: when what is paid once is back; empty where nothing is paid, or nothing plain comes back. */
export function paybackWords(
  money: Pick<MoneyTold, "gainCents" | "priceCents" | "backInWeeks"> | null,
  { orders, startsOn, warmDays, habits }: Pick<Basis, "orders" | "startsOn" | "warmDays" | "habits">,
): string {
  if (money === null || money.priceCents === 0) return "";
  const at =
    orders === "those-that-came"
      ? `at the orders since ${addDays(startsOn, warmDays)}`
      : `at orders like the last ${habits.days} days’`;
  if (money.gainCents.high <= 0) return `; it never pays back ${at}`;
  const { backInWeeks } = money;
  if (backInWeeks === null || money.gainCents.mean <= 0) return `; that it pays back is not to be seen ${at}`;
  const { early, late } = backInWeeks;
  return late === null
    ? `; it pays back in ${timeRange(early, early)} at best and perhaps never ${at}`
    : `; it pays back in ${timeRange(early, late)} ${at}`;
}
