import { Button } from "@mantine/core";
import { useState } from "react";
import {
  acceleratedShares,
  bestOf,
  decliningBalance,
  type Judged,
  judged,
  straightLine,
} from "#core/costing";
import { ChoiceField, Note, NumberField, TextField } from "../parts/form";
import { MoneyField, moneyWords, useHabits } from "../parts/quantity";
import { percentWords } from "./words";

/** A purchase by its money over the years; several that exclude one another beside each other. */
interface Wish {
  readonly name: string;
  /** Paid out now, minor units. */
  readonly outlayCents: number;
  /** What each year brings more than it takes, minor units; negative where it takes more. */
  readonly yearCents: readonly number[];
}

const bought = (name: string): Wish => ({ name, outlayCents: 0, yearCents: [0, 0, 0, 0, 0] });
const isNumber = (value: number) => Number.isFinite(value);
const isTold = ({ outlayCents, yearCents }: Wish): boolean =>
  isNumber(outlayCents) &&
  yearCents.every(isNumber) &&
  (outlayCents !== 0 || yearCents.some((one) => one !== 0));
const cashOf = ({ outlayCents, yearCents }: Wish) => [-outlayCents, ...yearCents];

const MOST_WISHES = 4;
const MOST_YEARS = 25;

export function Purchase() {
  const [wishes, setWishes] = useState<readonly Wish[]>([bought("A machine")]);
  const [ratePercent, setRate] = useState(8);
  const rate = ratePercent / 100;
  const change = (at: number, own: Partial<Wish>) =>
    setWishes((was) => was.map((one, index) => (index === at ? { ...one, ...own } : one)));
  const told = wishes.filter(isTold);
  return (
    <div className="costs">
      <p className="costs-lead">
        Enter what is paid now, and what each year brings more than it takes: hours saved, pieces more, less
        service and repair, at the end what it is sold for. What you type here is not kept.
      </p>
      <div className="costs-fields costs-narrow">
        <NumberField
          label="Money earns or costs you, a year"
          unit="%"
          decimals={2}
          min={0}
          max={100}
          value={ratePercent}
          onChange={(value) => setRate(value ?? Number.NaN)}
        />
      </div>
      <div className="costs-wishes">
        {wishes.map((wish, at) => (
          <WishForm
            key={at}
            number={at + 1}
            wish={wish}
            onChange={(own) => change(at, own)}
            onRemove={wishes.length > 1 ? () => setWishes(wishes.filter((_, index) => index !== at)) : null}
          />
        ))}
      </div>
      {wishes.length < MOST_WISHES && (
        <div>
          <Button
            size="md"
            variant="default"
            onClick={() => setWishes([...wishes, bought(`Another choice ${wishes.length + 1}`)])}
          >
            Compare with another
          </Button>
        </div>
      )}
      {told.length === 0 || !isNumber(rate) ? (
        <p className="sheet costs-body">
          Once a purchase has an amount and a year that brings something, this says when it has paid itself
          back and what it is worth today.
        </p>
      ) : (
        <Verdicts wishes={told} rate={rate} />
      )}
      {told.map((wish, at) => (wish.outlayCents > 0 ? <Depreciation key={at} wish={wish} /> : null))}
    </div>
  );
}

function WishForm({
  number,
  wish,
  onChange,
  onRemove,
}: {
  readonly number: number;
  readonly wish: Wish;
  readonly onChange: (own: Partial<Wish>) => void;
  readonly onRemove: (() => void) | null;
}) {
  const years = wish.yearCents.length;
  const setYears = (count: number | null) => {
    if (count === null || !Number.isInteger(count) || count < 1 || count > MOST_YEARS) return;
    const last = wish.yearCents.at(-1) ?? 0;
    onChange({ yearCents: Array.from({ length: count }, (_, at) => wish.yearCents[at] ?? last) });
  };
  return (
    <section className="sheet costs-body" aria-label={`Purchase ${number}`}>
      <div className="costs-fields">
        <TextField
          label="What"
          value={wish.name}
          onChange={(name) => onChange({ name: name.slice(0, 80) })}
        />
        <MoneyField
          label="Paid now"
          value={wish.outlayCents}
          onChange={(cents) => onChange({ outlayCents: cents ?? Number.NaN })}
        />
        <NumberField label="Lasts" unit="years" min={1} max={MOST_YEARS} value={years} onChange={setYears} />
      </div>
      <div className="costs-years">
        {wish.yearCents.map((cents, at) => (
          <MoneyField
            key={at}
            label={`Year ${at + 1}`}
            min={-1_000_000_000}
            value={cents}
            onChange={(value) =>
              onChange({
                yearCents: wish.yearCents.map((one, index) => (index === at ? (value ?? Number.NaN) : one)),
              })
            }
          />
        ))}
      </div>
      <div className="costs-acts">
        <Button
          size="md"
          variant="default"
          onClick={() => onChange({ yearCents: wish.yearCents.map(() => wish.yearCents[0]!) })}
        >
          Every year like the first
        </Button>
        {onRemove && (
          <Button size="md" variant="subtle" color="gray" onClick={onRemove}>
            Take it away
          </Button>
        )}
      </div>
    </section>
  );
}

const yearsWords = (years: number | null): string => (years === null ? "never" : `${years.toFixed(1)} years`);

function Verdicts({ wishes, rate }: { readonly wishes: readonly Wish[]; readonly rate: number }) {
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
        <table className="costs-lines">
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

const methods = {
  straight: "the same every year",
  declining: "twice that share of what is left each year",
  recovery: "the United States’ accelerated recovery, half-year",
} as const;
type Method = keyof typeof methods;
const recoveryYears = ["3", "5", "7", "10", "15", "20"] as const;

function Depreciation({ wish }: { readonly wish: Wish }) {
  const { currency } = useHabits();
  const [method, setMethod] = useState<Method>("straight");
  const [salvageCents, setSalvage] = useState(0);
  const [years, setYears] = useState<(typeof recoveryYears)[number]>("5");
  const cost = wish.outlayCents;
  const salvage = Math.min(isNumber(salvageCents) ? salvageCents : 0, cost);
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
        {method === "recovery" ? (
          <ChoiceField
            label="Over"
            value={years}
            choices={recoveryYears.map((value) => ({ value, words: `${value} years` }))}
            onChange={setYears}
          />
        ) : (
          <MoneyField
            label="Worth at the end"
            value={salvageCents}
            onChange={(cents) => setSalvage(cents ?? Number.NaN)}
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
