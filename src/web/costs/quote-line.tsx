import type { costs, shapes } from "#contract";
import { ChoiceField, NumberField, TextField } from "../parts/form";
import { MoneyField, moneyWords, useHabits } from "../parts/quantity";

type DraftLine = costs.QuoteAsked["lines"][number];

/** One line of a quote: what, how many, at which price. */
export function QuoteLine({
  number,
  line,
  products,
  worked,
  onChange,
  onRemove,
}: {
  readonly number: number;
  readonly line: DraftLine;
  readonly products: readonly shapes.ProductRecord[];
  readonly worked: costs.QuoteWorked["lines"][number] | undefined;
  readonly onChange: (own: Partial<DraftLine>) => void;
  readonly onRemove: (() => void) | null;
}) {
  const { currency } = useHabits();
  const isSame = worked?.productId === line.productId && worked.quantity === line.quantity;
  return (
    <fieldset className="costs-line">
      <legend>Line {number}</legend>
      <div className="costs-fields">
        <ChoiceField
          label="Product"
          value={line.productId}
          choices={products.map((one) => ({ value: one.id, words: one.name }))}
          onChange={(productId) => onChange({ productId, priceCents: null })}
        />
        <NumberField
          label="Pieces"
          value={line.quantity}
          min={1}
          max={100_000}
          onChange={(quantity) => onChange({ quantity: quantity ?? Number.NaN })}
        />
        <MoneyField
          label="Each"
          usual={
            isSame && worked.suggestedCents !== null
              ? moneyWords(worked.suggestedCents, currency)
              : "type a price"
          }
          hint={isSame && worked.suggestedCents !== null ? "empty: worked out" : undefined}
          value={line.priceCents}
          onChange={(priceCents) =>
            onChange({ priceCents: priceCents === null || Number.isNaN(priceCents) ? null : priceCents })
          }
        />
      </div>
      <TextField
        label="What is made of it"
        placeholder="Crew name, left chest"
        value={line.what}
        onChange={(what) => onChange({ what: what.slice(0, 160) })}
      />
      {isSame && line.priceCents === null && worked.tiers.length > 1 && (
        <p className="quiet">
          {worked.tiers
            .map((tier) => `from ${tier.from}: ${moneyWords(tier.eachCents, currency)}`)
            .join(" · ")}
        </p>
      )}
      {onRemove && (
        <button type="button" className="costs-way" onClick={onRemove}>
          Take line {number} away
        </button>
      )}
    </fieldset>
  );
}
