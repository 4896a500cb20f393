import type { quotes } from "#contract";

/** A purchase that is considered, by its money over the years; while it is typed an amount may be no number. */
export type Wish = quotes.PurchaseBody;

export const newWish: Wish = {
  name: "",
  note: "",
  outlayCents: 0,
  yearCents: [0, 0, 0, 0, 0],
  salvageCents: 0,
  rate: 0.08,
  outcome: "open",
};

/** Whether there is enough of it to judge. */
export const isTold = ({ outlayCents, yearCents, rate }: Wish): boolean =>
  [outlayCents, rate, ...yearCents].every(Number.isFinite) &&
  (outlayCents !== 0 || yearCents.some((one) => one !== 0));

export const cashOf = ({ outlayCents, yearCents }: Wish): readonly number[] => [-outlayCents, ...yearCents];

export const outcomeWords = {
  open: "being considered",
  bought: "bought",
  left: "left",
} as const satisfies Record<Wish["outcome"], string>;
