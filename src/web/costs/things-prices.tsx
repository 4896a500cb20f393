import { Button } from "@mantine/core";
import { useState } from "react";
import type { shapes } from "#contract";
import { useAll } from "../parts/all-of";
import { NumberField, TextField } from "../parts/form";
import { MoneyField } from "../parts/quantity";
import { TroubleSheet, Waiting } from "../parts/states";
import { FromChoice } from "./figure-field";
import { type Kept, useFigures } from "./keep-figures";
import { SaveBar } from "./save-bar";
import type { From } from "./words";

/** Prices of goods and thread: a list with a field each, saved together. */

/** So many rows are shown at first. */
const PORTION = 60;

interface PriceOf {
  readonly cents: number | null;
  readonly amount: number;
  readonly from: From;
}

function PriceRow({
  title,
  more,
  unit,
  price,
  onChange,
}: {
  readonly title: string;
  readonly more: string;
  readonly unit: string;
  readonly price: PriceOf;
  readonly onChange: (price: PriceOf) => void;
}) {
  return (
    <li className="costs-price" data-asked={price.cents === null || undefined}>
      <span className="costs-price-name">
        <b>{title}</b> <span className="quiet">{more}</span>
      </span>
      <MoneyField
        label={`Price of ${title}`}
        usual="not entered"
        value={price.cents}
        onChange={(cents) =>
          onChange({ ...price, cents: cents === null || Number.isNaN(cents) ? null : cents })
        }
      />
      <NumberField
        label={`${title}: for so many`}
        unit={unit}
        decimals={2}
        value={price.amount}
        onChange={(amount) => onChange({ ...price, amount: amount !== null && amount > 0 ? amount : 1 })}
      />
      {price.cents === null ? (
        <span className="costs-tag costs-tag-asked">not entered</span>
      ) : (
        <FromChoice label={title} value={price.from} onChange={(from) => onChange({ ...price, from })} />
      )}
    </li>
  );
}

const kindsPriced = ["blank", "cloth", "backing", "topping", "bobbin"] as const;

export function StockPrices({ figures }: { readonly figures: Kept }) {
  const stock = useAll("stock");
  const kept = useFigures("stock", figures, "of goods kept");
  const [found, setFound] = useState("");
  const [most, setMost] = useState(PORTION);
  if (stock.isError) return <TroubleSheet trouble={stock.error} onAgain={() => void stock.refetch()} />;
  if (!stock.data) return <Waiting words="Fetching the stock" />;
  const priced = stock.data.filter(
    (one) =>
      !one.archived &&
      (kindsPriced as readonly string[]).includes(one.kind) &&
      `${one.code} ${one.name} ${one.colour} ${one.size}`.toLowerCase().includes(found.trim().toLowerCase()),
  );
  const row = (item: shapes.StockRecord) => {
    const figure = kept.of(item.id);
    return (
      <PriceRow
        key={item.id}
        title={item.name}
        more={[item.code, item.colour, item.size].filter(Boolean).join(" · ")}
        unit={item.unit}
        price={{
          cents: figure?.priceCents ?? null,
          amount: figure?.amount ?? 1,
          from: figure?.from ?? "entered",
        }}
        onChange={({ cents, amount, from }) =>
          kept.set(item.id, cents === null ? null : { of: "stock", priceCents: cents, amount, from })
        }
      />
    );
  };
  return (
    <section className="sheet costs-sheet costs-body" aria-label="Prices of goods">
      <h3>What goods are bought for</h3>
      <p className="quiet">The price and for how many: 14.00 for 100 sheets. Without the tax you get back.</p>
      <TextField label="Search goods" value={found} onChange={setFound} />
      {priced.length === 0 && <p>{found ? "Nothing matches." : "No goods stand on the stock list yet."}</p>}
      <ul className="costs-prices">{priced.slice(0, most).map(row)}</ul>
      {priced.length > most && (
        <Button size="md" variant="default" onClick={() => setMost(most + PORTION)}>
          Show more of {priced.length}
        </Button>
      )}
      <SaveBar changed={kept.changed > 0} isSaving={kept.isSaving} onSave={kept.save} onDrop={kept.drop} />
    </section>
  );
}

export function ThreadPrices({ figures }: { readonly figures: Kept }) {
  const threads = useAll("threads");
  const kept = useFigures("thread", figures, "of thread kept");
  const [found, setFound] = useState("");
  const [most, setMost] = useState(PORTION);
  const [same, setSame] = useState<number | null>(null);
  if (threads.isError) return <TroubleSheet trouble={threads.error} onAgain={() => void threads.refetch()} />;
  if (!threads.data) return <Waiting words="Fetching the threads" />;
  const open = threads.data.filter((one) => !one.archived);
  const shown = open.filter((one) =>
    `${one.code} ${one.name}`.toLowerCase().includes(found.trim().toLowerCase()),
  );
  const bare = open.filter((one) => kept.of(one.id) === null);
  const fill = () => {
    if (same === null || Number.isNaN(same)) return;
    for (const one of bare)
      kept.set(one.id, {
        of: "thread",
        priceCents: same,
        metres: one.metresPerCone || 1000,
        from: "entered",
      });
  };
  return (
    <section className="sheet costs-sheet costs-body" aria-label="Prices of thread">
      <h3>What thread is bought for</h3>
      {bare.length > 0 && (
        <div className="costs-fields costs-narrow">
          <MoneyField
            label={`One price a cone for the ${bare.length} without one`}
            usual="not entered"
            value={same}
            onChange={setSame}
          />
          <Button size="md" variant="default" disabled={same === null} onClick={fill}>
            Fill them in
          </Button>
        </div>
      )}
      <TextField label="Search threads" value={found} onChange={setFound} />
      {open.length === 0 && <p>No thread stands on the list yet.</p>}
      <ul className="costs-prices">
        {shown.slice(0, most).map((one) => {
          const figure = kept.of(one.id);
          return (
            <PriceRow
              key={one.id}
              title={`${one.code} ${one.name}`}
              more="a cone"
              unit="m"
              price={{
                cents: figure?.priceCents ?? null,
                amount: figure?.metres ?? (one.metresPerCone || 1000),
                from: figure?.from ?? "entered",
              }}
              onChange={({ cents, amount, from }) =>
                kept.set(
                  one.id,
                  cents === null ? null : { of: "thread", priceCents: cents, metres: amount, from },
                )
              }
            />
          );
        })}
      </ul>
      {shown.length > most && (
        <Button size="md" variant="default" onClick={() => setMost(most + PORTION)}>
          Show more of {shown.length}
        </Button>
      )}
      <SaveBar changed={kept.changed > 0} isSaving={kept.isSaving} onSave={kept.save} onDrop={kept.drop} />
    </section>
  );
}
