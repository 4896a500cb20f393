import type { Answer } from "#contract";
import { amountWords } from "./left";

type Item = Answer<"orderAgain">["items"][number];

/** Rounded to what a shelf is counted in. */
const few = (amount: number): number => (amount < 10 ? Math.round(amount * 10) / 10 : Math.round(amount));

/** "2 cones when 800 m are left", "24 pieces when 6 pieces are left". */
export function orderWords({ point, amount, cones, unit }: Item): string {
  if (point === null) return "–";
  const when = `when ${amountWords(point, unit)} ${point === 1 ? "is" : "are"} left`;
  if (amount === null) return `${when}; no price yet`;
  const what = cones === null ? amountWords(amount, unit) : cones === 1 ? "1 cone" : `${cones} cones`;
  return `${what} ${when}`;
}

/** The figures of one thing in words. */
export function wordsOf({ weekMean, onHand, daysLeft, unit }: Item) {
  return {
    week: amountWords(few(weekMean), unit),
    there: amountWords(few(onHand), unit),
    lasts:
      daysLeft === null
        ? "–"
        : daysLeft < 14
          ? daysLeft < 1.5
            ? "1 day"
            : `${Math.round(daysLeft)} days`
          : daysLeft > 730
            ? "over 2 years"
            : `${Math.round(daysLeft / 7)} weeks`,
  };
}
