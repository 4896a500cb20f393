import { Button, Checkbox } from "@mantine/core";
import type { Answer } from "#contract";
import { useAnswer } from "../asking";
import { addressOf } from "../client";
import { useListAddress } from "../parts/list-address";
import { moneyWords, useHabits } from "../parts/quantity";
import { Empty, TroubleSheet, Waiting } from "../parts/states";
import { Depreciation } from "./purchase-books";
import { Verdicts, yearsWords } from "./purchase-figures";
import { OnePurchase } from "./purchase-form";
import { outcomeWords } from "./purchase-wish";

type Kept = Answer<"listPurchases">["items"][number];

const LIMIT = 50;
/** More columns cannot be read beside each other. */
const MOST_COMPARED = 4;

/** Purchases that are considered: kept with their figures, opened, and compared. */
export function Purchases() {
  const address = useListAddress();
  const purchases = useAnswer(
    "costs",
    "listPurchases",
    { query: { offset: address.offset, limit: LIMIT } },
    { keep: true },
  );
  if (purchases.isError)
    return <TroubleSheet trouble={purchases.error} onAgain={() => void purchases.refetch()} />;
  if (!purchases.data) return <Waiting words="Fetching purchases" />;
  const { items, total } = purchases.data;
  const open = items.find((one) => one.id === address.word("purchase"));
  if (open ?? address.word("new"))
    return (
      <div className="costs">
        <OnePurchase key={`${open?.id ?? ""} ${open?.version ?? ""}`} kept={open ?? null} />
      </div>
    );
  const begin = (
    <Button size="md" onClick={() => address.set({ new: "yes" }, "push")}>
      Think about a purchase
    </Button>
  );
  if (total === 0)
    return (
      <Empty title="No purchase is kept yet" action={begin}>
        What is paid now, what each year brings: this says when it has paid itself back, what it is worth
        today and a year, at which rates, and how it loses its value in the books. Kept purchases are compared
        side by side.
      </Empty>
    );
  return (
    <div className="costs">
      <div className="costs-acts">{begin}</div>
      <PurchaseTable items={items} />
      {total > LIMIT && <Pages total={total} />}
      <Compared items={items} />
      <div>
        <Button
          component="a"
          size="md"
          variant="subtle"
          href={addressOf("tableFile", { table: "purchases" })}
          download
        >
          Purchases as CSV
        </Button>
      </div>
    </div>
  );
}

const comparedIn = (word: string): readonly string[] => word.split(" ").filter(Boolean);

function PurchaseTable({ items }: { readonly items: readonly Kept[] }) {
  const address = useListAddress();
  const { currency } = useHabits();
  const chosen = comparedIn(address.word("compare"));
  const turn = (id: string) => {
    const next = chosen.includes(id) ? chosen.filter((one) => one !== id) : [...chosen, id];
    address.set({ compare: next.join(" "), offset: address.offset > 0 ? String(address.offset) : undefined });
  };
  const money = (value: number) => moneyWords(Math.round(value), currency);
  return (
    <section className="sheet costs-sheet" aria-label="Purchases">
      <table className="costs-table">
        <thead>
          <tr>
            <th scope="col">Purchase</th>
            <th scope="col">Paid now</th>
            <th scope="col">Paid back after</th>
            <th scope="col">Worth today</th>
            <th scope="col">Worth a year</th>
            <th scope="col">Compare</th>
          </tr>
        </thead>
        <tbody>
          {items.map((one) => (
            <tr key={one.id} data-loss={!one.judged.pays || undefined}>
              <th scope="row">
                <button
                  type="button"
                  className="costs-open"
                  onClick={() => address.set({ purchase: one.id }, "push")}
                >
                  <span>{one.name}</span>
                  <span className="quiet">
                    {outcomeWords[one.outcome]} · at {Math.round(1000 * one.rate) / 10} %
                    {!one.judged.pays && <span className="costs-tag">does not pay</span>}
                  </span>
                </button>
              </th>
              <td data-label="paid now">{money(one.outlayCents)}</td>
              <td data-label="paid back after">{yearsWords(one.judged.payback)}</td>
              <td data-label="worth today">{money(one.judged.netPresentValue)}</td>
              <td data-label="worth a year">{money(one.judged.equalAnnual)}</td>
              <td data-label="compare">
                <Checkbox
                  size="md"
                  className="costs-tick"
                  aria-label={`Compare ${one.name}`}
                  checked={chosen.includes(one.id)}
                  disabled={!chosen.includes(one.id) && chosen.length >= MOST_COMPARED}
                  onChange={() => turn(one.id)}
                />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

/** The chosen ones at one rate, the first one's: amounts at different rates cannot stand beside each other. */
function Compared({ items }: { readonly items: readonly Kept[] }) {
  const address = useListAddress();
  const chosen = comparedIn(address.word("compare")).flatMap((id) => items.filter((one) => one.id === id));
  if (chosen.length < 2)
    return items.length < 2 ? null : (
      <p className="quiet">Tick two or more, up to {MOST_COMPARED}, to see them side by side.</p>
    );
  const { rate } = chosen[0]!;
  return (
    <>
      {chosen.some((one) => one.rate !== rate) && (
        <p className="quiet">
          All of them at {Math.round(1000 * rate) / 10} %, the rate of {chosen[0]!.name}.
        </p>
      )}
      <Verdicts wishes={chosen} rate={rate} />
      <div className="costs-two">
        {chosen.flatMap((one) => (one.outlayCents > 0 ? [<Depreciation key={one.id} wish={one} />] : []))}
      </div>
    </>
  );
}

function Pages({ total }: { readonly total: number }) {
  const address = useListAddress();
  const go = (offset: number) =>
    address.set({ offset: offset > 0 ? String(offset) : undefined, compare: undefined }, "push");
  return (
    <div className="costs-acts">
      <Button
        size="md"
        variant="default"
        disabled={address.offset === 0}
        onClick={() => go(address.offset - LIMIT)}
      >
        Later ones
      </Button>
      <Button
        size="md"
        variant="default"
        disabled={address.offset + LIMIT >= total}
        onClick={() => go(address.offset + LIMIT)}
      >
        Earlier ones
      </Button>
    </div>
  );
}
