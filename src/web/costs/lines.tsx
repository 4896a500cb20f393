import { Link } from "@tanstack/react-router";
import { Fragment, useState } from "react";
import type { costs } from "#contract";
import { moneyWords } from "../parts/quantity";
import {
  amountWords,
  type Earned,
  kindWords,
  knownWords,
  type Line,
  lineRateWords,
  percentWords,
  placeOf,
} from "./words";

/** The lines of a cost; each opens to its numbers and where they come from. */
export function CostLines({
  lines,
  totalCents,
  currency,
  isWhole,
}: {
  readonly lines: readonly Line[];
  readonly totalCents: number;
  readonly currency: string;
  readonly isWhole: boolean;
}) {
  const [open, setOpen] = useState<ReadonlySet<number>>(new Set());
  const turn = (at: number) =>
    setOpen((was) => {
      const next = new Set(was);
      if (!next.delete(at)) next.add(at);
      return next;
    });
  return (
    <table className="costs-lines">
      <caption className="visually-hidden">Lines of the cost</caption>
      <thead>
        <tr>
          <th scope="col">What</th>
          <th scope="col" className="costs-known-head">
            From
          </th>
          <th scope="col" className="costs-amount">
            Cost
          </th>
        </tr>
      </thead>
      <tbody>
        {lines.map((line, at) => (
          <Fragment key={`${line.kind} ${line.what} ${at}`}>
            <tr>
              <td>
                <button
                  type="button"
                  className="costs-open"
                  aria-expanded={open.has(at)}
                  onClick={() => turn(at)}
                >
                  <span className="costs-kind quiet">{kindWords[line.kind]}</span>
                  <span>{line.what}</span>
                </button>
              </td>
              <td className="costs-known" data-by={line.known.by}>
                {knownWords(line.known)}
              </td>
              <td className="costs-amount">{moneyWords(line.cents, currency)}</td>
            </tr>
            {open.has(at) && (
              <tr className="costs-opened">
                <td colSpan={3}>
                  <b>
                    {amountWords(line)} {lineRateWords(line, currency)}
                  </b>{" "}
                  {line.note}
                </td>
              </tr>
            )}
          </Fragment>
        ))}
      </tbody>
      <tfoot>
        <tr>
          <th scope="row" colSpan={2}>
            {isWhole ? "Cost together" : "Known so far; figures are missing"}
          </th>
          <td className="costs-amount">
            {!isWhole && <span className="quiet">at least </span>}
            {moneyWords(totalCents, currency)}
          </td>
        </tr>
      </tfoot>
    </table>
  );
}

/** So many of a place's missing figures are named; the others are counted. */
const NAMED = 4;
const places = ["settings", "stock", "thread", "machine", "product", "record"] as const;

/** What is missing, asked for plainly by the place where it is entered. */
export function Missing({ missing }: { readonly missing: readonly costs.MissingFigure[] }) {
  if (missing.length === 0) return null;
  const groups = places
    .map((of) => missing.filter((one) => one.of === of))
    .filter((group) => group.length > 0);
  return (
    <section className="costs-missing" aria-label="Missing figures">
      <p>
        <b>
          {missing.length === 1 ? "One figure is missing" : `${missing.length} figures are missing`}; without{" "}
          {missing.length === 1 ? "it" : "them"} no cost is whole.
        </b>
      </p>
      <ul>
        {groups.map((group) => {
          const place = placeOf(group[0]!);
          const rest = group.length - NAMED;
          return (
            <li key={group[0]!.of}>
              <span>
                {group
                  .slice(0, NAMED)
                  .map((one) => one.what)
                  .join("; ")}
                {rest > 0 && ` and ${rest} more`}
              </span>
              <Link to={place.to as "/"} search={(place.search ?? {}) as never} className="costs-way">
                Enter under {place.words}
              </Link>
            </li>
          );
        })}
      </ul>
    </section>
  );
}

/** A price taken apart: tax, fees, cost and what is left, as lengths with their amounts. */
export function PriceParts({ earned, currency }: { readonly earned: Earned; readonly currency: string }) {
  const { priceCents, taxCents, feesCents, costCents, profitCents, margin } = earned;
  const parts = [
    { key: "cost", words: "cost", cents: costCents },
    { key: "tax", words: "tax within", cents: taxCents },
    { key: "fees", words: "channel’s fee", cents: feesCents },
    { key: "profit", words: profitCents < 0 ? "loss" : "left", cents: profitCents },
  ];
  const whole = Math.max(priceCents, costCents + taxCents + feesCents, 1);
  return (
    <div className="costs-parts">
      <div className="costs-bar" aria-hidden>
        {parts
          .filter((part) => part.cents > 0)
          .map((part) => (
            <span key={part.key} data-part={part.key} style={{ width: `${(100 * part.cents) / whole}%` }} />
          ))}
      </div>
      <dl className="costs-facts">
        <div>
          <dt>price</dt>
          <dd>{moneyWords(priceCents, currency)}</dd>
        </div>
        {parts.map((part) => (
          <div
            key={part.key}
            data-part={part.key}
            data-loss={part.key === "profit" && part.cents < 0 ? true : undefined}
          >
            <dt>{part.words}</dt>
            <dd>{moneyWords(part.cents, currency)}</dd>
          </div>
        ))}
        <div data-loss={margin !== null && margin < 0 ? true : undefined}>
          <dt>margin of the net price</dt>
          <dd>{margin === null ? "–" : percentWords(margin)}</dd>
        </div>
      </dl>
    </div>
  );
}
