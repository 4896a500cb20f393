import type { ReactNode } from "react";
import type { costs } from "#contract";
import type { Trouble } from "../client";
import { moneyWords, useHabits } from "../parts/quantity";
import { TroubleSheet } from "../parts/states";
import { Missing } from "./lines";
import { percentWords } from "./words";

/** What a quote comes to, and what the studio keeps of it. `acts` stand under it. */
export function QuoteFigures({
  worked,
  trouble = null,
  isAskable = true,
  acts,
}: {
  readonly worked: costs.QuoteWorked | undefined;
  readonly trouble?: Trouble | null;
  readonly isAskable?: boolean;
  readonly acts: ReactNode;
}) {
  const { currency } = useHabits();
  const missing = worked ? missingIn(worked) : [];
  return (
    <section className="sheet costs-sheet costs-body" aria-label="Worked out">
      <h3>Worked out</h3>
      {trouble && <TroubleSheet trouble={trouble} />}
      {!isAskable && <p>Give every line its number of pieces, and the quote a day until which it holds.</p>}
      {worked && (
        <>
          <dl className="costs-facts">
            <div>
              <dt>together</dt>
              <dd>{moneyWords(worked.totalCents, currency)}</dd>
            </div>
            <div>
              <dt>
                {worked.taxShare === 0
                  ? "no tax within"
                  : `tax within, ${percentWords(worked.taxShare)} of the net price`}
              </dt>
              <dd>{moneyWords(worked.taxCents, currency)}</dd>
            </div>
            {missing.length === 0 && (
              <>
                <div>
                  <dt>costs you</dt>
                  <dd>{moneyWords(worked.costCents + worked.feesCents, currency)}</dd>
                </div>
                <div data-loss={worked.profitCents < 0 || undefined}>
                  <dt>{worked.profitCents < 0 ? "loss" : "left"}</dt>
                  <dd>{moneyWords(worked.profitCents, currency)}</dd>
                </div>
              </>
            )}
          </dl>
          <p className="quiet">
            Cost and what is left stay here; the sheet shows prices only. Whether and how tax is due, whoever
            does your books knows.
          </p>
        </>
      )}
      <Missing missing={missing} />
      <div className="costs-acts">{acts}</div>
    </section>
  );
}

/** What the lines lack, each told once. */
export const missingIn = (worked: costs.QuoteWorked): readonly costs.MissingFigure[] => [
  ...new Map(
    worked.lines.flatMap((line) => line.missing).map((one) => [`${one.of}${one.subjectId}${one.what}`, one]),
  ).values(),
];
