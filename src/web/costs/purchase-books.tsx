import { useState } from "react";
import { acceleratedShares, decliningBalance, straightLine } from "#core/costing";
import { ChoiceField } from "../parts/form";
import { moneyWords, useHabits } from "../parts/quantity";
import type { Wish } from "./purchase-wish";

/** How a purchase loses its value in the books, by one method or another. */

const methods = {
  straight: "the same every year",
  declining: "twice that share of what is left each year",
  recovery: "the United States’ accelerated recovery, half-year",
} as const;
type Method = keyof typeof methods;
const recoveryYears = ["3", "5", "7", "10", "15", "20"] as const;

export function Depreciation({ wish }: { readonly wish: Wish }) {
  const { currency } = useHabits();
  const [method, setMethod] = useState<Method>("straight");
  const [years, setYears] = useState<(typeof recoveryYears)[number]>("5");
  const cost = wish.outlayCents;
  const salvage = Math.min(Number.isFinite(wish.salvageCents) ? wish.salvageCents : 0, cost);
  const amounts = amountsBy(
    method,
    { cost, salvage, years: wish.yearCents.length },
    Number(years) as 3 | 5 | 7 | 10 | 15 | 20,
  );
  const rows = booked(cost, amounts);
  return (
    <section className="sheet costs-sheet costs-body" aria-label={`How ${wish.name} loses its value`}>
      <h3>{wish.name || "The purchase"}: how it loses its value in the books</h3>
      <p>
        <b>Ask whoever does your books; rules differ by country.</b> These tables only show what each method
        gives.
      </p>
      <div className="costs-fields">
        <ChoiceField
          label="Method"
          value={method}
          choices={(Object.keys(methods) as Method[]).map((value) => ({ value, words: methods[value] }))}
          onChange={setMethod}
        />
        {method === "recovery" && (
          <ChoiceField
            label="Over"
            value={years}
            choices={recoveryYears.map((value) => ({ value, words: `${value} years` }))}
            onChange={setYears}
          />
        )}
      </div>
      <table className="costs-lines">
        <thead>
          <tr>
            <th scope="col">Year</th>
            <th scope="col" className="costs-amount">
              Loses
            </th>
            <th scope="col" className="costs-amount">
              Still worth
            </th>
          </tr>
        </thead>
        <tbody>
          {rows.map(({ lost, book: left }, at) => (
            <tr key={at}>
              <td>{at + 1}</td>
              <td className="costs-amount">{moneyWords(lost, currency)}</td>
              <td className="costs-amount">{moneyWords(left, currency)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

/** Each year's book value is rounded, so that what is lost adds up. */
function booked(
  cost: number,
  amounts: readonly number[],
): { readonly lost: number; readonly book: number }[] {
  const books = amounts.map((_, at) =>
    Math.round(cost - amounts.slice(0, at + 1).reduce((sum, one) => sum + one, 0)),
  );
  return books.map((book, at) => ({ book, lost: (books[at - 1] ?? cost) - book }));
}

function amountsBy(
  method: Method,
  asked: { readonly cost: number; readonly salvage: number; readonly years: number },
  recovery: 3 | 5 | 7 | 10 | 15 | 20,
): readonly number[] {
  if (method === "straight") return straightLine(asked);
  if (method === "declining") return decliningBalance(asked);
  return acceleratedShares(recovery, "half-year").map((percent) => (asked.cost * percent) / 100);
}
