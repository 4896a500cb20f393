import { Button } from "@mantine/core";
import { useDebouncedValue } from "@mantine/hooks";
import { useQuery } from "@tanstack/react-query";
import { Link } from "@tanstack/react-router";
import { useState } from "react";
import type { costs, shapes } from "#contract";
import { addDays } from "#core/shop";
import { useAnswer } from "../asking";
import type { Trouble } from "../client";
import { ask, send } from "../client";
import { useAll } from "../parts/all-of";
import { ChoiceField, DateField, NumberField, TextField } from "../parts/form";
import { useListAddress } from "../parts/list-address";
import { showTrouble } from "../parts/notices";
import { MoneyField, moneyWords, useHabits } from "../parts/quantity";
import { Empty, TroubleSheet, Waiting } from "../parts/states";
import { useNowMs } from "../today/clock";
import { Missing } from "./lines";
import { percentWords } from "./words";

type Draft = costs.QuoteAsked;
type DraftLine = Draft["lines"][number];

/** A quote built from products, or from what an order asked for, and printed. */
export function QuoteLeaf() {
  const address = useListAddress();
  const products = useAll("products");
  const kept = useAnswer("costs", "readCosts", {});
  const fromOrder = address.word("order");
  const order = useAnswer(
    "orders",
    "readOrder",
    { params: { id: fromOrder } },
    { enabled: fromOrder !== "" },
  );
  const { timeZone } = useHabits();
  const today = new Intl.DateTimeFormat("en-CA", { timeZone, dateStyle: "short" }).format(useNowMs());
  const trouble = products.error ?? kept.error ?? order.error;
  if (trouble) return <TroubleSheet trouble={trouble} onAgain={() => void kept.refetch()} />;
  if (!products.data || !kept.data || (fromOrder !== "" && !order.data))
    return <Waiting words="Fetching products" />;
  const open = products.data.filter((one) => !one.archived);
  if (open.length === 0)
    return (
      <Empty
        title="Nothing to quote yet"
        action={
          <Button component={Link} to="/products" size="md">
            Add a product
          </Button>
        }
      >
        A quote offers products at prices worked out from what they cost, by quantity, until a day you choose.
      </Empty>
    );
  const lines: DraftLine[] =
    order.data?.order.lines.map((line) => ({
      productId: line.productId,
      quantity: line.quantity,
      what: line.personalText.slice(0, 160),
      priceCents: line.priceCents,
    })) ?? [];
  const first = open.find((one) => one.id === address.word("product")) ?? open[0]!;
  return (
    <QuoteForm
      key={`${fromOrder} ${address.word("product")}`}
      products={open}
      settings={kept.data.settings}
      today={today}
      start={{
        customer: order.data?.order.customer.slice(0, 120) ?? "",
        reference: order.data?.order.reference.slice(0, 60) ?? "",
        validUntil: addDays(today, kept.data.settings.quoteDays),
        channelId:
          kept.data.settings.channels.find(
            (one) => one.name.toLowerCase() === order.data?.order.channel.toLowerCase(),
          )?.id ?? null,
        isRush: false,
        note: "",
        lines: lines.length > 0 ? lines : [{ productId: first.id, quantity: 10, what: "", priceCents: null }],
      }}
    />
  );
}

/** Whether the draft can be asked about: a field that is empty cannot. */
const isAskable = (draft: Draft): boolean =>
  draft.lines.length > 0 &&
  draft.lines.every((line) => Number.isInteger(line.quantity) && line.quantity >= 1) &&
  /^\d{4}-\d{2}-\d{2}$/.test(draft.validUntil);

function QuoteForm({
  start,
  products,
  settings,
  today,
}: {
  readonly start: Draft;
  readonly products: readonly shapes.ProductRecord[];
  readonly settings: costs.CostSettings;
  readonly today: string;
}) {
  const [draft, setDraft] = useState(start);
  const [asked] = useDebouncedValue(draft, 300);
  const set = (own: Partial<Draft>) => setDraft((was) => ({ ...was, ...own }));
  const setLine = (at: number, own: Partial<DraftLine>) =>
    set({ lines: draft.lines.map((line, index) => (index === at ? { ...line, ...own } : line)) });
  const worked = useQuery<costs.QuoteWorked, Trouble>({
    queryKey: ["costs", "workQuote", asked],
    queryFn: async ({ signal }) => (await ask("workQuote", { body: asked, signal })).value,
    enabled: isAskable(asked),
    placeholderData: (previous) => previous,
  });
  return (
    <div className="costs costs-two">
      <section className="sheet costs-sheet costs-body" aria-label="The quote">
        <h3>The quote</h3>
        <div className="costs-fields">
          <TextField label="For" value={draft.customer} onChange={(customer) => set({ customer })} />
          <TextField
            label="Its number"
            value={draft.reference}
            onChange={(reference) => set({ reference })}
          />
          <DateField
            label="Holds until"
            value={draft.validUntil}
            onChange={(validUntil) => set({ validUntil })}
            error={draft.validUntil < today ? "that day is over" : undefined}
          />
          <ChoiceField
            label="Sold by"
            value={draft.channelId ?? ""}
            choices={[
              { value: "", words: "no channel" },
              ...settings.channels.map((one) => ({ value: one.id, words: one.name })),
            ]}
            onChange={(value) => set({ channelId: value === "" ? null : value })}
          />
          <ChoiceField
            label="When"
            value={draft.isRush ? "rush" : ""}
            choices={[
              { value: "", words: "in its turn" },
              { value: "rush", words: "pulled forward" },
            ]}
            onChange={(value) => set({ isRush: value === "rush" })}
          />
        </div>
        {draft.lines.map((line, at) => (
          <QuoteLine
            key={at}
            number={at + 1}
            line={line}
            products={products}
            worked={worked.data?.lines[at]}
            onChange={(own) => setLine(at, own)}
            onRemove={
              draft.lines.length > 1
                ? () => set({ lines: draft.lines.filter((_, index) => index !== at) })
                : null
            }
          />
        ))}
        <Button
          size="md"
          variant="default"
          disabled={draft.lines.length >= 40}
          onClick={() =>
            set({
              lines: [
                ...draft.lines,
                { productId: products[0]!.id, quantity: 1, what: "", priceCents: null },
              ],
            })
          }
        >
          Another line
        </Button>
        <TextField
          label="To be said on it"
          long
          value={draft.note}
          onChange={(note) => set({ note: note.slice(0, 1000) })}
        />
      </section>
      <Worked worked={worked.data} trouble={worked.error} draft={draft} isAskable={isAskable(draft)} />
    </div>
  );
}

function QuoteLine({
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

function Worked({
  worked,
  trouble,
  draft,
  isAskable: can,
}: {
  readonly worked: costs.QuoteWorked | undefined;
  readonly trouble: Trouble | null;
  readonly draft: Draft;
  readonly isAskable: boolean;
}) {
  const { currency } = useHabits();
  const [isPrinting, setPrinting] = useState(false);
  const print = async () => {
    setPrinting(true);
    try {
      await savePdf(draft);
    } catch (reason) {
      showTrouble(reason);
    } finally {
      setPrinting(false);
    }
  };
  const missing = worked
    ? [
        ...new Map(
          worked.lines
            .flatMap((line) => line.missing)
            .map((one) => [`${one.of}${one.subjectId}${one.what}`, one]),
        ).values(),
      ]
    : [];
  return (
    <section className="sheet costs-sheet costs-body" aria-label="Worked out">
      <h3>Worked out</h3>
      {trouble && <TroubleSheet trouble={trouble} />}
      {!can && <p>Give every line its number of pieces, and the quote a day until which it holds.</p>}
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
      <Button size="md" loading={isPrinting} disabled={!can} onClick={() => void print()}>
        Quote as PDF
      </Button>
    </section>
  );
}

async function savePdf(draft: Draft): Promise<void> {
  const response = await send("quoteSheet", { body: draft });
  const said = /filename="([^"]+)"/.exec(response.headers.get("content-disposition") ?? "");
  const address = URL.createObjectURL(await response.blob());
  const link = document.createElement("a");
  link.href = address;
  link.download = said?.[1] ?? "quote.pdf";
  link.click();
  window.setTimeout(() => URL.revokeObjectURL(address), 60_000);
}
