import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { useState } from "react";
import { type Answer, type costs, rows } from "#contract";
import { seasonCostWhole, seasonOrderWhole } from "#core/costing";
import { useAnswer, useChange } from "../asking";
import { ChoiceField, NumberField } from "../parts/form";
import { same } from "../parts/merge";
import { MoneyField, moneyWords, useHabits } from "../parts/quantity";
import { Empty, TroubleSheet, Waiting } from "../parts/states";
import { isLow } from "../threads/left";
import { orderWords, wordsOf } from "../threads/order-words";
import { SaveBar } from "./save-bar";
import { fromWords } from "./words";

type Settings = costs.CostSettings;
type Item = Answer<"orderAgain">["items"][number];

/** When to order what again and how much: the figures it rests on, the proposals, and what is bought once. */
export function OrderingAgain({
  version,
  settings,
}: {
  readonly version: number;
  readonly settings: Settings;
}) {
  return (
    <>
      <OrderingForm version={version} settings={settings} />
      <Proposals isSet={settings.ordering !== null} />
      <BoughtOnce />
    </>
  );
}

const usual: NonNullable<Settings["ordering"]> = {
  orderCents: 500,
  holdingShare: 0.2,
  days: 5,
  service: 0.95,
  from: "guessed",
};

function OrderingForm({ version, settings }: { readonly version: number; readonly settings: Settings }) {
  const start = settings.ordering;
  const [value, setValue] = useState(start ?? usual);
  const set = (own: Partial<typeof usual>) => setValue((was) => ({ ...was, ...own }));
  const change = useChange("keepCostSettings", { lists: ["costs"], done: "Figures of ordering kept." });
  const parsed = rows.keepCostSettings.body.safeParse({ ...settings, ordering: value });
  return (
    <section className="sheet costs-body" aria-label="Figures of ordering">
      <h3>Ordering again</h3>
      <div className="costs-fields">
        <MoneyField
          label="An order costs you"
          hint="postage, the time it takes"
          value={value.orderCents}
          onChange={(cents) => set({ orderCents: cents ?? Number.NaN })}
        />
        <NumberField
          label="Keeping for a year"
          unit="% of worth"
          decimals={1}
          min={0.1}
          max={200}
          hint="money tied up, room, what spoils; 20 % is common practice"
          value={Math.round(value.holdingShare * 1000) / 10}
          onChange={(percent) => set({ holdingShare: (percent ?? Number.NaN) / 100 })}
        />
        <NumberField
          label="Until it comes"
          unit="days"
          min={0}
          max={180}
          value={value.days}
          onChange={(days) => set({ days: days ?? Number.NaN })}
        />
        <NumberField
          label="Comes in time"
          unit="% of orders"
          decimals={1}
          min={50}
          max={99.9}
          hint="95 of 100 orders arrive before anything has run out"
          value={Math.round(value.service * 1000) / 10}
          onChange={(percent) => set({ service: (percent ?? Number.NaN) / 100 })}
        />
        <ChoiceField
          label="These figures are"
          value={value.from}
          choices={(Object.keys(fromWords) as (typeof value.from)[]).map((one) => ({
            value: one,
            words: fromWords[one],
          }))}
          onChange={(from) => set({ from })}
        />
      </div>
      <SaveBar
        changed={start === null || !same(value, start)}
        isSaving={change.isPending}
        onDrop={() => setValue(start ?? usual)}
        onSave={() => parsed.success && change.mutate({ body: parsed.data, version })}
      />
    </section>
  );
}

/** What is needed soonest stands first; more are shown a portion at a time. */
const PORTION = 20;

function Proposals({ isSet }: { readonly isSet: boolean }) {
  const [shown, setShown] = useState(PORTION);
  const answer = useAnswer("costs", "orderAgain", {});
  if (answer.isError) return <TroubleSheet trouble={answer.error} onAgain={() => void answer.refetch()} />;
  if (!answer.data) return <Waiting words="Adding up what the weeks took" />;
  const { weeks, items } = answer.data;
  if (items.length === 0)
    return (
      <Empty title="Too few weeks of orders">
        From four whole weeks of orders on, this says what was used and when to order it again.
      </Empty>
    );
  const now = items.filter((one) => one.isNow).length;
  return (
    <section className="sheet costs-sheet" aria-label="What to order again">
      <h3>
        {!isSet
          ? "What the weeks took"
          : now === 0
            ? "Nothing must be ordered now"
            : now === 1
              ? "One thing to order now"
              : `${now} things to order now`}
      </h3>
      <p className="quiet costs-pad">
        From the orders of the last {weeks} weeks, as if the next ones were like them.
        {!isSet && " Keep the figures above, and this says when to order and how much."}
      </p>
      <table className="costs-table">
        <thead>
          <tr>
            <th scope="col">What</th>
            <th scope="col">A week</th>
            <th scope="col">There</th>
            <th scope="col">Lasts</th>
            <th scope="col">Proposed</th>
          </tr>
        </thead>
        <tbody>
          {items.slice(0, shown).map((one) => (
            <Proposal key={one.subjectId} item={one} />
          ))}
        </tbody>
      </table>
      {items.length > shown && (
        <div className="costs-acts costs-pad">
          <Button size="md" variant="default" onClick={() => setShown(shown + PORTION)}>
            Show {Math.min(PORTION, items.length - shown)} more
          </Button>
        </div>
      )}
    </section>
  );
}

function Proposal({ item }: { readonly item: Item }) {
  const words = wordsOf(item);
  const isMarked = isLow(item.onHand, item.setPoint);
  return (
    <tr data-loss={item.isNow || undefined}>
      <th scope="row">
        <Link
          to="/threads"
          search={
            (item.of === "thread"
              ? { edit: item.subjectId }
              : { leaf: "stock", edit: item.subjectId }) as never
          }
          className="costs-open"
        >
          <span>
            {item.code} {item.name}
          </span>
          {(isMarked || item.isNow) && (
            <span className="quiet">
              {isMarked && "low by your own mark"}
              {item.isNow && <span className="costs-tag">order now</span>}
            </span>
          )}
        </Link>
      </th>
      <td data-label="a week">{words.week}</td>
      <td data-label="there">{words.there}</td>
      <td data-label="lasts">{words.lasts}</td>
      <td data-label="proposed">{orderWords(item)}</td>
    </tr>
  );
}

/** A thing bought once, for a season or a market: too many is left over, too few is a sale lost. */
function BoughtOnce() {
  const { currency } = useHabits();
  const [asked, setAsked] = useState({ mean: 30, costCents: 500, leftCents: 100, priceCents: 1500 });
  const set = (own: Partial<typeof asked>) => setAsked((was) => ({ ...was, ...own }));
  const { mean, costCents, leftCents, priceCents } = asked;
  const over = costCents - leftCents;
  const under = priceCents - costCents;
  const isTold =
    [mean, costCents, leftCents, priceCents].every(Number.isFinite) &&
    mean > 0 &&
    mean <= 499 &&
    over > 0 &&
    under > 0;
  const best = isTold ? seasonOrderWhole(mean, { over, under }) : null;
  const money = (cents: number) => moneyWords(Math.round(cents), currency);
  return (
    <section className="sheet costs-body" aria-label="Bought once">
      <h3>Bought once, for a season or a market</h3>
      <div className="costs-fields">
        <NumberField
          label="You expect to sell"
          decimals={1}
          min={0.1}
          max={499}
          value={mean}
          onChange={(value) => set({ mean: value ?? Number.NaN })}
        />
        <MoneyField
          label="Each costs"
          value={costCents}
          onChange={(value) => set({ costCents: value ?? Number.NaN })}
        />
        <MoneyField
          label="Left over it still brings"
          value={leftCents}
          onChange={(value) => set({ leftCents: value ?? Number.NaN })}
        />
        <MoneyField
          label="Sold it brings"
          hint="after its work and fees"
          value={priceCents}
          onChange={(value) => set({ priceCents: value ?? Number.NaN })}
        />
      </div>
      {best ? (
        <p>
          <b>Buy {best.amount}.</b> Bad luck then costs {money(best.cost)} in the mean; with the{" "}
          {Math.round(mean)} you expect it would be{" "}
          {money(seasonCostWhole(Math.round(mean), mean, { over, under }))}. People are taken to come by
          chance, each by themselves.
        </p>
      ) : (
        <p className="quiet">
          It must bring more sold than it costs, and less left over; up to 499 can be expected.
        </p>
      )}
    </section>
  );
}
