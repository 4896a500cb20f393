import { Button } from "@mantine/core";
import { useState } from "react";
import { type Answer, rows } from "#contract";
import { useChange } from "../asking";
import { ChoiceField, NumberField, TextField } from "../parts/form";
import { useListAddress } from "../parts/list-address";
import { same } from "../parts/merge";
import { MoneyField } from "../parts/quantity";
import { PutAwayButton } from "./put-away-button";
import { Depreciation } from "./purchase-books";
import { Verdicts } from "./purchase-figures";
import { isTold, newWish, outcomeWords, type Wish } from "./purchase-wish";

type Kept = Answer<"listPurchases">["items"][number];

const MOST_YEARS = 25;

/** One purchase: what is paid now, what each year brings, and what follows from it. */
export function OnePurchase({ kept }: { readonly kept: Kept | null }) {
  const start = kept ? bodyOf(kept) : newWish;
  const [wish, setWish] = useState<Wish>(start);
  const set = (own: Partial<Wish>) => setWish((was) => ({ ...was, ...own }));
  const address = useListAddress();
  return (
    <>
      <p className="costs-back">
        <button
          type="button"
          className="costs-way"
          onClick={() => address.set({ purchase: undefined, new: undefined }, "push")}
        >
          ← All purchases
        </button>
      </p>
      <section className="sheet costs-body" aria-label="The purchase">
        <h3>{kept ? kept.name : "A purchase to think about"}</h3>
        <p className="costs-lead">
          Enter what is paid now, and what each year brings more than it takes: hours saved, pieces more, less
          service and repair; in the last year also what it is sold for.
        </p>
        <WishFields wish={wish} onChange={set} />
        <WishActs kept={kept} wish={wish} isChanged={kept === null || !same(wish, start)} />
      </section>
      {isTold(wish) ? (
        <div className="costs-two">
          <Verdicts wishes={[wish]} rate={wish.rate} />
          {wish.outlayCents > 0 && <Depreciation wish={wish} />}
        </div>
      ) : (
        <p className="sheet costs-body">
          Once it has an amount and a year that brings something, this says when it has paid itself back and
          what it is worth today.
        </p>
      )}
    </>
  );
}

const bodyOf = ({ name, note, outlayCents, yearCents, salvageCents, rate, outcome }: Kept): Wish => ({
  name,
  note,
  outlayCents,
  yearCents,
  salvageCents,
  rate,
  outcome,
});

function WishFields({
  wish,
  onChange,
}: {
  readonly wish: Wish;
  readonly onChange: (own: Partial<Wish>) => void;
}) {
  const setYears = (count: number | null) => {
    if (count === null || !Number.isInteger(count) || count < 1 || count > MOST_YEARS) return;
    const last = wish.yearCents.at(-1) ?? 0;
    onChange({ yearCents: Array.from({ length: count }, (_, at) => wish.yearCents[at] ?? last) });
  };
  return (
    <>
      <div className="costs-fields">
        <TextField
          label="What"
          placeholder="A second ten-needle machine"
          value={wish.name}
          onChange={(name) => onChange({ name: name.slice(0, 120) })}
        />
        <MoneyField
          label="Paid now"
          value={wish.outlayCents}
          onChange={(cents) => onChange({ outlayCents: cents ?? Number.NaN })}
        />
        <NumberField
          label="Lasts"
          unit="years"
          min={1}
          max={MOST_YEARS}
          value={wish.yearCents.length}
          onChange={setYears}
        />
        <MoneyField
          label="Worth at the end"
          hint="for the books only"
          value={wish.salvageCents}
          onChange={(cents) => onChange({ salvageCents: cents ?? Number.NaN })}
        />
        <NumberField
          label="Money costs, a year"
          unit="%"
          decimals={2}
          min={0}
          max={100}
          value={Math.round(wish.rate * 1e6) / 1e4}
          onChange={(value) => onChange({ rate: value === null ? Number.NaN : value / 100 })}
        />
        <ChoiceField
          label="What became of it"
          value={wish.outcome}
          choices={(["open", "bought", "left"] as const).map((value) => ({
            value,
            words: outcomeWords[value],
          }))}
          onChange={(outcome) => onChange({ outcome })}
        />
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
      <div>
        <Button
          size="md"
          variant="default"
          onClick={() => onChange({ yearCents: wish.yearCents.map(() => wish.yearCents[0]!) })}
        >
          Every year like the first
        </Button>
      </div>
      <TextField
        label="Note"
        long
        value={wish.note}
        onChange={(note) => onChange({ note: note.slice(0, 2000) })}
      />
    </>
  );
}

function WishActs({
  kept,
  wish,
  isChanged,
}: {
  readonly kept: Kept | null;
  readonly wish: Wish;
  readonly isChanged: boolean;
}) {
  const address = useListAddress();
  const keep = useChange("keepPurchase", { lists: ["costs"] });
  const change = useChange("changePurchase", { lists: ["costs"], done: (one) => `${one.name} kept.` });
  const away = useChange("putPurchaseAway", { lists: ["costs"], done: (one) => `${one.name} put away.` });
  const parsed = rows.keepPurchase.body.safeParse(wish);
  return (
    <>
      <div className="costs-acts">
        <Button
          size="md"
          disabled={!isChanged || !parsed.success}
          loading={keep.isPending || change.isPending}
          onClick={() =>
            kept === null
              ? keep.mutate(
                  { body: wish },
                  { onSuccess: ({ value }) => address.set({ new: undefined, purchase: value.id }) },
                )
              : change.mutate({ params: { id: kept.id }, version: kept.version, body: wish })
          }
        >
          {kept === null ? "Keep it" : "Keep the changes"}
        </Button>
        {kept !== null && (
          <PutAwayButton
            isBusy={away.isPending}
            onPress={() =>
              away.mutate(
                { params: { id: kept.id }, version: kept.version },
                { onSuccess: () => address.set({ purchase: undefined }) },
              )
            }
          />
        )}
      </div>
      {isChanged && isTold(wish) && wish.name.trim() === "" && (
        <p className="quiet">To keep it, say what it is.</p>
      )}
    </>
  );
}
