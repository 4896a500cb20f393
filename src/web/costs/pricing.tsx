import { Button } from "@mantine/core";
import { useQueryClient } from "@tanstack/react-query";
import { useNavigate } from "@tanstack/react-router";
import { useState } from "react";
import type { costs } from "#contract";
import { rows } from "#contract";
import { earned, priceFor, rushPrice, type Selling, tierPrices } from "#core/costing";
import { useAnswer } from "../asking";
import { ask, Trouble } from "../client";
import { NumberField } from "../parts/form";
import { offerUndo, showTrouble } from "../parts/notices";
import { MoneyField, moneyWords } from "../parts/quantity";
import { PriceParts } from "./lines";
import { percentWords, type Product } from "./words";

type Wanted =
  { readonly by: "price"; readonly cents: number } | { readonly by: "margin"; readonly margin: number };

/** A margin no price reaches is told, not thrown. */
function priced(product: Product, wanted: Wanted, selling: Selling, settings: costs.CostSettings) {
  if (wanted.by === "price")
    return { money: earned(wanted.cents, product.totalCents, selling), trouble: null };
  try {
    return { money: priceFor(product.totalCents, wanted.margin, selling, settings.rounding), trouble: null };
  } catch (reason) {
    return { money: null, trouble: reason instanceof Error ? reason.message : String(reason) };
  }
}

/** Price from margin and margin from price, with the shop's rounding; tiers; a price in a hurry. */
export function Pricing({
  product,
  selling,
  parcelCents,
  settings,
  currency,
}: {
  readonly product: Product;
  readonly selling: Selling;
  readonly parcelCents: number;
  readonly settings: costs.CostSettings;
  readonly currency: string;
}) {
  const [wanted, setWanted] = useState<Wanted>({ by: "price", cents: product.earned.priceCents });
  const navigate = useNavigate();
  const isWhole = product.missing.length === 0;
  if (!isWhole)
    return (
      <section className="sheet costs-sheet costs-body" aria-label="Price">
        <h3>Price</h3>
        <p>
          It is sold for {moneyWords(product.earned.priceCents, currency)}. What is left of that can be told
          once the missing figures are entered.
        </p>
      </section>
    );
  const { money, trouble } = priced(product, wanted, selling, settings);
  const isOther = money !== null && money.priceCents !== product.earned.priceCents;
  return (
    <section className="sheet costs-sheet costs-body" aria-label="Price">
      <h3>Price</h3>
      <div className="costs-fields">
        <MoneyField
          label="Price"
          hint="type a price to see the margin"
          value={wanted.by === "price" ? wanted.cents : (money?.priceCents ?? null)}
          onChange={(cents) => cents !== null && !Number.isNaN(cents) && setWanted({ by: "price", cents })}
        />
        <NumberField
          label="Margin"
          unit="%"
          decimals={1}
          min={-900}
          max={95}
          hint="type a margin to see the price"
          value={
            wanted.by === "margin"
              ? Math.round(wanted.margin * 1000) / 10
              : money?.margin === null || !money
                ? null
                : Math.round(money.margin * 1000) / 10
          }
          onChange={(percent) =>
            percent !== null &&
            !Number.isNaN(percent) &&
            percent < 100 &&
            setWanted({ by: "margin", margin: percent / 100 })
          }
        />
      </div>
      {trouble && (
        <p role="alert" className="costs-loss">
          {trouble}
        </p>
      )}
      {money && <PriceParts earned={money} currency={currency} />}
      <div className="costs-acts">
        {isOther && money && <TakePrice product={product} cents={money.priceCents} currency={currency} />}
        <Button
          size="md"
          variant="default"
          onClick={() =>
            void navigate({ to: "/costs", search: { leaf: "quote", product: product.productId } as never })
          }
        >
          Quote it
        </Button>
      </div>
      <Tiers
        product={product}
        selling={selling}
        parcelCents={parcelCents}
        settings={settings}
        currency={currency}
      />
    </section>
  );
}

function TakePrice({
  product,
  cents,
  currency,
}: {
  readonly product: Product;
  readonly cents: number;
  readonly currency: string;
}) {
  const queries = useQueryClient();
  const record = useAnswer("products", "products.get", { params: { id: product.productId } });
  const [isTaking, setTaking] = useState(false);
  const take = async () => {
    if (!record.data) return;
    setTaking(true);
    try {
      const { id, version, archived: _a, createdAtMs: _c, updatedAtMs: _u, ...body } = record.data;
      const told = await ask("products.change", {
        params: { id },
        version,
        body: rows["products.change"].body.parse({ ...body, priceCents: cents }),
      });
      for (const list of ["products", "costs"]) void queries.invalidateQueries({ queryKey: [list] });
      offerUndo(`${product.name} is sold for ${moneyWords(cents, currency)} now.`, told.changeId);
    } catch (reason) {
      showTrouble(reason instanceof Trouble ? reason : String(reason));
    } finally {
      setTaking(false);
    }
  };
  return (
    <Button size="md" loading={isTaking} disabled={!record.data} onClick={() => void take()}>
      Sell it for {moneyWords(cents, currency)}
    </Button>
  );
}

/** Null where the fees leave no room for a margin. */
function tiersOr<T>(work: () => T): T | null {
  try {
    return work();
  } catch {
    return null;
  }
}

/** What several of it would cost each, and in a hurry. */
function Tiers({
  product,
  selling,
  parcelCents,
  settings,
  currency,
}: {
  readonly product: Product;
  readonly selling: Selling;
  readonly parcelCents: number;
  readonly settings: costs.CostSettings;
  readonly currency: string;
}) {
  const { rounding, rush } = settings;
  const once = { onceCents: parcelCents + selling.feeCents, eachCents: product.totalCents - parcelCents };
  const tiers = tiersOr(() =>
    tierPrices(
      once,
      [{ from: 1, margin: settings.margin }, ...settings.tiers],
      { ...selling, feeCents: 0 },
      rounding,
    ),
  );
  if (tiers === null)
    return <p className="quiet">No price reaches the margins of your quantities with this channel’s fees.</p>;
  return (
    <>
      <h3>By quantity, at your margins</h3>
      <table className="costs-lines">
        <thead>
          <tr>
            <th scope="col">From</th>
            <th scope="col" className="costs-amount">
              Each
            </th>
            <th scope="col" className="costs-amount">
              Margin
            </th>
            <th scope="col" className="costs-amount">
              In a hurry
            </th>
          </tr>
        </thead>
        <tbody>
          {tiers.map((tier) => (
            <tr key={tier.from}>
              <td>{tier.from}</td>
              <td className="costs-amount">{moneyWords(tier.priceCents, currency)}</td>
              <td className="costs-amount">{tier.margin === null ? "–" : percentWords(tier.margin)}</td>
              <td className="costs-amount">
                {moneyWords(rushPrice(tier.priceCents, rush, rounding), currency)}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </>
  );
}
