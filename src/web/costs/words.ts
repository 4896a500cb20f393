import type { Answer, costs } from "#contract";
import { amountOf, minorDigits } from "#core/base";

/** How costs are worded on the pages. */

export type Line = Answer<"pieceCost">["lines"][number];
export type Kind = Line["kind"];
export type Product = Answer<"productCosts">["products"][number];
export type Earned = Product["earned"];
export type Known = Line["known"];
export type From = "entered" | "common-practice" | "guessed";

export const kindWords: Readonly<Record<Kind, string>> = {
  blank: "Blank",
  cloth: "Cloth",
  thread: "Thread",
  bobbin: "Bobbin",
  backing: "Backing",
  topping: "Topping",
  packing: "Packing",
  machine: "Machine",
  hands: "Hands",
  spoilage: "Spoiled",
  overhead: "Overhead",
};

export const fromWords: Readonly<Record<From, string>> = {
  entered: "entered",
  "common-practice": "common practice",
  guessed: "a guess",
};

export const knownWords = (known: Known): string =>
  known.by === "measured" ? `measured (${Math.round(known.count)})` : fromWords[known.by];

/** Amounts to parts of a minor unit, for rates: EUR 0.0049. */
export function rateWords(cents: number, currency: string): string {
  const digits = minorDigits(currency);
  return new Intl.NumberFormat(undefined, {
    style: "currency",
    currency,
    minimumFractionDigits: digits,
    maximumFractionDigits: Math.abs(cents) < 10 ? digits + 2 : digits,
  }).format(amountOf(cents, currency));
}

export const percentWords = (share: number): string => `${(100 * share).toFixed(1)} %`;

/** "12 min", "1 h 05 min". */
export function minutesWords(seconds: number): string {
  const minutes = seconds / 60;
  if (minutes < 10) return `${minutes.toFixed(1)} min`;
  if (minutes < 60) return `${Math.round(minutes)} min`;
  const whole = Math.round(minutes);
  return `${Math.floor(whole / 60)} h ${String(whole % 60).padStart(2, "0")} min`;
}

const amountFormat = new Intl.NumberFormat(undefined, { maximumSignificantDigits: 3 });

/** How much of a line, with its unit; hours below one as minutes. */
export function amountWords({ amount, unit, kind }: Line): string {
  if (unit === "share") return kind === "overhead" || kind === "spoilage" ? percentWords(amount) : "";
  if (unit === "h") return minutesWords(amount * 3600);
  if (unit === "piece") return amountFormat.format(amount);
  return `${amountFormat.format(amount)} ${unit}`;
}

/** What one of a line's unit costs. */
export function lineRateWords({ rate, unit }: Line, currency: string): string {
  if (unit === "share") return `of ${rateWords(rate, currency)}`;
  return `× ${rateWords(rate, currency)}${unit === "piece" ? "" : ` / ${unit}`}`;
}

/** Where a missing figure is entered: the part of "What things cost", or a page of its own. */
export function placeOf({ of }: costs.MissingFigure): {
  readonly to: string;
  readonly words: string;
  readonly search?: object;
} {
  switch (of) {
    case "settings":
      return { to: "/costs", words: "the studio’s figures", search: { leaf: "things" } };
    case "stock":
      return { to: "/costs", words: "goods", search: { leaf: "things", part: "stock" } };
    case "thread":
      return { to: "/costs", words: "thread", search: { leaf: "things", part: "threads" } };
    case "machine":
      return { to: "/costs", words: "machines", search: { leaf: "things", part: "machines" } };
    case "product":
      return { to: "/costs", words: "what products take", search: { leaf: "things", part: "products" } };
    case "record":
      return { to: "/products", words: "Products" };
  }
}

/** How a quote stands, in words. */
export function quoteStateWords({
  state,
  isOver,
  orderId,
}: Pick<Answer<"listQuotes">["items"][number], "state" | "isOver" | "orderId">): string {
  if (orderId !== null) return "an order";
  if (isOver) return "over, not answered";
  return { draft: "a draft", sent: "sent", agreed: "agreed", declined: "declined" }[state];
}
