import { Button } from "@mantine/core";
import { useDebouncedValue } from "@mantine/hooks";
import { useQuery } from "@tanstack/react-query";
import { useState } from "react";
import type { Answer, costs, shapes } from "#contract";
import type { Trouble } from "../client";
import { ask } from "../client";
import { ChoiceField, DateField, TextField } from "../parts/form";
import { same } from "../parts/merge";
import { DraftActs } from "./quote-acts";
import { QuoteFigures } from "./quote-figures";
import { QuoteLine } from "./quote-line";

type Draft = costs.QuoteAsked;
type DraftLine = Draft["lines"][number];

/** Whether the draft can be asked about: a field that is empty cannot. */
const isAskable = (draft: Draft): boolean =>
  draft.lines.length > 0 &&
  draft.lines.every((line) => Number.isInteger(line.quantity) && line.quantity >= 1) &&
  /^\d{4}-\d{2}-\d{2}$/.test(draft.validUntil);

/** A quote as it is written: a new one, or a draft that is kept. */
export function QuoteForm({
  start,
  kept,
  products,
  settings,
  today,
}: {
  readonly start: Draft;
  readonly kept: Answer<"readQuote"> | null;
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
  const isChanged = kept === null || !same(draft, start);
  return (
    <div className="costs costs-two">
      <section className="sheet costs-sheet costs-body" aria-label="The quote">
        <h3>{kept === null ? "A new quote" : `Quote ${kept.number}, a draft`}</h3>
        <div className="costs-fields">
          <TextField label="For" value={draft.customer} onChange={(customer) => set({ customer })} />
          <TextField
            label="Their word for it"
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
      <QuoteFigures
        worked={worked.data}
        trouble={worked.error}
        isAskable={isAskable(draft)}
        acts={
          <DraftActs
            draft={draft}
            kept={kept}
            isChanged={isChanged}
            isAskable={isAskable(draft)}
            isPriced={
              worked.data?.lines.every(
                (line, at) => line.suggestedCents !== null || (draft.lines[at]?.priceCents ?? null) !== null,
              ) ?? false
            }
          />
        }
      />
    </div>
  );
}
