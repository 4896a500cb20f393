import { bestOf, type Judged, judged } from "#core/costing";
import { Note } from "../parts/form";
import { moneyWords, useHabits } from "../parts/quantity";
import { cashOf, type Wish } from "./purchase-wish";
import { percentWords } from "./words";

/** Purchases beside each other: when each has paid itself back, what it is worth, every rate with its warning. */

export const yearsWords = (years: number | null): string =>
  years === null ? "never" : `${years.toFixed(1)} years`;

export function Verdicts({ wishes, rate }: { readonly wishes: readonly Wish[]; readonly rate: number }) {
  const { currency } = useHabits();
  const all = wishes.map((wish) => ({ wish, said: judged(cashOf(wish), rate) }));
  const best = bestOf(
    wishes.map((wish, at) => ({ id: String(at), cash: cashOf(wish) })),
    rate,
  );
  const isUnequal = new Set(wishes.map((wish) => wish.yearCents.length)).size > 1;
  const money = (value: number) => moneyWords(Math.round(value), currency);
  const rows: readonly (readonly [words: string, means: string, of: (said: Judged) => string])[] = [
    [
      "Paid back after",
      "years until what it brings has made up what was paid",
      (said) => yearsWords(said.payback),
    ],
    [
      "Paid back, counted as of today",
      "the same with later money counted for less",
      (said) => yearsWords(said.discountedPayback),
    ],
    [
      "Worth today",
      "net present value: all that comes and goes, as of now",
      (said) => money(said.netPresentValue),
    ],
    [
      "Worth a year",
      "equal annual amount: compares things that last unequally long",
      (said) => money(said.equalAnnual),
    ],
    [
      "Index",
      "worth of what comes for one unit paid",
      (said) => (said.profitabilityIndex === null ? "–" : said.profitabilityIndex.toFixed(2)),
    ],
    [
      "Internal rates",
      "rates at which it is worth nothing",
      (said) => (said.internalRates.length === 0 ? "none" : said.internalRates.map(percentWords).join(", ")),
    ],
    [
      "Rate with money put by",
      "modified rate: what comes is put by at your rate",
      (said) => (said.modifiedRate === null ? "–" : percentWords(said.modifiedRate)),
    ],
  ];
  return (
    <section className="sheet costs-sheet costs-body" aria-label="Whether it pays">
      <h3>{verdictWords(all, best === null ? null : wishes[Number(best.id)]!.name, isUnequal)}</h3>
      <div className="costs-scroll" tabIndex={0} role="region" aria-label="Figures of the purchases">
        <table className="costs-lines costs-compared">
          <thead>
            <tr>
              <th scope="col">Figure</th>
              {all.map(({ wish }, at) => (
                <th key={at} scope="col" className="costs-amount">
                  {wish.name || `Purchase ${at + 1}`}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {rows.map(([words, means, of]) => (
              <tr key={words}>
                <th scope="row">
                  {words}
                  <span className="quiet costs-means">{means}</span>
                </th>
                {all.map(({ said }, at) => (
                  <td key={at} className="costs-amount">
                    {of(said)}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {all.flatMap(({ wish, said }) =>
        said.warnings.map((words) => (
          <Note key={`${wish.name} ${words}`}>
            {wish.name}: {words}
          </Note>
        )),
      )}
    </section>
  );
}

function verdictWords(
  all: readonly { readonly wish: Wish; readonly said: Judged }[],
  best: string | null,
  isUnequal: boolean,
): string {
  if (all.length === 1) {
    const { wish, said } = all[0]!;
    return said.pays ? `${wish.name} pays at this rate.` : `${wish.name} does not pay at this rate.`;
  }
  if (best === null) return "None of them pays at this rate.";
  return isUnequal
    ? `${best} is best, by what each is worth a year: they last unequally long.`
    : `${best} is best, by what each is worth today.`;
}
